"""One row for each connection known: its latest reading, and what the register says of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import (
    NO_DAY,
    Ints,
    codes,
    days,
    filled,
    floats,
    kept,
    positions,
    take,
    texts,
    with_columns,
)
from riskscope.analysis.frames import table as get_table
from riskscope.schema import TABLES
from riskscope.schema.tables import PERHAPS

KNOWN_FROM = ("connections", "installs", "findings")
REGISTER = TABLES["connections"]
MADE_OF = ("termination_kind", "conductor_size", "conductor_material")
CRITICALITY_DEFAULT = 3.0


def connections(readings: pd.DataFrame, tables: Mapping[str, pd.DataFrame], on: dt.date) -> pd.DataFrame:
    """Every connection of the survey, the register and the records up to the day.

    Reads
        every column of the readings; of `connections` the register's columns; the ids of `installs`
        and `findings`, their sites, and of `installs` what the joint is made of; of `equipment` ``site``.
    Writes
        the readings' columns for each connection's latest reading, the register's columns,
        ``surveyed`` and ``not read this time`` (not in the latest survey of its site).
    """
    latest = _latest(readings)
    frame = readings if len(latest) == len(readings) else readings.iloc[latest].reset_index(drop=True)
    frame = with_columns(frame, {"not read this time": _missed(frame), "surveyed": True})
    register, installs, findings = (_up_to(get_table(tables, name), on) for name in KNOWN_FROM)
    ids = [table["connection_id"] for table in (register, installs, findings)]
    known = pd.concat([frame["connection_id"], *ids], ignore_index=True).drop_duplicates()
    if len(known) > len(frame):
        frame = _with_unread(frame, len(known))
        frame["connection_id"] = known.array
    at = positions(register["connection_id"], frame["connection_id"])
    columns: dict[str, object] = {
        name: take(texts(register, name), at) for name in REGISTER.stored if name not in frame
    }
    for name in REGISTER.places:
        columns[name] = filled(texts(frame, name), take(texts(register, name), at))
    columns["site"] = _site(get_table(tables, "equipment"), columns)
    for records in (installs, findings):
        columns["site"] = _by_record(records, "site", columns["site"], frame["connection_id"])
    criticality = take(texts(register, "criticality"), at).fillna(CRITICALITY_DEFAULT)
    perhaps = (take(texts(register, PERHAPS), at) == 1.0).to_numpy(dtype=bool)
    columns["criticality"] = criticality.mask(perhaps & (criticality < CRITICALITY_DEFAULT), CRITICALITY_DEFAULT)
    for name in MADE_OF:
        columns[name] = _by_record(installs, name, take(texts(register, name), at), frame["connection_id"])
    return with_columns(frame, columns)


def _up_to(table: pd.DataFrame, on: dt.date) -> pd.DataFrame:
    """The rows of a table that count on the day, records in order of their dates."""
    if "work_date" not in table:
        return table
    table = kept(table, (table["work_date"] <= pd.Timestamp(on)).to_numpy())
    return table if table["work_date"].is_monotonic_increasing else table.sort_values("work_date", kind="stable")


def _site(equipment: pd.DataFrame, places: Mapping[str, object]) -> pd.Series:
    """The site of each connection: as read or registered, else that of its board."""
    site, board = places["site"], places["equipment"]
    assert isinstance(site, pd.Series)
    assert isinstance(board, pd.Series)
    if not site.isna().any():
        return site
    return filled(site, take(texts(equipment, "site"), positions(equipment["equipment"], board)))


def _by_record(records: pd.DataFrame, column: str, own: object, ids: pd.Series) -> pd.Series:
    """What is known of each connection, and where nothing is what the latest record that says it says."""
    assert isinstance(own, pd.Series)
    if column not in records or not own.isna().any():
        return own
    said = records[["connection_id", column]].dropna().drop_duplicates("connection_id", keep="last")
    return filled(own, take(said[column], positions(said["connection_id"], ids)))


def _with_unread(frame: pd.DataFrame, count: int) -> pd.DataFrame:
    """The frame with rows for connections without a reading: no flag raised, nothing compared."""
    yes_no = [name for name in frame if frame[name].dtype == bool]
    numbers = dict.fromkeys(("set_code", "group_code", "sibling"), -1)
    longer = frame.reindex(range(count))
    longer[yes_no] = longer[yes_no].fillna(False).astype(bool)
    for name, value in numbers.items():
        longer[name] = longer[name].fillna(value).astype("int32")
    longer["pattern"] = longer["pattern"].fillna("no reference")
    return longer


def _latest(readings: pd.DataFrame) -> Ints:
    """Positions of each connection's latest reading, in order."""
    code = readings["id_rank"].to_numpy()
    if len(code) and np.bincount(code).max() == 1:
        return np.arange(len(code))
    order = np.lexsort(
        (
            np.nan_to_num(floats(readings, "connection_c"), nan=-np.inf),
            np.nan_to_num(floats(readings, "survey_time"), nan=-1.0),
            days(readings["survey_date"]),
            code,
        )
    )
    last = np.append(code[order][1:] != code[order][:-1], True) if len(order) else np.zeros(0, bool)
    return np.sort(order[last])


def _missed(frame: pd.DataFrame) -> np.ndarray:
    """Which connections' latest reading is not of the latest survey of their site."""
    if not len(frame):
        return np.zeros(0, dtype=bool)
    site, survey = codes(texts(frame, "site")), codes(texts(frame, "survey_id"))
    day = days(frame["survey_date"])
    ends = pd.Series(day).groupby([site, survey]).transform("max").to_numpy()
    latest = pd.Series(ends).groupby(site).transform("max").to_numpy()
    return (ends < latest) & (day != NO_DAY)
