"""What stands on a sheet beside its table: rows above it, cells beside it, other columns below it, lines in a cell."""

from __future__ import annotations

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from riskscope.intake.layout.headers import Headers, understand
from riskscope.intake.sheet import Work
from riskscope.schema.notes import AGAIN, HOTTEST, Note
from riskscope.schema.tables import EXTRA

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
    headed = {m.position for m in work.headers.matches} | set(work.headers.unknown)
    bare = [name for name in work.body if name not in headed and (work.body[name] != "").any()]
    last = max(headed)
    for name in bare:
        has = (work.body[name] != "").to_numpy()
        if work.grid.separator and name > last:
            work.fault(has, "has more cells than the header: a separator inside a cell, or a decimal comma?")
        else:
            work.frame[f"{EXTRA}column {name + 1}"] = work.body[name].where(has)
            work.note("warning", f"column {name + 1} has no header: its cells are kept with their rows", "", has)


def by_their_header(
    body: pd.DataFrame, cells: pd.DataFrame, heads: NDArray[np.int64], headers: Headers
) -> pd.DataFrame:
    """The rows, those below a header of other columns with their cells where the header of the sheet says them.

    They are not read, as its columns and units are others, but say whose they are. Where any word of their header is
    not understood, or a cell stands below none, they are left as they are.
    """
    own = heads[body.index.to_numpy()]
    if not (own >= 0).any():
        return body
    rows = np.unique(own[own >= 0])
    kind = dict(zip(rows, cells.iloc[rows].groupby([*cells], sort=False).ngroup(), strict=True))
    of_kind = pd.Series(own).map(kind).fillna(-1).to_numpy()
    body = body.copy()
    for head in pd.Series(kind).drop_duplicates().index:
        its = body.index[of_kind == kind[head]]
        said = [name for name in cells if cells.loc[head, name] != ""]
        meant = {name: understand(str(cells.loc[head, name]), headers.table) for name in said}
        at = {column[0].name: name for name, column in meant.items() if column}
        below_none = [name for name in cells if name not in said and (cells.loc[its, name] != "").any()]
        if below_none or len(at) < len(said) or headers.table.required[0] not in at:
            continue
        for match in headers.matches:
            body.loc[its, match.position] = cells.loc[its, at[match.column.name]] if match.column.name in at else ""
        for position in headers.unknown:
            body.loc[its, position] = ""
    return body


def below_another(work: Work, heads: NDArray[np.int64]) -> None:
    """Rejects the rows below a header that says other columns than that of the sheet (``heads``: its row, or −1)."""
    heads = heads[work.body.index.to_numpy()]
    line = pd.Series(work.grid.line[heads], work.body.index).astype("str")
    words = "below the header in line " + line + ", whose columns or units are others: give that part its own sheet"
    work.fault(heads >= 0, words)


def in_one_cell(work: Work, lines: NDArray[np.bool_]) -> None:
    """Rejects rows that stand in one cell; what stands first there is the id, where that is the first column."""
    may_be = f"; it {HOTTEST}: {AGAIN}" if work.table.name == "survey" else ""
    work.fault(lines, "the whole line stands in one cell: another sign parts it than the other lines" + may_be)
    name = work.table.required[0]
    if lines.any() and work.headers.matches[0].column.name == name:
        work.frame[name] = work.frame[name].mask(lines, work.frame[name].str.split("[,;\t|]", regex=True).str[0])
