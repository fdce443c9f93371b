"""The torque record of each connection, at its reading and now: its state, all reasons for it, and the work since."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import NO_DAY, Ints, bit_names, dates, days, floats, is_any, named, take, texts
from riskscope.analysis.records.judge import (
    BIT,
    DOUBTFUL,
    LOOSE_SAME_DAY,
    STATE_OF_RANK,
    UNRECORDED,
    VERIFIED,
    judge,
    selected,
)
from riskscope.analysis.records.kinds import torque_applies
from riskscope.analysis.records.required import required_torque
from riskscope.analysis.records.work_history import last_work, not_after, tightenings
from riskscope.schema.codes import STATE_REASONS
from riskscope.settings import Settings
from riskscope.units import Floats

READS = ("connection_id", "survey_date", "survey_time", "surveyed", "site", "equipment", "circuit", "device",
         "termination_kind", "point")  # fmt: skip
WRITES = ("install_state", "install_reasons", "record_now", "record_now_reasons", "likelihood_state", "required_nm",
          "required_high_nm", "required_low_nm", "required_from", "applied_nm", "applied_now_nm", "record_date",
          "record_tool", "last_work_date", "worked_after", "worked_same_day", "found_damaged", "found_tight_since",
          "found_loose", "found_bad_on", "recorded_right", "torque applies")  # fmt: skip
STATES_NAMED = (*STATE_OF_RANK, "found loose")


def records(
    connections: pd.DataFrame, tables: Mapping[str, pd.DataFrame], every: pd.DataFrame, settings: Settings, on: dt.date
) -> dict[str, object]:
    """Two states of the record: as it stood at the reading, and of all work up to the day.

    The record that counts is the latest tightening: an `installs` row, or a finding with a torque it was left at.
    Several rows of one connection and day are its fasteners: the worst counts. Work on the day of the reading in an
    order that is not known is of the record now, not of that at the reading.

    Parameters
    ----------
    every : DataFrame
        The visits to these connections; see `riskscope.analysis.proof.visits.visits`.

    Reads
        `READS`; of `installs`, `findings` (settled) and `tools` every column.
    Writes
        `WRITES`
    """
    ids = connections["connection_id"]
    today = int(np.datetime64(on, "D").astype(np.int64))
    surveyed = connections["surveyed"].to_numpy(dtype=bool)
    tomorrow = np.full(len(ids), today + 1)
    until = np.where(surveyed, days(connections["survey_date"]), tomorrow)
    clock = floats(connections, "survey_time")
    rows = tightenings(tables, ids, today)
    then = _Record(rows, every, tables, settings, until, clock)
    later = ~not_after(every["day"].to_numpy(), floats(every, "time"), until[every["code"]], clock[every["code"]])
    now = then if not later.any() else _Record(rows, every, tables, settings, tomorrow, np.full(len(ids), np.nan))
    low, high, source = required_torque(now.worst, now.at, rows, ids)
    last = now.last
    opened = surveyed & (last.opened > until)
    after = (
        surveyed
        & (last.day != NO_DAY)
        & (
            (last.day > until)
            | ((last.day == until) & (np.nan_to_num(last.time, nan=-1.0) > np.nan_to_num(clock, nan=np.inf)))
        )
    )
    screwed, applied_now = torque_applies(connections), now.applied(rows)
    can_shear = screwed | is_any(connections, "termination_kind", ("shear bolt",))
    right = (now.rank == VERIFIED) & (can_shear | ~np.isnan(applied_now))
    right |= ~screwed & last.die
    doubted = ~right & ~(surveyed & connections["attested"].to_numpy(dtype=bool))  # nothing says what came of it
    newly = ~surveyed | (~then.last.found_loose & ~then.last.was_loose)
    same_day = surveyed & (last.day == until) & (np.isnan(last.time) | np.isnan(clock))
    state, reasons = then.in_words()
    state_now, reasons_now = (state, reasons) if now is then else now.in_words()
    since = after | last.found_loose
    return {
        "install_state": state,
        "install_reasons": reasons,
        "record_now": state_now,
        "record_now_reasons": reasons_now,
        "likelihood_state": state.where(~since, state_now) if since.any() else state,
        "required_nm": (low + high) / 2,
        "required_low_nm": low,
        "required_high_nm": high,
        "required_from": source,
        "applied_nm": then.applied(rows),
        "applied_now_nm": applied_now,
        "record_date": dates(now.day),
        "record_tool": take(texts(rows, "tool_id"), now.at),
        "last_work_date": dates(np.maximum(last.day, last.opened)),
        "worked_after": after | opened,
        "worked_same_day": (same_day | (surveyed & (last.opened == until))) & ~after & ~opened,
        "recorded_right": right,
        "found_damaged": last.damaged | (last.was_damaged & doubted),
        "found_tight_since": last.found_tight & ~last.found_loose,
        "found_bad_on": dates(last.bad_since),
        "found_loose": last.found_loose | (last.was_loose & doubted & newly),
        "torque applies": screwed,
    }


class _Record:
    """The record of each connection as it stands at a moment."""

    def __init__(
        self,
        rows: pd.DataFrame,
        every: pd.DataFrame,
        tables: Mapping[str, pd.DataFrame],
        settings: Settings,
        until: Ints,
        clock: Floats,
    ) -> None:
        count = len(until)
        self.last = last = last_work(every, until, clock)
        self.worst = worst = judge(rows, selected(rows, until, clock), last.renewed, tables, settings)
        code = worst["code"].to_numpy()
        self.at, self.day = np.full(count, -1, dtype=np.int64), np.full(count, NO_DAY)
        self.at[code], self.day[code] = worst["row"], worst["day"]
        rank, reasons = np.full(count, UNRECORDED), np.full(count, BIT["no tightening on record"])
        rank[code], reasons[code] = worst["rank"], worst["reasons"]
        any_work = np.maximum(last.day, last.opened)
        timed = np.full(count, -1.0)
        if "work_time" in rows and len(rows):
            chosen = rows.iloc[selected(rows, until, clock)]
            np.maximum.at(timed, chosen["code"].to_numpy(), np.nan_to_num(floats(chosen, "work_time"), nan=np.inf))
        with np.errstate(invalid="ignore"):
            later_that_day = (last.day == self.day) & (timed >= 0) & (last.untold > timed)
        untold = ((any_work > self.day) | later_that_day) & (any_work != NO_DAY)
        rank = np.where(untold, UNRECORDED, rank)
        reasons = np.where(untold, BIT["worked on since without a torque record"], reasons)
        reasons = np.where(last.found_loose, reasons | BIT["found loose since the last work"], reasons)
        either = last.loose_same_day & ~last.found_loose
        reasons = np.where(either, reasons | BIT[LOOSE_SAME_DAY], reasons)
        rank = np.where(either & (rank == VERIFIED), DOUBTFUL, rank)
        self.rank, self.reasons = np.where(last.found_loose, len(STATE_OF_RANK), rank), reasons

    def in_words(self) -> tuple[pd.Series, pd.Series]:
        """Its state and all reasons for it."""
        return named(STATES_NAMED, self.rank), bit_names(self.reasons, list(STATE_REASONS))

    def applied(self, rows: pd.DataFrame) -> Floats:
        """The torque of the record. [N·m]"""
        return take(texts(rows, "applied_nm"), self.at).to_numpy(dtype=float)
