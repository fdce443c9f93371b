"""Which joints are of one device: where it was replaced all of them were opened, and none of the others put right."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from riskscope.analysis.frames import Bools, codes, days, filled, kept, positions, take, texts, with_columns
from riskscope.analysis.frames import table as get_table
from riskscope.analysis.proof.visits import CLASH, FOUND, LOOKED, OF_DEVICE, PERHAPS, REPLACED, TIGHTENED, visits
from riskscope.analysis.proof.whose import whose
from riskscope.schema import TABLES
from riskscope.schema.names import NO_TOOL, apart, lettered, names_nothing

PLACES = ("site", "equipment", "circuit", "device")
LEFT_OPEN = {"circuit": "equipment", "equipment": "circuit", "site": "equipment"}  # by what else it is then told
PLACED_BY = ("survey", "connections")
UNREAD = "action “"  # in the reason of a finding of which nobody knows what was done
MOST_ALIKE = 50  # devices of one name at a board: of more the name says nothing of which is meant
NAMES = (*PLACED_BY, "installs", "findings")


@dataclass(frozen=True)
class Visits:
    """Every visit to every connection, also those to the others of a device that was replaced.

    Attributes
    ----------
    ids : Series of str
    rows : DataFrame
        See `riskscope.analysis.proof.visits.visits`; ``code`` is a place among the ids.
    """

    ids: pd.Series
    rows: pd.DataFrame

    def to(self, ids: pd.Series) -> pd.DataFrame:
        """The visits to these connections; ``code`` is a place among them."""
        code = positions(ids, self.ids)[self.rows["code"].to_numpy()]
        rows = kept(with_columns(self.rows, {"code": code}), code >= 0)
        return rows[list(self.rows)]


def all_visits(tables: Mapping[str, pd.DataFrame], refused_rows: pd.DataFrame, on: dt.date) -> Visits:
    """The visits up to the day to every connection that any table names.

    Who replaced a device opened its other joints. Where it is not sure that a joint is of it, that is doubted too;
    where it is not sure that it was replaced, somebody perhaps did.
    """
    every = [get_table(tables, name)["connection_id"] for name in NAMES]
    ids = pd.concat(every, ignore_index=True).drop_duplicates(ignore_index=True)
    rows = visits(tables, ids, on)
    new = rows[(rows["did"] == REPLACED).to_numpy() | (rows[PERHAPS] == REPLACED).to_numpy()]
    new = pd.concat([new, _refused_replacements(ids, rows, tables, refused_rows, on)], ignore_index=True)
    if not len(new):
        return Visits(ids, rows)
    joints = joints_of_devices(ids, tables, refused_rows)
    events = new.assign(event=new.index).merge(joints, on="code").rename(columns={"code": "by"})
    others = events.merge(joints, on="device", suffixes=("_by", ""))
    others = others[(others["code"] != others["by"]).to_numpy()]
    others["surely"] = (others["did"] == REPLACED) & others["is_sure"] & others["is_sure_by"]
    others = others.sort_values("surely", ascending=False, kind="stable").drop_duplicates(["event", "code"])
    surely = others["surely"].to_numpy(dtype=bool)
    opened = (others["did"] == REPLACED).to_numpy()
    others = others.assign(
        did=np.where(opened, TIGHTENED, LOOKED).astype(np.int8),
        found=None,
        **{OF_DEVICE: opened, PERHAPS: np.where(surely, LOOKED, TIGHTENED).astype(np.int8)},
        **dict.fromkeys(("seen", "tool", "torque", *FOUND, CLASH), False),
    )
    return Visits(ids, pd.concat([rows, others[list(rows)]], ignore_index=True))


def _refused_replacements(
    ids: pd.Series, rows: pd.DataFrame, tables: Mapping[str, pd.DataFrame], refused_rows: pd.DataFrame, on: dt.date
) -> pd.DataFrame:
    """What findings that were refused say of devices that were replaced, as visits; of a day nobody knows as of the
    last."""
    words = "|".join(map(re.escape, ("replaced", *(TABLES["findings"].by_name["action"].choices or {})["replaced"])))
    out = refused_rows[(refused_rows["table"] == "findings") & (refused_rows["kind"] == "rejected")]
    perhaps = out["cells"].str.contains(words, case=False, regex=True) | out["reason"].str.contains(UNREAD, regex=False)
    out = out[perhaps.to_numpy(dtype=bool)]
    said = whose(out, tables, refused_rows)
    code, today = positions(ids, said["connection_id"]), int(np.datetime64(on, "D").astype(np.int64))
    day = np.where(said["day"].isna(), today, days(said["day"]))
    counts = (code >= 0) & (day <= today)
    made = rows.iloc[:0].reindex(range(int(counts.sum())))
    made = made.assign(code=code[counts], day=day[counts], did=LOOKED, time=np.nan, found=None, **{PERHAPS: REPLACED})
    flags = dict.fromkeys(("seen", "tool", "torque", *FOUND, OF_DEVICE, CLASH), False)
    return made.assign(**flags).astype(rows.dtypes.to_dict())


def joints_of_devices(
    ids: pd.Series, tables: Mapping[str, pd.DataFrame], refused_rows: pd.DataFrame | None = None
) -> pd.DataFrame:
    """Every device that a connection is, or ever was, said to be of, by a reading or by the register.

    What a row leaves out of its place is what other rows say of its connection. It is surely of a device if they all
    say the same one, what a reading leaves out the register. It is perhaps of each that they say, or rows that were
    refused; and of what they all leave out of each that is said of devices of that name at that board, or circuit.

    Returns
    -------
    DataFrame
        ``code`` (place of the connection among the ids), ``device``, ``is_sure``; each pair once.
    """
    read, register = (get_table(tables, name) for name in PLACED_BY)
    places = _places(ids, tables, [read, register])
    own = _by_own_rows(places)
    wide = _by_own_rows(_places(ids, tables, [read, register, _refused(tables, refused_rows)]))
    for name, other in LEFT_OPEN.items():
        wide = _each(wide, name, [other, "device"])
    several = wide["code"][wide["code"].duplicated()]
    is_vague = np.logical_or.reduce([_left_to_others(own, wide, name, other) for name, other in LEFT_OPEN.items()])
    registered = _places(ids, tables, [register]).dropna(subset=["device"])["code"]
    left_out = _places(ids, tables, [read]).query("device.isna()")["code"]
    named = ~names_nothing(own["device"], NO_TOOL)
    is_left_out = own["code"].isin(left_out) & ~own["code"].isin(registered)
    own = own.assign(is_sure=named & ~own["code"].isin(several) & ~is_left_out & ~is_vague)
    rows = pd.concat([own, wide.assign(is_sure=False)], ignore_index=True)
    rows = rows.assign(device=codes(*(rows[name] for name in PLACES)))
    return rows.groupby(["code", "device"], as_index=False, sort=False)["is_sure"].any()


def _left_to_others(rows: pd.DataFrame, said: pd.DataFrame, name: str, other: str) -> Bools:
    """Rows that do not say this, though others of a device of that name there do, however many they are."""
    key, its = (pd.MultiIndex.from_frame(part[[other, "device"]]) for part in (rows, said[said[name].notna()]))
    return rows[name].isna().to_numpy() & key.isin(its)


def _refused(tables: Mapping[str, pd.DataFrame], refused_rows: pd.DataFrame | None) -> pd.DataFrame:
    """The places of refused readings and rows of the register, each beside the connections it may be of."""
    none = pd.DataFrame(columns=["connection_id", *PLACES], dtype="str")
    if refused_rows is None:
        return none
    out = refused_rows[refused_rows["table"].isin(PLACED_BY) & (refused_rows["kind"] == "rejected")]
    if not len(out):
        return none
    its = whose(out, tables, refused_rows)
    return out.loc[its["row"], list(PLACES)].reset_index(drop=True).assign(connection_id=its["connection_id"])


def _places(ids: pd.Series, tables: Mapping[str, pd.DataFrame], said: list[pd.DataFrame]) -> pd.DataFrame:
    """What is said of the place of each connection, each once, with the site of its board; names as they read alike."""
    columns = ("connection_id", *PLACES)
    parts = [pd.DataFrame({name: texts(table, name).astype("str") for name in columns}) for table in said]
    rows = pd.concat(parts, ignore_index=True).drop_duplicates(ignore_index=True)
    equipment = get_table(tables, "equipment")
    at_board = take(texts(equipment, "site"), positions(equipment["equipment"], rows["equipment"]))
    rows["site"] = filled(rows["site"], at_board.astype("str"))
    for name in PLACES:
        key = lettered if name == "equipment" else apart
        rows[name] = key(rows[name]).where(rows[name].notna())
    rows = rows.assign(code=positions(ids, rows["connection_id"])).drop(columns="connection_id")
    return rows[(rows["code"] >= 0).to_numpy()].drop_duplicates(ignore_index=True)


def _by_own_rows(rows: pd.DataFrame) -> pd.DataFrame:
    """The places that say a device, each with what other rows of its connection say where it says nothing."""
    for name in PLACES:
        rows = _each(rows, name, ["code"])
    located = (rows["equipment"].notna() | rows["circuit"].notna()) & rows["device"].notna()
    return rows[located.to_numpy()].reset_index(drop=True)


def _each(rows: pd.DataFrame, name: str, of: list[str]) -> pd.DataFrame:
    """The rows; one that does not say this once for each that is said of the same."""
    lacking = rows[name].isna().to_numpy()
    if not lacking.any() or lacking.all():
        return rows
    said = rows.loc[~lacking, [*of, name]].drop_duplicates()
    said = said[(said.groupby(of, dropna=False)[name].transform("size") <= MOST_ALIKE).to_numpy()]
    open_ = rows[lacking].drop(columns=name).merge(said, on=of, how="left")
    return pd.concat([rows[~lacking], open_[list(rows)]], ignore_index=True).drop_duplicates(ignore_index=True)
