"""Which readings ask for a remake: by their heat, or of a joint that was hot though tight by the record of then.

And which perhaps do, because a record of work of then was refused or denied.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import Bools, dates, days, floats, is_any, kept, positions
from riskscope.analysis.frames import table as get_table
from riskscope.analysis.proof import refused
from riskscope.analysis.proof.devices import known_joints, visits_around
from riskscope.analysis.proof.heat import JOINT_HOT, PERHAPS_TIGHT, PROOF_SEVERITY, asks_most
from riskscope.analysis.proof.visits import LOOKED, OF_DEVICE, PERHAPS, TIGHTENED
from riskscope.analysis.records.record import records_at
from riskscope.analysis.records.work_history import tightenings
from riskscope.settings import Settings

TIGHT = ("verified", "over-torqued")
READS = ("connection_id", "id_rank", "pattern", "severity", "survey_date", "survey_time", "cover closed")
WRITES = ("asks remake", *PERHAPS_TIGHT)


def remakes(
    readings: pd.DataFrame, tables: Mapping[str, pd.DataFrame], of_work: pd.DataFrame, settings: Settings, on: dt.date
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
    by_record[at] = _tight(readings.iloc[at], readings, tables, settings, on)
    contradicted = (get_table(tables, "findings")[PERHAPS] > LOOKED).any()
    at = np.flatnonzero(hot & (contradicted | readings["connection_id"].isin(of_work["connection_id"]).to_numpy()))
    if len(at):
        ids = known_joints(readings, tables)
        every = visits_around(ids, readings, tables, on)
        every = every.assign(connection_id=ids.to_numpy()[every["code"]])
        own = (every["did"] >= TIGHTENED).to_numpy() & ~every[OF_DEVICE].to_numpy(dtype=bool)
        work, denied = every[own], every[(every[PERHAPS] > LOOKED).to_numpy()]
        denied = denied.assign(day=dates(denied["day"].to_numpy()).array)
        for name, said in zip(PERHAPS_TIGHT, (of_work, denied), strict=True):
            perhaps[name][at] = refused.doubts_record(readings.iloc[at], said, work) & ~by_record[at]
    return {"asks remake": by_heat | by_record, **perhaps}


def _tight(
    rows: pd.DataFrame, readings: pd.DataFrame, tables: Mapping[str, pd.DataFrame], settings: Settings, on: dt.date
) -> Bools:
    """Readings, some of all, of joints that were tight, or too tight, by all that was on record when they were read."""
    today = int(np.datetime64(on, "D").astype(np.int64))
    if not len(rows):
        return np.zeros(0, dtype=bool)
    ids = known_joints(readings, tables)
    every = visits_around(ids, readings, tables, on)
    work = tightenings(tables, ids, today)
    work = kept(work, (work["code"] >= 0).to_numpy())
    code, until = positions(ids, rows["connection_id"]), days(rows["survey_date"])
    record = records_at(work, every, code, tables, settings, until, floats(rows, "survey_time"), as_known=True)
    return record.when_read()[0].isin(TIGHT).to_numpy(dtype=bool)
