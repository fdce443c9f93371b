"""taken back: what no longer counts when an import is undone or replaced, said before it is done."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import pandas as pd

from riskscope.intake.combine import AnySheet
from riskscope.schema import TABLES
from riskscope.store import assessments
from riskscope.store import reading as held
from riskscope.store.database import Store
from riskscope.store.stamp import Actor
from riskscope.words.render import many

SEEN = {"survey": ("survey_date", "reading"), "findings": ("work_date", "finding"),
        "installs": ("work_date", "torque record"), "deferrals": ("decided_on", "deferral"),
        "notices": ("told_on", "notice"), "renamings": ("renamed_on", "renaming")}  # fmt: skip
TIMES = ("survey_time", "work_time")
MOST_NAMED = 5


def taken_back(store: Store, actor: Actor, going: Collection[int], coming: Sequence[AnySheet] = ()) -> str:
    """One or two sentences of the rows that go with imports; empty where every one is elsewhere too.

    What has to be said first is said of the latest assessment that is kept: which of these connections must not wait.

    Parameters
    ----------
    going : collection of int
        The imports to be undone or replaced.
    coming : sequence of CheckedSheet
        What replaces them.
    """
    actor.needs("viewer")
    parts, lost = [], []
    for table, (date, noun) in SEEN.items():
        time = next((name for name in TIMES if name in TABLES[table].by_name), "")
        only = held.only_in(store, going, table, date, time)
        there = [_keys(sheet.accepted, date, time) for sheet in coming if sheet.table.name == table]
        if there:
            only = only[~pd.MultiIndex.from_frame(only).isin(pd.MultiIndex.from_frame(pd.concat(there)))]
        if len(only):
            parts.append(many(len(only), noun))
            lost.append(only["connection_id"])
    if not parts:
        return ""
    ids = pd.concat(lost).drop_duplicates()
    one_row = len(parts) == 1 and parts[0].startswith("1 ")
    words = (
        f"{', '.join(parts)} that only import {', '.join(map(str, sorted(going)))} has no longer "
        f"count{'s' if one_row else ''}: of {_named(ids)}."
    )
    urgent = ids[ids.isin(_now(store))]
    words += f" {_named(urgent)} must not wait now: look what becomes of it." if len(urgent) else ""
    if any("renaming" in part for part in parts):
        words += " What was entered since under the new name stays of the new name: correct it by hand."
    return words


def _keys(rows: pd.DataFrame, date: str, time: str) -> pd.DataFrame:
    """As `riskscope.store.reading.only_in` has them."""
    clock = rows[time] if time in rows else pd.Series(None, rows.index, dtype="object")
    return pd.DataFrame(
        {
            "connection_id": rows["connection_id"].astype("str"),
            "day": rows[date].dt.strftime("%Y-%m-%d"),
            "time": [str(None if pd.isna(value) else value) for value in clock],
        }
    )


def _named(ids: pd.Series) -> str:
    more = f" and {len(ids) - MOST_NAMED:,} more" if len(ids) > MOST_NAMED else ""
    return ", ".join(ids.head(MOST_NAMED)) + more


def _now(store: Store) -> list[str]:
    """The connections that must not wait, by the latest assessment that is kept."""
    kept = assessments.listed(store)
    if not kept:
        return []
    latest = max(kept, key=lambda record: (record.as_of, record.id))
    rows = assessments.read(store, latest.id, "connections")
    return rows.loc[rows["urgency"] == "now", "connection_id"].tolist()
