"""The torque record of each connection, at its reading and now: its state, all reasons for it, and the work since."""

from __future__ import annotations

import copy
import datetime as dt
from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import (
    DAY_MIN,
    NEVER,
    NO_DAY,
    Bools,
    Ints,
    dates,
    days,
    floats,
    is_any,
    latest,
    take,
    texts,
    with_columns,
)
from riskscope.analysis.likelihood import prior_of
from riskscope.analysis.proof import refused
from riskscope.analysis.proof.heat import PERHAPS_TIGHT
from riskscope.analysis.proof.visits import CLASH, LOOKED, OF_DEVICE, PERHAPS, REMADE
from riskscope.analysis.records.judge import TOOL_IN_DOUBT
from riskscope.analysis.records.kinds import torque_applies
from riskscope.analysis.records.record import Record, known_then, right_days
from riskscope.analysis.records.required import required_torque
from riskscope.analysis.records.work_history import (
    LAST_MINUTE,
    LastWork,
    first_after,
    last_moment,
    not_after,
    surely_after,
    tightenings,
)
from riskscope.schema.codes import ANOTHER_REJECTED, CONTRADICTED
from riskscope.settings import Settings
from riskscope.units import Floats

READS = ("connection_id", "survey_date", "survey_time", "surveyed", "perhaps tight: rejected", "perhaps tight: denied",
         "attested", "attested_on", "cool_on", "cool_time", "hot_on", "hot_time",
         "hot_first_on", "hot_first_time", "cool_like_on",
         "site", "equipment", "circuit", "device", "termination_kind", "point")  # fmt: skip
WRITES = ("install_state", "install_reasons", "record_now", "record_now_reasons", "likelihood_state", "required_nm",
          "required_high_nm", "required_low_nm", "required_from", "applied_nm", "applied_now_nm", "record_date",
          "record_tool", "last_work_date", "worked_after", "worked_same_day", "found_damaged", "found_loose",
          "bad_in_doubt", "loose_put_right", "damage_put_right", "found_tight_since", "found_bad_on", "bad_since",
          "seen_when_cool", "recorded_right",
          "torque applies")  # fmt: skip


def records(
    connections: pd.DataFrame,
    tables: Mapping[str, pd.DataFrame],
    every: pd.DataFrame,
    of_work: pd.DataFrame,
    in_doubt: pd.Series,
    settings: Settings,
    on: dt.date,
) -> dict[str, object]:
    """Two states of the record: as it stood at the reading, and of all work up to the day.

    The record that counts is the latest tightening: an `installs` row, or a finding with a torque it was left at.
    Several rows of one connection and day are its fasteners: the worst counts. Work on the day of the reading in an
    order that is not known is of the record now, not of that at the reading.

    Parameters
    ----------
    every : DataFrame
        The visits to these connections; see `riskscope.analysis.proof.visits.visits`.
    of_work : DataFrame
        Records of work that were refused; see `riskscope.analysis.proof.whose.whose`.
    in_doubt : Series of str
        Tools of which a row was refused. It doubts what was done, not what was on record at the reading: whether a
        joint was hot though tight is judged as if that row were not there.

    Reads
        `READS`; of `installs`, `findings` (settled) and `tools` every column.
    Writes
        `WRITES`
    """
    ids, today = connections["connection_id"], int(np.datetime64(on, "D").astype(np.int64))
    surveyed, clock = connections["surveyed"].to_numpy(dtype=bool), floats(connections, "survey_time")
    tomorrow, no_time = np.full(len(ids), today + 1), np.full(len(ids), np.nan)
    until = np.where(surveyed, days(connections["survey_date"]), tomorrow)
    rows = tightenings(tables, ids, today)
    then = Record(known_then(rows, until, clock), every, tables, settings, until, clock)
    later = ~not_after(every["day"].to_numpy(), floats(every, "time"), until[every["code"]], clock[every["code"]])
    refused_on = refused.work_refused_on(connections, of_work, on)
    by_doubted = texts(rows, "tool_id").isin(in_doubt).to_numpy(dtype=bool)
    anew = later.any() or len(then.rows) < len(rows) or by_doubted.any()
    told = with_columns(rows, {TOOL_IN_DOUBT: by_doubted})
    now = Record(told, every, tables, settings, tomorrow, no_time) if anew else copy.copy(then)
    doubts = _doubts(connections, now, every, refused_on, until, clock)
    for reason, mask in doubts.items():
        now.doubt(mask, reason)
    low, high, source = required_torque(now.worst, now.at, now.rows, ids, now.last.renewed, settings)
    after, opened, same_day = _worked_since(last := now.last, surveyed, until, clock)
    right = now.right(connections) & ~np.logical_or.reduce([*doubts.values()])
    bad = _bad_before(now, right, refused_on, every, connections, tables, settings)
    damaged = last.damaged | bad["damaged"]["wrong"]
    (state, reasons), (state_now, reasons_now) = then.when_read(), now.in_words()
    return {
        "install_state": state,
        "install_reasons": reasons,
        "record_now": state_now,
        "record_now_reasons": reasons_now,
        "likelihood_state": state.where(~(after | last.found_loose | _worse(state_now, state, settings)), state_now),
        "required_nm": (low + high) / 2,
        "required_low_nm": low,
        "required_high_nm": high,
        "required_from": source,
        "applied_nm": then.applied(),
        "applied_now_nm": now.applied(),
        "record_date": dates(now.day),
        "record_tool": take(texts(now.rows, "tool_id"), now.at),
        "last_work_date": dates(np.maximum(last.day, last.opened)),
        "worked_after": after | opened,
        "worked_same_day": same_day,
        "recorded_right": right,
        "found_damaged": damaged,
        "found_loose": last.found_loose | bad["loose"]["wrong"],
        "bad_in_doubt": bad["damaged"]["in doubt"] | bad["loose"]["in doubt"],
        "loose_put_right": bad["loose"]["right"],
        "damage_put_right": bad["damaged"]["right"],
        "found_tight_since": last.found_tight & ~last.found_loose,
        "found_bad_on": dates(np.where(damaged, last.damaged_since, last.loose_since)),
        "bad_since": dates(_bad_since(last, bad)),
        "seen_when_cool": _seen_when_cool(connections, every, last),
        "torque applies": torque_applies(connections),
    }


def _worse(now: pd.Series, then: pd.Series, settings: Settings) -> Bools:
    """Records that are doubted since by what is no work, a rejected row say."""
    tight = np.zeros(len(now), dtype=bool)
    return prior_of(now, tight, settings) > prior_of(then, tight, settings)


def _bad_since(last: LastWork, bad: dict[str, dict[str, Bools]]) -> Ints:
    """Day since which each connection is loose or damaged, the earlier, as far as that is not put right for sure."""
    first = np.full(len(last.day), NEVER)
    for name, now, since in (
        ("damaged", last.damaged, last.damaged_since),
        ("loose", last.found_loose, last.loose_since),
    ):
        counts = (now | bad[name]["wrong"] | bad[name]["in doubt"]) & (since != NO_DAY)
        first = np.where(counts, np.minimum(first, since), first)
    return np.where(first == NEVER, NO_DAY, first)


def _doubts(
    connections: pd.DataFrame, now: Record, every: pd.DataFrame, refused_on: Ints, until: Ints, clock: Floats
) -> dict[str, Bools]:
    """What else doubts the record of each connection: a record of later work was refused, or findings of one day
    contradict each other. Of several fasteners of a day it may have been after the first."""
    begun_on = now.begun_on()
    denied_on = last_moment(every, (every[PERHAPS] > LOOKED).to_numpy(), LAST_MINUTE, len(until))
    rejected_on = np.where(refused_on == NO_DAY, -np.inf, refused_on + LAST_MINUTE)
    not_remade = _not_remade(every, until, clock)
    causes = zip((ANOTHER_REJECTED, CONTRADICTED), (rejected_on, denied_on), PERHAPS_TIGHT, strict=True)
    return {
        reason: (np.isfinite(last) & (last >= begun_on))
        | (connections[flag].eq(True).to_numpy(dtype=bool) & not_remade)
        for reason, last, flag in causes
    }


def _not_remade(every: pd.DataFrame, until: Ints, clock: Floats) -> Bools:
    """Connections not remade since: of what was hot though perhaps tight no tightening is known to be right."""
    code, day, time = every["code"].to_numpy(), every["day"].to_numpy(), floats(every, "time")
    since = (day > until[code]) | ((day == until[code]) & ~(time <= clock[code]))
    remade = np.zeros(len(until), dtype=bool)
    remade[code[since & (every["did"] >= REMADE).to_numpy()]] = True
    return ~remade


def _worked_since(last: LastWork, surveyed: Bools, until: Ints, clock: Floats) -> tuple[Bools, Bools, Bools]:
    """Connections worked on after their reading, opened after it, and either on its day in an order nobody knows."""
    that_day = (last.day == until) & (np.nan_to_num(last.time, nan=-1.0) > np.nan_to_num(clock, nan=np.inf))
    after = surveyed & (last.day != NO_DAY) & ((last.day > until) | that_day)
    opened = surveyed & (last.opened > until)
    unknown = (last.day == until) & (np.isnan(last.time) | np.isnan(clock))
    return after, opened, surveyed & (unknown | (last.opened == until)) & ~after & ~opened


def _bad_before(
    now: Record,
    right: Bools,
    refused_on: Ints,
    every: pd.DataFrame,
    connections: pd.DataFrame,
    tables: Mapping[str, pd.DataFrame],
    settings: Settings,
) -> dict[str, dict[str, Bools]]:
    """Of connections found damaged, or loose, and worked on since what came of it.

    Returns
    -------
    dict of dict
        For ``damaged`` and ``loose``: ``wrong`` (no record is right, and nothing says what came of the work, or a
        remake was read hot and there was none since), ``in doubt`` (a fit, cool reading came after it; or later work
        is not recorded right, and none did), ``right`` (recorded right to this day, and no such reading came after).
    """
    last = now.last
    hot_on = days(connections["hot_on"])
    right_on, remade_on = _remade_on(now, right, refused_on, every, connections, tables, settings)
    attested, attested_on = connections["attested"].to_numpy(dtype=bool), days(connections["attested_on"])
    made = {}
    for name, day in (("damaged", remade_on), ("loose", last.tightened_on)):
        done = day != NEVER  # else what was read hot was no remake, and there was none since
        never = ~(right & done) & (right_on < day)
        cool = np.where(done, attested | (attested_on > day), days(connections["cool_like_on"]) > hot_on)
        in_doubt = ~(right & done) & (never == cool)
        masks = {"wrong": never & ~cool, "in doubt": in_doubt, "right": right & ~never & ~cool}
        made[name] = {state: mask & (day != NO_DAY) for state, mask in masks.items()}
    return made


def _remade_on(
    now: Record,
    right: Bools,
    refused_on: Ints,
    every: pd.DataFrame,
    connections: pd.DataFrame,
    tables: Mapping[str, pd.DataFrame],
    settings: Settings,
) -> tuple[Ints, Ints]:
    """The last day that is recorded right, and the day of the remake that may have put right what was damaged.

    A remake that was read hot before it was read cool, and was not recorded right before that, did not: the next one
    may have; `NEVER` where there was none since. Of several readings that say so the first and the last are known:
    after the first only what was recorded right since the last remake counts, or a remake that was so itself.
    """
    last, count = now.last, len(right)
    hot = [_moments(connections, name) for name in ("hot_first", "hot")]
    waits = np.maximum(last.remade_on, last.tightened_on) != NO_DAY
    waits &= ~right | ((last.remade_on != NO_DAY) & (hot[-1] >= last.remade_on))
    code, day = right_days(now, every, waits, connections, tables, settings)
    code, day = (values[day > refused_on[code]] for values in (code, day))  # what came since is open
    remade = (every["did"] >= REMADE).to_numpy() & ~every[OF_DEVICE].to_numpy(dtype=bool)
    its, made_on = (every[name].to_numpy()[remade] for name in ("code", "day"))
    made_at = made_on + np.nan_to_num(floats(every, "time")[remade] / DAY_MIN)
    is_remake = pd.MultiIndex.from_arrays([code, day]).isin(pd.MultiIndex.from_arrays([its, made_on]))
    remade_on, refuted = last.remade_on, np.zeros(count, dtype=bool)
    for moment in hot:
        before, earlier = day < np.floor(moment[code]), made_at <= moment[its]
        of_remake = latest(count, code[before & is_remake], day[before & is_remake])
        since = np.where(refuted & (of_remake < remade_on), latest(count, its[earlier], made_on[earlier]), remade_on)
        wrong = (since != NO_DAY) & (moment >= since) & (latest(count, code[before], day[before]) < since)
        again = first_after(every, moment, remade, 0.0)
        remade_on = np.where(wrong, np.where(again == NO_DAY, NEVER, again), remade_on)
        refuted |= wrong
    return latest(count, code, day), remade_on


def _moments(connections: pd.DataFrame, name: str) -> Floats:
    """When each was read so, without a time the last minute of the day; −inf where it never was. [days since 1970]"""
    day, time = days(connections[f"{name}_on"]), floats(connections, f"{name}_time") / DAY_MIN
    return np.where(day == NO_DAY, -np.inf, day + np.nan_to_num(time, nan=LAST_MINUTE))


def _seen_when_cool(connections: pd.DataFrame, every: pd.DataFrame, last: LastWork) -> Bools:
    """Whether somebody found it tight after it was read cool, and has not worked on it since."""
    code, day, time = every["code"].to_numpy(), every["day"].to_numpy(), floats(every, "time")
    cool_on, cool_time = days(connections["cool_on"])[code], floats(connections, "cool_time")[code]
    seen = (cool_on != NO_DAY) & surely_after(day, time, cool_on, cool_time)
    seen &= surely_after(day, time, last.day[code], last.time[code])
    seen &= is_any(every, "found", ("tight",)) & (every["did"] == LOOKED).to_numpy()
    seen &= ~every[CLASH].to_numpy(dtype=bool)  # "tight" beside another finding of that day that denies it
    made = np.zeros(len(connections), dtype=bool)
    made[code[seen]] = True
    return made
