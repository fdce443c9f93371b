"""A grid of text cells and its headers become a checked table: accepted, rejected, set aside."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable, Container
from dataclasses import dataclass

import numpy as np
import pandas as pd
import pyarrow as pa
from numpy.typing import NDArray
from pyarrow import compute as pc

from riskscope.intake import hottest
from riskscope.intake.cells.parsed import clean, everywhere, given, is_filled, missing, quoted
from riskscope.intake.columns import decimal_sign, read_column, temperature_unit, units_of
from riskscope.intake.contradictions import at_several_places, left_out_of_some
from riskscope.intake.grid import Grid
from riskscope.intake.layout.headers import Headers, Match
from riskscope.intake.layout.non_records import (
    are_lines,
    line_of_units,
    other_heads,
    set_aside,
    with_stated,
    with_units,
)
from riskscope.intake.options import ReadOptions
from riskscope.intake.sheet import FIRST_DAY, MAX_CELL_CHARACTERS, Work
from riskscope.intake.strays import above_and_beside, below_another, by_their_header, in_one_cell
from riskscope.schema import Column, Table
from riskscope.schema.names import names_nothing
from riskscope.schema.notes import Note, Question
from riskscope.schema.tables import EXTRA, refused
from riskscope.units import edge

TEMPERATURE_DISAGREEMENT_K = 1.0
MAX_LOAD_PCT = 300.0


@dataclass
class CheckedSheet:
    """One sheet checked for one table. ``read == accepted + rejected + set aside``, by rows."""

    table: Table
    grid: Grid
    headers: Headers
    accepted: pd.DataFrame
    rejected: pd.DataFrame
    notes: list[Note]
    questions: list[Question]
    aside: int

    @property
    def file(self) -> str:
        return self.grid.file

    @property
    def sheet(self) -> str:
        return self.grid.sheet

    def original(self, line: int) -> list[str]:
        """The cells of a line as they stand in the file."""
        at = self.grid.cells.index[self.grid.line == line]
        return [cell for cell in self.grid.in_file.loc[at].iloc[0] if isinstance(cell, str)]

    @property
    def counts(self) -> dict[str, int]:
        return {
            "read": len(self.grid.cells),
            "accepted": len(self.accepted),
            "rejected": self.rejected["kind"].tolist().count("rejected"),
            "set_aside": self.aside,
            "warnings": sum(note.count for note in self.notes if note.kind == "warning"),
        }


def check(grid: Grid, headers: Headers, read_options: ReadOptions, on: dt.date) -> CheckedSheet:
    """Every record of a grid as exactly one of accepted, rejected or set aside.

    Parameters
    ----------
    grid : Grid
    headers : Headers
        From `riskscope.intake.layout.headers.find`; no required column lacking.
    read_options : ReadOptions
        What the user states of the file.
    on : date
        The day the check is made; a date after the next day is in the future.
    """
    table = headers.table
    cells = _cleaned(grid.cells)
    aside = set_aside(cells, headers)
    by_hand = np.isin(grid.line, list(grid.mended)) & (np.arange(len(cells)) > headers.row)
    aside[by_hand] = ""  # a row that somebody corrected is not made to vanish by it
    units = line_of_units(cells, headers)
    headers = with_units(headers, cells, units) if units >= 0 else headers
    heads = other_heads(cells, with_stated(headers, read_options.temperature_unit), aside)
    body = by_their_header(_body(cells, aside == ""), cells, heads, headers, grid)
    own = heads[body.index.to_numpy()] < 0
    work = Work(table, grid, headers, read_options, on, body, own, questions=list(headers.questions))
    above_and_beside(work, cells)
    below_another(work, heads)
    if units >= 0:
        work.note("assumed", f"units read from line {grid.line[units]}, below the header")
    lines = are_lines(body, (body != "").sum(axis=1).to_numpy() == 1)
    if grid.taken_as:
        work.note("assumed", f"read as {grid.taken_as}; letters beyond English may be wrong")
    if len(body):
        decimal = decimal_sign(work)
        file_unit = temperature_unit(work)
        for match in sorted(headers.matches, key=lambda match: match.column.kind == "time"):  # may say its day too
            read_column(work, match, decimal, file_unit)
        _stated_site(work)
        _required(work)
        _bounds(work)
        _long_cells(work)
        ROW_CHECKS.get(table.name, lambda work: None)(work)
        if table.unique:
            _unique(work)
        in_one_cell(work, lines)
    return _assemble(work, aside)


def _cleaned(cells: pd.DataFrame) -> pd.DataFrame:
    """The cells, each clean; the same frame where they are already."""
    typed = {name: cells[name] for name in cells}
    columns = {name: clean(text) for name, text in typed.items()}
    return cells if all(columns[name] is text for name, text in typed.items()) else pd.DataFrame(columns)


def _body(cells: pd.DataFrame, records: NDArray[np.bool_]) -> pd.DataFrame:
    """The rows that are records; not copied where they follow one another."""
    rows = np.flatnonzero(records)
    if len(rows) and rows[-1] - rows[0] + 1 == len(rows):
        return cells.iloc[rows[0] : rows[-1] + 1]
    return cells[records]


def _assemble(work: Work, aside: NDArray[np.object_]) -> CheckedSheet:
    table, grid, body = work.table, work.grid, work.body
    reasons = everywhere("", body.index)
    bad = np.zeros(len(body), dtype=bool)
    for mask, words in work.faults:
        joined = reasons[mask].str.cat(words[mask], sep="; ").str.removeprefix("; ")
        reasons[mask] = joined
        bad |= mask
    said = hottest.said(work, bad)
    if table.name in hottest.DAYS and bad.any():
        reasons = hottest.whose(hottest.may_be(reasons, work), work, said)
    if grid.original is not None and "phase" in work.frame:
        phase = work.frame["phase"].fillna("")
        reasons = reasons.where(phase == "", "phase " + phase + ": " + reasons)
    columns: dict[str, object] = {
        name: work.frame[name] if name in work.frame else _empty(column, body.index)
        for name, column in table.stored.items()
        if name in work.frame or column.required
    }
    columns |= {name: kept for name, kept in work.frame.items() if name.startswith(EXTRA)}
    columns |= {
        "source_file": everywhere(grid.file, body.index),
        "source_sheet": everywhere(grid.sheet, body.index),
        "source_line": grid.line[body.index.to_numpy()],
    }
    for position, header in work.headers.unknown.items():
        if is_filled(body[position]).any():
            name = _free_name(EXTRA + header.removeprefix(EXTRA), columns)
            columns[name] = given(body[position], is_filled(body[position]))
            work.note("unknown column", "is kept with the row, not used", repr(header))
    frame = pd.DataFrame(columns, index=body.index, copy=False)
    why = aside.copy()
    why[body.index[bad]] = reasons[bad]
    unused = np.flatnonzero((why != "") & (why != "blank"))
    kinds = np.where(aside[unused] == "", "rejected", "set aside")
    return CheckedSheet(
        table,
        grid,
        work.headers,
        (frame[~bad] if bad.any() else frame).reset_index(drop=True),
        _refused(grid, table, unused, kinds, why[unused], said),
        work.notes,
        work.questions,
        int((aside != "").sum()),
    )


def _free_name(name: str, frame: Container[str]) -> str:
    """`name`, or with a number behind it where two headers are the same."""
    number = 2
    free = name
    while free in frame:
        free, number = f"{name} ({number})", number + 1
    return free


def _refused(
    grid: Grid,
    table: Table,
    rows: NDArray[np.intp],
    kinds: NDArray[np.str_],
    reasons: NDArray[np.object_],
    said: pd.DataFrame,
) -> pd.DataFrame:
    """Rows not used, with their place, their original cells and what they say of whose they are."""
    if not len(rows):
        return refused()
    cells = grid.in_file.iloc[rows].to_numpy(dtype=object)
    columns = {
        "kind": kinds,
        "table": table.name,
        "file": grid.file,
        "sheet": grid.sheet,
        "line": grid.line[rows],
        "reason": reasons,
        "cells": [json.dumps(_trim([*row]), ensure_ascii=False) for row in cells],
    }
    return refused(columns | {name: values.array for name, values in said.reindex(rows).items()})


def _trim(row: list[str]) -> list[str]:
    while row and row[-1] == "":
        row = row[:-1]
    return row


def _empty(column: Column, index: pd.Index) -> pd.Series:
    kind = {"date": "datetime64[us]"}.get(column.kind, "float64" if column.is_number else "str")
    return pd.Series(None, index=index, dtype=kind)


def _long_cells(work: Work) -> None:
    for match in work.headers.matches:
        cells = pa.array(work.text(match))
        if cells.nbytes > MAX_CELL_CHARACTERS:  # else no single cell can be
            too_long = pc.greater(pc.utf8_length(cells), MAX_CELL_CHARACTERS).to_numpy(zero_copy_only=False)
            work.fault(too_long, f"{match.header} holds more than {MAX_CELL_CHARACTERS:,} characters")


def _required(work: Work) -> None:
    by_name = {match.column.name: match for match in work.headers.matches}
    for column in work.table.columns:
        if column.required and column.name in by_name:
            unread = work.frame[column.name].isna().to_numpy()
            if not unread.any():
                continue
            blank = unread & missing(work.text(by_name[column.name]))
            merged = " (a merged cell fills only its first row)" if work.grid.sheet else ""
            work.fault(blank, f"no {column.name}{merged}")


def _bounds(work: Work) -> None:
    """Values outside their bounds, and dates outside 1970 to tomorrow."""
    tomorrow = work.tomorrow
    for match in work.headers.matches:
        column, text = match.column, work.text(match)
        for name in column.fills:
            if name not in work.frame:
                continue
            values = work.frame[name]
            if column.kind == "date":
                early = (values < pd.Timestamp(FIRST_DAY)).to_numpy()
                late = (values > tomorrow).to_numpy() & (not column.planned)
                _bound_fault(work, match, text, early, "is before 1970")
                _bound_fault(work, match, text, late, f"is in the future (after {tomorrow.date()})")
            elif column.is_number:
                checked = edge(values.to_numpy(dtype=float))
                if column.low is not None:
                    low = checked <= column.low if column.open_low else checked < column.low
                    _bound_fault(work, match, text, low, _rule(column, "low"))
                if column.high is not None:
                    _bound_fault(work, match, text, checked > column.high, _rule(column, "high"))
                if column.kind == "integer":
                    broken = checked != np.round(checked)
                    _bound_fault(work, match, text, broken & ~np.isnan(checked), "must be a whole number")
            if column.kind == "range":
                break


def _bound_fault(work: Work, match: Match, text: pd.Series, mask: NDArray[np.bool_], rule: str) -> None:
    if mask.any():
        work.fault(mask, match.header + " " + text.map(quoted) + f" {rule}")


def _rule(column: Column, end: str) -> str:
    unit = f" {next(iter(units_of(column)))}" if column.quantity else ""
    if end == "low":
        if column.low == 0 and not column.open_low:
            return "must not be negative"
        return f"must be {'above' if column.open_low else 'at least'} {column.low:g}{unit}"
    return f"must be at most {column.high:g}{unit}"


def _survey_rows(work: Work) -> None:
    at_several_places(work)
    left_out_of_some(work, "the register")
    frame = work.frame
    given = np.zeros(len(work.body), dtype=bool)
    for name in ("connection_c", "rise_similar_k", "rise_ambient_k"):
        if name in frame:
            given |= frame[name].notna().to_numpy()
    broken = np.zeros(len(work.body), dtype=bool)
    for mask, _ in work.faults:
        broken |= mask
    work.fault(~given & ~broken, "no temperature of the connection and no rise")
    full = _first_given(work, ("max_load_a", "setting_a", "rated_a"))
    if full is not None and "load_a" in frame:
        share = (frame["load_a"] / full * 100.0).to_numpy()
        words = "load_a is " + pd.Series(share, index=work.body.index).round(0).astype("str") + " % of full load"
        work.fault(edge(share) > MAX_LOAD_PCT, words.str.replace(".0 %", " %", regex=False))
    for rise, other in (("rise_similar_k", "similar_c"), ("rise_ambient_k", "ambient_c")):
        if {rise, other, "connection_c"} <= frame.keys():
            apart = (frame["connection_c"] - frame[other] - frame[rise]).abs().to_numpy()
            differ = edge(apart) > TEMPERATURE_DISAGREEMENT_K
            if differ.any():
                work.note(
                    "warning",
                    f"{rise} differs by more than 1 K from the two temperatures; the temperatures are used",
                    mask=differ,
                )


def _first_given(work: Work, names: tuple[str, ...]) -> pd.Series | None:
    """For each row the first of some columns that is given."""
    first: pd.Series | None = None
    for name in names:
        if name in work.frame:
            first = work.frame[name] if first is None else first.where(first.notna(), work.frame[name])
    return first


def _tools_rows(work: Work) -> None:
    frame = work.frame
    if {"range_min_nm", "range_max_nm"} <= frame.keys():
        upside_down = (frame["range_min_nm"] > frame["range_max_nm"]).to_numpy()
        work.fault(upside_down, "range_min is above range_max")


def _connections_rows(work: Work) -> None:
    left_out_of_some(work, "the survey")
    _unsaid(work, "retired_on", ("retired_by",), "out of use, but nobody says so (retired_by): taken to be in use")


def _findings_rows(work: Work) -> None:
    words = "put off, but nobody says who or why (deferred_by, comment): taken as not put off"
    _unsaid(work, "deferred_until", ("deferred_by", "comment"), words)


def _unsaid(work: Work, what: str, by: tuple[str, ...], words: str) -> None:
    """A warning of rows that say this without all that it takes to count."""
    if what not in work.frame:
        return
    nothing = everywhere(None, work.body.index)
    said = [work.frame.get(name, nothing) for name in by]
    lacking = [text.isna().to_numpy() | names_nothing(text) for text in said]
    unsaid = work.frame[what].notna().to_numpy() & np.logical_or.reduce(lacking)
    if unsaid.any():
        work.note("warning", words, mask=unsaid)


ROW_CHECKS: dict[str, Callable[[Work], None]] = {
    "survey": _survey_rows,
    "tools": _tools_rows,
    "connections": _connections_rows,
    "findings": _findings_rows,
}


def _stated_site(work: Work) -> None:
    """The site the user states of the file, where its rows do not say theirs."""
    site = work.read_options.site
    if site is None or "site" not in work.table.by_name:
        return
    own = work.frame.get("site", pd.Series(np.nan, index=work.body.index, dtype="str"))
    work.frame["site"] = own.where(own.notna(), site)
    work.note("assumed", f"site {site}, as stated, where a row does not say its own")


def _unique(work: Work) -> None:
    """A second row with the same key is rejected: two truths about one thing are none."""
    keys = [key for key in work.table.row_key if key in work.frame]
    folded = pd.DataFrame(
        {
            key: work.frame[key].str.casefold() if work.table.by_name[key].kind == "id" else work.frame[key]
            for key in keys
        }
    )
    first = ~folded.duplicated(keep="first").to_numpy()
    again = ~first & folded[work.table.key[0]].notna().to_numpy()
    if not again.any():
        return
    lines = pd.Series(work.grid.line[work.body.index.to_numpy()], index=folded.index)
    firsts = folded.assign(line=lines).groupby(keys, dropna=False, sort=False)["line"].transform("first")
    words = "the same " + " and ".join(keys) + " is already on line " + firsts.astype(int).astype("str")
    work.fault(again, words.astype("str"))
