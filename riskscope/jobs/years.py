"""trend, due, recall: what the years say, from the same files as rank."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np
import pandas as pd

from riskscope.analysis.assess import assess_readings
from riskscope.analysis.years import effects as over_time
from riskscope.analysis.years.due import due as find_due
from riskscope.errors import UnusableInput, nearest
from riskscope.jobs.rank import Ranked
from riskscope.results.chains import Chains
from riskscope.results.tables import typed
from riskscope.schema import results as schema

YEARS_AHEAD = 2.0


def trend(ranked: Ranked) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Trend of each connection since its last work, steepest first; what each piece of work has done."""
    readings = assess_readings(ranked.intake, on=ranked.on, settings=ranked.settings, criteria=ranked.criteria)
    work = over_time.works(ranked.intake, ranked.on)
    trends = over_time.trends(readings, work, ranked.criteria, ranked.on)
    trends = trends.sort_values(["slope_k_per_year", "connection_id"], ascending=[False, True], kind="stable")
    effects = over_time.work_effects(readings, work, ranked.settings)
    return typed(trends, schema.TREND), typed(effects, schema.WORK_DONE)


def share_cured(effects: pd.DataFrame) -> pd.DataFrame:
    """How much of each kind of work has cured; see `riskscope.analysis.years.effects.share_cured`."""
    return over_time.share_cured(effects)


def due(ranked: Ranked) -> pd.DataFrame:
    """What is due on the day of the assessment, in route order."""
    return typed(find_due(ranked.found, ranked.intake, ranked.settings, ranked.on), schema.DUE)


def recall(ranked: Ranked, tool: str | None, since: dt.date | None) -> pd.DataFrame:
    """Every connection tightened with a tool since its last good date, worst-rated first.

    Parameters
    ----------
    ranked : Ranked
    tool : str or None
        None: every tool that was found out of tolerance.
    since : date or None
        Last good date; by default the tool's last calibration before it was found out of tolerance,
        else all its work.

    Raises
    ------
    UnusableInput
        If no record and no calibration names the tool.
    """
    events = over_time.out_of_tolerance(ranked.intake)
    if tool is not None:
        known = _tools(ranked)
        if tool.casefold() not in {name.casefold() for name in known}:
            raise UnusableInput(f"there is no tool {tool!r} in these files.", hint=nearest(tool, known))
        mine = [event for event in events if event[0].casefold() == tool.casefold()]
        if since is not None or not mine:
            mine = [(tool, since, ranked.on)]
        events = mine
    parts = [
        over_time.recall(ranked.found, ranked.intake, name, good, until).assign(tool_id=name)
        for name, good, until in events
    ]
    frame = (
        pd.concat(parts, ignore_index=True)
        if parts
        else pd.DataFrame(columns=[c.name for c in schema.RECALLED.columns])
    )
    return typed(frame, schema.RECALLED)


@dataclass(frozen=True)
class Years:
    """What the years say of an assessment: due, work done and what it cured, counts before."""

    due: pd.DataFrame
    effects: pd.DataFrame
    trends: pd.DataFrame
    before: pd.DataFrame


def years(chains: Chains, on: dt.date) -> Years:
    """What is due, what work has cured, how rises go, how the counts have changed."""
    work = over_time.works(chains.intake, on)
    return Years(
        due=typed(find_due(chains.found, chains.intake, chains.settings, on), schema.DUE),
        effects=typed(over_time.work_effects(chains.readings, work, chains.settings), schema.WORK_DONE),
        trends=typed(over_time.trends(chains.readings, work, chains.criteria, on), schema.TREND),
        before=over_time.bands_before(chains.readings),
    )


def history(chains: Chains, made: Years, connection_id: str) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Readings of one connection over the years, and the range its trend goes on in for two years.

    Returns
    -------
    DataFrame
        ``day rise_k severity``, one row a reading.
    DataFrame
        ``day low_k high_k``; empty without a trend.
    """
    mine = chains.readings[chains.readings["connection_id"] == connection_id]
    trend_ = made.trends[made.trends["connection_id"] == connection_id]
    basis = trend_["basis"].iloc[0] if len(trend_) else "similar"
    series = (
        pd.DataFrame({"day": mine["survey_date"], "rise_k": mine[f"rise_{basis}_full_k"], "severity": mine["severity"]})
        .dropna(subset=["rise_k"])
        .sort_values("day")
    )
    ahead = pd.DataFrame({"day": [], "low_k": [], "high_k": []})
    if len(trend_) and not pd.isna(trend_["slope_k_per_year"].iloc[0]):
        row = trend_.iloc[0]
        steps = np.linspace(0.0, YEARS_AHEAD, 9)
        ahead = pd.DataFrame(
            {
                "day": row["last_date"] + pd.to_timedelta(np.round(steps * 365.25), unit="D"),
                "low_k": row["last_rise_k"] + steps * row["slope_low_k_per_year"],
                "high_k": row["last_rise_k"] + steps * row["slope_high_k_per_year"],
            }
        )
    return series, ahead


def gaps(ranked: Ranked, state: str | None = None, equipment: str | None = None) -> pd.DataFrame:
    """Connections whose torque record is not verified, in route order.

    Parameters
    ----------
    ranked : Ranked
    state : str, optional
        Only records of this state; any of `riskscope.schema.results.STATES`.
    equipment : str, optional
        Only those of one board.

    Raises
    ------
    UnusableInput
        If no connection is on that board.
    """
    found = ranked.found
    keep = found["install_state"] == state if state else found["install_state"] != "verified"
    if equipment is not None:
        boards = found["equipment"].dropna().unique().tolist()
        if equipment.casefold() not in {board.casefold() for board in boards}:
            raise UnusableInput(f"no connection is on {equipment!r}.", hint=nearest(equipment, boards))
        keep &= found["equipment"].str.casefold() == equipment.casefold()
    listed = found[keep].sort_values(["site", "equipment", "connection_id"], kind="stable")
    return typed(listed, schema.GAPS)


def _tools(ranked: Ranked) -> list[str]:
    names: list[str] = []
    for table in ("tools", "installs", "findings"):
        frame = ranked.intake.get(table)
        if frame is not None and "tool_id" in frame:
            names += frame["tool_id"].dropna().unique().tolist()
    return list(dict.fromkeys(names))
