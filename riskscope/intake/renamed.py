"""Connections that had another name before: their history is theirs."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.intake.surveys import name_surveys
from riskscope.schema import TABLES
from riskscope.schema.notes import Note
from riskscope.schema.tables import FORMER

REGISTER, RENAMINGS = "connections", "renamings"
STRICTER = {"limit_c": "min", "criticality": "max", "retighten_allowed": "min"}  # "no" comes before "yes"
KINDS = {"termination_kind": ("compression", "shear bolt", "spring", "plug-in")}  # that cannot be tightened
ENDS = ("retired_on", "retired_by")
OWN = ("connection_id", "was_id", *ENDS, "source_file", "source_sheet", "source_line")  # said of one name only
OUT_OF_USE = "leads to a name that is out of use by the register"
READ_TOGETHER = "was read on the same day or in the same survey as a name it is to be joined with, so they are two"


def keep_history(frames: dict[str, pd.DataFrame], gap_days: int) -> list[Note]:
    """Rows under a former name get the name that is used now; each renaming is said.

    A former name stands in the register (``was_id``), or somebody decided it (`RENAMINGS`): that also takes the name
    out of the register. Of what the register says of either name the stricter counts. A former name that is in use
    itself, that two connections had, that leads in a circle or to a name that is out of use, or that was read together
    with another of the same connection, names nothing, and that is said; nor is it out of use itself until that is
    clear.

    Parameters
    ----------
    gap_days : int
        As for `riskscope.intake.surveys.name_surveys`.
    """
    claims = _claims(frames)
    if claims.empty:
        return []
    why_not = _why_not(frames, claims, gap_days)
    unclear = why_not.ne("").to_numpy()
    kept_in_use = _not_out_of_use(frames, claims["old"][unclear & (why_not != OUT_OF_USE).to_numpy()])
    notes = [
        Note(
            "warning",
            f"{old!r} {why}: {new!r} is not given its history"
            + (f", and {old!r} is not taken out of use until that is clear" if old in kept_in_use else ""),
            table,
        )
        for old, new, why, table in claims.assign(why=why_not)[["old", "new", "why", "table"]][unclear].to_numpy()
    ]
    claims = claims[~unclear].drop_duplicates("old")
    new_of = _finals(claims)
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


def _not_out_of_use(frames: dict[str, pd.DataFrame], names: pd.Series) -> list[str]:
    """Which of these names the register takes out of use; it does so no longer."""
    out = [name for name in _ends(frames) if name in set(names)]
    if out:
        register = frames[REGISTER]
        mine = register["connection_id"].isin(out)
        frames[REGISTER] = register.assign(**{name: register[name].mask(mine) for name in ENDS if name in register})
    return out


def _why_not(frames: dict[str, pd.DataFrame], claims: pd.DataFrame, gap_days: int) -> pd.Series:
    """Why a claim names nothing; empty where it does."""
    decided = (claims["table"] == RENAMINGS).to_numpy()
    in_use = claims["old"].isin(list(_in_use(frames))) & ~claims["old"].isin(list(claims.loc[decided, "old"]))
    several = claims.groupby("old")["new"].transform("nunique").gt(1).to_numpy()
    finals = _finals(claims)
    final = claims["old"].map(finals)
    circle = (final == claims["old"]).to_numpy()
    words = np.select(
        [in_use.to_numpy(), several, circle, final.isin(list(_ends(frames))).to_numpy()],
        [
            "is in use itself (take it out of use in the register, or rename it)",
            "is said to be two connections now",
            "leads back to its own name",
            OUT_OF_USE,
        ],
        "",
    )
    finals = _finals(claims[words == ""])
    together = claims["old"].map(finals).isin(_read_together(frames, finals, gap_days)).to_numpy()
    words = np.where((words == "") & together, READ_TOGETHER, words)
    return pd.Series(words, index=claims.index)


def _finals(claims: pd.DataFrame) -> dict[str, str]:
    """The name each former name has in the end."""
    new_of = dict(zip(claims["old"], claims["new"], strict=True))
    return {old: _last(old, new_of) for old in new_of}


def _in_use(frames: dict[str, pd.DataFrame]) -> pd.Series:
    register = frames.get(REGISTER)
    if register is None:
        return pd.Series(dtype="str")
    ids = register["connection_id"]
    return ids[register["retired_on"].isna()] if "retired_on" in register else ids


def _read_together(frames: dict[str, pd.DataFrame], finals: dict[str, str], gap_days: int) -> list[str]:
    """Names of connections two of whose names were read on one day, or in one survey: they are two joints."""
    survey = frames.get("survey")
    if survey is None or not finals:
        return []
    named = {**frames, "survey": survey.assign(connection_id=survey["connection_id"].replace(finals))}
    name_surveys(named, gap_days)
    survey = survey.assign(survey_id=named["survey"]["survey_id"])
    rows = survey[survey["connection_id"].isin([*finals, *finals.values()])]
    ended = rows["survey_date"] > pd.to_datetime(rows["connection_id"].map(_ends(frames)))
    rows = rows[~ended.to_numpy()]  # a name used again is another's
    made = pd.DataFrame({"name": rows["connection_id"], "final": rows["connection_id"].replace(finals)})
    read: set[str] = set()
    for by in ("survey_date", "survey_id"):
        if by in rows:
            names = made.assign(by=rows[by])[rows[by].notna()].groupby(["final", "by"])["name"].nunique()
            read |= set(names[names > 1].index.get_level_values("final"))
    return sorted(read)


def _rename(frames: dict[str, pd.DataFrame], new_of: dict[str, str], decided: pd.Series) -> dict[str, int]:
    """The rows of every table under the new names, of the register's those decided; how many, by the old name."""
    ends, counts = _ends(frames), pd.Series(dtype="int64")
    if REGISTER in frames:
        frames[REGISTER] = _stricter(frames[REGISTER], new_of)
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
            if table == REGISTER:  # the old name is out of use, not the connection
                renamed = renamed.assign(**{name: renamed[name].mask(mine) for name in ENDS if name in renamed})
            if table == "survey":
                before = names.where(mine)
                renamed = renamed.assign(**{FORMER: renamed[FORMER].fillna(before) if FORMER in renamed else before})
            frames[table] = (
                pd.concat([frame[~mine], renamed[mine]], ignore_index=True) if table == REGISTER else renamed
            )
    return {str(old): int(count) for old, count in counts.items()}


def _stricter(register: pd.DataFrame, new_of: dict[str, str]) -> pd.DataFrame:
    """The register, each row with what is stricter of any name its connection had.

    The lower limit, the higher criticality, a tightening that the maker forbids, the kind that cannot be tightened;
    what a row leaves empty is filled.
    """
    known_as = register["connection_id"].replace(new_of)
    several = known_as.duplicated(keep=False)
    if not several.any():
        return register
    own_first = (register["connection_id"] != known_as)[several].argsort(kind="stable")
    rows = register[several].iloc[own_first.to_numpy()]
    groups = known_as.loc[rows.index]
    made = register.copy()
    for name in register.columns.difference(OWN):
        values = rows[name]
        if name in KINDS:
            rank = values.map({kind: n for n, kind in enumerate(KINDS[name])}).fillna(len(KINDS[name]))
            values = values.loc[rank.groupby(groups).transform("idxmin")].set_axis(rows.index)
            worst = values.where(values.notna(), rows[name].groupby(groups).transform("first"))
        else:
            worst = values.groupby(groups).transform(STRICTER.get(name, "first"))
            worst = worst if name in STRICTER else rows[name].where(rows[name].notna(), worst)
        made.loc[rows.index, name] = worst
    return made


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
