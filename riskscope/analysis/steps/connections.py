"""One row for each connection known: the reading it stands on, and what the register says of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import (
    NO_DAY,
    Ints,
    codes,
    dates,
    days,
    filled,
    floats,
    kept,
    named,
    positions,
    take,
    texts,
    with_columns,
)
from riskscope.analysis.frames import table as get_table
from riskscope.analysis.proof import refused
from riskscope.analysis.proof.heat import LEAST
from riskscope.analysis.proof.visits import visits
from riskscope.analysis.proof.walk import walk
from riskscope.analysis.proof.walked import NOTHING, WORSE, Walk
from riskscope.schema import TABLES
from riskscope.schema.tables import PERHAPS
from riskscope.settings import Settings
from riskscope.units import Floats

KNOWN_FROM = ("connections", "installs", "findings")
REGISTER = TABLES["connections"]
MADE_OF = ("termination_kind", "conductor_size", "conductor_material")
CRITICALITY_DEFAULT = 3.0


PROOF = ("proof", "after_date", "after_load", "after_a", "after_why", "urgency_floor", "floor_in_doubt", "open_since",
         "attested", "attested_on", "cool_on", "cool_time", "cool_when_worked", "hot_on", "hot_time", "hot_first_on",
         "hot_first_time", "cool_like_on",
         "refuted_on", "refuted_time", "refuted_before_on", "refuted_before_time", "eased")  # fmt: skip
REFUSED = ("only refused", "refused_on", "refused_undated")


def connections(
    readings: pd.DataFrame,
    tables: Mapping[str, pd.DataFrame],
    said: pd.DataFrame,
    settings: Settings,
    on: dt.date,
    released: Collection[str] = (),
) -> pd.DataFrame:
    """Every connection of the survey, the register and the records up to the day.

    Each stands on its latest reading, or on an earlier one that a later, worse one takes nothing back from; where it
    was worked on and that is not proved, on the finding before the work.

    Parameters
    ----------
    said : DataFrame
        Readings that were refused and may be the hottest; see `riskscope.analysis.proof.whose.whose`. A connection
        that only they name has no reading.
    released : collection of str
        Connections of which the work was what was asked for; see `riskscope.analysis.proof.walk.walk`.

    Reads
        every column of the readings; of `connections` the register's columns; of `installs` and `findings` the
        work, their sites, and of `installs` what the joint is made of; of `equipment` ``site``.
    Writes
        the columns of that reading, ``reading_at`` (its place among the readings), the register's columns,
        ``surveyed``, ``not read this time`` (not in the latest survey of its site), `REFUSED` (a refused reading alone
        names it; one of it was refused and not answered since, on a day or on one nobody knows), `PROOF`.
    """
    register, installs, findings = (_up_to(get_table(tables, name), on) for name in KNOWN_FROM)
    reading_ids = readings["connection_id"].iloc[_first_of_each(readings["id_rank"].to_numpy())]
    work = visits(_since(tables, readings), reading_ids, on)
    is_released = reading_ids.isin(list(released)).to_numpy(dtype=bool)
    walked = walk(readings, readings["id_rank"].to_numpy(), len(reading_ids), work, settings, is_released)
    order = np.argsort(walked.row, kind="stable")
    rows = walked.row[order]
    whole = len(rows) == len(readings)
    frame = readings if whole else readings.iloc[rows].reset_index(drop=True)
    missed = _missed(readings)[rows] if len(rows) else np.zeros(0, dtype=bool)
    of_reading = {"reading_at": rows, "not read this time": missed, "surveyed": True}
    frame = with_columns(frame, {**_proof(readings, walked, order), **of_reading})
    ids = [table["connection_id"] for table in (register, installs, findings)]
    known = pd.concat([frame["connection_id"], *ids], ignore_index=True).drop_duplicates()
    frame = _with_unread(frame, known)
    frame = _with_unread(frame, pd.concat([known, refused.unknown(said, known, on)], ignore_index=True))
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
    frame = with_columns(frame, {**columns, "only refused": np.arange(len(frame)) >= len(known)})
    return with_columns(frame, refused.asks_again(frame, said, on))


def _since(tables: Mapping[str, pd.DataFrame], readings: pd.DataFrame) -> dict[str, pd.DataFrame]:
    """The records of work without the tightenings that say nothing of any proof: of joints nobody looked at, before
    the eve of the first reading."""
    installs, findings = (get_table(tables, name) for name in ("installs", "findings"))
    says = (installs["work_date"] >= readings["survey_date"].min() - pd.Timedelta(days=1)).to_numpy()
    looked_at = positions(findings["connection_id"], installs["connection_id"]) >= 0
    return {"installs": kept(installs, says | looked_at), "findings": findings}


def _first_of_each(rank: Ints) -> Ints:
    """Where each id is first among the readings, in order of ids."""
    _, first = np.unique(rank, return_index=True)
    return first


def _proof(readings: pd.DataFrame, walked: Walk, order: Ints) -> dict[str, object]:
    """What is known of the proof of each connection, in the order of its row."""

    def of(column: str, at: Ints) -> Floats:
        if at.max(initial=-1) < 0:
            return np.broadcast_to(np.nan, len(order))
        return np.append(floats(readings, column), np.nan)[at[order]]

    def day(at: Ints) -> pd.Series:
        if at.max(initial=-1) < 0:
            return dates(np.broadcast_to(NO_DAY, len(order)))
        return dates(np.append(days(readings["survey_date"]), NO_DAY)[at[order]])

    after = walked.after
    return {
        "proof": walked.proof[order].astype(np.int8),
        "after_date": day(after),
        "after_load": of("load_fraction", after),
        "after_a": of("current_a", after),
        "after_why": named((*WORSE, None), np.where(after[order] < 0, len(WORSE), walked.why[order])),
        "urgency_floor": walked.floor[order].astype(np.int8),
        "floor_in_doubt": walked.floor_in_doubt[order].astype(np.int8),
        "open_since": dates(walked.since[order]),
        "attested": walked.attested[order],
        "attested_on": dates(walked.attested_on[order]),
        "cool_on": dates(walked.cool_day[order]),
        "cool_time": walked.cool_time[order],
        "cool_when_worked": walked.cool_when_worked[order],
        "cool_like_on": dates(walked.like_day[order]),
        "hot_on": dates(walked.hot_day[order]),
        "hot_time": walked.hot_time[order],
        "hot_first_on": dates(walked.hot_first_day[order]),
        "hot_first_time": walked.hot_first_time[order],
        "refuted_on": dates(walked.refuted_day[order]),
        "refuted_time": walked.refuted_time[order],
        "refuted_before_on": dates(walked.refuted_before_day[order]),
        "refuted_before_time": walked.refuted_before_time[order],
        "eased": walked.eased[order],
    }


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


def _with_unread(frame: pd.DataFrame, known: pd.Series) -> pd.DataFrame:
    """The frame with rows for the connections without a reading, its own first: no flag raised, nothing compared."""
    if len(known) == len(frame):
        return frame
    yes_no = [name for name in frame if frame[name].dtype == bool]
    numbers = dict.fromkeys(("set_code", "group_code", "sibling", "reading_at"), -1)
    numbers |= {"reading_urgency": LEAST, "joint_urgency": LEAST, "urgency_floor": LEAST}
    numbers |= {"floor_in_doubt": LEAST, "proof": NOTHING}
    longer = frame.reindex(range(len(known)))
    longer[yes_no] = longer[yes_no].fillna(False).astype(bool)
    for name, value in numbers.items():
        longer[name] = longer[name].fillna(value).astype(frame[name].dtype)
    longer["pattern"] = longer["pattern"].fillna("no reference")
    longer["connection_id"] = known.array
    return longer


def _missed(frame: pd.DataFrame) -> np.ndarray:
    """Readings of connections that were not read in the latest survey of their site."""
    if not len(frame):
        return np.zeros(0, dtype=bool)
    site, survey = codes(texts(frame, "site")), codes(texts(frame, "survey_id"))
    day = days(frame["survey_date"])
    ends = pd.Series(day).groupby([site, survey]).transform("max").to_numpy()
    latest = pd.Series(ends).groupby(site).transform("max").to_numpy()
    older = pd.Series((ends < latest) & (day != NO_DAY))
    return older.groupby(frame["id_rank"].to_numpy()).transform("all").to_numpy(dtype=bool)
