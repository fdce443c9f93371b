"""What the checks of one sheet share while it is read."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from riskscope.intake.cells.parsed import clean
from riskscope.intake.grid import Grid
from riskscope.intake.layout.headers import Headers, Match
from riskscope.intake.options import ReadOptions
from riskscope.schema import Table
from riskscope.schema.notes import Note, Question

FIRST_DAY = dt.date(1970, 1, 1)
MAX_CELL_CHARACTERS = 32_767  # what a cell of a workbook can hold


@dataclass
class Work:
    """What the checks of one sheet share while it is read.

    Attributes
    ----------
    is_own : ndarray of bool
        Rows below the header of the sheet, not below another that says other columns: only they settle how the sheet
        is written.
    """

    table: Table
    grid: Grid
    headers: Headers
    read_options: ReadOptions
    on: dt.date
    body: pd.DataFrame
    is_own: NDArray[np.bool_]
    frame: dict[str, pd.Series] = field(default_factory=dict)
    faults: list[tuple[NDArray[np.bool_], pd.Series]] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._texts = dict(self.body.items())

    @property
    def tomorrow(self) -> pd.Timestamp:
        """The day after the check: what is dated later is in the future."""
        return pd.Timestamp(self.on) + pd.Timedelta(days=1)

    @property
    def is_mended(self) -> NDArray[np.bool_]:
        """Rows with cells corrected by hand."""
        return np.isin(self.grid.line[self.body.index.to_numpy()], list(self.grid.mended))

    def in_file(self, match: Match) -> pd.Series | None:
        """A column as it stands in the file, where cells of it were corrected by hand."""
        held = self.grid.untouched
        return None if held is None else clean(held[match.position]).loc[self.body.index]

    def text(self, match: Match) -> pd.Series:
        return self._texts[match.position]

    def own_text(self, match: Match) -> pd.Series:
        """The cells of a column that settle how it is written."""
        text = self.text(match)
        return text if self.is_own.all() else text[self.is_own]

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
        grid = self.grid
        self.notes.append(Note(kind, text, self.table.name, grid.file, grid.sheet, column, rows, count))

    def ask(self, text: str, option: str, toml: str, column: str = "") -> None:
        self.questions.append(Question(text, option, toml, self.grid.file, self.grid.sheet, column))
