"""Rows that were refused and may matter: readings with a temperature in them, records of work; what they doubt."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
import pandas as pd

from riskscope.analysis.frames import (
    NEVER,
    NO_DAY,
    Bools,
    Ints,
    dates,
    days,
    filled,
    floats,
    kept,
    latest,
    positions,
    take,
    texts,
)
from riskscope.analysis.frames import table as get_table
from riskscope.analysis.proof.row_above import accepted, nearest
from riskscope.analysis.proof.whose import called, in_cells, is_site, whose
from riskscope.schema.common import AT, ID_PARTS
from riskscope.schema.names import apart, bare, folded, site_of, squeezed
from riskscope.schema.notes import HOTTEST


def may_be_hottest(refused_rows: pd.DataFrame) -> pd.DataFrame:
    """The rows of surveys that were refused though a temperature stands in them, above all those off the scale."""
    rows = refused_rows[(refused_rows["table"] == "survey") & (refused_rows["kind"] == "rejected")]
    return rows[rows["reason"].str.contains(HOTTEST, regex=False)]


def of_work(refused_rows: pd.DataFrame) -> pd.DataFrame:
    """The records of work and the findings that were refused."""
    is_work = refused_rows["table"].isin(["installs", "findings"])
    return refused_rows[is_work & (refused_rows["kind"] == "rejected")]


class Told(NamedTuple):
    """What refused rows may say: of whose readings and work (see `whose`), and of which tools."""

    readings: pd.DataFrame
    work: pd.DataFrame
    tools: pd.Series


def told(refused_rows: pd.DataFrame, tables: Mapping[str, pd.DataFrame]) -> Told:
    """What the refused rows of `may_be_hottest` and of `of_work`, and those of tools, may say."""
    hottest, work = may_be_hottest(refused_rows), of_work(refused_rows)
    said = whose(pd.concat([hottest, work]), tables, refused_rows)
    is_work = said["row"].isin(work.index).to_numpy()
    return Told(kept(said, ~is_work), kept(said, is_work), doubted_tools(refused_rows, tables))


def doubted_tools(refused_rows: pd.DataFrame, tables: Mapping[str, pd.DataFrame]) -> pd.Series:
    """The tools of which a row was rejected, that may say that one was out of tolerance.

    A rejected row is of each tool that one of its cells names, whatever stands between letters and digits, on its site
    or on one it does not say; one without an id is of the tool of the row above it too, as its cell may be merged.
    """
    out = refused_rows[(refused_rows["table"] == "tools") & (refused_rows["kind"] == "rejected")]
    tools = get_table(tables, "tools")
    if not len(out) or not len(tools):
        return tools["tool_id"].iloc[:0]
    cells = in_cells(out)
    site = texts(out, "site").astype("str").fillna("").reindex(cells.index)
    cells = cells.assign(site=cells["site"].where(cells["site"] != "", site), key=squeezed(cells["name"]))
    ids = tools["tool_id"].drop_duplicates()
    listed = pd.DataFrame({"tool_id": ids, "site_its": site_of(ids), "key": squeezed(bare(ids))})
    named = cells[(cells["key"] != "") & cells["key"].isin(listed["key"])]
    beside = listed.merge(named, on="key")
    says_none = ~out.index.isin(named.index) | out["reason"].str.contains("no tool_id", regex=False).to_numpy()
    of_row_above = nearest(out[says_none], accepted(tables, ["tools"], ("tool_id",)))["tool_id"]
    return pd.concat([beside["tool_id"][is_site(beside)], of_row_above]).drop_duplicates()


def places_said(refused_rows: pd.DataFrame, tables: Mapping[str, pd.DataFrame]) -> pd.DataFrame:
    """Where rejected rows of the register say that the connections of just their id are, as far as they agree.

    Whatever such a row was rejected for, what it says of a place is all there is to compare its connection by.

    Returns
    -------
    DataFrame
        ``connection_id``, ``site`` and `ID_PARTS`, spelled as in the tables.
    """
    parts = ["site", *ID_PARTS]
    out = refused_rows[(refused_rows["table"] == "connections") & (refused_rows["kind"] == "rejected")]
    said = whose(out, tables, refused_rows)
    rows = out.loc[said["row"]].reset_index(drop=True).assign(its=said["connection_id"])
    rows = rows[(folded(bare(rows["its"])) == folded(bare(rows["connection_id"]))).to_numpy()]
    if not len(rows):
        return rows[["connection_id", *parts]]
    for part in parts:
        known = pd.concat([texts(tables[name], part) for name in ("survey", "connections") if name in tables])
        known = known.dropna().drop_duplicates()
        at = [positions(folded(known), folded(name)) for name in (rows[part] + AT + rows["site"], rows[part])]
        spelled = [take(known, where).set_axis(rows.index) for where in at]
        rows[part] = filled(filled(*spelled), rows[part])
    first, last = (rows.groupby("its")[parts].agg(which) for which in ("min", "max"))
    return first.where(first == last).rename_axis("connection_id").reset_index()


def beside_refused(readings: pd.DataFrame, said: pd.DataFrame) -> Bools:
    """Readings of connections of which another of that day, or of a day nobody knows, was refused."""
    made = readings["connection_id"].isin(said["connection_id"][said["day"].isna()]).to_numpy(dtype=bool, copy=True)
    dated = said[["connection_id", "day"]].dropna()
    at = np.flatnonzero(readings["connection_id"].isin(dated["connection_id"]))
    its = pd.MultiIndex.from_arrays([readings["connection_id"].iloc[at], days(readings["survey_date"])[at]])
    made[at] |= its.isin(pd.MultiIndex.from_arrays([dated["connection_id"], days(dated["day"])]))
    return made


def siblings_refused(rows: pd.DataFrame, refused_rows: pd.DataFrame) -> Bools:
    """Connections at a circuit or device of which a reading of that day, or of a day nobody knows, was refused."""
    out = refused_rows[(refused_rows["table"] == "survey") & (refused_rows["kind"] == "rejected")]
    at = positions(folded(rows["connection_id"]), folded(called(out).fillna("")))
    ours = {name: bare(texts(rows, name)) for name in ("equipment", "circuit", "device")}
    its = {name: bare(filled(texts(out, name), take(texts(rows, name), at).set_axis(out.index))) for name in ours}
    its_day, day = (days(dated).astype(str) for dated in (out["day"], rows["survey_date"]))
    its_day[its_day == str(NO_DAY)] = ""
    made = np.zeros(len(rows), dtype=bool)
    for part in ("circuit", "device"):
        key, its_key = (apart(of["equipment"] + "/" + of[part]) + AT for of in (ours, its))
        there = set((its_key + its_day)[its[part] != ""])
        made |= (ours[part] != "").to_numpy() & (key.isin(there) | (key + day).isin(there)).to_numpy()
    return made


def asks_again(frame: pd.DataFrame, said: pd.DataFrame, on: dt.date) -> dict[str, object]:
    """Connections of which a reading was refused that no later one has answered, and nobody has settled.

    Writes
        ``refused_on`` (day of the last such reading), ``refused_undated`` (one of a day nobody knows).
    """
    open_ = said[~said["is_settled"].to_numpy(dtype=bool)]
    at, day = positions(frame["connection_id"], open_["connection_id"]), days(open_["day"])
    seen = np.maximum(days(frame["survey_date"]), days(frame["after_date"]))
    undated = np.zeros(len(frame), dtype=bool)
    undated[at[(at >= 0) & (day == NO_DAY)]] = True
    asks = (at >= 0) & (day != NO_DAY) & (day >= seen[at]) & (day <= int(np.datetime64(on, "D").astype(np.int64)))
    return {"refused_on": dates(latest(len(frame), at[asks], day[asks])), "refused_undated": undated}


def work_refused_on(frame: pd.DataFrame, said: pd.DataFrame, on: dt.date) -> Ints:
    """Day of the last record of work of each connection that was refused; `NEVER` where nobody knows it of one,
    `NO_DAY` where none was."""
    at, day = positions(frame["connection_id"], said["connection_id"]), days(said["day"])
    day = np.where(day == NO_DAY, NEVER, day)
    counts = (at >= 0) & ((day == NEVER) | (day <= int(np.datetime64(on, "D").astype(np.int64))))
    return latest(len(frame), at[counts], day[counts])


def doubts_record(readings: pd.DataFrame, said: pd.DataFrame, work: pd.DataFrame) -> Bools:
    """Readings of which the record of then is in doubt: a record of work was refused that is of no later day, and not
    older than the last work before them.

    Parameters
    ----------
    readings : DataFrame
        ``connection_id survey_date survey_time``
    said : DataFrame
        Records of work that were refused, from `whose`; what is of a day nobody knows may be of any.
    work : DataFrame
        ``connection_id day time`` of all work that counts; what is not surely before a reading is not.
    """
    day, time = days(readings["survey_date"]), floats(readings, "survey_time")
    rows = readings[["connection_id"]].assign(row=np.arange(len(readings)))
    of_said = rows.merge(said[["connection_id"]].assign(its=days(said["day"])), on="connection_id")
    row, its = of_said["row"].to_numpy(), of_said["its"].to_numpy()
    its = np.where(its == NO_DAY, day[row], its)
    rejected = latest(len(rows), row[its <= day[row]], its[its <= day[row]])
    of_work = rows.merge(work[["connection_id", "day", "time"]], on="connection_id")
    row, its = of_work["row"].to_numpy(), of_work["day"].to_numpy()
    before = (its < day[row]) | ((its == day[row]) & (of_work["time"].to_numpy(dtype=float) <= time[row]))
    return (rejected != NO_DAY) & (rejected >= latest(len(rows), row[before], its[before]))


def unknown(said: pd.DataFrame, known: pd.Series, on: dt.date) -> pd.Series:
    """Ids that only a refused reading names up to the day: nobody knows yet how such a joint is."""
    other = (positions(known, said["connection_id"]) < 0) & ~(said["day"] > pd.Timestamp(on)).to_numpy()
    return said["connection_id"][other].drop_duplicates()


def refused_of(said: pd.DataFrame, refused_rows: pd.DataFrame, connection_id: str) -> pd.DataFrame:
    """The refused readings that may be of a connection."""
    return refused_rows.loc[said["row"][said["connection_id"] == connection_id].unique()]
