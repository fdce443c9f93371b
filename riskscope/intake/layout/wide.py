"""Wide survey sheets: one row per device with columns per phase become one row per connection.

Also ids for sheets without a column of them, built from where a connection is. Both are said.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import pandas as pd

from riskscope.errors import UnusableInput
from riskscope.intake.cells.parsed import clean, has_doubles
from riskscope.intake.grid import Grid
from riskscope.intake.layout import headers as find_headers
from riskscope.intake.layout.headers import HEADER_WITHIN_ROWS, Headers, fold
from riskscope.intake.layout.non_records import TOTAL_WORDS
from riskscope.intake.options import ReadOptions
from riskscope.schema import TABLES, Column
from riskscope.schema.common import ID_PARTS, PHASES
from riskscope.schema.notes import Note
from riskscope.units import find_unit

SURVEY = TABLES["survey"]
MEASURES = ("connection_c", "rise_similar_k", "rise_ambient_k", "similar_c", "load_pct", "load_a", "image")
READINGS = ("connection_c", "rise_similar_k", "rise_ambient_k")
MOST = 0.5  # more of the ids of a sheet than this are each several connections, or it is a slip
_BY_WORD = {
    fold(word): phase
    for phase, words in PHASES.items()
    for word in (phase, *words)
    if phase not in {"DC+", "DC-", "spare"} and len(fold(word)) > 0
}
_FIGURES = {"1", "2", "3"}  # a bare figure is no phase: "Temp 1" may be a first spot


@dataclass(frozen=True)
class PhaseColumn:
    """A column of a wide sheet: what is measured, of which phase, in what unit."""

    position: int
    header: str
    phase: str
    column: Column
    unit: str | None


@dataclass(frozen=True)
class Wide:
    """The header row of a wide sheet."""

    row: int
    columns: tuple[PhaseColumn, ...]

    @property
    def phases(self) -> list[str]:
        return list(dict.fromkeys(column.phase for column in self.columns))


def find(grid: Grid, read_options: ReadOptions) -> Wide | None:
    """The header row of a wide sheet: two and more phases with a temperature or rise of each."""
    best: Wide | None = None
    for row in range(min(HEADER_WITHIN_ROWS, len(grid.cells))):
        columns = []
        for position, header in enumerate(grid.cells.iloc[row].astype(str)):
            meant = phase_column(position, " ".join(header.split()), read_options)
            if meant:
                columns.append(meant)
        phases = {c.phase for c in columns if c.column.name in READINGS}
        if len(phases) >= 2 and (best is None or len(columns) > len(best.columns)):
            best = Wide(row, tuple(columns))
    return best


def phase_column(position: int, header: str, read_options: ReadOptions) -> PhaseColumn | None:
    """What a header such as ``L1 temp (°C)`` or ``Load B %`` measures, of which phase."""
    mapped = {" ".join(k.casefold().split()): v for k, v in read_options.mapping.items()}.get(header.casefold())
    if mapped is not None:
        name, _, phase = mapped.partition(":")
        if phase and name in MEASURES:
            unit = _unit_of(header, SURVEY.by_name[name])
            return PhaseColumn(position, header, phase.strip(), SURVEY.by_name[name], unit)
        return None
    bracket = re.search(r"[(\[]\s*([^()\[\]]*?)\s*[)\]]", header)
    unit_text = bracket[1] if bracket else None
    words = fold(re.sub(r"[(\[][^()\[\]]*[)\]]", " ", header)).split()
    for phase, rest in _splits(words):
        measure = _measure(rest, unit_text, read_options)
        if measure:
            return PhaseColumn(position, header, phase, *measure)
    return None


def _splits(words: list[str]) -> Iterable[tuple[str, list[str]]]:
    """Every way to take a phase out of a header."""
    for count in (2, 1):
        for begin in range(len(words) - count + 1):
            word = " ".join(words[begin : begin + count])
            if word in _BY_WORD and word not in _FIGURES:
                yield _BY_WORD[word], words[:begin] + words[begin + count :]


def _measure(words: list[str], unit_text: str | None, read_options: ReadOptions) -> tuple[Column, str | None] | None:
    if not words or (len(words) == 1 and unit_text is None and find_unit(words[0], "temperature")):
        text = unit_text or (words[0] if words else "")
        if not text or find_unit(text, "temperature"):
            return SURVEY.by_name["connection_c"], find_unit(text, "temperature") if text else None
        for name in ("load_pct", "load_a"):
            column = SURVEY.by_name[name]
            if column.quantity and find_unit(text, column.quantity):
                return column, find_unit(text, column.quantity)
        return None
    header = " ".join(words) + (f" ({unit_text})" if unit_text else "")
    meaning = find_headers.understand(header, SURVEY, read_options.delta_basis)
    return (meaning[0], meaning[1]) if meaning and meaning[0].name in MEASURES else None


def _unit_of(header: str, column: Column) -> str | None:
    bracket = re.search(r"[(\[]\s*([^()\[\]]*?)\s*[)\]]", header)
    text = bracket[1] if bracket else header.split()[-1]
    return find_unit(text, column.quantity) if column.quantity else None


def lengthen(grid: Grid, wide: Wide, read_options: ReadOptions) -> tuple[Grid, list[Note]]:
    """A wide sheet as a long one: a row for each phase that has any cell, every other row as it is."""
    taken = {column.position for column in wide.columns}
    common = [name for name in grid.cells.columns if name not in taken]
    names = list(dict.fromkeys(column.column.name for column in wide.columns))
    units = {name: _common_unit(grid, wide, name) for name in names}
    base, rows = grid.cells[common], np.arange(len(grid.cells))
    blank = pd.Series("", index=grid.cells.index, dtype="str")
    parts, used = [], np.zeros(len(rows), dtype=bool)
    again = np.logical_and.reduce(
        [(grid.cells[c.position].str.strip().str.lower() == c.header.lower()).to_numpy() for c in wide.columns]
    )
    for order, phase in enumerate(wide.phases):
        cells = dict.fromkeys(names, blank)
        for column in wide.columns:
            if column.phase == phase:
                cells[column.column.name] = grid.cells[column.position]
        filled = np.logical_or.reduce([(text.str.strip() != "").to_numpy() for text in cells.values()])
        filled &= (rows > wide.row) & ~again
        used |= filled
        part = base.assign(**{"phase": phase, **cells})[filled]
        parts.append(part.assign(row=rows[filled], order=order))
    rest = base.assign(phase="", **dict.fromkeys(names, ""))[~used].assign(row=rows[~used], order=0)
    header = wide.row
    rest.loc[(rest["row"] == header) | again[rest["row"].to_numpy()], ["phase", *names]] = [
        "phase",
        *(_header(n, units[n]) for n in names),
    ]
    long = pd.concat([*parts, rest]).sort_values(["row", "order"], kind="stable")
    at = long.pop("row").to_numpy()
    long = long.drop(columns="order").astype("str").reset_index(drop=True)
    long, id_note = _ids_by_phase(long, int(np.flatnonzero(at == header)[0]))
    long.columns = range(long.shape[1])
    original = grid.in_file.iloc[at].reset_index(drop=True)
    shown = ", ".join(repr(column.header) for column in wide.columns)
    note = f"wide sheet: {shown} read as {', '.join(names)} of phases {', '.join(wide.phases)}, a reading for each"
    notes = [Note("assumed", text, "survey", grid.file, grid.sheet) for text in (note, id_note) if text]
    return Grid(grid.file, grid.sheet, long, grid.line[at], grid.separator, original, grid.taken_as, grid.mended), notes


def _common_unit(grid: Grid, wide: Wide, name: str) -> str | None:
    units = {column.unit for column in wide.columns if column.column.name == name}
    if len(units) > 1:
        shown = ", ".join(str(unit) for unit in sorted(units, key=str))
        raise UnusableInput(
            f"the columns of {name} state different units ({shown}).",
            file=grid.file,
            sheet=grid.sheet or None,
            line=int(grid.line[wide.row]),
            hint="Give all phases one unit.",
        )
    return units.pop()


def _header(name: str, unit: str | None) -> str:
    """A header that `understand` reads as this column in this unit, or in none."""
    column = SURVEY.by_name[name]
    if column.quantity is None:
        return name
    words = column.synonyms[0]
    return f"{words} ({unit})" if unit else words


def _ids_by_phase(long: pd.DataFrame, header: int) -> tuple[pd.DataFrame, str]:
    """A device's id with its phase behind it, where a wide sheet has ids of devices."""
    for name in long.columns:
        meaning = find_headers.understand(str(long[name].iloc[header]), SURVEY)
        if meaning and meaning[0].name == "connection_id":
            ids, phase = long[name].str.strip(), long["phase"]
            made = ids + "/" + phase
            use = (ids != "") & (phase != "") & (np.arange(len(long)) > header)
            use &= ~ids.str.casefold().str.rstrip(":").isin(TOTAL_WORDS)
            long = long.copy()
            long[name] = made.where(use, long[name])
            return long, f"connection_id built as {long[name].iloc[header]}/phase"
    return long, ""


def with_built_ids(grid: Grid, headers: Headers) -> tuple[Grid, list[Note]] | None:
    """The grid with a column of ids built from where each connection is; None where that is not known.

    Raises
    ------
    UnusableInput
        If several rows of one day would get one id.
    """
    at = {match.column.name: match.position for match in headers.matches}
    parts = [name for name in ID_PARTS if name in at]
    if not {"circuit", "device"} & set(parts):
        return None
    cells = {name: clean(grid.cells[at[name]]) for name in parts}
    body = np.arange(len(grid.cells)) > headers.row
    known = np.logical_or.reduce([(cells[n] != "").to_numpy() for n in ("circuit", "device") if n in cells])
    built = pd.Series("", index=grid.cells.index, dtype="str")
    for name in parts:
        built = built.where(cells[name] == "", built + "/" + cells[name])
    built = built.str.removeprefix("/").where(body & known, "")
    day = grid.cells[at["survey_date"]] if "survey_date" in at else built
    twice = pd.DataFrame({"id": built, "day": day})[built.ne("")].duplicated(keep=False)
    pattern = "/".join(parts)
    if twice.any() and "phase" not in parts:
        rows = twice[twice].index[:3]
        lines = ", ".join(str(grid.line[row]) for row in rows)
        raise UnusableInput(
            f"there is no column of connection ids, and built as {pattern} they are not distinct: lines "
            f"{lines} would all be {built[rows[0]]!r}.",
            file=grid.file,
            sheet=grid.sheet or None,
            hint="Add a column connection_id or phase.",
        )
    blank = np.logical_or.reduce([(cells[n] == "").to_numpy() for n in parts]) & (built != "").to_numpy()
    warnings = []
    if blank.any():
        blank_lines = tuple(int(n) for n in grid.line[blank][:100])
        text = f"ids built without a part of {pattern} that is blank (a merged cell fills only its first row)"
        warnings = [Note("warning", text, "survey", grid.file, grid.sheet, "", blank_lines, int(blank.sum()))]
    title = {name: str(cells[name].iloc[headers.row]) for name in parts}
    again = np.logical_and.reduce([(cells[name] == title[name]).to_numpy() for name in parts])
    built[again] = "connection_id"  # the header row, and where it is repeated
    made = grid.cells.assign(**{"built": built})
    made.columns = range(made.shape[1])
    note = Note("assumed", f"no column of connection ids: built as {pattern}", "survey", grid.file, grid.sheet)
    original = grid.in_file
    return Grid(grid.file, grid.sheet, made, grid.line, grid.separator, original, grid.taken_as, grid.mended), [
        note,
        *warnings,
    ]


def with_distinct_ids(grid: Grid, headers: Headers) -> tuple[Grid, list[Note]] | None:
    """The grid with board or phase joined to each id, where most ids stand for several of a day.

    None where every id stands for one connection, or only some for several: then a cell of those is wrong.
    """
    at = {match.column.name: match.position for match in headers.matches}
    if not {"connection_id", "survey_date"} <= set(at):
        return None
    if not has_doubles(grid.cells[at["connection_id"]]):
        return None
    ids, day = (clean(grid.cells[at[name]]) for name in ("connection_id", "survey_date"))
    body = (np.arange(len(grid.cells)) > headers.row) & (ids != "").to_numpy()
    made, pattern = ids, str(grid.cells.iloc[headers.row, at["connection_id"]])
    title = pattern
    for name in ("equipment", "phase"):
        if name not in at:
            continue
        part = clean(grid.cells[at[name]])
        use = body & (part != "").to_numpy()
        rows = pd.DataFrame({"id": made.str.lower(), "day": day, "part": part.str.lower()})[use].drop_duplicates()
        each = rows.groupby(["id", "day"], sort=False).size()
        if (each > 1).mean() > MOST:
            before = name == "equipment"
            made = made.where(~use, part + "/" + made if before else made + "/" + part)
            pattern = f"{name}/{pattern}" if before else f"{pattern}/{name}"
    if pattern == title:
        return None
    cells = grid.cells.copy()
    cells[at["connection_id"]] = made.where(body, cells[at["connection_id"]])
    text = f"one {title!r} stands for several connections: connection_id built as {pattern}"
    original = grid.in_file
    long = Grid(grid.file, grid.sheet, cells, grid.line, grid.separator, original, grid.taken_as, grid.mended)
    return long, [Note("assumed", text, "survey", grid.file, grid.sheet)]
