"""Whether the record of a tightening can be believed: its state, and every reason for it."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import Bools, Ints, floats, is_any, latest, texts
from riskscope.analysis.frames import table as get_table
from riskscope.analysis.records.calibration import calibration
from riskscope.analysis.records.required import ONLY_ASKS, Required, another, required_of, tolerance_of, unread_since
from riskscope.analysis.records.work_history import not_after
from riskscope.schema.codes import STATE_REASONS, TOOL_REJECTED
from riskscope.settings import Settings
from riskscope.units import Floats, edge

# Ratios of applied to required that a mix-up of units makes: lbf·in for lbf·ft, lbf·in for N·m,
# N·m for kgf·m, ozf·in for lbf·in, and their inverses.
UNIT_RATIOS = (12.0, 8.851, 9.807, 16.0)
FT_FOR_NM = 1.3558
BIT = {reason: 1 << number for number, reason in enumerate(STATE_REASONS)}
# State of one fastener's record, worst first.
UNRECORDED, MIXED_UP, UNDER, OVER, DOUBTFUL, VERIFIED = range(6)
STATE_OF_RANK = ("unrecorded", "doubtful", "under-torqued", "over-torqued", "doubtful", "verified")
LOOSE_SAME_DAY = "found loose on the day of the work, perhaps after it"


def selected(rows: pd.DataFrame, until: Ints, clock: Floats) -> Ints:
    """Positions of the rows of each connection's latest day of tightening up to its survey."""
    code, day = rows["code"].to_numpy(), rows["day"].to_numpy()
    before = not_after(day, floats(rows, "work_time"), until[code], clock[code]) & ~is_any(rows, ONLY_ASKS, ("yes",))
    last = latest(len(until), code[before], day[before])
    return np.flatnonzero(before & (day == last[code]))


TOOL_IN_DOUBT = "tool in doubt"  # column of the tightenings: a row of the tool was rejected


def judge(
    all_rows: pd.DataFrame, selected: Ints, renewed: Ints, tables: Mapping[str, pd.DataFrame], settings: Settings
) -> pd.DataFrame:
    """The worst record of each connection: ``code rank reasons row day`` and what was required.

    Parameters
    ----------
    selected : ndarray of int
        The rows that count; see `selected`.
    renewed : ndarray of int
        Day each connection's joint or device was last replaced: what was before says nothing of it.
    """
    rows = all_rows if len(selected) == len(all_rows) else all_rows.iloc[selected].reset_index(drop=True)
    required = required_of(all_rows, rows, renewed, settings)
    low, high = required.low, required.high
    applied = floats(rows, "applied_nm")
    shear = is_any(rows, "method", ("shear head",))
    by_feel = is_any(rows, "method", ("by feel",))
    no_value = np.isnan(applied) & ~shear & ~by_feel
    unrecorded = by_feel | no_value
    judged = ~unrecorded & ~np.isnan(applied)
    ratio = applied / np.clip(applied, low, high)
    mixed = judged & _unit_mixup(ratio, settings)
    tolerance = tolerance_of(rows, settings)
    under = judged & (edge(applied) < edge(low * (1 - tolerance)))
    over = judged & (edge(applied) > edge(high * (1 + tolerance)))
    foot = np.minimum(np.abs(ratio / FT_FOR_NM - 1), np.abs(ratio * FT_FOR_NM - 1))
    doubts = _doubts(rows, required, judged, judged & ~shear, tables, settings)
    unread = unread_since(all_rows, rows, renewed)
    lower, required = another(all_rows, rows, required, renewed, tolerance)
    holds = {
        "tightened by feel": by_feel,
        "no torque value": no_value,
        "likely unit mix-up": mixed,
        "below required": under,
        "above required": over,
        "lbf·ft for N·m?": (under | over) & ~mixed & (edge(foot) <= 0.03),
        **doubts,
        "required torque could not be read": judged & unread,
        "requires less than another record": judged & lower,
        "not every fastener tightened": _in_part(all_rows, rows),
        "nothing was done, says the finding": texts(rows, "left_alone").eq(True).to_numpy(dtype=bool),
    }
    reasons = np.zeros(len(rows), dtype=np.int64)
    for reason, mask in holds.items():
        reasons |= np.where(mask, BIT[reason], 0)
    doubtful = np.logical_or.reduce([mask for reason, mask in holds.items() if STATE_REASONS[reason].doubt])
    rank = np.select(
        [unrecorded, mixed, under, over, doubtful], [UNRECORDED, MIXED_UP, UNDER, OVER, DOUBTFUL], VERIFIED
    )
    made = {"code": rows["code"], "rank": rank, "reasons": reasons, "row": selected, "day": rows["day"]}
    return _worst(pd.DataFrame({**made, **vars(required)}))


def _worst(fasteners: pd.DataFrame) -> pd.DataFrame:
    """Of the fasteners of each connection the worst, with the reasons of them all."""
    if not len(fasteners) or not fasteners["code"].duplicated().any():
        return fasteners
    ordered = fasteners.sort_values(["code", "rank", "row"], ignore_index=True)
    begins = np.flatnonzero(~ordered["code"].duplicated().to_numpy())
    worst = ordered.iloc[begins].reset_index(drop=True)
    return worst.assign(reasons=np.bitwise_or.reduceat(ordered["reasons"].to_numpy(), begins))


def _in_part(all_rows: pd.DataFrame, rows: pd.DataFrame) -> Bools:
    """Rows of connections with a numbered fastener on an earlier record that is not on this one, which is numbered; of
    a device that was replaced since too: nothing says that the new one has fewer."""
    made = np.zeros(len(rows), dtype=bool)
    number = texts(rows, "fastener_no")
    numbered = rows.loc[number.notna().to_numpy(), ["code", "day"]].drop_duplicates()
    if not len(numbered):
        return made
    before = all_rows.loc[texts(all_rows, "fastener_no").notna().to_numpy(), ["code", "day", "fastener_no"]]
    both = numbered.merge(before, on="code", suffixes=("", "_before"))
    both = both[both["day_before"] < both["day"]]
    there = pd.MultiIndex.from_arrays([rows["code"], number])
    lacking = ~pd.MultiIndex.from_frame(both[["code", "fastener_no"]]).isin(there)
    return rows["code"].isin(both["code"][lacking]).to_numpy()


def _unit_mixup(ratio: Floats, settings: Settings) -> Bools:
    near = np.zeros(len(ratio), dtype=bool)
    slack = settings.unit_mixup_pct / 100.0
    for factor in UNIT_RATIOS:
        for candidate in (factor, 1 / factor):
            near |= edge(np.abs(ratio / candidate - 1)) <= edge(slack)
    return near


def _doubts(
    rows: pd.DataFrame,
    required: Required,
    judged: Bools,
    by_tool: Bools,
    tables: Mapping[str, pd.DataFrame],
    settings: Settings,
) -> dict[str, Bools]:
    """Why a record with a torque value may not be believed."""
    tools = get_table(tables, "tools")
    used = texts(rows, "tool_id").notna().to_numpy()
    listed = texts(rows, "tool_id").isin(tools["tool_id"]).to_numpy(dtype=bool) & used
    covered, smallest, largest, found_out = calibration(rows, tools, settings)
    applied = floats(rows, "applied_nm")
    smallest = np.where(np.isnan(smallest), largest * settings.tool_range_low_pct / 100.0, smallest)
    outside = (edge(applied) < edge(smallest)) | (edge(applied) > edge(largest))
    middle = (required.low + required.high) / 2
    unlike = (edge(middle) < edge(settings.required_low_ratio * required.published)) | (
        edge(middle) > edge(settings.required_high_ratio * required.published)
    )
    return {
        "tool not recorded": by_tool & ~used,
        "tool not in the tool list": by_tool & used & ~listed,
        "no calibration covering that day": by_tool & listed & ~covered,
        "tool later found out of tolerance": by_tool & listed & found_out,
        "outside the tool's range": by_tool & listed & outside,
        TOOL_REJECTED: by_tool & texts(rows, TOOL_IN_DOUBT).eq(True).to_numpy(dtype=bool),
        "required torque unknown": judged & np.isnan(required.low),
        "required torque unlike the published table": judged & unlike & ~required.makers,
        "earlier records require different torques": judged & required.differs,
        "witness mark broken": is_any(rows, "witness_mark", ("broken",)),
    }
