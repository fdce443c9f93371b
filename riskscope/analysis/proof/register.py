"""Which connections are out of use, which names were used again, and what was called otherwise before."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import NO_DAY, Ints, days, kept, positions, texts
from riskscope.analysis.frames import table as get_table

HISTORY = {"survey": "survey_date", "installs": "work_date", "findings": "work_date", "deferrals": "decided_on",
           "notices": "told_on"}  # fmt: skip
SHOWS_LIFE = ("survey", "installs", "findings")


def living(tables: Mapping[str, pd.DataFrame], on: dt.date) -> tuple[dict[str, pd.DataFrame], pd.Series]:
    """The tables without the history of names that were used again, and the connections that are out of use.

    A connection is out of use from the day its register says, where it also says who said so. A reading or a record
    of a later day shows that the name is used again: what is older is not of that connection.

    Returns
    -------
    dict of str to DataFrame
    Series of str
        Ids that are out of use on the day.
    """
    register = get_table(tables, "connections")
    today = int(np.datetime64(on, "D").astype(np.int64))
    gone = days(texts(register, "retired_on"))
    out = (gone != NO_DAY) & (gone <= today) & texts(register, "retired_by").notna().to_numpy()
    if not out.any():
        return dict(tables), register["connection_id"].iloc[:0]
    ids, gone = register["connection_id"][out].reset_index(drop=True), gone[out]
    again = np.zeros(len(ids), dtype=bool)
    for name in SHOWS_LIFE:
        rows = get_table(tables, name)
        at, later = _after(rows, HISTORY[name], ids, gone)
        again[at[later & (days(rows[HISTORY[name]]) <= today)]] = True
    used = ids[again].reset_index(drop=True)
    made = dict(tables)
    for name, day in HISTORY.items():
        if name in tables:
            at, later = _after(tables[name], day, used, gone[again])
            made[name] = kept(tables[name], (at < 0) | later)
    return made, ids[~again].reset_index(drop=True)


def _after(rows: pd.DataFrame, day: str, ids: pd.Series, gone: Ints) -> tuple[Ints, np.ndarray]:
    """Of each row its place among the ids, and whether it is of one of them and of a later day."""
    at = positions(ids, rows["connection_id"])
    later = np.zeros(len(rows), dtype=bool)
    if len(ids):
        later = (at >= 0) & (days(rows[day]) > gone[at])
    return at, later


def former_names(tables: Mapping[str, pd.DataFrame], known: pd.Series) -> dict[str, str]:
    """Former names, folded, of connections that are known by another now; of what is said to be two, neither."""
    pairs = [
        rows.loc[rows["was_id"].notna(), ["was_id", "connection_id"]]
        for rows in (tables.get(name) for name in ("connections", "renamings"))
        if rows is not None and "was_id" in rows
    ]
    claims = pd.concat([pd.DataFrame(columns=["was_id", "connection_id"]), *pairs]).drop_duplicates()
    claims = claims[~claims["was_id"].duplicated(keep=False)]
    new_of = dict(zip(claims["was_id"], claims["connection_id"], strict=True))
    names = set(known) if new_of else set()
    made = {}
    for old in new_of:
        name, passed = new_of[old], {old}
        while name in new_of and name not in names and name not in passed:
            passed.add(name)
            name = new_of[name]
        if name in names and old not in names:
            made[old.casefold()] = name
    return made
