"""A grid of text cells and its headers become a checked table: accepted, rejected, set aside."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from riskscope.intake import cells as read_cells
from riskscope.intake.aside import set_aside
from riskscope.intake.cells import Parsed
from riskscope.intake.grid import Grid
from riskscope.intake.headers import Headers, Match
from riskscope.intake.settings import Ways
from riskscope.schema import Column, Table
from riskscope.units import edge, to_inside

SOURCE = ("source_file", "source_sheet", "source_line")
EXTRA = "extra: "
FIRST_DAY = dt.date(1970, 1, 1)
TEMPERATURE_DISAGREEMENT_K = 1.0
REJECTED_COLUMNS = ("kind", "table", "file", "sheet", "line", "reason", "cells")


@dataclass(frozen=True)
class Note:
    """Something said about a file: an assumption, a warning, an unknown column, a merge of ids.

    `rows` are the lines it speaks of, up to the first hundred; empty where it is all of them.
    """

    kind: str
    text: str
    table: str = ""
    file: str = ""
    sheet: str = ""
    column: str = ""
    rows: tuple[int, ...] = ()
    count: int = 0

    def __str__(self) -> str:
        place = ", ".join(
            part for part in (self.file, self.sheet and f"sheet {self.sheet}",
                              self.column and f"column {self.column}") if part
        )  # fmt: skip
        more = ""
        if self.rows:
            shown = ", ".join(str(row) for row in self.rows[:5])
            more = f" ({'line' if self.count == 1 else 'lines'} {shown}" + (
                f" and {self.count - 5} more)" if self.count > 5 else ")"
            )
        return f"{place}: {self.text}{more}" if place else f"{self.text}{more}"


@dataclass
class Checked:
    """One sheet checked for one table. ``read == accepted + rejected + set aside``, by rows."""

    table: Table
    grid: Grid
    headers: Headers
    accepted: pd.DataFrame
    rejected: pd.DataFrame
    notes: list[Note]
    questions: list[str]

    @property
    def counts(self) -> dict[str, int]:
        kinds = self.rejected["kind"]
        return {
            "read": len(self.grid.cells),
            "accepted": len(self.accepted),
            "rejected": int((kinds == "rejected").sum()),
            "set_aside": len(self.grid.cells) - len(self.accepted) - int((kinds == "rejected").sum()),
            "warnings": sum(note.count for note in self.notes if note.kind == "warning"),
        }  # fmt: skip


@dataclass
class _Work:
    """What the checks of one sheet share while it is read."""

    table: Table
    grid: Grid
    headers: Headers
    ways: Ways
    on: dt.date
    body: pd.DataFrame
    frame: dict[str, pd.Series] = field(default_factory=dict)
    faults: list[tuple[NDArray[np.bool_], pd.Series]] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)
    questions: list[str] = field(default_factory=list)

    def text(self, match: Match) -> pd.Series:
        return self.body[match.position]

    def fault(self, mask: NDArray[np.bool_], words: pd.Series | str) -> None:
        if mask.any():
            if isinstance(words, str):
                words = pd.Series(words, index=self.body.index, dtype="str")
            self.faults.append((mask, words))

    def note(self, kind: str, text: str, column: str = "", mask: NDArray | None = None) -> None:
        rows: tuple[int, ...] = ()
        count = 1
        if mask is not None:
            lines = self.grid.line[self.body.index.to_numpy()[mask]]
            rows, count = tuple(int(n) for n in lines[:100]), int(mask.sum())
        self.notes.append(
            Note(kind, text, self.table.name, self.grid.file, self.grid.sheet, column, rows, count)
        )

    def ask(self, column: str, text: str) -> None:
        self.questions.append(f"column {column!r}: {text}")


def check(grid: Grid, headers: Headers, ways: Ways, on: dt.date) -> Checked:
    """Every record of a grid as exactly one of accepted, rejected or set aside.

    Parameters
    ----------
    grid : Grid
    headers : Headers
        From `riskscope.intake.headers.find`; no required column lacking.
    ways : Ways
        What the user states of the file.
    on : date
        The day the check is made; a date after the next day is in the future.
    """
    table = headers.table
    aside = set_aside(grid, headers)
    keep = aside == ""
    body = grid.cells[keep]
    body = body.apply(read_cells.clean) if len(body) else body
    work = _Work(table, grid, headers, ways, on, body, questions=list(headers.questions))
    if len(body):
        decimal = _decimal(work)
        temperature_unit = _temperature_unit(work)
        for match in headers.matches:
            _column(work, match, decimal, temperature_unit)
        _required(work)
        _bounds(work)
        ROW_CHECKS.get(table.name, lambda work: None)(work)
        if table.name in UNIQUE:
            _unique(work)
    return _assemble(work, aside)


def _assemble(work: _Work, aside: NDArray[np.object_]) -> Checked:
    table, grid, body = work.table, work.grid, work.body
    reasons = pd.Series("", index=body.index, dtype="str")
    bad = np.zeros(len(body), dtype=bool)
    for mask, words in work.faults:
        joined = reasons[mask].str.cat(words[mask], sep="; ").str.removeprefix("; ")
        reasons[mask] = joined
        bad |= mask
    frame = pd.DataFrame({
        name: work.frame[name] if name in work.frame else _empty(column, body.index)
        for name, column in table.stored.items()
        if name in work.frame or column.required
    }, index=body.index)  # fmt: skip
    frame = frame.assign(
        source_file=pd.Series(grid.file, index=body.index, dtype="str"),
        source_sheet=pd.Series(grid.sheet, index=body.index, dtype="str"),
        source_line=grid.line[body.index.to_numpy()],
    )
    for position, header in work.headers.unknown.items():
        kept = body[position]
        if (kept != "").any():
            frame[f"{EXTRA}{header}"] = kept.where(kept != "")
            work.note("unknown column", f"column {header!r} is kept with the row, not used")
    rejected = _refused(grid, table, body.index[bad], "rejected", reasons[bad])
    named = np.flatnonzero((aside != "") & (aside != "blank"))
    set_aside = _refused(grid, table, grid.cells.index[named], "set aside",
                         pd.Series(aside[named], dtype="str"))  # fmt: skip
    refused = pd.concat([rejected, set_aside]).sort_values("line", kind="stable")
    return Checked(table, grid, work.headers, frame[~bad].reset_index(drop=True),
                   refused.reset_index(drop=True), work.notes, work.questions)  # fmt: skip


def _refused(
    grid: Grid, table: Table, rows: pd.Index, kind: str, reasons: pd.Series
) -> pd.DataFrame:
    """Rows not used, with their place and their original cells."""
    cells = grid.cells.loc[rows].to_numpy().tolist()
    return pd.DataFrame(
        {
            "kind": kind, "table": table.name, "file": grid.file, "sheet": grid.sheet,
            "line": grid.line[rows.to_numpy()], "reason": reasons.to_numpy(),
            "cells": [json.dumps(_trim(row), ensure_ascii=False) for row in cells],
        },
        columns=list(REJECTED_COLUMNS),
    ).astype({name: "str" for name in REJECTED_COLUMNS if name != "line"} | {"line": "int64"})  # fmt: skip


def _trim(row: list[str]) -> list[str]:
    while row and row[-1] == "":
        row = row[:-1]
    return row


def _empty(column: Column, index: pd.Index) -> pd.Series:
    kind = {"date": "datetime64[us]"}.get(column.kind, "float64" if column.is_number else "str")
    return pd.Series(None, index=index, dtype=kind)


def _decimal(work: _Work) -> str:
    """Decimal sign of the file: as stated, as its number cells show, or a question."""
    if work.ways.decimal:
        return work.ways.decimal
    columns = [work.text(m) for m in work.headers.matches if m.column.kind in {"number", "integer", "range"}]  # fmt: skip
    seen = read_cells.decimal_evidence(columns)
    if "comma" in seen and "point" in seen:
        work.questions.append(
            "numbers are written both with a decimal point and with a decimal comma: give "
            "--decimal point or --decimal comma (decimal in riskscope.toml)."
        )
    elif seen == {"unclear"}:
        work.questions.append(
            "numbers like 1,234 can be read two ways: give --decimal point or --decimal comma "
            "(decimal in riskscope.toml)."
        )
    if "comma" in seen:
        work.note("assumed", "numbers read with a decimal comma")
        return "comma"
    return "point"


def _temperature_unit(work: _Work) -> str | None:
    """Unit of temperatures and rises whose header and cells state none."""
    if work.ways.temperature_unit:
        return work.ways.temperature_unit
    stated = {
        match.unit for match in work.headers.matches
        if match.column.quantity == "temperature" and match.unit
    }  # fmt: skip
    return stated.pop() if len(stated) == 1 else None


def _column(work: _Work, match: Match, decimal: str, temperature_unit: str | None) -> None:
    """One column of text as values, faults, notes and questions."""
    column, text = match.column, work.text(match)
    parsed: Parsed
    if column.kind in {"id", "text", "file"}:
        work.frame[column.name] = _texts(column, text)
        return
    if column.kind in {"choice", "flag"}:
        parsed = read_cells.choices(column, text)
    elif column.kind == "date":
        parsed = read_cells.dates(column, text, work.ways.day_first)
        if parsed.minutes is not None:
            _time_from_dates(work, parsed.minutes)
    elif column.kind == "time":
        parsed = read_cells.times(column, text)
        if column.name in work.frame:
            own = parsed.values[column.name]
            parsed.values[column.name] = own.where(own.notna(), work.frame[column.name])
    elif column.quantity == "torque":
        parsed = _torque(work, match, decimal)
    elif column.quantity in {"temperature", "difference"}:
        parsed = _degrees(work, match, decimal, temperature_unit)
    elif column.name == "load_pct":
        parsed = _load(work, match, decimal)
    else:
        unit = match.unit or (next(iter(_units(column))) if column.quantity else None)
        parsed, _ = read_cells.numbers(column, text, unit, decimal)
    work.frame.update(parsed.values)
    for mask, words in parsed.faults:
        work.fault(mask, match.header + " " + text.map(_quote) + " " + words)
    for note in parsed.notes:
        work.note("assumed", note, match.header)
    if parsed.question:
        work.ask(match.header, f"{parsed.question} Give --day-first or --month-first (day_first in "
                               "riskscope.toml).")  # fmt: skip


def _units(column: Column) -> list[str]:
    from riskscope.units import UNITS

    return list(UNITS[column.quantity]) if column.quantity else []


def _quote(cell: str) -> str:
    return f"“{cell if len(cell) <= 60 else cell[:57] + '…'}”"


def _texts(column: Column, text: pd.Series) -> pd.Series:
    if column.kind == "id":
        if text.str.contains(r"\s\s|[\t\n\r]", regex=True).any():
            text = text.str.replace(r"\s+", " ", regex=True)
        return text.where(~read_cells.missing(text))
    return text.where(text != "")


def _time_from_dates(work: _Work, minutes: pd.Series) -> None:
    name = next((c.name for c in work.table.columns if c.kind == "time"), None)
    if name is not None:
        given = work.frame.get(name)
        work.frame[name] = minutes if given is None else given.where(given.notna(), minutes)
        work.note("assumed", f"{name} taken from the time written with the date")


def _degrees(work: _Work, match: Match, decimal: str, file_unit: str | None) -> Parsed:
    """A temperature or a rise: unit of the cell, else the header, else the file, else a question."""
    column, text = match.column, work.text(match)
    unit = match.unit
    if unit is None and file_unit is not None:
        unit = "K" if column.quantity == "difference" and file_unit != "°F" else file_unit
        if work.ways.temperature_unit is None:
            work.note(
                "assumed", f"no unit in the header: read in the file's {file_unit}", match.header
            )
    parsed, own_unit = read_cells.numbers(column, text, unit, decimal)
    if unit is None:
        values = parsed.values[column.name]
        open_ = values.notna().to_numpy() & ~own_unit
        if open_.any():
            work.ask(match.header, "no temperature unit in header or cells: give --temperature-unit "
                                   "C, F or K (temperature_unit in riskscope.toml).")  # fmt: skip
    return parsed


def _torque(work: _Work, match: Match, decimal: str) -> Parsed:
    """A torque, or a range of torques: unit of the cell, the header, the row, else the file."""
    column, text = match.column, work.text(match)
    unit_match = next(
        (m for m in work.headers.matches if m.column.name == column.unit_column), None
    )
    row_unit = pd.Series(match.unit or work.ways.torque_unit, index=text.index, dtype=object)
    parsed, unstated = Parsed(), np.zeros(len(text), dtype=bool)
    if unit_match is not None:
        own = read_cells.choices(unit_match.column, work.text(unit_match)).values["torque_unit"]
        contrary = (own.notna() & (own != match.unit)).to_numpy() & (match.unit is not None)
        parsed.fault(
            contrary, _words(f"is in {match.unit} by its header and in " + own, text.index)
        )
        row_unit = own.where(own.notna(), row_unit)
    cells = read_cells.split_range(text) if column.kind == "range" else (text,)
    for name, part in zip(column.fills, cells, strict=True):
        one, own_unit = read_cells.numbers(column, part, None, decimal)
        values = one.values[column.name].to_numpy(copy=True)
        for unit in row_unit.dropna().unique():
            rows = (row_unit == unit).to_numpy() & ~own_unit
            values[rows] = to_inside(values[rows], "torque", unit)
        parsed.values[name] = pd.Series(values, index=text.index)
        if name == column.fills[0]:
            parsed.faults += one.faults
        unstated |= ~np.isnan(values) & ~own_unit & row_unit.isna().to_numpy()
    if unstated.any() and unit_match is None:
        work.ask(match.header, "no torque unit in header, cells or a torque_unit column: give "
                               "--torque-unit, such as N·m or lbf·in (torque_unit in "
                               "riskscope.toml).")  # fmt: skip
    elif unstated.any():
        parsed.fault(unstated, _words("has no torque unit", text.index))
    if column.kind == "range":
        low, high = (parsed.values[name].to_numpy() for name in column.fills)
        upside_down = low > high
        parsed.fault(upside_down, _words("ends below where it begins", text.index))
    return parsed


def _words(words: str | pd.Series, index: pd.Index) -> pd.Series:
    return words if isinstance(words, pd.Series) else pd.Series(words, index=index, dtype="str")


def _load(work: _Work, match: Match, decimal: str) -> Parsed:
    """Load in percent; a column of fractions is known by its values, a mix is a question."""
    column, text = match.column, work.text(match)
    parsed, own_unit = read_cells.numbers(column, text, None, decimal)
    values = parsed.values[column.name]
    plain = values[~own_unit].dropna()
    way = work.ways.load
    if way is None and len(plain):
        largest, smallest = plain.max(), plain[plain > 0].min()
        if largest <= 1.5:
            way = "fraction"
            if largest > 0:
                work.note("assumed", "read as fractions of full load: no value is above 1.5",
                          match.header)  # fmt: skip
        elif smallest > 3:
            way = "percent"
        else:
            work.ask(match.header, "percent or fractions of full load? Its values allow both: give "
                                   "--load percent or --load fraction (load in riskscope.toml).")  # fmt: skip
    if way == "fraction":
        parsed.values[column.name] = values.where(own_unit, values * 100.0)
    return parsed


def _required(work: _Work) -> None:
    by_name = {match.column.name: match for match in work.headers.matches}
    unread = np.zeros(len(work.body), dtype=bool)
    for column in work.table.columns:
        if column.required and column.name in by_name:
            unread = work.frame[column.name].isna().to_numpy()
            blank = unread & read_cells.missing(work.text(by_name[column.name]))
            work.fault(blank, f"no {column.name}")


def _bounds(work: _Work) -> None:
    """Values outside their bounds, and dates outside 1970 to tomorrow."""
    tomorrow = pd.Timestamp(work.on) + pd.Timedelta(days=1)
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
                    _bound_fault(work, match, text, broken & ~np.isnan(checked),
                                 "must be a whole number")  # fmt: skip
            if column.kind == "range":
                break


def _bound_fault(
    work: _Work, match: Match, text: pd.Series, mask: NDArray[np.bool_], rule: str
) -> None:
    if mask.any():
        work.fault(mask, match.header + " " + text.map(_quote) + f" {rule}")


def _rule(column: Column, end: str) -> str:
    unit = f" {next(iter(_units(column)))}" if column.quantity else ""
    if end == "low":
        if column.low == 0 and not column.open_low:
            return "must not be negative"
        return f"must be {'above' if column.open_low else 'at least'} {column.low:g}{unit}"
    return f"must be at most {column.high:g}{unit}"


def _survey_rows(work: _Work) -> None:
    frame = work.frame
    given = np.zeros(len(work.body), dtype=bool)
    for name in ("connection_c", "rise_similar_k", "rise_ambient_k"):
        if name in frame:
            given |= frame[name].notna().to_numpy()
    broken = np.zeros(len(work.body), dtype=bool)
    for mask, _ in work.faults:
        broken |= mask
    work.fault(~given & ~broken, "no temperature of the connection and no rise")
    for rise, other in (("rise_similar_k", "similar_c"), ("rise_ambient_k", "ambient_c")):
        if {rise, other, "connection_c"} <= frame.keys():
            apart = (frame["connection_c"] - frame[other] - frame[rise]).abs().to_numpy()
            differ = edge(apart) > TEMPERATURE_DISAGREEMENT_K
            if differ.any():
                work.note("warning", f"{rise} differs by more than 1 K from the two temperatures; "
                                     "the temperatures are used", mask=differ)  # fmt: skip


def _tools_rows(work: _Work) -> None:
    frame = work.frame
    if {"range_min_nm", "range_max_nm"} <= frame.keys():
        upside_down = (frame["range_min_nm"] > frame["range_max_nm"]).to_numpy()
        work.fault(upside_down, "range_min is above range_max")


UNIQUE = ("connections", "equipment", "surveys", "tools", "outages", "inspections")
ROW_CHECKS: dict[str, Callable[[_Work], None]] = {"survey": _survey_rows, "tools": _tools_rows}


def _unique(work: _Work) -> None:
    """A second row with the same key is rejected: two truths about one thing are none."""
    keys = [key for key in work.table.key if key in work.frame]
    folded = pd.DataFrame({
        key: work.frame[key].str.casefold() if work.table.by_name[key].kind == "id"
        else work.frame[key]
        for key in keys
    })  # fmt: skip
    first = ~folded.duplicated(keep="first").to_numpy()
    again = ~first & folded[keys[0]].notna().to_numpy()
    if not again.any():
        return
    lines = pd.Series(work.grid.line[work.body.index.to_numpy()], index=folded.index)
    firsts = (
        folded.assign(line=lines).groupby(keys, dropna=False, sort=False)["line"].transform("first")
    )
    words = (
        "the same " + " and ".join(keys) + " is already on line " + firsts.astype(int).astype("str")
    )
    work.fault(again, words.astype("str"))
