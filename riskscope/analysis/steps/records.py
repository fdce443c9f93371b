"""The torque record of each connection: its state, all reasons for it, and the work since."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import NO_DAY, Ints, bit_names, dates, days, floats, named, take, texts
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
from riskscope.analysis.records.required import required_torque
from riskscope.analysis.records.work_history import LastWork, last_work, not_after, tightenings
from riskscope.schema.codes import STATE_REASONS
from riskscope.settings import Settings
from riskscope.units import Floats

READS = ("connection_id", "survey_date", "survey_time", "surveyed")
WRITES = ("install_state", "install_reasons", "required_nm", "required_high_nm", "required_low_nm",
          "required_from", "applied_nm", "record_date", "record_tool", "last_work_date",
          "worked_after", "worked_same_day", "found_damaged", "found_tight_since",
          "found_loose", "remade_last")  # fmt: skip


def records(
    connections: pd.DataFrame, tables: Mapping[str, pd.DataFrame], settings: Settings, on: dt.date
) -> dict[str, object]:
    """State of the record that counts: the latest tightening up to the survey.

    A tightening is an `installs` row, or a finding with a torque it was left at. Several rows of
    one connection and day are its fasteners: the worst counts.

    Reads
        `READS`; of `installs`, `findings` and `tools` every column.
    Writes
        `WRITES`
    """
    ids = connections["connection_id"]
    today = int(np.datetime64(on, "D").astype(np.int64))
    until = np.where(connections["surveyed"], days(connections["survey_date"]), today)
    clock = floats(connections, "survey_time")
    rows = tightenings(tables, ids, today)
    last = last_work(tables, rows, ids, today)
    worst = judge(rows, selected(rows, until, clock), tables, settings)
    at = np.full(len(ids), -1, dtype=np.int64)
    at[worst["code"]] = worst["row"]
    record_day = np.full(len(ids), NO_DAY)
    record_day[worst["code"]] = worst["day"]
    rank, reasons = _with_what_came_since(worst, record_day, last, until, clock)
    low, high, source = required_torque(worst, at, rows, ids)
    surveyed = connections["surveyed"].to_numpy()
    after = surveyed & (last.day != NO_DAY) & ~not_after(last.day, last.time, until, clock)
    same_day = surveyed & (last.day == until) & (np.isnan(last.time) | np.isnan(clock))
    return {
        "install_state": named((*STATE_OF_RANK, "found loose"), np.where(last.found_loose, len(STATE_OF_RANK), rank)),
        "install_reasons": bit_names(reasons, list(STATE_REASONS)),
        "required_nm": (low + high) / 2,
        "required_low_nm": low,
        "required_high_nm": high,
        "required_from": source,
        "applied_nm": take(texts(rows, "applied_nm"), at).to_numpy(dtype=float),
        "record_date": dates(record_day),
        "record_tool": take(texts(rows, "tool_id"), at),
        "last_work_date": dates(last.day),
        "worked_after": after,
        "worked_same_day": same_day & ~after,
        "found_damaged": last.damaged,
        "found_tight_since": last.found_tight & ~last.found_loose,
        "found_loose": last.found_loose,
        "remade_last": last.remade,
    }


def _with_what_came_since(
    worst: pd.DataFrame, record_day: Ints, last: LastWork, until: Ints, clock: Floats
) -> tuple[Ints, Ints]:
    """Rank and reasons of each connection's record: work without a torque record, found loose."""
    count, code = len(record_day), worst["code"].to_numpy()
    rank, reasons = np.full(count, UNRECORDED), np.full(count, BIT["no tightening on record"])
    rank[code], reasons[code] = worst["rank"], worst["reasons"]
    before = not_after(last.all_day, last.all_time, until[last.all_code], clock[last.all_code])
    day_before = np.full(count, NO_DAY)
    np.maximum.at(day_before, last.all_code[before], last.all_day[before])
    untold = (day_before > record_day) & (day_before != NO_DAY)
    rank = np.where(untold, UNRECORDED, rank)
    reasons = np.where(untold, BIT["worked on since without a torque record"], reasons)
    reasons = np.where(last.found_loose, reasons | BIT["found loose since the last work"], reasons)
    either = last.loose_same_day & ~last.found_loose
    reasons = np.where(either, reasons | BIT[LOOSE_SAME_DAY], reasons)
    return np.where(either & (rank == VERIFIED), DOUBTFUL, rank), reasons
