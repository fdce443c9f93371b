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


def to_come(files: Sequence[Sequence[AnySheet]], taken: Collection[str]) -> list[Called]:
    """The sheets of each of these files, which are not in the store yet, under a name that no other file has."""
    made = []
    names = set(taken)
    for number, sheets in enumerate(files, start=1):
        free = {sheet.file: sheet.file for sheet in sheets}
        free = {name: f"{name} (to come, {number})" if name in names else name for name in free}
        names.update(free.values())
        made += [Called(sheet, free[sheet.file]) for sheet in sheets]
    return made
