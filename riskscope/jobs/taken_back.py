"""taken back: what no longer counts when an import is undone or replaced, said before it is done."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import pandas as pd

from riskscope.intake.combine import AnySheet
from riskscope.schema import TABLES
from riskscope.schema.common import AT
from riskscope.store import assessments
from riskscope.store import reading as held
from riskscope.store.database import Store
from riskscope.store.stamp import Actor
from riskscope.words.render import many

SEEN = {"survey": ("survey_date", "reading"), "findings": ("work_date", "finding"),
        "installs": ("work_date", "torque record"), "deferrals": ("decided_on", "deferral"),
        "notices": ("told_on", "notice"), "renamings": ("renamed_on", "renaming")}  # fmt: skip
MORE = ("survey_time", "work_time", "site")  # that tell two rows of one connection and day apart
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
        columns = [name for name in ("connection_id", date, *MORE) if name in TABLES[table].by_name]
        mine, theirs = held.going_and_staying(store, going, table, columns)
        there = [_as_stored(sheet.accepted, columns, date) for sheet in coming if sheet.table.name == table]
        only = _not_among(mine, pd.concat([theirs, *there], ignore_index=True))
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


def _as_stored(rows: pd.DataFrame, columns: Sequence[str], date: str) -> pd.DataFrame:
    """Checked rows as `riskscope.store.reading.going_and_staying` has them."""
    return rows.reindex(columns=list(columns)).assign(**{date: rows[date].dt.strftime("%Y-%m-%d")})


def _not_among(mine: pd.DataFrame, theirs: pd.DataFrame) -> pd.DataFrame:
    """Rows that are not among the others."""
    own, other = (rows.astype("object").where(rows.notna(), "").astype("str") for rows in (mine, theirs))
    return mine[~pd.MultiIndex.from_frame(own).isin(pd.MultiIndex.from_frame(other))]


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
    names = rows.loc[rows["urgency"] == "now", "connection_id"].astype("str")
    return [*names, *names.str.partition(AT)[0]]  # an import has them without the site that tells them apart
