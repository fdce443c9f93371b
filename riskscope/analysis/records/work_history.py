"""The work on each connection: every tightening, the last work, what was found since."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from riskscope.analysis.frames import (
    DAY_MIN,
    NEVER,
    NO_DAY,
    Bools,
    Ints,
    days,
    floats,
    is_any,
    kept,
    latest,
    positions,
    texts,
    with_columns,
)
from riskscope.analysis.frames import table as get_table
from riskscope.analysis.proof.visits import LOOKED, OF_DEVICE, PERHAPS, REMADE, REPLACED, TIGHTENED
from riskscope.analysis.records.required import OF_FINDING, ONLY_ASKS, SOURCE_UNREAD, UNREAD
from riskscope.schema.tables import EXTRA
from riskscope.units import Floats


def tightenings(tables: Mapping[str, pd.DataFrame], ids: pd.Series, today: int) -> pd.DataFrame:
    """Every tightening up to today: installs rows, and findings with a torque they were left at; and those that only
    say what is required (`ONLY_ASKS`)."""
    installs, findings = get_table(tables, "installs"), get_table(tables, "findings")
    none = np.isnan(floats(findings, "as_left_nm"))
    asks = ~np.isnan(floats(findings, "required_low_nm")) | texts(findings, EXTRA + "required_torque").notna()
    left, only_asks = findings[~none | asks.to_numpy()], (none & asks)[~none | asks]
    columns = ["connection_id", "work_date", "work_time", "required_low_nm", "required_high_nm",
               "applied_nm", "required_source", "tool_id", "method", "fastener", "drive_size",
               "thread", "conductor_size", "tolerance_pct", "witness_mark", "fastener_no"]  # fmt: skip
    rows = installs[[name for name in columns if name in installs]]
    if len(left):
        by_finding = pd.DataFrame(
            {
                "connection_id": left["connection_id"],
                "work_date": left["work_date"],
                "work_time": texts(left, "work_time"),
                "required_low_nm": floats(left, "required_low_nm"),
                "required_high_nm": floats(left, "required_high_nm"),
                "applied_nm": floats(left, "as_left_nm"),
                "required_source": texts(left, "required_source"),
                "tool_id": texts(left, "tool_id"),
                "left_alone": is_any(left, "action", ("none",)),
                UNREAD: texts(left, EXTRA + "required_torque"),
                SOURCE_UNREAD: texts(left, EXTRA + "required_source"),
                OF_FINDING: "yes",
                ONLY_ASKS: pd.Series(only_asks, left.index).map({True: "yes"}),
            }
        )
        rows = pd.concat([rows, by_finding.dropna(axis=1, how="all")], ignore_index=True)
    code = positions(ids, rows["connection_id"])
    rows = with_columns(rows, {"code": code, "day": days(rows["work_date"])})
    return kept(rows, (rows["day"] <= today).to_numpy())


def begun(rows: pd.DataFrame, count: int) -> Floats:
    """When the record of each connection begins, of the rows of its last day: its first fastener, as it was last
    tightened.

    A torque in a finding is of all its fasteners. A row without a time beside others with one may be the first.

    Returns
    -------
    ndarray
        NaN where no row has a time. [min after midnight]
    """
    first = np.full(count, np.nan)
    time = floats(rows, "work_time")
    timed = np.zeros(count, dtype=bool)
    timed[rows["code"].to_numpy()[~np.isnan(time)]] = True
    if not timed.any():
        return first
    its = kept(rows, timed[rows["code"].to_numpy()])
    code, number = its["code"].to_numpy(), texts(its, "fastener_no")
    last, of_all = pd.Series(np.nan_to_num(floats(its, "work_time"), nan=-1.0)), np.full(count, -1.0)
    whole = is_any(its, OF_FINDING, ("yes",))
    np.maximum.at(of_all, code[whole], last.to_numpy()[whole])
    numbered = number.notna().to_numpy()
    same = [code[numbered], number.to_numpy()[numbered]]
    last[numbered] = last[numbered].groupby(same).transform("max")
    np.fmin.at(first, code, np.maximum(last.to_numpy(), of_all[code]))
    return first


def not_after(day: Ints, time: Floats, until: Ints, clock: Floats) -> Bools:
    """Whether a moment is surely not after another: on one day with a time unknown it is not sure."""
    with np.errstate(invalid="ignore"):
        return (day < until) | ((day == until) & (time <= clock))


def surely_after(day: Ints, time: Floats, other: Ints, other_time: Floats) -> Bools:
    """Whether a moment is surely after another, or after none (`NO_DAY`): on one day both times are to be known."""
    with np.errstate(invalid="ignore"):
        return (day > other) | ((day == other) & (time > other_time))


LAST_MINUTE = 1.0 - 1.0 / DAY_MIN


@dataclass(frozen=True)
class LastWork:
    """Of each connection the last work up to a moment, and what was found since or not yet put right.

    Attributes
    ----------
    day : ndarray of int
        `NO_DAY` where there was none. [days since 1970]
    time : ndarray
        NaN where it is not known. [min after midnight]
    found_loose, found_tight, damaged, loose_same_day : ndarray of bool
        Found loose or tight since; damage not remade yet; found loose on the last day, before or after the work is
        not known.
    loose_time : ndarray
        When it was last found loose and left on that day; NaN where it was not, or it is not known.
        [min after midnight]
    damaged_since, loose_since : ndarray of int
        Day it was first so found since the last remake, or work; else before that and after the one before; else when
        it last was; `NO_DAY` where it never was. [days since 1970]
    remade_on, tightened_on : ndarray of int
        Day of the first work since it was last found damaged (a remake) or loose: whether that put it right is for
        the record to say; `NO_DAY` where nothing was so found, or it was not worked on since. [days since 1970]
    untold : ndarray
        Time of the last work on that day without a torque; NaN where there is none. [min after midnight]
    die : ndarray of bool
        The last work was a remake, every row of it with its tool or die.
    opened, renewed : ndarray of int
        Day its device was last replaced, which is no work on the joint itself; or that, or the joint. [days since 1970]
    opened_time : ndarray
        Time at which either was done without a torque on the last of these days or of work, −1 where it is not known.
        [min after midnight]
    """

    day: Ints
    time: Floats
    found_loose: Bools
    found_tight: Bools
    damaged: Bools
    loose_same_day: Bools
    loose_time: Floats
    damaged_since: Ints
    loose_since: Ints
    remade_on: Ints
    tightened_on: Ints
    untold: Floats
    die: Bools
    opened: Ints
    opened_time: Floats
    renewed: Ints


def last_work(visits: pd.DataFrame, until: Ints, clock: Floats) -> LastWork:
    """The last work on each connection, of visits surely not after its moment."""
    count = len(until)
    at = visits["code"].to_numpy()
    visits = visits[not_after(visits["day"].to_numpy(), floats(visits, "time"), until[at], clock[at])]
    code, day, time = visits["code"].to_numpy(), visits["day"].to_numpy(), floats(visits, "time")
    of_device = visits[OF_DEVICE].to_numpy(dtype=bool)
    surely = of_device & (visits[PERHAPS] <= LOOKED).to_numpy()
    worked = (visits["did"] >= TIGHTENED).to_numpy() & ~of_device
    last_day = latest(count, code[worked], day[worked])
    on_last = worked & (day == last_day[code])
    latest_time = np.full(count, -1.0)
    np.maximum.at(latest_time, code[on_last], np.nan_to_num(time[on_last], nan=np.inf))
    last_time = np.where(np.isfinite(latest_time) & (latest_time >= 0), latest_time, np.nan)
    later = surely_after(day, time, last_day[code], last_time[code])
    loose, damaged = visits["loose"].to_numpy(dtype=bool), visits["damaged"].to_numpy(dtype=bool)
    left = loose & ~worked & (day == last_day[code])
    untimed = left & (np.isnan(time) | np.isnan(last_time[code]))
    remade = (visits["did"] >= REMADE).to_numpy() & ~of_device
    replaced = (visits["did"] >= REPLACED).to_numpy()
    remade_at = np.full(count, -np.inf)  # on one day without times it is not known that the remake came later
    np.maximum.at(remade_at, code[remade], day[remade] + np.nan_to_num(time[remade]) / DAY_MIN)
    put_right = remade | (remade_at[code] > day + np.nan_to_num(time / DAY_MIN, nan=LAST_MINUTE))
    tool, without = visits["tool"].to_numpy(dtype=bool), on_last & ~visits["torque"].to_numpy(dtype=bool)
    opened, opened_time = latest(count, code[of_device], day[of_device]), np.full(count, -1.0)
    anew = of_device | (replaced & ~visits["torque"].to_numpy(dtype=bool))
    last_opened = anew & (day == np.maximum(opened, last_day)[code])
    np.maximum.at(opened_time, code[last_opened], np.nan_to_num(time[last_opened], nan=-1.0))
    left_bad, loose_later = damaged & ~put_right, _hit(count, code[loose & later])
    firsts = {
        name: np.where(_hit(count, code[now]), _first(count, code, day, now), _first(count, code, day, before))
        for name, now, before in (
            ("damaged", left_bad, damaged & (day > _last_but_one(code, day, remade, count)[code])),
            ("loose", loose & later, loose & (day > _last_but_one(code, day, worked, count)[code])),
        )
    }
    for name, bad in (("damaged", damaged), ("loose", loose)):
        firsts[name] = np.where(firsts[name] == NO_DAY, latest(count, code[bad], day[bad]), firsts[name])
    own = np.where(remade, 0.0, LAST_MINUTE)  # of damage without a time: found before its own remake, after any other
    return LastWork(
        day=last_day,
        time=last_time,
        found_loose=loose_later,
        found_tight=_hit(count, code[later & is_any(visits, "found", ("tight",))]),
        damaged=_hit(count, code[left_bad]),
        loose_same_day=_hit(count, code[untimed]),
        loose_time=_last_time(count, code[left], time[left]),
        damaged_since=firsts["damaged"],
        loose_since=firsts["loose"],
        remade_on=first_after(visits, last_moment(visits, damaged & put_right, own, count), remade, 0.0),
        tightened_on=np.where(
            loose_later, NO_DAY, first_after(visits, last_moment(visits, loose, 0.0 * own, count), worked, LAST_MINUTE)
        ),
        untold=_last_time(count, code[without], time[without]),
        die=_hit(count, code[on_last & remade]) & ~_hit(count, code[on_last & ~tool]),
        opened=opened,
        opened_time=opened_time,
        renewed=latest(count, code[surely | replaced], day[surely | replaced]),
    )


def first_after(visits: pd.DataFrame, begun: Floats, done: Bools, untimed: float) -> Ints:
    """Day of the first such work not before this moment of each connection.

    Parameters
    ----------
    begun : ndarray
        −inf where there is none, and no work after it then. [days since 1970]
    untimed : float
        The part of its day at which work without a time is taken to be: 0, it may be the earlier; `LAST_MINUTE`.
    """
    code, day = visits["code"].to_numpy(), visits["day"].to_numpy()
    moment = day + np.nan_to_num(floats(visits, "time") / DAY_MIN, nan=untimed)
    return _first(len(begun), code, day, done & np.isfinite(begun[code]) & (moment >= begun[code]))


def last_moment(visits: pd.DataFrame, which: Bools, untimed: Floats | float, count: int) -> Floats:
    """When the last of these visits to each connection was, without a time at this part of its day; −inf where there
    was none. [days since 1970]"""
    made, time = np.full(count, -np.inf), floats(visits, "time") / DAY_MIN
    moment = visits["day"].to_numpy() + np.where(np.isnan(time), untimed, time)
    np.maximum.at(made, visits["code"].to_numpy()[which], moment[which])
    return made


def _last_but_one(code: Ints, day: Ints, done: Bools, count: int) -> Ints:
    """Day of the last such work of each connection before the day of its last; `NO_DAY` where there is none."""
    before = done & (day < latest(count, code[done], day[done])[code])
    return latest(count, code[before], day[before])


def _first(count: int, code: Ints, day: Ints, mask: Bools) -> Ints:
    """The first of these days of each connection; `NO_DAY` where there is none."""
    first = np.full(count, NEVER)
    np.minimum.at(first, code[mask], day[mask])
    return np.where(first == NEVER, NO_DAY, first)


def _last_time(count: int, code: Ints, time: Floats) -> Floats:
    """The last of these times of each connection; NaN where none is known."""
    last = np.full(count, np.nan)
    np.fmax.at(last, code, time)
    return last


def _hit(count: int, code: Ints) -> Bools:
    """Which connections are among these."""
    hits = np.zeros(count, dtype=bool)
    hits[code] = True
    return hits
