"""A sheet of text cells, as the readers hand it on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray


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
    """

    file: str
    sheet: str
    cells: pd.DataFrame
    line: NDArray[np.int64]
    separator: str = ""
    original: pd.DataFrame | None = None
    taken_as: str = ""

    def as_in_file(self, rows: pd.Index) -> pd.DataFrame:
        """The cells of some rows as they stand in the file."""
        return (self.cells if self.original is None else self.original).loc[rows]


def frame_grid(frame: pd.DataFrame, name: str) -> Grid:
    """A DataFrame as a grid: its header on line 1, its rows after."""
    columns = []
    for label in frame.columns:
        values = frame[label]
        if pd.api.types.is_datetime64_any_dtype(values):
            text = values.dt.strftime("%Y-%m-%d %H:%M:%S").str.removesuffix(" 00:00:00")
        elif pd.api.types.is_bool_dtype(values):
            text = values.map({True: "yes", False: "no"}).astype("str")
        else:
            text = values.astype("str").where(values.notna())
        columns.append(
            pd.concat([pd.Series([str(label)]), text.fillna("").astype("str")], ignore_index=True)
        )
    cells = pd.concat(columns, axis=1, ignore_index=True) if columns else pd.DataFrame([[""]])
    return Grid(name, "", cells.astype("str"), np.arange(1, len(cells) + 1))
