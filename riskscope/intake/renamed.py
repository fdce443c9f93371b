"""Connections that had another name before: their history is theirs."""

from __future__ import annotations

import pandas as pd

from riskscope.schema import TABLES
from riskscope.schema.notes import Note

REGISTER = "connections"


def keep_history(frames: dict[str, pd.DataFrame]) -> list[Note]:
    """Rows under a former name get the name the register has now; each renaming is said.

    A former name that is in use itself, that two connections had, or that leads in a circle names nothing.
    """
    register = frames.get(REGISTER)
    if register is None or "was_id" not in register or register["was_id"].isna().all():
        return []
    claims = register[register["was_id"].notna() & (register["was_id"] != register["connection_id"])]
    in_use = register["connection_id"]
    if "retired_on" in register:
        in_use = in_use[register["retired_on"].isna()]
    unclear = claims["was_id"].duplicated(keep=False) | claims["was_id"].isin(list(in_use))
    new_of = dict(zip(claims["was_id"][~unclear], claims["connection_id"][~unclear], strict=True))
    notes = [
        Note(
            "warning",
            f"{old!r} is in use itself, or two were called so before: {new!r} is not given its history",
            REGISTER,
        )
        for old, new in zip(claims["was_id"][unclear], claims["connection_id"][unclear], strict=True)
    ]
    ends = _ends(register)
    for old, new in {old: _last(old, new_of) for old in new_of}.items():
        count = 0
        for table, frame in frames.items():
            if table == REGISTER or "connection_id" not in frame:
                continue
            mine = (frame["connection_id"] == old) & _until(frame, table, ends.get(old))
            if mine.any():
                count += int(mine.sum())
                frames[table] = frame.assign(connection_id=frame["connection_id"].where(~mine, new))
        if count:
            notes.append(Note("merge", f"{old!r} is {new!r} now (was_id): {count:,} rows are of it", REGISTER))
    return notes


def _ends(register: pd.DataFrame) -> dict[str, pd.Timestamp]:
    """The day each name was taken out of use: what is later is of a new connection of that name."""
    if "retired_on" not in register:
        return {}
    out = register[register["retired_on"].notna()]
    return dict(zip(out["connection_id"], out["retired_on"], strict=True))


def _until(frame: pd.DataFrame, table: str, end: pd.Timestamp | None) -> pd.Series:
    day = next((column.name for column in TABLES[table].columns if column.kind == "date" and column.required), None)
    if end is None or day is None:
        return pd.Series(True, index=frame.index)
    return frame[day] <= end


def _last(old: str, new_of: dict[str, str]) -> str:
    """The name something has now that was renamed, perhaps more than once; the same where it leads in a circle."""
    seen = {old}
    name = new_of[old]
    while name in new_of:
        if name in seen:
            return old
        seen.add(name)
        name = new_of[name]
    return name
