"""riskscope: which bolted and set-screw connections to retighten first.

For notebooks::

    import riskscope

    a = riskscope.rank("demo_data", on="2026-06-01")
    a.ranking
    print(a.explain("MCC-2/F3/load/B"))

Names are loaded when first used, so that ``riskscope --help`` answers at once.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

__version__ = "0.4.0"

_PUBLIC = {
    "Assessment": "riskscope.api",
    "ReadOptions": "riskscope.api",
    "RiskscopeError": "riskscope.errors",
    "Settings": "riskscope.api",
    "Tables": "riskscope.api",
    "Units": "riskscope.api",
    "assess": "riskscope.api",
    "columns": "riskscope.api",
    "rank": "riskscope.api",
    "read": "riskscope.api",
    "table_names": "riskscope.api",
}

if TYPE_CHECKING:
    from riskscope.api import Assessment, ReadOptions, Settings, Tables, Units, assess, columns, rank, read, table_names
    from riskscope.errors import RiskscopeError

__all__ = [
    "Assessment",
    "ReadOptions",
    "RiskscopeError",
    "Settings",
    "Tables",
    "Units",
    "assess",
    "columns",
    "rank",
    "read",
    "table_names",
]


def __getattr__(name: str) -> Any:
    if name in _PUBLIC:
        return getattr(importlib.import_module(_PUBLIC[name]), name)
    raise AttributeError(f"module 'riskscope' has no attribute {name!r}")


def __dir__() -> list[str]:
    return [*__all__, "__version__"]
