"""Where the store is, and the folder whose ``riskscope.toml`` counts for it."""

from __future__ import annotations

import os
from pathlib import Path

DEFAULT_NAME = "riskscope.db"
VARIABLE = "RISKSCOPE_STORE"


def place_of(given: str | None) -> str:
    """The store meant: as given, else ``RISKSCOPE_STORE``, else ``riskscope.db`` here."""
    return given or os.environ.get(VARIABLE) or DEFAULT_NAME


def home_of(place: str) -> Path:
    """The folder a store lies in; for one on a server the folder at hand."""
    return Path() if "://" in place else Path(place).parent
