"""Whose refused rows may be: by the id they say, the place, a cell, or the row above them."""

from __future__ import annotations

import json
from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import filled, positions, take, texts
from riskscope.analysis.frames import table as get_table
from riskscope.analysis.proof.register import former_names
from riskscope.analysis.proof.row_above import NAMED, by_row_above
from riskscope.schema.common import AT, ID_PARTS
from riskscope.schema.names import bare, folded, is_other_lettering, site_of, squeezed
from riskscope.schema.notes import PART

TOLD = {"row": "int64", "day": "datetime64[us]", "is_settled": "bool", "connection_id": "str"}


def whose(out: pd.DataFrame, tables: Mapping[str, pd.DataFrame], every: pd.DataFrame | None = None) -> pd.DataFrame:
    """Which connections refused rows may be of.

    By the id that a row says; where it says none by its place, board and circuit or device and what else it says.
    Either is compared without case, spaces and signs; but what is written as a joint is called, or was called at that
    site, or as its place is, is of no other: MCC-1/11 is not MCC-11/1, circuit 1.1 is not 11. An id or a place of no
    known joint is one of its own. A row that says neither may be of each joint that one of its cells names, and of the
    one that the row above it says: a merged cell fills only its first row.

    Parameters
    ----------
    out : DataFrame
        From `may_be_hottest` or `of_work`.
    every : DataFrame, optional
        All refused rows; by default these.

    Returns
    -------
    DataFrame
        A row for each connection that a refused row may be of: ``row`` (label among the refused rows), ``day`` (NaT if
        nobody knows it), ``is_settled`` (somebody dismissed the row: it asks for nothing more), ``connection_id``.
    """
    if not len(out):
        return pd.DataFrame({name: pd.Series(dtype=kind) for name, kind in TOLD.items()})
    said = _said(out)
    mute = ~(said["is_id"] | said["is_placed"])
    by_above = by_row_above(said[mute], out[mute.to_numpy()], tables, out if every is None else every)
    said = pd.concat([said[~mute], _of_cells(said[mute], out), by_above], ignore_index=True)
    named, placed = said[(said["name"] != "").to_numpy()], said[said["is_placed"].to_numpy(dtype=bool)]
    joints, former = _joints(said, tables)
    by_id = _by_id(named, joints, former)
    own = named[(named["is_id"] & ~named["row"].isin(by_id["row"][by_id["is_it"]])).to_numpy(dtype=bool)]
    by_place = _by_place(placed, joints)
    nowhere = placed[~placed["row"].isin(by_place["row"])]
    new = pd.concat([own, nowhere.assign(name=_written(nowhere))])
    called = new["name"].where(new["site"] == "", new["name"] + AT + new["site"])
    new = new.assign(connection_id=called.groupby(folded(called)).transform("first"))
    made = pd.concat([by_id, by_place, new], ignore_index=True)
    return made.drop_duplicates(["row", "connection_id"], ignore_index=True)[list(TOLD)].astype(TOLD)


def _said(out: pd.DataFrame) -> pd.DataFrame:
    """What each row says: an id, or a place."""
    every = ("connection_id", "site", *ID_PARTS)
    text = {name: texts(out, name).astype("str").fillna("").str.strip() for name in every}
    rows = pd.DataFrame({part: bare(text[part]) for part in ID_PARTS})
    rows = rows.assign(row=out.index, name=bare(text["connection_id"]), day=out["day"])
    sites = [site_of(text["connection_id"]), text["site"], site_of(text["equipment"])]
    rows["site"] = sites[0].where(sites[0] != "", sites[1].where(sites[1] != "", sites[2]))
    rows["is_settled"] = out["dismissed_by"].notna()
    rows["is_id"] = rows["name"] != ""
    rows["is_placed"] = ~rows["is_id"] & (rows["equipment"] != "") & ((rows["circuit"] != "") | (rows["device"] != ""))
    return rows


def _of_cells(mute: pd.DataFrame, out: pd.DataFrame) -> pd.DataFrame:
    """Of rows that say neither an id nor a place each cell as a name, and the day in them if there is just one."""
    out = out.loc[mute.index]
    iso = out["cells"].str.findall(r"\d{4}-\d{2}-\d{2}").map(lambda days_: days_[0] if len(set(days_)) == 1 else None)
    rows = mute.assign(day=mute["day"].fillna(pd.to_datetime(iso, errors="coerce"))).drop(columns=["name", "site"])
    return rows.join(in_cells(out))


def in_cells(out: pd.DataFrame) -> pd.DataFrame:
    """Each cell of each row as a name and the site behind it, labelled as the row is."""
    names = out["cells"].map(json.loads).explode().astype("str").fillna("")
    return pd.DataFrame({"name": bare(names), "site": site_of(names)})


def _joints(said: pd.DataFrame, tables: Mapping[str, pd.DataFrame]) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The joints that rows may be of, each with every place that is said of it anywhere; and those called otherwise.

    Returns
    -------
    DataFrame
        ``connection_id``, ``own`` (its name without its site), ``site`` and `ID_PARTS`, "" where it is not known.
    DataFrame
        ``was`` (a former name) and the site it was called so at, beside ``connection_id``.
    """
    every = [tables[name] for name in NAMED if name in tables]
    known = pd.concat([rows["connection_id"] for rows in every]).drop_duplicates()
    names = former_names(tables, known)
    former = pd.DataFrame({"was": [*names], "connection_id": [*names.values()]}, dtype="str")
    sites = [site_of(former[name]) for name in ("was", "connection_id")]
    former = former.assign(was=bare(former["was"]), site=sites[0].where(sites[0] != "", sites[1]))
    keys = set(squeezed(pd.concat([said["name"], _written(said)])))
    wanted = [known[squeezed(bare(known)).isin(keys).to_numpy()], former["connection_id"]]
    if boards := set(squeezed(said["equipment"][said["is_placed"].to_numpy(dtype=bool)])) - {""}:
        for rows in every:
            its = texts(rows, "equipment").drop_duplicates()
            there = texts(rows, "equipment").isin(its[squeezed(bare(its)).isin(boards)])
            wanted.append(rows["connection_id"][there].drop_duplicates())
    equipment = get_table(tables, "equipment")
    made = []
    for table in every:
        rows = table[table["connection_id"].isin(pd.concat(wanted))]
        parts = pd.DataFrame({name: texts(rows, name) for name in ("connection_id", "site", *ID_PARTS)})
        at_board = take(texts(equipment, "site"), positions(equipment["equipment"], parts["equipment"]))
        made.append(parts.assign(site=filled(parts["site"], at_board.set_axis(parts.index))).drop_duplicates())
    joints = pd.concat(made, ignore_index=True)
    joints["site"] = filled(joints["site"], joints.groupby("connection_id")["site"].transform("first"))
    joints = joints.assign(own=bare(joints["connection_id"]), **{part: bare(joints[part]) for part in ID_PARTS})
    return joints.astype({"site": "str"}).fillna({"site": ""}).drop_duplicates(ignore_index=True), former


def _by_id(named: pd.DataFrame, joints: pd.DataFrame, former: pd.DataFrame) -> pd.DataFrame:
    """Rows beside the joints that their id may be of; ``is_it`` where letters and digits are apart alike."""
    now = joints[["connection_id", "own", "site"]].drop_duplicates().rename(columns={"own": "called"})
    both = pd.concat([now, former.rename(columns={"was": "called"})], ignore_index=True)
    beside = named.assign(key=squeezed(named["name"])).merge(
        both.assign(key=squeezed(both["called"])), on="key", suffixes=("", "_its")
    )
    beside = beside[(is_site(beside) & (beside["key"] != "")).to_numpy(dtype=bool)]
    exact = folded(beside["name"]) == folded(beside["called"])
    taken = exact.groupby([beside["row"], beside["name"]]).transform("any")
    beside = beside.assign(is_it=_apart(beside["name"]) == _apart(beside["called"]))
    return beside[(exact | ~taken).to_numpy(dtype=bool)]


def _by_place(placed: pd.DataFrame, joints: pd.DataFrame) -> pd.DataFrame:
    """Rows beside the joints at their board and circuit, or device, that say nothing else; or called as that place."""
    if not len(placed) or not len(joints):
        return placed.iloc[:0].assign(connection_id="")
    keys = [
        (placed["equipment"] + "/" + placed[part], joints["equipment"] + "/" + joints[part], placed[part] != "")
        for part in ("circuit", "device")
    ]
    keys.append((_written(placed), joints["own"], placed["equipment"] != ""))
    made = []
    for ours, its, is_said in keys:
        mine = placed.assign(key=squeezed(ours))[is_said.to_numpy(dtype=bool)]
        made.append(mine.merge(joints.assign(key=squeezed(its)), on="key", suffixes=("", "_its")))
    beside = pd.concat(made, ignore_index=True)
    text = pd.concat([beside[f"{part}{end}"] for end in ("", "_its") for part in ID_PARTS], ignore_index=True)
    said, plain, letters = (
        names.to_numpy(dtype=object).reshape(2, len(ID_PARTS), len(beside))
        for names in (text, folded(text), squeezed(text))
    )
    unsaid, alike, same = (said == "").any(axis=0), plain[0] == plain[1], letters[0] == letters[1]
    same[ID_PARTS.index("phase")] |= is_other_lettering(beside["phase"], beside["phase_its"]).to_numpy(dtype=bool)
    agree = is_site(beside).to_numpy(dtype=bool) & (same | unsaid).all(axis=0)
    exact, differs = ((said[0] == "") | alike).all(axis=0), ~(unsaid | alike).all(axis=0)
    exact |= (folded(_written(beside)) == folded(beside["own"])).to_numpy(dtype=bool)
    taken = pd.Series(exact & agree).groupby(beside["row"].to_numpy()).transform("any").to_numpy(dtype=bool)
    return beside[agree & (exact | ~differs | ~taken)]


def is_site(beside: pd.DataFrame) -> pd.Series:
    said, its = folded(beside["site"]), folded(beside["site_its"].fillna(""))
    return (said == its) | (said == "") | (its == "")


def _written(rows: pd.DataFrame) -> pd.Series:
    """The id as it would be built of a place."""
    parts = [rows[part].to_numpy(dtype=object) for part in ID_PARTS]
    written = sum((np.where(part == "", "", "/" + part) for part in parts), np.full(len(rows), "", dtype=object))
    return pd.Series(written, rows.index, dtype="str").str.removeprefix("/")


def _apart(names: pd.Series) -> pd.Series:
    """Letters and digits of names, and where they are apart; with the sign of a pole."""
    return squeezed(names, "/") + names.str.extract(r"([+−-])$", expand=False).fillna("")


def called(out: pd.DataFrame) -> pd.Series:
    """Whose each refused row is as it says: its id, else its place; empty where it says neither."""
    said = _said(out)
    place = pd.Series("", out.index)
    for part in ID_PARTS:
        place += (PART + part + " " + said[part]).where(said[part] != "", "")
    name = said["name"].where(said["is_id"], place.str.removeprefix(PART).where(said["is_placed"]))
    return name + (AT + said["site"]).where(said["site"] != "", "")
