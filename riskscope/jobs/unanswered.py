"""Refused readings that may be the hottest and would go without a reading in their place."""

from __future__ import annotations

from collections.abc import Collection, Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.assessment import Assessment
from riskscope.analysis.frames import NO_DAY, days, positions, take
from riskscope.analysis.proof.register import former_names
from riskscope.results.story import refused_readings
from riskscope.schema.common import AT

PLACE = ["name", "site", "day"]
LAST_DAY = np.iinfo(np.int64).max


def unanswered(before: Assessment, after: Assessment | None, renamed: Mapping[str, str]) -> pd.Series:
    """Connections that ask to be read again, of which more refused readings would go than there come in their place.

    In place of one stands a refused row, or a reading there was not, of its day or a later one; in place of one of a
    day nobody knows one that is not older than the last reading.
    """
    old = before.connections[before.connections["refused_on"].notna() | before.connections["refused_undated"]]
    was = _refused_of(before)
    was = was[was["connection_id"].isin(old["connection_id"])]
    seen = np.maximum(days(old["survey_date"]), days(old["after_date"]))
    seen = seen[positions(old["connection_id"], was["connection_id"])]
    undated = (was["day"] == NO_DAY).to_numpy()
    was = was.assign(day=np.where(undated, seen, was["day"]))[undated | (was["day"].to_numpy() >= seen)]
    if not len(was):
        return old["connection_id"].iloc[:0]
    rows = [_at_places(was, before, renamed).assign(count=1)]
    if after is not None:
        names = {**_new_names(before, after), **renamed}
        now = _refused_of(after)
        now["day"] = now["day"].where(now["day"] != NO_DAY, LAST_DAY)
        read, had = (_read(made, set(rows[0]["name"]), names) for made in (after, before))
        more = read.merge(had, on=PLACE, how="left", suffixes=("", "_had"))
        more["count"] = more["size_had"].fillna(0) - more["size"]
        rows += [_at_places(now, after, names).assign(count=-1), more[more["count"] < 0][[*PLACE, "count"]]]
    every = pd.concat(rows, ignore_index=True).sort_values(["day", "count"], ascending=[False, True])
    strict, loose = (
        set(every.loc[(every.groupby(by)["count"].cumsum() > 0) & (every["count"] > 0), by].itertuples(index=False))
        for by in (["name", "site"], ["name"])
    )
    unsaid = set(every.loc[(every["count"] < 0) & (every["site"] == ""), "name"])
    gone = {place for place in strict if (place[1] and place[0] not in unsaid) or (place[0],) in loose}
    at = _at_places(old[["connection_id"]].assign(day=NO_DAY), before, renamed)
    return old.loc[[place in gone for place in zip(at["name"], at["site"], strict=True)], "connection_id"].sort_values()


def _refused_of(made: Assessment) -> pd.DataFrame:
    """Refused readings that may be the hottest and that nobody has dismissed, by whose they may be and their day."""
    said = refused_readings(made)
    said = said[~said["is_settled"].to_numpy(dtype=bool)]
    return pd.DataFrame({"connection_id": said["connection_id"], "day": days(said["day"])})


def _read(made: Assessment, wanted: Collection[str], names: Mapping[str, str]) -> pd.DataFrame:
    """How many readings of connections of some names count, by name, site and day."""
    ids = made.connections["connection_id"]
    named = _at_places(pd.DataFrame({"connection_id": ids, "day": NO_DAY}), made, names)["name"]
    rows = made.tables["survey"]
    rows = rows[rows["connection_id"].isin(ids[named.isin(wanted)])]
    its = pd.DataFrame({"connection_id": rows["connection_id"], "day": days(rows["survey_date"])})
    return _at_places(its, made, names).groupby(PLACE, as_index=False).size()


def _new_names(before: Assessment, after: Assessment) -> dict[str, str]:
    """Names that there were not before, and what was called so then."""
    known = set(before.connections["connection_id"])
    names = former_names(after.tables, after.connections["connection_id"])
    return {name: was for was, name in names.items() if name not in known}


def _at_places(rows: pd.DataFrame, made: Assessment, names: Mapping[str, str]) -> pd.DataFrame:
    """Rows of connections by name, site and day, each under the name it had before a renaming."""
    frame = made.connections
    sites = take(frame["site"], positions(frame["connection_id"], rows["connection_id"])).set_axis(rows.index)
    named = rows["connection_id"].map(lambda name: names.get(name, name)).astype("str")
    at = places(pd.DataFrame({"connection_id": named, "site": sites}))
    return pd.DataFrame(at, columns=["name", "site"], index=rows.index).assign(day=rows["day"])


def places(rows: pd.DataFrame) -> list[tuple[str, str]]:
    """Name and site of each connection; the site is said by its column or behind the name, or is "" if nobody knows."""
    name, site = (rows[column].astype("str").fillna("").str.casefold() for column in ("connection_id", "site"))
    parts = name.str.split(AT)
    behind = parts.str[1].astype("str").fillna("")
    behind = behind.where(~behind.str.startswith("?"), "")
    return list(zip(parts.str[0], site.where(site != "", behind), strict=True))
