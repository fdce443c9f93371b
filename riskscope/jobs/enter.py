"""enter: what is typed by hand comes in as a small file; what it will change is said before it is kept."""

from __future__ import annotations

import csv
import dataclasses
import datetime as dt
import hashlib
import io
import re
import unicodedata
from collections.abc import Mapping, Sequence

import pandas as pd

from riskscope.analysis.assess import assess
from riskscope.analysis.assessment import Assessment
from riskscope.analysis.frames import kept
from riskscope.analysis.proof.notes import LIFTED, LIMITED
from riskscope.errors import UnusableInput
from riskscope.intake.combine import spell_ids_one_way, with_renamings
from riskscope.intake.files import FileContent
from riskscope.intake.options import Limits, ReadOptions
from riskscope.intake.read import CheckedFile, check_file
from riskscope.intake.readers.by_ending import grids
from riskscope.jobs.assessed import of_store
from riskscope.jobs.bring_in import Decision, FileOutcome, one_file
from riskscope.jobs.request import Request
from riskscope.results.describe import described
from riskscope.results.work import change_words
from riskscope.schema import TABLES, Table
from riskscope.schema.codes import URGENCIES
from riskscope.schema.common import AT
from riskscope.schema.notes import NOT_GIVEN
from riskscope.schema.tables import Tables
from riskscope.store import imports
from riskscope.store import reading as held
from riskscope.store.database import Store
from riskscope.store.stamp import Actor, Stamp
from riskscope.words.render import Units

MOST_NAMED = 3


def enter(store: Store, table: str, row: Mapping[str, str], *, on: dt.date, stamp: Stamp) -> FileOutcome:
    """One row of a table, typed by hand; see `enter_rows`."""
    return enter_rows(store, table, [row], on=on, stamp=stamp)


def enter_rows(
    store: Store, table: str, rows: Sequence[Mapping[str, str]], *, on: dt.date, stamp: Stamp
) -> FileOutcome:
    """Rows of a table, typed by hand.

    Parameters
    ----------
    rows : sequence of mapping of str to str
        Column -> what was typed; columns that are empty in all rows are left out.

    Raises
    ------
    UnusableInput
        If a row is rejected: the reasons.
    """
    stamp.actor.needs("planner")
    content = _not_said_before(store, _as_file(table, rows, stamp, on), table, rows)
    checked = _checked(content, on)
    beside = Decision(beside=True)
    return one_file(store, content, on=on, limits=Limits(), stamp=stamp, decision=beside, checked=checked)


def _not_said_before(store: Store, content: FileContent, table: str, rows: Sequence[Mapping[str, str]]) -> FileContent:
    """The file of an entry, another than an earlier one with the same words where something lies between the two.

    That is a later row of the table for one of these connections, or whatever else the table is about.
    """
    about = TABLES[table].key[0]
    ids = [row[about] for row in rows]
    later = [entry for entry in held.listed(store) if table in entry.tables and entry.state == "active"]
    while (same := held.find(store, content)) is not None:
        between = (sheet for entry in later if entry.id > same.id for sheet in held.sheets_of(store, entry.id))
        if not any(sheet.table.name == table and sheet.accepted[about].isin(ids).any() for sheet in between):
            return content
        content = dataclasses.replace(content, data=content.data + b"\n")
    return content


def foreseen(assessment: Assessment, table: str, rows: Sequence[Mapping[str, str]], units: Units) -> pd.DataFrame:
    """What rows typed by hand will change, before they are kept.

    Only the boards and siblings of the connections named are assessed again.

    Returns
    -------
    DataFrame
        For each connection named, then for others that it changes (``is_beside``): ``connection_id was_id unlike
        typed_id is_beside urgency_before urgency work record_now record_now_reasons action``; ``was_id`` only of one
        that is renamed, ``urgency_before`` then the worse of its two names, ``unlike`` where they are said to be;
        ``typed_id`` its former name, where that was typed.

    Raises
    ------
    UnusableInput
        If a row is rejected: the reasons; if there is no such connection; if it ends or lifts what is not there.
    """
    typed = [by_name(assessment, row) for row in rows]
    checked = _checked(_as_file(table, typed, Stamp(Actor(""), ""), assessment.on), assessment.on)
    ids = list(dict.fromkeys(row["connection_id"] for row in typed))
    former = {row["connection_id"]: row["was_id"] for row in typed if "was_id" in row}
    near = _near(assessment, [*ids, *former.values()])
    tables = _of(assessment, [*near, *ids])
    new = checked.sheets[0].accepted
    held = tables.accepted.get(table)
    both = new if held is None or not len(held) else pd.concat([held, new], ignore_index=True)
    accepted = {**tables.accepted, table: both}
    spell_ids_one_way(accepted)
    if former:
        accepted, notes = with_renamings(accepted)
        for note in notes:
            if note.kind == "warning" and any(repr(name) in note.text for name in former.values()):
                raise UnusableInput(f"{note.text}.")
    after = assess(
        dataclasses.replace(tables, accepted=accepted),
        on=assessment.on,
        settings=assessment.settings,
        criteria=assessment.criteria,
    )
    known = assessment.connections.set_index("connection_id")
    now = after.connections.set_index("connection_id")
    if table == "notices":
        _lifts_something(accepted[table], new)
    if table == "deferrals":
        _ends_something(known, now, typed)
    others = [name for name in _changed(known, now) if name in near and name not in {*ids, *former.values()}]
    said = described(after, units).set_index("connection_id").loc[[*ids, *others]]
    names = known["urgency"]
    before = [
        min(names.reindex([name, former.get(name, name)]).dropna(), key=[*URGENCIES].index) for name in said.index
    ]
    as_typed = {
        new["connection_id"]: " ".join(row["connection_id"].split()) for row, new in zip(rows, typed, strict=True)
    }
    return pd.DataFrame(
        {
            "was_id": [former.get(name, "") for name in said.index],
            "unlike": [_unlike(known, former[name], name) if name in former else "" for name in said.index],
            "typed_id": [_former_name(assessment, name, as_typed.get(name, name)) for name in said.index],
            "is_beside": [name in others for name in said.index],
            "urgency_before": before,
            **{name: said[name] for name in ("urgency", "work", "record_now", "record_now_reasons", "action")},
        },
        index=said.index,
    ).reset_index()


def _former_name(assessment: Assessment, name: str, typed: str) -> str:
    """What was typed, where it is a former name of the connection; else empty."""
    if typed.casefold() == name.casefold() or AT in name:
        return ""
    known = {spelled.casefold() for spelled in assessment.connections["connection_id"]}
    return "" if typed.casefold() in known else typed


def _unlike(known: pd.DataFrame, old: str, new: str) -> str:
    """Where two names of one connection are, as far as that differs; empty where it does not."""
    if old not in known.index or new not in known.index:
        return ""
    both = known.loc[[old, new], [name for name in TABLES["connections"].places if name in known]]
    differ = both.columns[both.notna().all() & (both.iloc[0] != both.iloc[1])]
    return "; ".join(f"{name}: {', '.join(both.loc[name, differ].astype('str'))}" for name in (old, new) if len(differ))


def _changed(before: pd.DataFrame, after: pd.DataFrame) -> list[str]:
    """Connections of which urgency, state of work or record is another."""
    ids = after.index.intersection(before.index)
    columns = ["urgency", "work_state", "record_now"]
    old, new = (frame.loc[ids, columns].astype("str").fillna("") for frame in (before, after))
    return ids[(old != new).any(axis=1)].tolist()


def _ends_something(before: pd.DataFrame, after: pd.DataFrame, rows: Sequence[Mapping[str, str]]) -> None:
    """Refuses what ends a deferral where there is none.

    Raises
    ------
    UnusableInput
    """
    put_off = ["is_put_off", "is_put_off_before", "is_run_out"]
    for row in rows:
        name = row["connection_id"]
        if row.get("withdrawn") != "yes":
            continue
        if not before.loc[name, put_off].any():
            raise UnusableInput(f"{name!r} is not put off: there is nothing to end.")
        if after.loc[name, put_off].any():
            raise UnusableInput(f"{name!r} was put off after that day: it would not end. Give the day it is ended.")


def _lifts_something(notices: pd.DataFrame, new: pd.DataFrame) -> None:
    """Refuses what lifts where nothing was made safe up to that day, or has been lifted since.

    Raises
    ------
    UnusableInput
    """
    if "made_safe" not in new:
        return
    others = notices.iloc[: len(notices) - len(new)]
    for name, day in new.loc[new["made_safe"] == LIFTED, ["connection_id", "told_on"]].itertuples(index=False):
        mine = others[(others["connection_id"] == name) & (others["told_on"] <= day)]
        said = mine["made_safe"] if "made_safe" in mine else mine["told"].iloc[:0]
        safe, lifted = (
            mine.loc[said.index[mask], "told_on"].max() for mask in (said.notna() & (said != LIFTED), said == LIFTED)
        )
        if pd.isna(safe) or lifted >= safe:
            raise UnusableInput(f"nothing on record makes {name!r} safe on that day: there is nothing to lift.")


def by_name(assessment: Assessment, row: Mapping[str, str]) -> dict[str, str]:
    """A row typed by hand, its connection as it is spelled in the tables, with its site where there are several.

    Of a renaming the new name may be new.

    Raises
    ------
    UnusableInput
        If there is no such connection.
    """
    if "was_id" not in row:
        name = assessment.find(row["connection_id"])
        return {**row, "connection_id": name, **_site_column(assessment, name)}
    old, new = assessment.find(row["was_id"]), " ".join(row["connection_id"].split())
    if not new:
        raise UnusableInput("the new name is empty.")
    try:
        new = assessment.find(new)
    except UnusableInput:
        if AT in old and AT not in new:
            new += old[old.rindex(AT) :]
    if new == old:
        raise UnusableInput(f"{old!r} is its name already.", hint="To end a renaming, take back its entry.")
    here, there = (_site_of(assessment, name) for name in (old, new))
    if here and there and here.casefold() != there.casefold():
        raise UnusableInput(f"{old!r} is on {here}, {new!r} on {there}: a new name moves nothing to another site.")
    return {**row, "was_id": old, "connection_id": new, **_site_column(assessment, old)}


def _site_of(assessment: Assessment, name: str) -> str:
    """The site a connection is on, as its name says or the assessment does; empty where neither does."""
    if AT in name:
        return name.rpartition(AT)[2]
    known = assessment.connections
    site = known.loc[known["connection_id"] == name, "site"].dropna()
    return str(site.iloc[0]) if len(site) else ""


def _site_column(assessment: Assessment, name: str) -> dict[str, str]:
    """The site of an entry, where there are several and the name of its connection does not say it."""
    several = len(assessment.connections["site"].dropna().unique()) > 1
    site = _site_of(assessment, name)
    return {"site": site} if several and site and AT not in name else {}


def keep_photo(store: Store, picture: bytes, connection_id: str, stamp: Stamp) -> str:
    """Keep a photograph of a connection, made safe by `riskscope.report.pictures`; the name it is kept under."""
    stamp.actor.needs("planner")
    place = re.sub(r"[^\w.-]+", "_", connection_id)
    name = f"photo_{place}_{hashlib.sha256(picture).hexdigest()[:12]}.jpg"
    imports.keep_picture(store, name, picture, stamp)
    return name


def enter_by_name(
    store: Store, table: str, rows: Sequence[Mapping[str, str]], *, on: dt.date, stamp: Stamp
) -> tuple[list[str], FileOutcome]:
    """Rows of a table for connections by their names; what that changes, in words, and what became of it.

    Raises
    ------
    UnusableInput
        If there is no such connection, or a row is rejected.
    """
    request = Request(None, {}, ReadOptions(), {}, None, on, Units(), store.address, stamp)
    assessment = of_store(request, lambda text: None)
    changes = foreseen(assessment, table, rows, request.units)
    known = [by_name(assessment, row) for row in rows]
    return change_words(changes), enter_rows(store, table, known, on=on, stamp=stamp)


def _near(assessment: Assessment, ids: Sequence[str]) -> list[str]:
    """Some connections, those of their boards and devices, and in any survey the siblings of all of them."""
    known, readings = assessment.connections, assessment.readings
    mine = known["connection_id"].isin(ids)
    board = known["equipment"].isin(known.loc[mine, "equipment"].dropna().unique().tolist())
    place = known[["site", "equipment", "circuit", "device"]].astype("str").fillna("")
    device = pd.MultiIndex.from_frame(place).isin(pd.MultiIndex.from_frame(place[mine])) & known["device"].notna()
    near = [*known.loc[mine | board | device, "connection_id"], *ids]
    sets = readings.loc[readings["connection_id"].isin(near) & (readings["set_code"] >= 0), "set_code"].unique()
    beside = readings.loc[readings["set_code"].isin(sets), "connection_id"]
    return list(dict.fromkeys([*near, *beside]))


def _of(assessment: Assessment, near: Sequence[str]) -> Tables:
    """The rows of some connections, of the register also what is out of use; tools whole."""
    accepted = {
        name: kept(rows, rows["connection_id"].isin(near).to_numpy(dtype=bool)) if "connection_id" in rows else rows
        for name, rows in assessment.tables.items()
    }
    return dataclasses.replace(assessment.tables, accepted=accepted)


def _as_file(table: str, rows: Sequence[Mapping[str, str]], stamp: Stamp, on: dt.date) -> FileContent:
    for row in rows:
        for name, value in row.items():
            if any(unicodedata.category(letter) == "Cc" for letter in value):
                words = TABLES[table].by_name[name].help.rstrip(".")
                raise UnusableInput(f"{words}: it holds a character that cannot be kept; type it anew.")
        last, ends = row.get("until", ""), row.get("withdrawn", "") == "yes"
        if table == "deferrals" and last and not ends and last < on.isoformat():
            raise UnusableInput(f"put off until {last} is past: nothing would be put off.")
        if row.get("limited_to_a", "").strip() and row.get("made_safe") != LIMITED:
            raise UnusableInput("an ampere is given, but not that the load is limited: say so, or leave it empty.")
        if row.get("made_safe") == LIMITED and not re.search(r"\d", row.get("limited_to_a", "")):
            raise UnusableInput("say to how many ampere the load is limited.")
    columns = [column.name for column in TABLES[table].columns if any(row.get(column.name, "").strip() for row in rows)]
    buffer = io.StringIO()
    writer = csv.writer(buffer, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([[row.get(name, "").strip() for name in columns] for row in rows])
    ids = ", ".join(row[TABLES[table].key[0]] for row in rows[:MOST_NAMED])
    name = f"{table} typed by {stamp.who} {stamp.at} for {ids}.csv".replace("/", "-")
    return FileContent(name, buffer.getvalue().encode(), ReadOptions(table=table, day_first=True, decimal="point"))


def _in_words(reason: str, table: Table) -> str:
    """Why a row is refused, in the words of the form instead of the name of the column."""
    name, _, rest = reason.partition(" ")
    if name == "no":
        name, rest = rest, "not said"
    return f"{table.by_name[name].help.split(';')[0].rstrip('.')}: {rest}" if name in table.by_name else reason


def _checked(content: FileContent, on: dt.date) -> CheckedFile:
    """What was typed, checked as any file is.

    Raises
    ------
    UnusableInput
        If a row is rejected, a cell cannot be read, or a table cannot do without what was left empty.
    """
    checked = check_file(content, on=on, limits=Limits(), reader=grids)  # our own file: read in place
    for sheet in checked.sheets:
        aside = sheet.rejected.query("kind == 'set aside' and line > 1")
        if len(aside):
            raise UnusableInput(f"this is no entry: {aside['reason'].iloc[0]}.")
    refused = [
        _in_words(part, sheet.table)
        for sheet in checked.sheets
        for reason in sheet.rejected.query("kind == 'rejected'")["reason"]
        for part in reason.split("; ")
    ]
    refused += [
        _in_words(note.text.removesuffix(NOT_GIVEN), sheet.table)
        for sheet in checked.sheets
        for note in sheet.notes
        if note.text.endswith(NOT_GIVEN)
    ]
    if refused:
        raise UnusableInput("; ".join(dict.fromkeys(refused)) + ".")
    return checked
