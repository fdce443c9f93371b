"""Entering by hand, safely: nothing is preselected, and what an entry will change is said before it is kept."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

import pandas as pd
import streamlit as st

from riskscope.errors import RiskscopeError
from riskscope.jobs.enter import by_name, enter_rows, foreseen, keep_photo
from riskscope.jobs.keep import AssessmentRecord
from riskscope.report import pictures
from riskscope.results.work import change_words
from riskscope.schema import TABLES
from riskscope.screens.parts import frame, lists
from riskscope.screens.parts.frame import Here

FORMS = {"findings": "What was found and done", "deferrals": "Put off", "notices": "Who was told"}
TITLES = {**FORMS, "renamings": "Rename or merge"}
PICTURES = ("jpg", "jpeg", "png")
CHECK = {
    "findings": "See what this finding changes",
    "deferrals": "See what putting it off changes",
    "notices": "See what this notice changes",
}
NOT_MADE_SAFE = "it was not made safe"


def forms(at: Here, record: AssessmentRecord) -> None:
    """The three forms, and what was typed in one of them until it is kept or dropped."""
    st.header("Enter what happened")
    if waiting(at, record):
        return
    ids = _connections(at, record)
    for tab, (table, _) in zip(st.tabs(list(FORMS.values())), FORMS.items(), strict=True):
        with tab, st.form(table):
            typed, lacking = {"findings": _finding, "deferrals": _deferral, "notices": _notice}[table](at)
            if st.form_submit_button(CHECK[table], type="primary"):
                if not ids:
                    lacking = ["which connection", *lacking]
                rows = [{**typed, "connection_id": name} for name in ids]
                if lacking:
                    st.error(f"Not yet: say {', '.join(lacking)}.")
                elif _changes(at, record, table, rows) is not None:
                    _draft(table, rows)


def _draft(table: str, rows: list[dict[str, str]]) -> None:
    """Hold what was typed, with its photograph, until it is kept or dropped."""
    taken = st.session_state.get("finding_photo") if table == "findings" else None
    try:
        photo = None if taken is None else pictures.load_bytes(taken.getvalue(), "the photograph")
    except RiskscopeError as error:
        st.error(f"Not yet. {frame.told(error)}")
        return
    st.session_state["draft"] = (table, rows, photo)
    st.rerun()


def waiting(at: Here, record: AssessmentRecord) -> bool:
    """What was kept last, and what was typed and waits to be kept or dropped; whether there is such."""
    if "kept" in st.session_state:
        st.success(frame.md(st.session_state.pop("kept")))
    if "draft" in st.session_state:
        _preview(at, record)
        return True
    return False


def renaming(at: Here, record: AssessmentRecord) -> None:
    """The form for a connection that has another name now, or two names that are one connection."""
    st.write("All that is known of either name is then of one connection. It can be taken back like an import.")
    with st.form("renamings"):
        left, right = st.columns(2)
        with left:
            old = st.text_input("Name until now", value=st.query_params.get("id", ""))
            day = _day("Day it was decided", at.on, "renaming_day")
        with right:
            new = st.text_input("Name from now on")
            who = st.text_input("Who decided it", key="renaming_by")
        typed = {
            "was_id": old,
            "connection_id": new,
            "renamed_on": day,
            "renamed_by": who,
            "reason": st.text_input("Why they are one connection"),
        }
        asked = {"was_id": "its name until now", "connection_id": "its name from now on", "renamed_on": "the day",
                 "renamed_by": "who decided it", "reason": "why"}  # fmt: skip
        if st.form_submit_button("See what the new name changes", type="primary"):
            lacking = _lacking(typed, asked)
            if lacking:
                st.error(f"Not yet: say {', '.join(lacking)}.")
            elif _changes(at, record, "renamings", [typed]) is not None:
                _draft("renamings", [typed])


def _connections(at: Here, record: AssessmentRecord) -> list[str]:
    """The connection typed, and others of its board that were dealt with in the same way."""
    name = st.text_input("Connection", value=st.query_params.get("id", ""), key="enter_for").strip()
    if not name:
        return []
    assessment = frame.assessment(at, record)
    try:
        known = assessment.find(name)
    except RiskscopeError as error:
        st.error(frame.told(error))
        return []
    rows = assessment.connections
    board = rows.loc[rows["connection_id"] == known, "equipment"].iloc[0]
    beside = rows.loc[(rows["equipment"] == board) & (rows["connection_id"] != known), "connection_id"]
    more = st.multiselect(f"Others on {board} with the very same entry", sorted(beside)) if len(beside) else []
    return [known, *more]


def _day(label: str, latest: dt.date, key: str) -> str:
    given = st.query_params.get("day")
    value = st.date_input(label, value=frame.day_given(latest) if given else None, max_value=latest, key=key)
    return value.isoformat() if isinstance(value, dt.date) else ""


def _choice(label: str, choices: list[str], key: str) -> str:
    return st.selectbox(label, choices, index=None, placeholder="Choose", key=key) or ""


def _lacking(typed: Mapping[str, str], asked: Mapping[str, str]) -> list[str]:
    return [words for name, words in asked.items() if not typed[name].strip()]


def _finding(at: Here) -> tuple[dict[str, str], list[str]]:
    table = TABLES["findings"]
    left, right = st.columns(2)
    with left:
        day = _day("Day of the visit", at.on, "finding_day")
        as_found = _choice("As found", list(table.by_name["as_found"].choices or {}), "finding_found")
        torque = st.text_input("Torque it was left at", help="A number; empty where none was measured.")
        tool = st.text_input("Torque tool, or die of a crimp")
    with right:
        time = st.text_input("Time", placeholder="such as 14:30", help="Helps where it was read on the same day.")
        done = _choice("Done", list(table.by_name["action"].choices or {}), "finding_done")
        unit = _choice("Unit of the torque", list(table.by_name["torque_unit"].choices or {}), "finding_unit")
        order = st.text_input("Work order")
    typed = {
        "work_date": day,
        "work_time": time,
        "as_found": as_found,
        "action": done,
        "as_left_torque": torque,
        "torque_unit": unit if torque.strip() else "",
        "tool_id": tool,
        "work_order": order,
        "comment": st.text_input("Remark", key="finding_remark"),
    }
    st.file_uploader(
        "Photograph", type=PICTURES, key="finding_photo", help="Take one now or choose one; it stays with the entry."
    )
    asked = {"work_date": "the day", "as_found": "how it was found", "action": "what was done"}
    lacking = _lacking(typed, asked)
    return typed, lacking + (["the unit of the torque"] if torque.strip() and not unit else [])


def _deferral(at: Here) -> tuple[dict[str, str], list[str]]:
    st.write("Putting work off makes no joint less urgent: it stays in its list, with this beside it.")
    left, right = st.columns(2)
    with left:
        decided = _day("Day it was decided", at.on, "deferral_day")
        who = st.text_input("Who decided it")
    with right:
        until = st.date_input("Put off until", value=None, key="deferral_until")
        withdrawn = st.checkbox("This ends what was put off before")
    last = until.isoformat() if isinstance(until, dt.date) else ""
    typed = {
        "decided_on": decided,
        "deferred_by": who,
        "until": last or (decided if withdrawn else ""),
        "reason": st.text_input("Why it can wait"),
        "withdrawn": "yes" if withdrawn else "",
    }
    asked = {
        "decided_on": "the day",
        "deferred_by": "who decided it",
        "until": "until when",
        "reason": "why it can wait",
    }
    return typed, _lacking(typed, asked)


def _notice(at: Here) -> tuple[dict[str, str], list[str]]:
    table = TABLES["notices"]
    left, right = st.columns(2)
    with left:
        day = _day("Day they were told", at.on, "notice_day")
        who = st.text_input("Who was told")
        by = st.text_input("Who told them")
    with right:
        choices = [NOT_MADE_SAFE, *(table.by_name["made_safe"].choices or {})]
        safe = _choice("Was it made safe, and how?", choices, "notice_safe")
        limited = st.text_input("Load limited to (A)")
    typed = {
        "told_on": day,
        "told": who,
        "by": by,
        "made_safe": "" if safe == NOT_MADE_SAFE else safe,
        "limited_to_a": limited,
        "note": st.text_input("Remark", key="notice_remark"),
    }
    lacking = _lacking(typed, {"told_on": "the day", "told": "who was told", "by": "who told them"})
    lacking += [] if safe else ["whether it was made safe"]
    return typed, lacking + (["to how many ampere"] if safe == "load limited" and not limited.strip() else [])


def _preview(at: Here, record: AssessmentRecord) -> None:
    """What was typed, and what it will change; kept only when that is confirmed."""
    table, rows, photo = st.session_state["draft"]
    first = {name: value for name, value in rows[0].items() if value and name != "connection_id"}
    st.subheader(f"{TITLES[table]}: not kept yet")
    changes = _changes(at, record, table, rows)
    words = [] if changes is None else changes["words"].tolist()
    told = st.session_state.get("foreseen", words)
    st.session_state["foreseen"] = words
    if words:
        st.write("This will change:")
        lists.items(words)
    st.write("What you typed:")
    lists.items(
        [f"For {', '.join(row['connection_id'] for row in rows)}", *(_told(table, *cell) for cell in first.items())]
    )
    if photo is not None:
        lists.picture(photo, "Photograph to be kept", "The photograph to be kept", is_photo=True)
    keep, drop = st.columns(2)
    if words and keep.button("Keep this entry", type="primary"):
        if told == words:
            _keep(at, table, rows, photo)
        else:
            st.warning("Not kept yet: what is on record has changed, and with it what this changes. Read it again.")
    if drop.button("Drop it"):
        _forget()
        st.rerun()


def _told(table: str, name: str, value: str) -> str:
    """A cell that was typed, in words."""
    column = TABLES[table].by_name[name]
    is_current = column.quantity == "current"
    words = name.removesuffix("_a" if is_current else "_id").replace("_", " ") + (" (A)" if is_current else "")
    return f"{words}: {frame.day(dt.date.fromisoformat(value)) if column.kind == 'date' else value}"


def _forget() -> None:
    for name in ("draft", "foreseen"):
        st.session_state.pop(name, None)


def _changes(at: Here, record: AssessmentRecord, table: str, rows: list[dict[str, str]]) -> pd.DataFrame | None:
    try:
        made = foreseen(frame.assessment(at, record), table, rows, at.units)
    except RiskscopeError as error:
        st.error(f"It cannot be kept so: {frame.told(error)}")
        return None
    return made.assign(words=change_words(made))


def _keep(at: Here, table: str, rows: list[dict[str, Any]], photo: bytes | None) -> None:
    try:
        rows = [by_name(frame.assessment(at, frame.needed(at)), row) for row in rows]
        if photo is not None:
            name = keep_photo(at.store, photo, rows[0]["connection_id"], at.stamp)
            rows = [{**row, "photo": name} for row in rows]
        made = enter_rows(at.store, table, rows, on=at.on, stamp=at.stamp)
    except RiskscopeError as error:
        st.error(f"Not kept: {frame.told(error)}")
        return
    _forget()
    names = ", ".join(row["connection_id"] for row in rows)
    there = made.outcome == "there"
    number = f" It is import {made.made.id}: it can be taken back under Records, Imports." if made.made else ""
    st.session_state["kept"] = f"There already, nothing was changed: {names}." if there else f"Kept: {names}.{number}"
    st.rerun()
