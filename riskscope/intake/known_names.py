"""Names that want a second look: of nobody, nearly one of the register, used again after their end."""

from __future__ import annotations

import pandas as pd

from riskscope.schema.notes import NOBODY_KNOWS, Note

KNOWN_FROM = ("survey", "connections", "installs", "findings")
ENTRIES = ("deferrals", "notices", "renamings")  # they make no connection: of a name nobody knows they say nothing
SHOWS_LIFE = {"survey": "survey_date", "installs": "work_date", "findings": "work_date"}
ALIKE = {"tool_id": ("tool", "tools"), "survey_id": ("survey", "survey"), "site": ("site", "survey")}
MOST_SHOWN, MOST_TOLD = 3, 200


def look_twice(frames: dict[str, pd.DataFrame]) -> list[Note]:
    """Entries for names nobody knows, names that read like one of the register, tools, surveys and sites
    that read like one another, and names used after their end."""
    return [*_unknown(frames), *_nearly(frames), *_alike(frames), *_used_again(frames)]


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


def _nearly(frames: dict[str, pd.DataFrame]) -> list[Note]:
    """Names in no register that differ from one of it in hyphens, blanks or marks that cannot be seen alone."""
    register = frames.get("connections")
    if register is None or not len(register):
        return []
    listed = register["connection_id"].drop_duplicates()
    listed = listed.set_axis(_bare(listed))
    listed = listed[~listed.index.duplicated(keep=False)]
    notes = []
    for table in SHOWS_LIFE:
        names = frames[table]["connection_id"].drop_duplicates() if table in frames else listed.iloc[:0]
        names = names[~names.isin(listed).to_numpy()]
        its = _bare(names).map(listed)
        alike = its.notna().to_numpy()
        if alike.any():
            pairs = "; ".join(f"{a!r} reads like {b!r}" for a, b in zip(names[alike], its[alike], strict=True))
            more = f" ({alike.sum():,} such names)" if alike.sum() > 1 else ""
            words = f"in no register: {pairs[:MOST_TOLD]}{more}: if it is the same connection, rename it"
            notes.append(Note("warning", words, table))
    return notes


def _alike(frames: dict[str, pd.DataFrame]) -> list[Note]:
    """Tools, surveys and sites that differ in hyphens, blanks or marks alone: one may be meant by the other's name."""
    notes = []
    for column, (called, table) in ALIKE.items():
        used = [frames[name][column] for name in frames if column in frames[name]]
        names = pd.concat(used).dropna().drop_duplicates() if used else pd.Series(dtype="str")
        key = _bare(names)
        several = key.duplicated(keep=False).to_numpy()
        if several.any():
            alike = names[several].groupby(key[several].to_numpy()).agg(" and ".join)
            words = f"{called}s that read alike: {'; '.join(alike)[:MOST_TOLD]}: where it is one {called}"
            notes.append(Note("warning", f"{words}, spell it one way", table))
    return notes


def _bare(names: pd.Series) -> pd.Series:
    return names.astype("str").str.normalize("NFKC").str.replace(r"[^\w/.]+|_", "", regex=True).str.casefold()


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
