"""The torque record of each connection, at its reading and now: its state, all reasons for it, and the work since."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import NO_DAY, dates, days, floats, take, texts
from riskscope.analysis.proof import refused
from riskscope.analysis.records.kinds import torque_applies
from riskscope.analysis.records.record import Record
from riskscope.analysis.records.required import required_torque
from riskscope.analysis.records.work_history import not_after, tightenings
from riskscope.settings import Settings

READS = ("connection_id", "survey_date", "survey_time", "surveyed", "site", "equipment", "circuit", "device",
         "termination_kind", "point")  # fmt: skip
WRITES = ("install_state", "install_reasons", "record_now", "record_now_reasons", "likelihood_state", "required_nm",
          "required_high_nm", "required_low_nm", "required_from", "applied_nm", "applied_now_nm", "record_date",
          "record_tool", "last_work_date", "worked_after", "worked_same_day", "found_damaged", "damage_in_doubt",
          "found_tight_since", "found_loose", "found_bad_on", "recorded_right", "torque applies")  # fmt: skip


def records(
    connections: pd.DataFrame,
    tables: Mapping[str, pd.DataFrame],
    every: pd.DataFrame,
    of_work: pd.DataFrame,
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
        Records of work that were refused; see `riskscope.analysis.proof.refused.whose`.

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
    then = Record(rows, every, tables, settings, until, clock)
    later = ~not_after(every["day"].to_numpy(), floats(every, "time"), until[every["code"]], clock[every["code"]])
    doubted_now = refused.doubts_work(connections, of_work, every, on)
    is_later = later.any() or doubted_now.any()
    now = Record(rows, every, tables, settings, tomorrow, np.full(len(ids), np.nan)) if is_later else then
    now.doubt(doubted_now, "another record of it was rejected: mend it")
    low, high, source = required_torque(now.worst, now.at, rows, ids)
    last = now.last
    opened = surveyed & (last.opened > until)
    that_day = (last.day == until) & (np.nan_to_num(last.time, nan=-1.0) > np.nan_to_num(clock, nan=np.inf))
    after = surveyed & (last.day != NO_DAY) & ((last.day > until) | that_day)
    right = now.right(rows, connections)
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
        "applied_now_nm": now.applied(rows),
        "record_date": dates(now.day),
        "record_tool": take(texts(rows, "tool_id"), now.at),
        "last_work_date": dates(np.maximum(last.day, last.opened)),
        "worked_after": after | opened,
        "worked_same_day": (same_day | (surveyed & (last.opened == until))) & ~after & ~opened,
        "recorded_right": right,
        "found_damaged": last.damaged | (last.was_damaged & doubted),
        "damage_in_doubt": last.was_damaged & ~right & ~doubted,
        "found_tight_since": last.found_tight & ~last.found_loose,
        "found_bad_on": dates(last.bad_since),
        "found_loose": last.found_loose | (last.was_loose & doubted & newly),
        "torque applies": torque_applies(connections),
    }
