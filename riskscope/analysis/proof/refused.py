"""Rows that were refused and may matter: readings with a temperature in them, records of work; whose, of which day."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import (
    NEVER,
    NO_DAY,
    Bools,
    Ints,
    dates,
    days,
    filled,
    floats,
    kept,
    latest,
    positions,
    take,
    texts,
)
from riskscope.analysis.frames import table as get_table
from riskscope.analysis.proof.register import former_names
from riskscope.analysis.proof.visits import TIGHTENED
from riskscope.schema.common import AT, ID_PARTS, LINE_PHASES
from riskscope.schema.names import apart, folded, squeezed
from riskscope.schema.notes import HOTTEST, PART

NAMED = ("survey", "connections", "installs", "findings")  # tables that show that a joint is known
TOLD = {"row": "int64", "day": "datetime64[us]", "is_settled": "bool", "connection_id": "str"}
LETTERINGS = ("a b c", "l1 l2 l3", "r y b", "r s t", "u v w", "1 2 3")  # of line phases; of one lettering B is not A


def may_be_hottest(refused_rows: pd.DataFrame) -> pd.DataFrame:
    """The rows of surveys that were refused though a temperature stands in them, above all those off the scale."""
    rows = refused_rows[(refused_rows["table"] == "survey") & (refused_rows["kind"] == "rejected")]
    return rows[rows["reason"].str.contains(HOTTEST, regex=False)]


def of_work(refused_rows: pd.DataFrame) -> pd.DataFrame:
    """The records of work and the findings that were refused."""
    is_work = refused_rows["table"].isin(["installs", "findings"])
    return refused_rows[is_work & (refused_rows["kind"] == "rejected")]


def readings_and_work(
    refused_rows: pd.DataFrame, tables: Mapping[str, pd.DataFrame]
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Whose the refused rows of `may_be_hottest` and of `of_work` are: `whose`, asked once for both."""
    hottest, work = may_be_hottest(refused_rows), of_work(refused_rows)
    said = whose(pd.concat([hottest, work]), tables)
    is_work = said["row"].isin(work.index).to_numpy()
    return kept(said, ~is_work), kept(said, is_work)


def whose(out: pd.DataFrame, tables: Mapping[str, pd.DataFrame]) -> pd.DataFrame:
    """Which connections refused rows may be of.

    By the id that a row says; where it says none by its place, board and circuit or device and what else it says.
    Either is compared without case, spaces and signs; but what is written as a joint is called, or was called at that
    site, or as its place is, is of no other: MCC-1/11 is not MCC-11/1, circuit 1.1 is not 11. An id or a place of no
    known joint is one of its own. A row that says neither may be of each joint that one of its cells names.

    Parameters
    ----------
    out : DataFrame
        From `may_be_hottest` or `of_work`.

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
    said = pd.concat([said[~mute], _of_cells(said[mute], out)], ignore_index=True)
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
    rows = pd.DataFrame({part: _bare(text[part]) for part in ID_PARTS})
    rows = rows.assign(row=out.index, name=_bare(text["connection_id"]), day=out["day"])
    sites = [_site(text["connection_id"]), text["site"], _site(text["equipment"])]
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
    return rows.join(_in_cells(out))


def _in_cells(out: pd.DataFrame) -> pd.DataFrame:
    """Each cell of each row as a name and the site behind it, labelled as the row is."""
    names = out["cells"].map(json.loads).explode().astype("str").fillna("")
    return pd.DataFrame({"name": _bare(names), "site": _site(names)})


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
    sites = [_site(former[name]) for name in ("was", "connection_id")]
    former = former.assign(was=_bare(former["was"]), site=sites[0].where(sites[0] != "", sites[1]))
    keys = set(squeezed(pd.concat([said["name"], _written(said)])))
    wanted = [known[squeezed(_bare(known)).isin(keys).to_numpy()], former["connection_id"]]
    if boards := set(squeezed(said["equipment"][said["is_placed"].to_numpy(dtype=bool)])) - {""}:
        for rows in every:
            its = texts(rows, "equipment").drop_duplicates()
            there = texts(rows, "equipment").isin(its[squeezed(_bare(its)).isin(boards)])
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
    joints = joints.assign(own=_bare(joints["connection_id"]), **{part: _bare(joints[part]) for part in ID_PARTS})
    return joints.astype({"site": "str"}).fillna({"site": ""}).drop_duplicates(ignore_index=True), former


def _by_id(named: pd.DataFrame, joints: pd.DataFrame, former: pd.DataFrame) -> pd.DataFrame:
    """Rows beside the joints that their id may be of; ``is_it`` where letters and digits are apart alike."""
    now = joints[["connection_id", "own", "site"]].drop_duplicates().rename(columns={"own": "called"})
    both = pd.concat([now, former.rename(columns={"was": "called"})], ignore_index=True)
    beside = named.assign(key=squeezed(named["name"])).merge(
        both.assign(key=squeezed(both["called"])), on="key", suffixes=("", "_its")
    )
    beside = beside[(_is_site(beside) & (beside["key"] != "")).to_numpy(dtype=bool)]
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
    agree = _is_site(beside).to_numpy(dtype=bool) & (same | unsaid).all(axis=0)
    exact, differs = ((said[0] == "") | alike).all(axis=0), ~(unsaid | alike).all(axis=0)
    exact |= (folded(_written(beside)) == folded(beside["own"])).to_numpy(dtype=bool)
    taken = pd.Series(exact & agree).groupby(beside["row"].to_numpy()).transform("any").to_numpy(dtype=bool)
    return beside[agree & (exact | ~differs | ~taken)]


def is_other_lettering(ours: pd.Series, its: pd.Series) -> pd.Series:
    """Whether two line phases are lettered in ways of which nobody knows which is which: A and L1, but not A and B."""
    line = {phase.casefold() for phase in LINE_PHASES}
    mine, other = ours.str.casefold(), its.str.casefold()
    of_one = np.logical_or.reduce([mine.isin(way.split()) & other.isin(way.split()) for way in LETTERINGS])
    return mine.isin(line) & other.isin(line) & ~of_one


def _is_site(beside: pd.DataFrame) -> pd.Series:
    said, its = folded(beside["site"]), folded(beside["site_its"].fillna(""))
    return (said == its) | (said == "") | (its == "")


def _written(rows: pd.DataFrame) -> pd.Series:
    """The id as it would be built of a place."""
    parts = [rows[part].to_numpy(dtype=object) for part in ID_PARTS]
    written = sum((np.where(part == "", "", "/" + part) for part in parts), np.full(len(rows), "", dtype=object))
    return pd.Series(written, rows.index, dtype="str").str.removeprefix("/")


def _site(names: pd.Series) -> pd.Series:
    """The site behind each name; "" where there is none."""
    return names.str.extract(rf"{AT}(.*)", expand=False).fillna("").str.strip()


def _bare(names: pd.Series) -> pd.Series:
    """Names without the site behind them; "" where there is none."""
    return names.astype("str").fillna("").str.replace(rf"{AT}.*", "", regex=True).str.strip()


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


def doubted_tools(refused_rows: pd.DataFrame, tables: Mapping[str, pd.DataFrame]) -> pd.Series:
    """The tools of which a row was rejected, that may say that one was out of tolerance.

    A rejected row is of each tool that one of its cells names, whatever stands between letters and digits, on its site
    or on one it does not say.
    """
    out = refused_rows[(refused_rows["table"] == "tools") & (refused_rows["kind"] == "rejected")]
    tools = get_table(tables, "tools")
    if not len(out) or not len(tools):
        return tools["tool_id"].iloc[:0]
    cells = _in_cells(out)
    site = texts(out, "site").astype("str").fillna("").reindex(cells.index)
    cells = cells.assign(site=cells["site"].where(cells["site"] != "", site), key=squeezed(cells["name"]))
    ids = tools["tool_id"].drop_duplicates()
    listed = pd.DataFrame({"tool_id": ids, "site_its": _site(ids), "key": squeezed(_bare(ids))})
    beside = listed.merge(cells[cells["key"] != ""], on="key")
    return beside["tool_id"][_is_site(beside)].drop_duplicates()


def places_said(refused_rows: pd.DataFrame, tables: Mapping[str, pd.DataFrame]) -> pd.DataFrame:
    """Where rejected rows of the register say that the connections of just their id are, as far as they agree.

    Whatever such a row was rejected for, what it says of a place is all there is to compare its connection by.

    Returns
    -------
    DataFrame
        ``connection_id``, ``site`` and `ID_PARTS`, spelled as in the tables.
    """
    parts = ["site", *ID_PARTS]
    out = refused_rows[(refused_rows["table"] == "connections") & (refused_rows["kind"] == "rejected")]
    said = whose(out, tables)
    rows = out.loc[said["row"]].reset_index(drop=True).assign(its=said["connection_id"])
    rows = rows[(folded(_bare(rows["its"])) == folded(_bare(rows["connection_id"]))).to_numpy()]
    if not len(rows):
        return rows[["connection_id", *parts]]
    for part in parts:
        known = pd.concat([texts(tables[name], part) for name in ("survey", "connections") if name in tables])
        known = known.dropna().drop_duplicates()
        at = [positions(folded(known), folded(name)) for name in (rows[part] + AT + rows["site"], rows[part])]
        spelled = [take(known, where).set_axis(rows.index) for where in at]
        rows[part] = filled(filled(*spelled), rows[part])
    first, last = (rows.groupby("its")[parts].agg(which) for which in ("min", "max"))
    return first.where(first == last).rename_axis("connection_id").reset_index()


def beside_refused(readings: pd.DataFrame, said: pd.DataFrame) -> Bools:
    """Readings of connections of which another of that day, or of a day nobody knows, was refused."""
    made = readings["connection_id"].isin(said["connection_id"][said["day"].isna()]).to_numpy(dtype=bool, copy=True)
    dated = said[["connection_id", "day"]].dropna()
    at = np.flatnonzero(readings["connection_id"].isin(dated["connection_id"]))
    its = pd.MultiIndex.from_arrays([readings["connection_id"].iloc[at], days(readings["survey_date"])[at]])
    made[at] |= its.isin(pd.MultiIndex.from_arrays([dated["connection_id"], days(dated["day"])]))
    return made


def siblings_refused(rows: pd.DataFrame, refused_rows: pd.DataFrame) -> Bools:
    """Connections at a circuit or device of which a reading of that day, or of a day nobody knows, was refused."""
    out = refused_rows[(refused_rows["table"] == "survey") & (refused_rows["kind"] == "rejected")]
    at = positions(folded(rows["connection_id"]), folded(called(out).fillna("")))
    ours = {name: _bare(texts(rows, name)) for name in ("equipment", "circuit", "device")}
    its = {name: _bare(filled(texts(out, name), take(texts(rows, name), at).set_axis(out.index))) for name in ours}
    its_day, day = (days(dated).astype(str) for dated in (out["day"], rows["survey_date"]))
    its_day[its_day == str(NO_DAY)] = ""
    made = np.zeros(len(rows), dtype=bool)
    for part in ("circuit", "device"):
        key, its_key = (apart(of["equipment"] + "/" + of[part]) + AT for of in (ours, its))
        there = set((its_key + its_day)[its[part] != ""])
        made |= (ours[part] != "").to_numpy() & (key.isin(there) | (key + day).isin(there)).to_numpy()
    return made


def asks_again(frame: pd.DataFrame, said: pd.DataFrame, on: dt.date) -> dict[str, object]:
    """Connections of which a reading was refused that no later one has answered, and nobody has settled.

    Writes
        ``refused_on`` (day of the last such reading), ``refused_undated`` (one of a day nobody knows).
    """
    open_ = said[~said["is_settled"].to_numpy(dtype=bool)]
    at, day = positions(frame["connection_id"], open_["connection_id"]), days(open_["day"])
    seen = np.maximum(days(frame["survey_date"]), days(frame["after_date"]))
    undated = np.zeros(len(frame), dtype=bool)
    undated[at[(at >= 0) & (day == NO_DAY)]] = True
    asks = (at >= 0) & (day != NO_DAY) & (day >= seen[at]) & (day <= int(np.datetime64(on, "D").astype(np.int64)))
    return {"refused_on": dates(latest(len(frame), at[asks], day[asks])), "refused_undated": undated}


def work_refused_on(frame: pd.DataFrame, said: pd.DataFrame, on: dt.date) -> Ints:
    """Day of the last record of work of each connection that was refused; `NEVER` where nobody knows it of one,
    `NO_DAY` where none was."""
    at, day = positions(frame["connection_id"], said["connection_id"]), days(said["day"])
    day = np.where(day == NO_DAY, NEVER, day)
    counts = (at >= 0) & ((day == NEVER) | (day <= int(np.datetime64(on, "D").astype(np.int64))))
    return latest(len(frame), at[counts], day[counts])


def doubts_work(refused_on: Ints, every: pd.DataFrame) -> Bools:
    """Connections of which a record of work was refused that is not older than the last work that counts."""
    work = every[(every["did"] >= TIGHTENED).to_numpy()]
    last_work = latest(len(refused_on), work["code"].to_numpy(), work["day"].to_numpy())
    return (refused_on != NO_DAY) & (refused_on >= last_work)


def doubts_record(readings: pd.DataFrame, said: pd.DataFrame, work: pd.DataFrame) -> Bools:
    """Readings of which the record of then is in doubt: a record of work was refused that is of no later day, and not
    older than the last work before them.

    Parameters
    ----------
    readings : DataFrame
        ``connection_id survey_date survey_time``
    said : DataFrame
        Records of work that were refused, from `whose`; what is of a day nobody knows may be of any.
    work : DataFrame
        ``connection_id day time`` of all work that counts; what is not surely before a reading is not.
    """
    day, time = days(readings["survey_date"]), floats(readings, "survey_time")
    rows = readings[["connection_id"]].assign(row=np.arange(len(readings)))
    of_said = rows.merge(said[["connection_id"]].assign(its=days(said["day"])), on="connection_id")
    row, its = of_said["row"].to_numpy(), of_said["its"].to_numpy()
    its = np.where(its == NO_DAY, day[row], its)
    rejected = latest(len(rows), row[its <= day[row]], its[its <= day[row]])
    of_work = rows.merge(work[["connection_id", "day", "time"]], on="connection_id")
    row, its = of_work["row"].to_numpy(), of_work["day"].to_numpy()
    before = (its < day[row]) | ((its == day[row]) & (of_work["time"].to_numpy(dtype=float) <= time[row]))
    return (rejected != NO_DAY) & (rejected >= latest(len(rows), row[before], its[before]))


def unknown(said: pd.DataFrame, known: pd.Series, on: dt.date) -> pd.Series:
    """Ids that only a refused reading names up to the day: nobody knows yet how such a joint is."""
    other = ~said["connection_id"].isin(known) & ~(said["day"] > pd.Timestamp(on))
    return said["connection_id"][other.to_numpy(dtype=bool)].drop_duplicates()


def refused_of(said: pd.DataFrame, refused_rows: pd.DataFrame, connection_id: str) -> pd.DataFrame:
    """The refused readings that may be of a connection."""
    return refused_rows.loc[said["row"][said["connection_id"] == connection_id].unique()]
