"""riskscope: which bolted and set-screw connections to retighten first.

For notebooks::

    import datetime as dt
    import riskscope

    tables = riskscope.read_folder("demo_data")
    found = riskscope.assess(tables, on=dt.date(2026, 6, 1))

Names are loaded when first used, so that ``riskscope --help`` answers at once.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

__version__ = "0.2.0"

_PUBLIC = {
    "assess": "riskscope.analysis.assess",
    "assess_readings": "riskscope.analysis.assess",
    "read_folder": "riskscope.intake.read",
    "read_files": "riskscope.intake.read",
    "read_frames": "riskscope.intake.read",
    "Ways": "riskscope.intake.options",
    "Settings": "riskscope.settings",
    "RiskscopeError": "riskscope.errors",
}

if TYPE_CHECKING:
    from riskscope.analysis.assess import assess, assess_readings
    from riskscope.errors import RiskscopeError
    from riskscope.intake.options import Ways
    from riskscope.intake.read import read_files, read_folder, read_frames
    from riskscope.settings import Settings

__all__ = [
    "RiskscopeError",
    "Settings",
    "Ways",
    "assess",
    "assess_readings",
    "read_files",
    "read_folder",
    "read_frames",
]


def __getattr__(name: str) -> Any:
    if name in _PUBLIC:
        return getattr(importlib.import_module(_PUBLIC[name]), name)
    raise AttributeError(f"module 'riskscope' has no attribute {name!r}")
