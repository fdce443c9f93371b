"""Whether the work between two readings of a joint was what the first asked for, or more, and is recorded right."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import Bools, days, floats, kept
from riskscope.analysis.frames import table as get_table
from riskscope.analysis.proof.visits import OF_DEVICE, REMADE, TIGHTENED, visits
from riskscope.analysis.proof.walk import burnt
from riskscope.analysis.records.judge import OVER, VERIFIED
from riskscope.analysis.records.kinds import torque_applies
from riskscope.analysis.records.record import Record
from riskscope.analysis.records.work_history import not_after, tightenings
from riskscope.settings import Settings


def answered(
    finding: pd.DataFrame,
    read: pd.DataFrame,
    joints: pd.DataFrame,
    tables: Mapping[str, pd.DataFrame],
    settings: Settings,
    on: dt.date,
) -> Bools:
    """Whether each finding was answered before its joint was read again, row by row.

    A remake was asked for where the joint had burnt, where its record was good or it was too tight, and where there
    is no screw to tighten.

    Parameters
    ----------
    finding, read : DataFrame
        Two assessed readings of each of these joints, each joint once.
    joints : DataFrame
        ``termination_kind point`` and the places of the joints.
    """
    ids = joints["connection_id"]
    own = {name: get_table(tables, name) for name in ("installs", "findings")}
    own = {name: kept(rows, rows["connection_id"].isin(ids).to_numpy()) for name, rows in own.items()}
    held = {**tables, **own}
    rows = tightenings(held, ids, int(np.datetime64(on, "D").astype(np.int64)))
    every = visits(held, ids, joints, on)
    moments = [(days(frame["survey_date"]), floats(frame, "survey_time")) for frame in (finding, read)]
    before, after = (Record(rows, every, held, settings, *moment) for moment in moments)
    remake = burnt(finding, settings) | np.isin(before.rank, (VERIFIED, OVER)) | ~torque_applies(joints)
    code = every["code"].to_numpy()
    early, late = (
        not_after(every["day"].to_numpy(), floats(every, "time"), day[code], time[code]) for day, time in moments
    )
    between = late & ~early & ~every[OF_DEVICE].to_numpy(dtype=bool)
    did = np.zeros(len(ids), dtype=np.int64)
    np.maximum.at(did, code[between], every["did"].to_numpy()[between])
    return after.right(rows, joints) & (did >= np.where(remake, REMADE, TIGHTENED))
