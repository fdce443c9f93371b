"""What sheets have in common with the imports that count, or with each other."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd
from sqlalchemy import select

from riskscope import schema
from riskscope.intake.combine import AnySheet
from riskscope.intake.identity import shared as shared_rows
from riskscope.store import rows
from riskscope.store.database import Store
from riskscope.store.model import IMPORTS, SHEETS


@dataclass(frozen=True)
class Overlap:
    """Rows of a file that an import has already."""

    import_id: int
    shown: str
    table: str
    common: int
    new: int
    held: int

    @property
    def is_most(self) -> bool:
        """Whether it is the same list again, corrected or longer."""
        return 2 * self.common > min(self.new, self.held)


def overlaps(store: Store, sheets: Sequence[AnySheet]) -> list[Overlap]:
    """What a file has in common with the imports that count now, largest share first."""
    found_in = []
    with store.reading() as connection:
        active = connection.execute(
            select(SHEETS, IMPORTS.c.shown)
            .join(IMPORTS, IMPORTS.c.id == SHEETS.c.import_id)
            .where(IMPORTS.c.state == "active")
            .order_by(SHEETS.c.id)
        ).all()
        for name in dict.fromkeys(sheet.table.name for sheet in sheets):
            mine = [sheet.accepted for sheet in sheets if sheet.table.name == name]
            new = pd.concat(mine, ignore_index=True)
            held: dict[tuple[int, str], list[pd.DataFrame]] = {}
            for sheet in active:
                if sheet.table_name == name:
                    stored = [c for c in json.loads(sheet.columns) if c in schema.TABLES[name].row_key]
                    frame = rows.read(connection, name, sheet.id, stored)
                    held.setdefault((sheet.import_id, sheet.shown), []).append(frame)
            for (import_id, shown), frames in held.items():
                old = pd.concat(frames, ignore_index=True)
                common = int(shared_rows(name, new, old).sum())
                if common:
                    found_in.append(Overlap(import_id, shown, name, common, len(new), len(old)))
    return sorted(found_in, key=lambda overlap: (-overlap.common, overlap.import_id))


def in_common(sheets: Sequence[AnySheet], others: Sequence[AnySheet]) -> int:
    """How many rows of some sheets are among those of others."""
    common = 0
    for name in dict.fromkeys(sheet.table.name for sheet in sheets):
        mine, theirs = ([part.accepted for part in parts if part.table.name == name] for parts in (sheets, others))
        if theirs:
            new, old = (pd.concat(rows_, ignore_index=True) for rows_ in (mine, theirs))
            common += int(shared_rows(name, new, old).sum())
    return common
