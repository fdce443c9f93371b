"""Which readings ask for a remake: by their heat, or of a joint that was hot though tight by the record of then."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import Bools, days, floats, is_any, kept, positions
from riskscope.analysis.proof.heat import JOINT_HOT, PROOF_SEVERITY, asks_most
from riskscope.analysis.proof.visits import visits
from riskscope.analysis.records.record import records_at
from riskscope.analysis.records.work_history import tightenings
from riskscope.schema import TABLES
from riskscope.settings import Settings

TIGHT = ("verified", "over-torqued")
READS = ("connection_id", "id_rank", "pattern", "severity", "survey_date", "survey_time", "cover closed")
WRITES = ("asks remake",)


def remakes(
    readings: pd.DataFrame, tables: Mapping[str, pd.DataFrame], settings: Settings, on: dt.date
) -> dict[str, object]:
    """Of connections that were read in several surveys, the readings that ask for a remake; of others by heat alone.

    What was too hot though it was tight is not mended by tightening, whatever is read after work in between.

    Reads
        `READS`, and what `asks_most` reads; of `installs`, `findings` (settled) and `tools` every column.
    Writes
        `WRITES`
    """
    by_heat = asks_most(readings, settings)
    rank = readings["id_rank"].to_numpy()
    with np.errstate(invalid="ignore"):
        hot = is_any(readings, "pattern", JOINT_HOT) & (floats(readings, "severity") >= PROOF_SEVERITY)
    at = np.flatnonzero(hot & ~by_heat & (np.bincount(rank)[rank] > 1)) if len(rank) else np.zeros(0, dtype=int)
    by_record = np.zeros(len(readings), dtype=bool)
    by_record[at] = _tight(readings.iloc[at], tables, settings, on)
    return {"asks remake": by_heat | by_record}


def _tight(rows: pd.DataFrame, tables: Mapping[str, pd.DataFrame], settings: Settings, on: dt.date) -> Bools:
    """Readings of joints that were tight, or too tight, by all that was on record when they were read."""
    ids = rows["connection_id"].drop_duplicates()
    places = rows.loc[ids.index, [name for name in TABLES["connections"].places if name in rows]]
    today = int(np.datetime64(on, "D").astype(np.int64))
    work = tightenings(tables, ids, today)
    work = kept(work, (work["code"] >= 0).to_numpy())
    if not len(work):
        return np.zeros(len(rows), dtype=bool)
    every = visits(tables, ids.reset_index(drop=True), places.reset_index(drop=True), on)
    code, until = positions(ids, rows["connection_id"]), days(rows["survey_date"])
    record = records_at(work, every, code, tables, settings, until, floats(rows, "survey_time"))
    return record.in_words()[0].isin(TIGHT).to_numpy(dtype=bool)
