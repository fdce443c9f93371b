"""Limits of what is read, and the ways of one file a user may state."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any
from unicodedata import normalize

from riskscope.errors import WrongUsage, nearest
from riskscope.intake.cells.parsed import MISSING
from riskscope.settings.core import setting
from riskscope.units import UNITS, find_unit


@dataclass(frozen=True)
class Limits:
    """How much of a file is read."""

    max_file_mb: float = setting(1000.0, "Largest file read.", "MB")
    max_rows: int = setting(1_100_000, "Most rows of a sheet or text file.", "")
    max_columns: int = setting(1000, "Most columns of a sheet or text file.", "")
    max_cells: int = setting(30_000_000, "Most cells a sheet may span, empty ones included.", "")
    max_unzipped_mb: float = setting(3000.0, "Largest size of a workbook unpacked.", "MB")
    max_zip_ratio: float = setting(300.0, "Most a part of a workbook may be packed.", "")
    reader_memory_mb: float = setting(4000.0, "Memory the reader of a file may take, in its own process.", "MB")
    reader_s: float = setting(120.0, "How long the reading of one file may take, in its own process.", "s")

    def __post_init__(self) -> None:
        for limit in dataclasses.fields(self):
            value = getattr(self, limit.name)
            if value <= 0:
                raise WrongUsage(f"setting {limit.name} must be above 0; got {value:g}.")


LOAD_WAYS = ("percent", "fraction")
DELTA_BASES = ("similar", "ambient")
DECIMALS = ("point", "comma")


@dataclass(frozen=True)
class ReadOptions:
    """How one file is to be read, where it does not say so itself. None: not stated.

    Examples
    --------
    >>> ReadOptions(decimal="comma", temperature_unit="F").temperature_unit
    '°F'
    """

    table: str | None = None
    sheet: str | None = None
    day_first: bool | None = None
    decimal: str | None = None
    temperature_unit: str | None = None
    torque_unit: str | None = None
    delta_basis: str | None = None
    load: str | None = None
    site: str | None = None
    mapping: Mapping[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.site is not None:
            object.__setattr__(self, "site", normalize("NFC", " ".join(self.site.split())))
            if self.site.casefold() in MISSING:
                raise WrongUsage(f"site must be a name; got {self.site!r}.")
        for name, allowed in (("decimal", DECIMALS), ("delta_basis", DELTA_BASES), ("load", LOAD_WAYS)):
            value = getattr(self, name)
            if value is not None and value not in allowed:
                raise WrongUsage(f"{name} must be {' or '.join(allowed)}; got {value!r}.")
        for name, quantity in (("temperature_unit", "temperature"), ("torque_unit", "torque")):
            value = getattr(self, name)
            if value is not None:
                object.__setattr__(self, name, _unit(name, value, quantity))
        if self.day_first is not None and not isinstance(self.day_first, bool):
            raise WrongUsage(f"day_first must be true or false; got {self.day_first!r}.")
        for name in ("table", "sheet", "site"):
            value = getattr(self, name)
            if value is not None and not isinstance(value, str):
                raise WrongUsage(f"{name} must be text; got {value!r}.")
        _check_mapping(self.mapping)

    def over(self, weaker: ReadOptions) -> ReadOptions:
        """These ways, and where they state nothing the weaker ones."""
        values = {
            f.name: getattr(self, f.name) if getattr(self, f.name) is not None else getattr(weaker, f.name)
            for f in dataclasses.fields(self)
        }
        values["mapping"] = {**weaker.mapping, **self.mapping}
        return ReadOptions(**values)


def _unit(name: str, value: object, quantity: str) -> str:
    unit = find_unit(str(value), quantity)
    if unit is None:
        raise WrongUsage(f"{name} must be {' or '.join(UNITS[quantity])}; got {value!r}.")
    return unit


def _check_mapping(mapping: object) -> None:
    if not isinstance(mapping, Mapping):
        raise WrongUsage(f"mapping must be a table of header = column; got {mapping!r}.")
    for header, column in mapping.items():
        if not isinstance(column, str):
            raise WrongUsage(f"mapping of {header!r} must be the name of a column; got {column!r}.")


def read_options_from(values: Mapping[str, Any], source: str) -> ReadOptions:
    """The ways of a file as a dictionary states them; an unknown key is one sentence."""
    known = [f.name for f in dataclasses.fields(ReadOptions)]
    for key in values:
        if key not in known:
            raise WrongUsage(
                f"there is no way of reading called {key} (from {source}).",
                hint=nearest(key, known) or f"There are {', '.join(known)}.",
            )
    try:
        return ReadOptions(**values)
    except WrongUsage as error:
        raise WrongUsage(error.message, hint=error.hint, file=source) from None
