"""The work on each connection: every tightening, the last work, what was found since."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from riskscope.analysis.frames import NO_DAY, Bools, Ints, days, floats, is_any, kept, positions, texts, with_columns
from riskscope.analysis.frames import table as get_table
from riskscope.schema.codes import REMADE, WORKS
from riskscope.units import Floats


def tightenings(tables: Mapping[str, pd.DataFrame], ids: pd.Series, today: int) -> pd.DataFrame:
    """Every tightening up to today: installs rows, and findings with a torque they were left at."""
    installs, findings = get_table(tables, "installs"), get_table(tables, "findings")
    left = findings[~np.isnan(floats(findings, "as_left_nm"))]
    columns = ["connection_id", "work_date", "work_time", "required_low_nm", "required_high_nm",
               "applied_nm", "required_source", "tool_id", "method", "fastener", "drive_size",
               "thread", "conductor_size", "tolerance_pct", "witness_mark"]  # fmt: skip
    rows = installs[[name for name in columns if name in installs]]
    if len(left):
        by_finding = pd.DataFrame(
            {
                "connection_id": left["connection_id"],
                "work_date": left["work_date"],
                "work_time": texts(left, "work_time"),
                "applied_nm": left["as_left_nm"],
                "tool_id": texts(left, "tool_id"),
            }
        )
        rows = pd.concat([rows, by_finding.dropna(axis=1, how="all")], ignore_index=True)
    code = positions(ids, rows["connection_id"])
    rows = with_columns(rows, {"code": code, "day": days(rows["work_date"])})
    return kept(rows, (rows["day"] <= today).to_numpy())


def not_after(day: Ints, time: Floats, until: Ints, clock: Floats) -> Bools:
    """Whether a moment is not after another; on one day with a time unknown it is not."""
    known = ~np.isnan(time) & ~np.isnan(clock)
    return (day < until) | ((day == until) & (~known | (time <= clock)))


@dataclass(frozen=True)
class LastWork:
    """Of each connection the last work, what was found since or not yet put right; and all work there was.

    Attributes
    ----------
    day : ndarray of int
        `NO_DAY` where there was none. [days since 1970]
    time : ndarray
        NaN where it is not known. [min after midnight]
    found_loose, found_tight, damaged, remade, loose_same_day : ndarray of bool
        Found loose or tight since; damage not remade yet; remade on its last day; found loose on that day,
        before or after the work is not known.
    all_code, all_day, all_time : ndarray
        Connection, day and time of every piece of work.
    """

    day: Ints
    time: Floats
    found_loose: Bools
    found_tight: Bools
    damaged: Bools
    remade: Bools
    loose_same_day: Bools
    all_code: Ints
    all_day: Ints
    all_time: Floats


def last_work(tables: Mapping[str, pd.DataFrame], tightenings: pd.DataFrame, ids: pd.Series, today: int) -> LastWork:
    """The last work on each connection up to today."""
    findings = get_table(tables, "findings")
    count = len(ids)
    found_code = positions(ids, findings["connection_id"])
    found_day, found_time = days(findings["work_date"]), floats(findings, "work_time")
    past = found_day <= today
    worked = (is_any(findings, "action", tuple(WORKS)) | ~np.isnan(floats(findings, "as_left_nm"))) & past
    code = np.concatenate([tightenings["code"].to_numpy(), found_code[worked]])
    day = np.concatenate([tightenings["day"].to_numpy(), found_day[worked]])
    time = np.concatenate([floats(tightenings, "work_time"), found_time[worked]])
    last_day = _latest(count, code, day)
    on_last = day == last_day[code]
    latest_time = np.full(count, -1.0)
    np.maximum.at(latest_time, code[on_last], np.nan_to_num(time[on_last], nan=np.inf))
    last_time = np.where(np.isfinite(latest_time) & (latest_time >= 0), latest_time, np.nan)

    def since(mask: Bools) -> Bools:
        """Connections with such a finding later than their last work."""
        rows = np.flatnonzero(mask & past)
        at = found_code[rows]
        known = ~np.isnan(found_time[rows]) & ~np.isnan(last_time[at])
        later = (found_day[rows] > last_day[at]) | (
            (found_day[rows] == last_day[at]) & known & (found_time[rows] > last_time[at])
        )
        return _hit(count, at[later])

    loose = is_any(findings, "as_found", ("loose",))
    left = np.flatnonzero(loose & past & ~worked & (found_day == last_day[found_code]))
    untimed = np.isnan(found_time[left]) | np.isnan(last_time[found_code[left]])
    remade = is_any(findings, "action", REMADE) & past
    remade_day = _latest(count, found_code[remade], found_day[remade])
    damaged = np.flatnonzero(is_any(findings, "as_found", ("damaged", "discoloured")) & past)
    damaged_at = found_code[damaged]
    return LastWork(
        day=last_day,
        time=last_time,
        found_loose=since(loose),
        found_tight=since(is_any(findings, "as_found", ("tight",))),
        damaged=_hit(count, damaged_at[found_day[damaged] > remade_day[damaged_at]]),
        remade=(remade_day == last_day) & (last_day != NO_DAY),
        loose_same_day=_hit(count, found_code[left[untimed]]),
        all_code=code,
        all_day=day,
        all_time=time,
    )


def _latest(count: int, code: Ints, day: Ints) -> Ints:
    """The latest day of each connection; `NO_DAY` where there is none."""
    latest = np.full(count, NO_DAY)
    np.maximum.at(latest, code, day)
    return latest


def _hit(count: int, code: Ints) -> Bools:
    """Which connections are among these."""
    hits = np.zeros(count, dtype=bool)
    hits[code] = True
    return hits
