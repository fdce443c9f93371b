"""Sheets that are not in a store, or not so, under the name that their file has or would have in it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import pandas as pd

from riskscope.intake.cells.parsed import everywhere
from riskscope.intake.combine import AnySheet


@dataclass(frozen=True)
class Called:
    """A checked sheet under another name of its file; a `riskscope.intake.combine.AnySheet`."""

    of: AnySheet
    file: str

    table = property(lambda self: self.of.table)
    sheet = property(lambda self: self.of.sheet)
    notes = property(lambda self: self.of.notes)
    counts = property(lambda self: self.of.counts)

    @property
    def accepted(self) -> pd.DataFrame:
        return self.of.accepted.assign(source_file=everywhere(self.file, self.of.accepted.index))

    @property
    def rejected(self) -> pd.DataFrame:
        return self.of.rejected.assign(file=everywhere(self.file, self.of.rejected.index))

    def original(self, line: int) -> list[str]:
        return self.of.original(line)


def to_come(sheets: Sequence[AnySheet], taken: Collection[str]) -> list[Called]:
    """Sheets of files that are not in the store yet, each file under a name that none there has."""
    made = []
    seen: dict[tuple[str, str], int] = {}
    for sheet in sheets:
        seen[sheet.file, sheet.sheet] = nth = seen.get((sheet.file, sheet.sheet), 0) + 1
        is_free = nth == 1 and sheet.file not in taken
        made.append(Called(sheet, sheet.file if is_free else f"{sheet.file} (to come, {nth})"))
    return made
