"""What stands on a sheet beside its table: rows above it, cells beside it, other columns below it, lines in a cell."""

from __future__ import annotations

import re

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from riskscope.intake.cells.parsed import is_filled, quoted
from riskscope.intake.grid import Grid
from riskscope.intake.layout.headers import Headers, understand
from riskscope.intake.layout.non_records import OFF_SCALE
from riskscope.intake.sheet import Work
from riskscope.schema import Column
from riskscope.schema.common import SAID
from riskscope.schema.notes import AGAIN, HOTTEST, Note
from riskscope.schema.tables import EXTRA

A_VALUE = r"[<>≤≥~≈+±]?\s*[-−]?[\d.,]*\d[\d.,]*\s*\S{0,7}"  # a number, with a unit or a sign behind it
FIGURES = r"-?[\d.,]+|[<>]?\d+[-/.]\d+[-/.]\d+.*|o\.?l\.?"  # numbers, days, readings off the scale


def above_and_beside(work: Work, cells: pd.DataFrame) -> None:
    """Rows above the header that look like data, and cells to the right of the last header."""
    above = cells.iloc[: work.headers.row]
    filled = (above != "").sum(axis=1).to_numpy() if len(above) else np.zeros(0)
    figures = above.apply(lambda cells_: cells_.str.casefold().str.fullmatch(FIGURES))
    numbers = figures.sum(axis=1).to_numpy() if len(above) else filled
    data = np.flatnonzero((filled >= 3) & (numbers >= 2))
    if len(data):
        lines = tuple(int(n) for n in work.grid.line[data])
        text = "above the header and set aside, but they look like data: is there a header missing?"
        grid = work.grid
        work.notes.append(Note("warning", text, work.table.name, grid.file, grid.sheet, "", lines, len(lines)))
    said = {position for position, header in work.headers.unknown.items() if any(sign.isalpha() for sign in header)}
    headed = {m.position for m in work.headers.matches} | said
    bare = [name for name in work.body if name not in headed and (work.body[name] != "").any()]
    last = max(headed | set(work.headers.unknown))
    for name in bare:
        has = (work.body[name] != "").to_numpy()
        if work.grid.separator and name > last:
            work.fault(has, "has more cells than the header: a separator inside a cell, or a decimal comma?")
            continue
        work.frame[f"{EXTRA}column {name + 1}"] = work.body[name].where(has)
        values = _are_of_beside(work, name, bare)
        if values.any():
            said = "no header above " + work.body[name].map(quoted) + ", beside other values: name that column"
            work.fault(values, said)
        if (has & ~values).any():
            words = f"column {name + 1} has no header: its cells are kept with their rows"
            work.note("warning", words, "", has & ~values)


def _are_of_beside(work: Work, name: int, bare: list[int]) -> NDArray[np.bool_]:
    """Cells of a column without a header that may be further values of one beside it, as under a heading over several;
    of a sheet that was made long any figures."""
    by_position = {match.position: match.column for match in work.headers.matches}
    inside = name < max(by_position)
    beside = [_next(name, step, bare, by_position, work.body, inside) for step in (-1, 1)]
    columns = [column for column in beside if column is not None]
    text = work.body[name]
    made = np.zeros(len(text), dtype=bool)
    if _numbers_the_rows(text) or (name < min(by_position) and text.str.fullmatch(r"\d*\.?").all()):
        return made
    if work.grid.original is not None or any(column.is_number for column in columns):
        made |= text.str.fullmatch(f"{A_VALUE}|{OFF_SCALE}").to_numpy(dtype=bool)
    for column in columns:
        words = [re.escape(word) for own, others in (column.choices or {}).items() for word in (own, *others)]
        if words and not column.lenient:
            made |= text.str.contains(rf"(?i)\b(?:{'|'.join(words)})\b", regex=True).to_numpy(dtype=bool)
    return made


def _numbers_the_rows(text: pd.Series) -> bool:
    """Whether a column counts the rows from 1 on, each or each of several: 1, 2, 3. Readings may rise by 1, too."""
    numbers = pd.to_numeric(text[text != ""].str.rstrip("."), errors="coerce")
    return len(numbers) > 1 and bool(numbers.iloc[0] == 1 and numbers.diff().iloc[1:].isin([0, 1]).all())


def _next(
    name: int, step: int, bare: list[int], headed: dict[int, Column], body: pd.DataFrame, inside: bool
) -> Column | None:
    """The next column with a header on one side; an empty one ends the search to the right of the last header."""
    at = name + step
    while at in body and at not in headed and (at in bare or (inside and not is_filled(body[at]).any())):
        at += step
    return headed.get(at)


def by_their_header(
    body: pd.DataFrame, cells: pd.DataFrame, heads: NDArray[np.int64], headers: Headers, grid: Grid
) -> pd.DataFrame:
    """The rows, those below a header of other columns with what says whose they are where that of the sheet says it.

    They are not read, as its columns and units are others. Where their header says neither the id, nor of an id that is
    put together the board and the circuit or device, they are left as they are; so are those of a wide sheet.
    """
    own = heads[body.index.to_numpy()]
    if not (own >= 0).any() or len(np.unique(grid.line)) < len(grid.line):
        return body
    rows = np.unique(own[own >= 0])
    kind = dict(zip(rows, cells.iloc[rows].groupby([*cells], sort=False).ngroup(), strict=True))
    of_kind = pd.Series(own).map(kind).fillna(-1).to_numpy()
    body, position = body.copy(), {match.column.name: match.position for match in headers.matches}
    id_name, dates = headers.table.required[0], [name for name in headers.table.required if name.endswith("_date")]
    for head in pd.Series(kind).drop_duplicates().index:
        its = body.index[of_kind == kind[head]]
        meant = {name: understand(str(cells.loc[head, name]), headers.table) for name in cells}
        at = {column[0].name: name for name, column in reversed(meant.items()) if column}
        placed = "equipment" in at and bool({"circuit", "device"} & at.keys())
        if id_name in at if grid.original is None else placed:
            for name in {*SAID, id_name, *dates} & position.keys():
                body.loc[its, position[name]] = cells.loc[its, at[name]] if name in at else ""
    return body


def below_another(work: Work, heads: NDArray[np.int64]) -> None:
    """Rejects the rows below a line that says other columns or units than the header of the sheet (``heads``: its row,
    or −1)."""
    heads = heads[work.body.index.to_numpy()]
    line = pd.Series(work.grid.line[heads], work.body.index).astype("str")
    words = "below line " + line + ", which says other columns or units than the header: give that part its own sheet"
    work.fault(heads >= 0, words + (f"; it {HOTTEST}: {AGAIN}" if work.table.name == "survey" else ""))


def in_one_cell(work: Work, lines: NDArray[np.bool_]) -> None:
    """Rejects rows that stand in one cell; what stands first there is the id, where that is the first column."""
    may_be = f"; it {HOTTEST}: {AGAIN}" if work.table.name == "survey" else ""
    work.fault(lines, "the whole line stands in one cell: another sign parts it than the other lines" + may_be)
    name = work.table.required[0]
    if lines.any() and work.headers.matches[0].column.name == name:
        work.frame[name] = work.frame[name].mask(lines, work.frame[name].str.split("[,;\t|]", regex=True).str[0])
