"""Names that want a second look: entries for connections nobody knows, and names that are used again."""

from __future__ import annotations

import pandas as pd

from riskscope.schema.notes import NOBODY_KNOWS, Note

KNOWN_FROM = ("survey", "connections", "installs", "findings")
ENTRIES = ("deferrals", "notices", "renamings")  # they make no connection: of a name nobody knows they say nothing
SHOWS_LIFE = {"survey": "survey_date", "installs": "work_date", "findings": "work_date"}
MOST_SHOWN = 3


def look_twice(frames: dict[str, pd.DataFrame]) -> list[Note]:
    """What is entered for names that are in no survey, register or record, and names used after their end."""
    return [*_unknown(frames), *_used_again(frames)]


def _unknown(frames: dict[str, pd.DataFrame]) -> list[Note]:
    notes = []
    for table in ENTRIES:
        if table not in frames:
            continue
        names = frames[table]["connection_id"].drop_duplicates()
        passed = frames["renamings"]["was_id"] if "renamings" in frames else []  # a name on the way to the last
        known = names.isin(list(passed))
        for other in KNOWN_FROM:
            if other in frames and not known.all():
                known |= names.isin(list(frames[other]["connection_id"]))
        if not known.all():
            notes.append(Note("warning", f"{_few(names[~known])}: {NOBODY_KNOWS}", table))
    return notes


def _used_again(frames: dict[str, pd.DataFrame]) -> list[Note]:
    register = frames.get("connections")
    if register is None or "retired_on" not in register or "retired_by" not in register:
        return []
    out = register[register["retired_on"].notna() & register["retired_by"].notna()].set_index("connection_id")
    again = [
        rows["connection_id"][rows[day] > pd.to_datetime(rows["connection_id"].map(dict(out["retired_on"])))]
        for rows, day in ((frames[table], day) for table, day in SHOWS_LIFE.items() if table in frames)
    ]
    names = pd.concat(again).drop_duplicates() if again else pd.Series(dtype="str")
    if names.empty:
        return []
    words = (
        f"{_few(names)}: read or worked on after the day the register takes it out of use: taken for a new connection "
        "of that name, and what is older is not of it"
    )
    return [Note("warning", words, "connections")]


def _few(names: pd.Series) -> str:
    shown = ", ".join(repr(name) for name in names.head(MOST_SHOWN))
    return shown + (f" and {len(names) - MOST_SHOWN:,} more" if len(names) > MOST_SHOWN else "")
