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
    """

    file: str
    sheet: str
    cells: pd.DataFrame
    line: NDArray[np.int64]
    separator: str = ""
