"""Connections that had another name before: their history is theirs."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.schema import TABLES
from riskscope.schema.notes import Note

REGISTER, RENAMINGS = "connections", "renamings"
STRICTER = {"limit_c": "min", "criticality": "max", "retighten_allowed": "min"}  # "no" comes before "yes"
OWN = ("was_id", "retired_on", "retired_by", "source_file", "source_sheet", "source_line")  # said of one name only


def keep_history(frames: dict[str, pd.DataFrame]) -> list[Note]:
    """Rows under a former name get the name that is used now; each renaming is said.

    A former name stands in the register (``was_id``), or somebody decided it (`RENAMINGS`): that also takes the name
    out of the register. A former name that is in use itself, that two connections had, or that leads in a circle
    names nothing, and that is said.
    """
    claims = _claims(frames)
    if claims.empty:
        return []
    why_not = _why_not(frames, claims)
    unclear = why_not.ne("").to_numpy()
    notes = [
        Note("warning", f"{old!r} {why}: {new!r} is not given its history", table)
        for old, new, why, table in claims.assign(why=why_not)[["old", "new", "why", "table"]][unclear].to_numpy()
    ]
    claims = claims[~unclear].drop_duplicates("old")
    new_of = dict(zip(claims["old"], claims["new"], strict=True))
    new_of = {old: _last(old, new_of) for old in new_of}
    counts = _rename(frames, new_of, claims.loc[claims["table"] == RENAMINGS, "old"])
    said = zip(claims["old"], claims["source"], claims["table"], strict=True)
    return notes + [
        Note("merge", f"{old!r} is {new_of[old]!r} now ({source}): {counts[old]:,} rows are of it", table)
        for old, source, table in said
        if old in counts
    ]


def _claims(frames: dict[str, pd.DataFrame]) -> pd.DataFrame:
    """Who was called what: ``old new source table``."""
    made = []
    register, decided = frames.get(REGISTER), frames.get(RENAMINGS)
    if decided is not None and len(decided):
        day = decided["renamed_on"].dt.strftime("%Y-%m-%d")
        source = "renamed by " + decided["renamed_by"] + " on " + day + ": " + decided["reason"]
        made.append(_pairs(decided).assign(source=source, table=RENAMINGS))
    if register is not None and "was_id" in register:
        made.append(_pairs(register).assign(source="was_id", table=REGISTER))
    rows = pd.concat(made, ignore_index=True) if made else pd.DataFrame(columns=["old", "new", "source", "table"])
    return rows[(rows["old"].notna() & (rows["old"] != rows["new"])).to_numpy(dtype=bool)].reset_index(drop=True)


def _pairs(rows: pd.DataFrame) -> pd.DataFrame:
    return pd.DataFrame({"old": rows["was_id"], "new": rows["connection_id"]})


def _why_not(frames: dict[str, pd.DataFrame], claims: pd.DataFrame) -> pd.Series:
    """Why a claim names nothing; empty where it does."""
    decided = (claims["table"] == RENAMINGS).to_numpy()
    in_use = claims["old"].isin(list(_in_use(frames))) & ~claims["old"].isin(list(claims.loc[decided, "old"]))
    several = claims.groupby("old")["new"].transform("nunique").gt(1).to_numpy()
    new_of = dict(zip(claims["old"], claims["new"], strict=True))
    circle = np.array([_last(old, new_of) == old for old in claims["old"]], dtype=bool)
    words = np.select(
        [in_use.to_numpy(), several, circle, _read_together(frames, claims)],
        [
            "is in use itself",
            "is said to be two connections now",
            "leads back to its own name",
            "was read on the same day, so they are two",
        ],
        "",
    )
    return pd.Series(words, index=claims.index)


def _in_use(frames: dict[str, pd.DataFrame]) -> pd.Series:
    register = frames.get(REGISTER)
    if register is None:
        return pd.Series(dtype="str")
    ids = register["connection_id"]
    return ids[register["retired_on"].isna()] if "retired_on" in register else ids


def _read_together(frames: dict[str, pd.DataFrame], claims: pd.DataFrame) -> np.ndarray:
    """Claims of two names that were both read on one day: that is no former name, it is another joint."""
    survey = frames.get("survey")
    if survey is None:
        return np.zeros(len(claims), dtype=bool)
    rows = survey[["connection_id", "survey_date"]]
    read = rows[rows["connection_id"].isin([*claims["old"], *claims["new"]])].drop_duplicates()
    both = claims[["old", "new"]].assign(at=np.arange(len(claims)))
    both = both.merge(read.rename(columns={"connection_id": "old"}), on="old")
    both = both.merge(read.rename(columns={"connection_id": "new"}), on=["new", "survey_date"])
    ends = _ends(frames)
    ended = both["survey_date"] > pd.to_datetime(both["old"].map(ends))  # a name used again is another's
    made = np.zeros(len(claims), dtype=bool)
    made[both.loc[~ended, "at"].to_numpy()] = True
    return made


def _rename(frames: dict[str, pd.DataFrame], new_of: dict[str, str], decided: pd.Series) -> dict[str, int]:
    """The rows of every table under the new names, of the register's those decided; how many, by the old name."""
    ends, counts = _ends(frames), pd.Series(dtype="int64")
    for table, frame in frames.items():
        if table == RENAMINGS or "connection_id" not in frame:
            continue
        names = frame["connection_id"]
        mine = names.isin(list(decided) if table == REGISTER else list(new_of))
        day = next((column.name for column in TABLES[table].columns if column.kind == "date" and column.required), None)
        if day is not None and ends:
            mine &= ~(frame[day] > pd.to_datetime(names.map(ends)))
        if mine.any():
            counts = counts.add(names[mine].value_counts(), fill_value=0)
            renamed = frame.assign(connection_id=names.where(~mine, names.map(new_of)))
            frames[table] = _stricter(renamed[~mine], renamed[mine]) if table == REGISTER else renamed
    return {str(old): int(count) for old, count in counts.items()}


def _stricter(stay: pd.DataFrame, gone: pd.DataFrame) -> pd.DataFrame:
    """The rows of the register, those of the names that stay first: they count, and take over what is stricter.

    Of both rows of a connection the lower limit, the higher criticality and a tightening that the maker forbids; what
    the row that stays leaves empty is filled.
    """
    both = pd.concat([stay, gone], ignore_index=True)
    several = both["connection_id"].isin(list(gone["connection_id"])) & both["connection_id"].duplicated(keep=False)
    if several.any():
        groups = both[several].groupby("connection_id", sort=False)
        for name in both.columns.difference(["connection_id", *OWN]):
            how = STRICTER.get(name, "first")
            both.loc[several, name] = groups[name].transform(how)
    return both


def _ends(frames: dict[str, pd.DataFrame]) -> dict[str, pd.Timestamp]:
    """The day each name was taken out of use: what is later is of a new connection of that name."""
    register = frames.get(REGISTER)
    if register is None or "retired_on" not in register:
        return {}
    out = register[register["retired_on"].notna()]
    return dict(zip(out["connection_id"], out["retired_on"], strict=True))


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
