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
from riskscope.analysis.proof.heat import JOINT_HOT, PROOF_SEVERITY, asks_most
from riskscope.analysis.proof.visits import LOOKED, OF_DEVICE, PERHAPS, TIGHTENED, visits
from riskscope.analysis.records.record import records_at
from riskscope.analysis.records.work_history import tightenings
from riskscope.schema import TABLES
from riskscope.settings import Settings

TIGHT = ("verified", "over-torqued")
READS = ("connection_id", "id_rank", "pattern", "severity", "survey_date", "survey_time", "cover closed")
WRITES = ("asks remake", "perhaps tight")


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
    by_record, perhaps = np.zeros(len(readings), dtype=bool), np.zeros(len(readings), dtype=bool)
    by_record[at] = _tight(readings.iloc[at], readings, tables, settings, on)
    contradicted = (get_table(tables, "findings")[PERHAPS] > LOOKED).any()
    at = np.flatnonzero(hot & (contradicted | readings["connection_id"].isin(of_work["connection_id"]).to_numpy()))
    if len(at):
        every, ids = _visits(readings, tables, on)
        every = every.assign(connection_id=ids.to_numpy()[every["code"]])
        own = (every["did"] >= TIGHTENED).to_numpy() & ~every[OF_DEVICE].to_numpy(dtype=bool)
        work, denied = every[own], every[(every[PERHAPS] > LOOKED).to_numpy()]
        by = pd.concat([of_work["connection_id"], denied["connection_id"]], ignore_index=True)
        said = pd.DataFrame({"connection_id": by, "day": dates(np.append(days(of_work["day"]), denied["day"]))})
        perhaps[at] = refused.doubts_record(readings.iloc[at], said, work)
    return {"asks remake": by_heat | by_record, "perhaps tight": perhaps & ~by_record}


def _visits(rows: pd.DataFrame, tables: Mapping[str, pd.DataFrame], on: dt.date) -> tuple[pd.DataFrame, pd.Series]:
    """The visits to the connections of these readings, and which those are: all, as a device has several."""
    ids = rows["connection_id"].drop_duplicates()
    places = rows.loc[ids.index, [name for name in TABLES["connections"].places if name in rows]]
    return visits(tables, ids.reset_index(drop=True), places.reset_index(drop=True), on), ids


def _tight(
    rows: pd.DataFrame, readings: pd.DataFrame, tables: Mapping[str, pd.DataFrame], settings: Settings, on: dt.date
) -> Bools:
    """Readings, some of all, of joints that were tight, or too tight, by all that was on record when they were read."""
    today = int(np.datetime64(on, "D").astype(np.int64))
    if not len(rows):
        return np.zeros(0, dtype=bool)
    every, ids = _visits(readings, tables, on)
    work = tightenings(tables, ids, today)
    work = kept(work, (work["code"] >= 0).to_numpy())
    code, until = positions(ids, rows["connection_id"]), days(rows["survey_date"])
    record = records_at(work, every, code, tables, settings, until, floats(rows, "survey_time"), as_known=True)
    return record.when_read()[0].isin(TIGHT).to_numpy(dtype=bool)
