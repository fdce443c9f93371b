"""draft: a file somebody has dropped in, as it is understood, before it comes into a store."""

from __future__ import annotations

import dataclasses
import datetime as dt
import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import pandas as pd

from riskscope.errors import RiskscopeError
from riskscope.intake.apart import grids_apart
from riskscope.intake.check import Checked
from riskscope.intake.grid import Edit
from riskscope.intake.layout import headers as find_headers
from riskscope.intake.notes import Note
from riskscope.intake.options import Limits, Ways
from riskscope.intake.read import Reader, check_file
from riskscope.schema import TABLES
from riskscope.units import UNITS

# What a file may leave open -> the answers there are: the value and how it reads.
ANSWERS: dict[str, tuple[tuple[Any, str], ...]] = {
    "temperature_unit": tuple((unit, unit) for unit in UNITS["temperature"]),
    "torque_unit": tuple((unit, unit) for unit in UNITS["torque"]),
    "day_first": ((True, "day first: 1/2 is 1 February"), (False, "month first: 1/2 is 2 January")),
    "load": (("percent", "percent of full load"), ("fraction", "fractions of full load")),
    "delta_basis": (("similar", "over a similar component"), ("ambient", "over the air")),
    "decimal": (("point", "point: 1.5"), ("comma", "comma: 1,5")),
}
UNUSED = "ignore"


@dataclass(frozen=True)
class Draft:
    """A file as it was dropped in, and what was said of it since."""

    name: str
    data: bytes = field(repr=False)
    ways: Ways = Ways()
    edits: tuple[Edit, ...] = ()

    @property
    def sha256(self) -> str:
        return hashlib.sha256(self.data).hexdigest()

    def answered(self, key: str, value: Any) -> Draft:
        """With one way of reading stated."""
        return dataclasses.replace(self, ways=dataclasses.replace(self.ways, **{key: value}))

    def mapped(self, header: str, column: str | None) -> Draft:
        """With a header meaning a column; None lets it be understood by itself again."""
        mapping = {name: to for name, to in self.ways.mapping.items() if name != header}
        if column is not None:
            mapping[header] = column
        return dataclasses.replace(self, ways=dataclasses.replace(self.ways, mapping=mapping))

    def corrected(self, edits: Sequence[Edit]) -> Draft:
        """With cells corrected by hand."""
        return dataclasses.replace(self, edits=(*self.edits, *edits))


@dataclass(frozen=True)
class Open:
    """Something a file leaves open: the key of the way that settles it, and what is asked."""

    key: str
    words: str


@dataclass(frozen=True)
class Looked:
    """A draft as it is understood now."""

    draft: Draft
    sheets: list[Checked]
    notes: list[Note]
    error: RiskscopeError | None

    @property
    def open(self) -> list[Open]:
        """What must be answered before it can come in, each once."""
        found: dict[str, Open] = {}
        for sheet in self.sheets:
            for question in sheet.questions:
                key = question.toml.split("=")[0].strip()
                where = f"Column “{question.column}”: " if question.column else ""
                found.setdefault(key, Open(key, where + question.text))
        return list(found.values())

    @property
    def is_ready(self) -> bool:
        return self.error is None and bool(self.sheets) and not self.open


def look(draft: Draft, on: dt.date, limits: Limits, reader: Reader = grids_apart) -> Looked:
    """A draft as it is understood; what is wrong with it stands in the answer."""
    notes: list[Note] = []
    named = draft.ways.table is not None
    try:
        sheets = check_file(draft.data, draft.name, draft.ways, named, on, limits, notes, draft.edits, reader)
    except RiskscopeError as error:
        return Looked(draft, [], notes, error)
    return Looked(draft, sheets, notes, None)


@dataclass(frozen=True)
class Understood:
    """One header of a sheet: what it was taken for, and how that came about."""

    header: str
    column: str | None
    how: str


def headers(sheet: Checked) -> list[Understood]:
    """Every header of a sheet in order, those not used last."""
    known = [Understood(match.header, match.column.name, match.how) for match in sheet.headers.matches]
    return known + [Understood(text, None, "kept with the row, not used") for text in sheet.headers.unknown.values()]


def headers_of_unread(one: Draft, limits: Limits, reader: Reader = grids_apart) -> list[Understood]:
    """The headers of a file that cannot be used as it stands, as far as its stated table knows them.

    Empty where no table is stated or the file cannot be opened.
    """
    if one.ways.table is None:
        return []
    try:
        grid = reader(one.data, one.name, one.ways, limits)[0]
        found = find_headers.find(grid, TABLES[one.ways.table], one.ways)
    except (RiskscopeError, IndexError):
        return []
    if found is None:
        first = [str(cell).strip() for cell in grid.cells.iloc[0]]
        return [Understood(text, None, "not known") for text in first if text]
    known = {match.position: Understood(match.header, match.column.name, match.how) for match in found.matches}
    known |= {place: Understood(text, None, "not known") for place, text in found.unknown.items()}
    return [known[place] for place in sorted(known)]


def columns_of(table: str) -> list[str]:
    """The columns a header of a table may mean."""
    return [column.name for column in TABLES[table].columns]


def cells(sheet: Checked, line: int) -> list[tuple[int, str, str]]:
    """The cells of a line as they stand: place, header, text; those of a sheet not made long."""
    grid = sheet.grid
    at = int((grid.line == line).argmax())
    row = grid.cells.iloc[at]
    named = {match.position: match.header for match in sheet.headers.matches} | sheet.headers.unknown
    return [
        (int(place), named.get(int(place), f"column {int(place) + 1}"), str(text))
        for place, text in row.items()
        if int(place) in named or str(text)
    ]


def rejected(sheet: Checked) -> pd.DataFrame:
    """The rejected rows of a sheet: ``line reason``."""
    rows = sheet.rejected[sheet.rejected["kind"] == "rejected"]
    return rows[["line", "reason", "cells"]].reset_index(drop=True)


def can_be_mended(sheet: Checked) -> bool:
    """Whether its cells are those of the file: one made long of a wide sheet is mended in the file."""
    return sheet.grid.original is None
