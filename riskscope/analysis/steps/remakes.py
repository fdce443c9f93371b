"""Which readings ask for a remake: by their heat, or of a joint that was hot though tight by the record of then.

And which perhaps do, because a record of work of then was refused or denied.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import DAY_MIN, Bools, dates, days, floats, is_any, kept, positions
from riskscope.analysis.proof import refused
from riskscope.analysis.proof.devices import Visits
from riskscope.analysis.proof.heat import JOINT_HOT, PERHAPS_TIGHT, PROOF_SEVERITY, asks_most
from riskscope.analysis.proof.visits import LOOKED, OF_DEVICE, PERHAPS, TIGHTENED
from riskscope.analysis.records.record import records_at
from riskscope.analysis.records.work_history import tightenings
from riskscope.settings import Settings

TIGHT = ("verified", "over-torqued")
READS = ("connection_id", "id_rank", "pattern", "severity", "survey_date", "survey_time", "cover closed",
         "other_readings", "hot_until_min")  # fmt: skip
WRITES = ("asks remake", *PERHAPS_TIGHT)


def remakes(
    readings: pd.DataFrame,
    every: Visits,
    tables: Mapping[str, pd.DataFrame],
    of_work: pd.DataFrame,
    settings: Settings,
    on: dt.date,
) -> dict[str, object]:
    """Of connections that were read in several surveys, the readings that ask for a remake; of others by heat alone.

    What was too hot though it was tight is not mended by tightening, whatever is read after work in between; nor is it
    known to be where a record of work was refused, or is denied by a finding of its day, that may say so.

    Parameters
    ----------
    of_work : DataFrame
        Records of work that were refused; see `riskscope.analysis.proof.whose.whose`.

    Reads
        `READS`, and what `asks_most` reads; of `installs`, `findings` (settled) and `tools` every column.
    Writes
        `WRITES`
    """
    by_heat = asks_most(readings, settings)
    rank = readings["id_rank"].to_numpy()
    with np.errstate(invalid="ignore"):
        hot = is_any(readings, "pattern", JOINT_HOT) & (floats(readings, "severity") >= PROOF_SEVERITY)
    hot &= ~by_heat
    at = np.flatnonzero(hot & (np.bincount(rank)[rank] > 1)) if len(rank) else np.zeros(0, dtype=int)
    by_record = np.zeros(len(readings), dtype=bool)
    perhaps = {name: np.zeros(len(readings), dtype=bool) for name in PERHAPS_TIGHT}
    by_record[at] = _tight(readings.iloc[at], every, tables, settings, on)
    denies = (every.rows[PERHAPS] > LOOKED).to_numpy()
    at = np.flatnonzero(hot & (denies.any() | readings["connection_id"].isin(of_work["connection_id"]).to_numpy()))
    if len(at):
        rows = every.rows.assign(connection_id=every.ids.to_numpy()[every.rows["code"]])
        own = (rows["did"] >= TIGHTENED).to_numpy() & ~rows[OF_DEVICE].to_numpy(dtype=bool)
        work, denied = rows[own], rows[denies]
        denied = denied.assign(day=dates(denied["day"].to_numpy()).array)
        first, last = readings.iloc[at], _last_hot(readings.iloc[at])
        for name, said in zip(PERHAPS_TIGHT, (of_work, denied), strict=True):
            doubts = refused.doubts_record(first, said, work) | refused.doubts_record(last, said, work)
            perhaps[name][at] = doubts & ~by_record[at]
    return {"asks remake": by_heat | by_record, **perhaps}


def _last_hot(readings: pd.DataFrame) -> pd.DataFrame:
    """These readings as of the last day that they were hot on in their survey, where they are one of several."""
    several = (readings["other_readings"] > 0).to_numpy()
    until = np.where(several, floats(readings, "hot_until_min"), np.nan)
    last = np.where(np.isnan(until), days(readings["survey_date"]), np.nan_to_num(until) // DAY_MIN).astype(np.int64)
    time = np.where(np.isnan(until), floats(readings, "survey_time"), np.nan)
    return pd.DataFrame(
        {"connection_id": readings["connection_id"].array, "survey_date": dates(last).array, "survey_time": time}
    )


def _tight(
    rows: pd.DataFrame, every: Visits, tables: Mapping[str, pd.DataFrame], settings: Settings, on: dt.date
) -> Bools:
    """Readings of joints that were tight, or too tight, by all that was on record when they were read."""
    today = int(np.datetime64(on, "D").astype(np.int64))
    if not len(rows):
        return np.zeros(0, dtype=bool)
    ids = rows["connection_id"].drop_duplicates(ignore_index=True)
    work = tightenings(tables, ids, today)
    work = kept(work, (work["code"] >= 0).to_numpy())
    code, until = positions(ids, rows["connection_id"]), days(rows["survey_date"])
    record = records_at(work, every.to(ids), code, tables, settings, until, floats(rows, "survey_time"), as_known=True)
    return record.when_read()[0].isin(TIGHT).to_numpy(dtype=bool)
