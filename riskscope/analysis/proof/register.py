"""Which connections are out of use, and which names were used again."""

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
