"""A sheet of text cells, as the readers hand it on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from riskscope.errors import WrongUsage


@dataclass(frozen=True)
class Grid:
    """One sheet: every cell as text, blank ones as "", each row with its line in the file.

    Attributes
    ----------
    file, sheet : str
        Where it comes from; `sheet` is "" for text files.
    cells : DataFrame of str, shape (rows, width)
    line : ndarray of int, shape (rows,)
        Line of a text file or row of a sheet each record begins at, from 1.
    separator : str
        What stood between the cells of a text file; "" for a workbook.
    original : DataFrame of str or None
        The cells as they stand in the file, where `cells` were made of them; same rows, in order.
    taken_as : str
        Encoding the text was taken for, where it is not Unicode.
    mended : frozenset of int
        Lines with cells corrected by hand: what they show of the ways of the file counts only where nothing else does.
    untouched : DataFrame of str or None
        The cells before they were corrected; same rows and columns as `cells`.
    """

    file: str
    sheet: str
    cells: pd.DataFrame
    line: NDArray[np.int64]
    separator: str = ""
    original: pd.DataFrame | None = None
    taken_as: str = ""
    mended: frozenset[int] = frozenset()
    untouched: pd.DataFrame | None = None

    @property
    def in_file(self) -> pd.DataFrame:
        """The cells as they stand in the file."""
        held = self.untouched if self.original is None else self.original
        return self.cells if held is None else held


@dataclass(frozen=True)
class Edit:
    """A cell of a file corrected by hand: `column` counts from 0, `line` as the grid has it."""

    sheet: str
    line: int
    column: int
    old: str
    new: str


def edited(grid: Grid, edits: Sequence[Edit]) -> Grid:
    """The grid with its cells as they were corrected, in order of the edits.

    Raises
    ------
    WrongUsage
        If an edit names no cell of the sheet, or another value than it holds.
    """
    mine = [edit for edit in edits if edit.sheet == grid.sheet]
    if not mine:
        return grid
    cells = grid.cells.copy()
    for edit in mine:
        at = np.flatnonzero(grid.line == edit.line)
        if not len(at) or edit.column not in cells:
            raise WrongUsage("there is no such cell.", file=grid.file, sheet=grid.sheet, line=edit.line)
        held = cells.iloc[at[0], edit.column]
        if held != edit.old:
            raise WrongUsage(
                f"the cell holds {held!r} now, not {edit.old!r}: somebody changed it.",
                file=grid.file,
                sheet=grid.sheet,
                line=edit.line,
                value=held,
            )
        cells.iloc[at[0], edit.column] = edit.new
    return replace(grid, cells=cells, mended=grid.mended | {edit.line for edit in mine}, untouched=grid.in_file)


def frame_grid(frame: pd.DataFrame, name: str) -> Grid:
    """A DataFrame as a grid: its header on line 1, its rows after; a named index is columns too."""
    levels = [label for label in frame.index.names if label is not None and label not in frame.columns]
    if levels:
        frame = frame.reset_index(level=levels)
    columns = []
    for place, label in enumerate(frame.columns):
        values = frame.iloc[:, place]
        if pd.api.types.is_datetime64_any_dtype(values):
            text = values.dt.strftime("%Y-%m-%d %H:%M:%S").str.removesuffix(" 00:00:00")
        elif pd.api.types.is_bool_dtype(values):
            text = values.map({True: "yes", False: "no"}).astype("str")
        elif pd.api.types.is_float_dtype(values) and (values.dropna() % 1 == 0).all():
            text = values.astype("Int64").astype("str").where(values.notna())  # 101.0 is the id 101 beside an empty one
        else:
            text = values.astype("str").where(values.notna())
        columns.append(pd.concat([pd.Series([str(label)]), text.fillna("").astype("str")], ignore_index=True))
    cells = pd.concat(columns, axis=1, ignore_index=True) if columns else pd.DataFrame([[""]])
    return Grid(name, "", cells.astype("str"), np.arange(1, len(cells) + 1))
