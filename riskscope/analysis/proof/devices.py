"""Which joints are of one device: where it was replaced all of them were opened, and none of the others put right."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import codes, filled, positions, take, texts
from riskscope.analysis.frames import table as get_table
from riskscope.analysis.proof.visits import CLASH, FOUND, LOOKED, OF_DEVICE, PERHAPS, REPLACED, TIGHTENED, visits
from riskscope.schema.names import apart, lettered

PLACES = ("site", "equipment", "circuit", "device")
LEFT_OPEN = {"circuit": "equipment", "equipment": "circuit", "site": "equipment"}  # by what else it is then told


def known_joints(readings: pd.DataFrame, tables: Mapping[str, pd.DataFrame]) -> pd.Series:
    """The connections that were read, and the others of the register."""
    every = [readings["connection_id"], get_table(tables, "connections")["connection_id"]]
    return pd.concat(every, ignore_index=True).drop_duplicates(ignore_index=True)


def visits_around(
    ids: pd.Series, readings: pd.DataFrame, tables: Mapping[str, pd.DataFrame], on: dt.date
) -> pd.DataFrame:
    """The visits to these connections, and those to the others of each device that was (perhaps) replaced.

    Parameters
    ----------
    ids : Series of str
        All connections that may be of one device with another.
    readings : DataFrame
        ``connection_id`` and `PLACES`, as far as anything is said of them.

    Returns
    -------
    DataFrame
        See `visits`.
    """
    rows = visits(tables, ids, on)
    new = np.flatnonzero((rows["did"] == REPLACED).to_numpy() | (rows[PERHAPS] == REPLACED).to_numpy())
    if not len(new):
        return rows
    joints = joints_of_devices(ids, readings, tables)
    events = rows.iloc[new].merge(joints, on="code").rename(columns={"code": "by"})
    others = events.merge(joints, on="device")
    others = others[(others["code"] != others["by"]).to_numpy()].drop_duplicates()
    surely = (others["did"] == REPLACED).to_numpy()
    others = others.assign(
        did=np.where(surely, TIGHTENED, LOOKED).astype(np.int8),
        found=None,
        **{OF_DEVICE: surely, PERHAPS: np.where(surely, LOOKED, TIGHTENED).astype(np.int8)},
        **dict.fromkeys(("seen", "tool", "torque", *FOUND, CLASH), False),
    )
    return pd.concat([rows, others[list(rows)]], ignore_index=True)


def joints_of_devices(ids: pd.Series, readings: pd.DataFrame, tables: Mapping[str, pd.DataFrame]) -> pd.DataFrame:
    """Every device that a connection is, or ever was, said to be of, by a reading or by the register.

    What a row leaves out of its place is all that other rows say of its connection, else all that is said of devices
    of that name at that board, or circuit: who leaves out more is of no fewer devices.

    Returns
    -------
    DataFrame
        ``code`` (place of the connection among the ids), ``device``; each pair once.
    """
    register, equipment = get_table(tables, "connections"), get_table(tables, "equipment")
    rows = pd.concat(
        [
            pd.DataFrame({name: texts(table, name).astype("str") for name in ("connection_id", *PLACES)})
            for table in (readings, register)
        ],
        ignore_index=True,
    )
    site = take(texts(equipment, "site"), positions(equipment["equipment"], rows["equipment"]))
    rows["site"] = filled(rows["site"], site.astype("str"))
    for name in PLACES:
        key = lettered if name == "equipment" else apart
        rows[name] = key(rows[name]).where(rows[name].notna())
    rows = rows.assign(code=positions(ids, rows["connection_id"])).drop(columns="connection_id")
    rows = rows[(rows["code"] >= 0).to_numpy()].drop_duplicates(ignore_index=True)
    for name in PLACES:
        rows = _each(rows, name, ["code"])
    rows = rows[(rows["device"].notna() & (rows["equipment"].notna() | rows["circuit"].notna())).to_numpy()]
    for name, other in LEFT_OPEN.items():
        rows = _each(rows, name, [other, "device"])
    device = codes(*(rows[name] for name in PLACES))
    return pd.DataFrame({"code": rows["code"].to_numpy(), "device": device}).drop_duplicates(ignore_index=True)


def _each(rows: pd.DataFrame, name: str, of: list[str]) -> pd.DataFrame:
    """The rows; one that does not say this once for each that is said of the same."""
    lacking = rows[name].isna().to_numpy()
    if not lacking.any() or lacking.all():
        return rows
    said = rows.loc[~lacking, [*of, name]].drop_duplicates()
    open_ = rows[lacking].drop(columns=name).merge(said, on=of, how="left")
    return pd.concat([rows[~lacking], open_[list(rows)]], ignore_index=True).drop_duplicates(ignore_index=True)
