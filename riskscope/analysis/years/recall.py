"""Tools found out of tolerance, and what was tightened with them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import pandas as pd

from riskscope.analysis.frames import floats, positions, take, texts
from riskscope.analysis.frames import table as get_table
from riskscope.schema.common import AT


def tightened_with(
    connections: pd.DataFrame, tables: Mapping[str, pd.DataFrame], tool: str, last_good: dt.date | None, until: dt.date
) -> pd.DataFrame:
    """Every tightening done with a tool after its last good date, up to a day: worst-rated first.

    Returns
    -------
    DataFrame
        ``connection_id site equipment work_date applied_nm severity action urgency reworked``;
        ``reworked`` where the connection was worked on later with another tool.
    """
    installs, findings = get_table(tables, "installs"), get_table(tables, "findings")
    parts = []
    for frame, torque in ((installs, "applied_nm"), (findings, "as_left_nm")):
        rows = pd.DataFrame(
            {
                "connection_id": frame["connection_id"],
                "work_date": frame["work_date"],
                "tool_id": texts(frame, "tool_id").astype("str"),
                "applied_nm": floats(frame, torque),
            }
        )
        parts.append(rows[rows["tool_id"].notna()])
    rows = pd.concat(parts, ignore_index=True)
    later = rows.groupby("connection_id")["work_date"].transform("max")
    name, _, site = tool.casefold().rpartition(AT)
    used = rows["tool_id"].str.casefold()
    mine = used == tool.casefold()
    if site:  # a record of no known site may name this tool
        mine |= used.str.startswith(f"{name} @ ?") | (used == name)
    after = rows["work_date"] > pd.Timestamp(last_good) if last_good else True
    listed = rows.assign(reworked=later > rows["work_date"])[mine & after & (rows["work_date"] <= pd.Timestamp(until))]
    at = positions(connections["connection_id"], listed["connection_id"])
    columns = {
        name: take(texts(connections, name), at).to_numpy()
        for name in ("site", "equipment", "severity", "action", "urgency")
    }
    listed = listed.assign(**columns)
    listed = listed.assign(sort=-listed["severity"].fillna(-1.0))
    listed = listed.sort_values(["sort", "connection_id", "work_date"], kind="stable", ignore_index=True)
    return listed[
        ["connection_id", "site", "equipment", "work_date", "applied_nm", "severity", "action", "urgency", "reworked"]
    ]


def out_of_tolerance(tables: Mapping[str, pd.DataFrame]) -> list[tuple[str, dt.date | None, dt.date]]:
    """Tools found out of tolerance: tool, last good calibration before that day, the day."""
    tools = get_table(tables, "tools")
    events = []
    calibrated = texts(tools, "calibrated_on")
    bad = tools[texts(tools, "found_out_of_tolerance_on").notna()]
    for name, day in zip(bad["tool_id"], texts(bad, "found_out_of_tolerance_on"), strict=True):
        good = calibrated[(tools["tool_id"] == name) & (calibrated < day)]
        events.append((str(name), good.max().date() if len(good) else None, day.date()))
    return events
