"""draft: a file somebody has dropped in, as it is understood, before it comes into a store."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from riskscope.errors import RiskscopeError
from riskscope.intake.check import CheckedSheet
from riskscope.intake.files import FileContent
from riskscope.intake.grid import Edit, Grid
from riskscope.intake.layout import headers as find_headers
from riskscope.intake.options import Limits
from riskscope.intake.read import CheckedFile, GridReader, check_file, grids_apart
from riskscope.schema import TABLES
from riskscope.units import UNITS

__all__ = ["Draft", "DraftView", "Grid", "grids_apart", "look"]

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
class Draft(FileContent):
    """A file as it was dropped in, and what was said of it since."""

    def answered(self, key: str, value: Any) -> Draft:
        """With one way of reading stated."""
        return dataclasses.replace(self, read_options=dataclasses.replace(self.read_options, **{key: value}))

    def mapped(self, header: str, column: str | None) -> Draft:
        """With a header meaning a column; None lets it be understood by itself again."""
        mapping = {name: to for name, to in self.read_options.mapping.items() if name != header}
        if column is not None:
            mapping[header] = column
        return dataclasses.replace(self, read_options=dataclasses.replace(self.read_options, mapping=mapping))

    def corrected(self, edits: Sequence[Edit]) -> Draft:
        """With cells corrected by hand."""
        return dataclasses.replace(self, edits=(*self.edits, *edits))


@dataclass(frozen=True)
class Open:
    """Something a file leaves open: the key of the way that settles it, and what is asked."""

    key: str
    words: str


@dataclass(frozen=True)
class DraftView:
    """A draft as it is understood now."""

    draft: Draft
    checked: CheckedFile
    error: RiskscopeError | None = None

    @property
    def sheets(self) -> list[CheckedSheet]:
        return self.checked.sheets

    @property
    def open(self) -> list[Open]:
        """What must be answered before it can come in, each once."""
        questions: dict[str, Open] = {}
        for sheet in self.sheets:
            for question in sheet.questions:
                key = question.toml.split("=")[0].strip()
                where = f"Column “{question.column}”: " if question.column else ""
                questions.setdefault(key, Open(key, where + question.text))
        return list(questions.values())

    @property
    def is_ready(self) -> bool:
        return self.error is None and bool(self.sheets) and not self.open


def look(draft: Draft, on: dt.date, limits: Limits, reader: GridReader = grids_apart) -> DraftView:
    """A draft as it is understood; what is wrong with it stands in the answer."""
    try:
        return DraftView(draft, check_file(draft, on=on, limits=limits, reader=reader))
    except RiskscopeError as error:
        return DraftView(draft, CheckedFile(), error)


@dataclass(frozen=True)
class HeaderMeaning:
    """One header of a sheet: what it was taken for, and how that came about."""

    header: str
    column: str | None
    how: str


def headers(sheet: CheckedSheet) -> list[HeaderMeaning]:
    """Every header of a sheet in order, those not used last."""
    known = [HeaderMeaning(match.header, match.column.name, match.how) for match in sheet.headers.matches]
    return known + [HeaderMeaning(text, None, "kept with the row, not used") for text in sheet.headers.unknown.values()]


def headers_of_unread(file: Draft, limits: Limits, reader: GridReader = grids_apart) -> list[HeaderMeaning]:
    """The headers of a file that cannot be used as it stands, as far as its stated table knows them.

    Empty where no table is stated or the file cannot be opened.
    """
    if file.read_options.table is None:
        return []
    try:
        grid = reader(file.data, file.name, file.read_options, limits)[0]
        understood = find_headers.find(grid, TABLES[file.read_options.table], file.read_options)
    except (RiskscopeError, IndexError):
        return []
    if understood is None:
        first = [str(cell).strip() for cell in grid.cells.iloc[0]]
        return [HeaderMeaning(text, None, "not known") for text in first if text]
    known = {match.position: HeaderMeaning(match.header, match.column.name, match.how) for match in understood.matches}
    known |= {place: HeaderMeaning(text, None, "not known") for place, text in understood.unknown.items()}
    return [known[place] for place in sorted(known)]


def columns_of(table: str) -> list[str]:
    """The columns a header of a table may mean."""
    return [column.name for column in TABLES[table].columns]


def cells(sheet: CheckedSheet, line: int) -> list[tuple[int, str, str]]:
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


def rejected(sheet: CheckedSheet) -> pd.DataFrame:
    """The rejected rows of a sheet: ``line reason``."""
    rows = sheet.rejected[sheet.rejected["kind"] == "rejected"]
    return rows[["line", "reason", "cells"]].reset_index(drop=True)


def can_be_mended(sheet: CheckedSheet) -> bool:
    """Whether its cells are those of the file: one made long of a wide sheet is mended in the file."""
    return sheet.grid.original is None
