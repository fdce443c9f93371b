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
TYPED = "entry_"  # what the fields of the forms are called by
NOTHING_NEW = "nothing new was done to make it safe"
UNSAID = {"made_safe": NOTHING_NEW}  # what an answer means that leaves its column empty


def forms(at: Here, record: AssessmentRecord) -> None:
    """The three forms, and what was typed in one of them until it is kept or dropped."""
    st.header("Enter what happened")
    if waiting(at, record):
        return
    ids = _connections(at, record)
    first = FORMS.get(st.session_state.get("form_before", ""))
    for tab, (table, _) in zip(st.tabs(list(FORMS.values()), default=first), FORMS.items(), strict=True):
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
    of, before = st.session_state.get("photo_before", ("", None))
    try:
        is_of_it = table == "findings" and of == rows[0]["connection_id"]
        photo = (
            (before if is_of_it else None) if taken is None else pictures.load_bytes(taken.getvalue(), "the photograph")
        )
    except RiskscopeError as error:
        st.error(f"Not yet. {frame.told(error)}")
        return
    _forget()
    st.session_state["draft"] = (table, rows, photo)
    st.session_state["typed"] = {
        name: st.session_state[name] for name in st.session_state if str(name).startswith(TYPED)
    }
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
            old = _of_link("Name until now", "entry_old_name")
            day = _day("Day it was decided", at.on, "entry_renaming_day")
        with right:
            new = st.text_input("Name from now on", key="entry_new_name")
            who = st.text_input("Who decided it", key="entry_renaming_by")
        typed = {
            "was_id": old,
            "connection_id": new,
            "renamed_on": day,
            "renamed_by": who,
            "reason": st.text_input("Why they are one connection", key="entry_renaming_why"),
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
    name = _of_link("Connection", "entry_for").strip()
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
    label = f"Others on {board} with the very same entry"
    more = st.multiselect(label, sorted(beside), key=f"entry_beside_{known}") if len(beside) else []
    return [known, *more]


def _of_link(label: str, key: str) -> str:
    """A field for a connection, filled from the address until something is typed."""
    st.session_state.setdefault(key, st.query_params.get("id", ""))
    return st.text_input(label, key=key)


def _day(label: str, latest: dt.date, key: str) -> str:
    st.session_state.setdefault(key, frame.day_given(latest) if st.query_params.get("day") else None)
    value = st.date_input(label, max_value=latest, key=key)
    return value.isoformat() if isinstance(value, dt.date) else ""


def _choice(label: str, choices: list[str], key: str) -> str:
    return st.selectbox(label, choices, index=None, placeholder="Choose", key=key) or ""


def _lacking(typed: Mapping[str, str], asked: Mapping[str, str]) -> list[str]:
    return [words for name, words in asked.items() if not typed[name].strip()]


def _finding(at: Here) -> tuple[dict[str, str], list[str]]:
    table = TABLES["findings"]
    left, right = st.columns(2)
    with left:
        day = _day("Day of the visit", at.on, "entry_finding_day")
        as_found = _choice("As found", list(table.by_name["as_found"].choices or {}), "entry_found")
        help_ = "A number; empty where none was measured."
        torque = st.text_input("Torque it was left at", help=help_, key="entry_torque")
        tool = st.text_input("Torque tool, or die of a crimp", key="entry_tool")
        help_ = (
            "A number, or a range such as 20-25, in the same unit. What a torque record says need not be said again."
        )
        required = st.text_input("Required torque, where it is not on record", help=help_, key="entry_required")
    with right:
        help_ = "Helps where it was read on the same day."
        time = st.text_input("Time", placeholder="such as 14:30", help=help_, key="entry_time")
        done = _choice("Done", list(table.by_name["action"].choices or {}), "entry_done")
        unit = _choice("Unit of the torque", list(table.by_name["torque_unit"].choices or {}), "entry_unit")
        order = st.text_input("Work order", key="entry_order")
        sources = list(table.by_name["required_source"].choices or {})
        source = _choice("Where the required torque is from", sources, "entry_required_source")
    typed = {
        "work_date": day,
        "work_time": time,
        "as_found": as_found,
        "action": done,
        "as_left_torque": torque,
        "required_torque": required,
        "torque_unit": unit if (torque + required).strip() else "",
        "required_source": source if required.strip() else "",
        "tool_id": tool,
        "work_order": order,
        "comment": st.text_input("Remark", key="entry_finding_remark"),
    }
    st.file_uploader(
        "Photograph", type=PICTURES, key="finding_photo", help="Take one now or choose one; it stays with the entry."
    )
    of, before = st.session_state.get("photo_before", ("", None))
    if before is not None:
        st.write(frame.md(f"The photograph chosen before stays with {of}, unless you choose another."))
    asked = {"work_date": "the day", "as_found": "how it was found", "action": "what was done"}
    lacking = _lacking(typed, asked)
    lacking += ["the unit of the torque"] if (torque + required).strip() and not unit else []
    worked = done != "none" and required.strip() and not torque.strip()
    lacking += ["the torque it was left at"] if worked else []
    return typed, lacking + (["where the required torque is from"] if required.strip() and not source else [])


def _deferral(at: Here) -> tuple[dict[str, str], list[str]]:
    st.write("Putting work off makes no joint less urgent: it stays in its list, with this beside it.")
    left, right = st.columns(2)
    with left:
        decided = _day("Day it was decided", at.on, "entry_deferral_day")
        who = st.text_input("Who decided it", key="entry_deferral_by")
    with right:
        until = st.date_input("Put off until", value=None, key="entry_until")
        withdrawn = st.checkbox("This ends what was put off before", key="entry_withdrawn")
    last = until.isoformat() if isinstance(until, dt.date) else ""
    typed = {
        "decided_on": decided,
        "deferred_by": who,
        "until": last or (decided if withdrawn else ""),
        "reason": st.text_input("Why it can wait", key="entry_deferral_why"),
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
        day = _day("Day they were told", at.on, "entry_notice_day")
        who = st.text_input("Who was told", key="entry_told")
        by = st.text_input("Who told them", key="entry_told_by")
    with right:
        choices = [NOTHING_NEW, *(table.by_name["made_safe"].choices or {})]
        safe = _choice("Was it made safe, and how?", choices, "entry_safe")
        st.caption("Where what made it safe holds no longer, choose lifted.")
        limited = st.text_input("Load limited to (A)", key="entry_limited")
    typed = {
        "told_on": day,
        "told": who,
        "by": by,
        "made_safe": "" if safe == NOTHING_NEW else safe,
        "limited_to_a": limited,
        "note": st.text_input("Remark", key="entry_notice_remark"),
    }
    lacking = _lacking(typed, {"told_on": "the day", "told": "who was told", "by": "who told them"})
    lacking += [] if safe else ["whether it was made safe"]
    return typed, lacking + (["to how many ampere"] if safe == "load limited" and not limited.strip() else [])


def _preview(at: Here, record: AssessmentRecord) -> None:
    """What was typed, and what it will change; kept only when that is confirmed."""
    table, rows, photo = st.session_state["draft"]
    first = {name: value or UNSAID.get(name, "") for name, value in rows[0].items() if name != "connection_id"}
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
        [
            f"For {', '.join(row['connection_id'] for row in rows)}",
            *(_told(table, *cell) for cell in first.items() if cell[1]),
        ]
    )
    if photo is not None:
        lists.picture(photo, "Photograph to be kept", "The photograph to be kept", is_photo=True)
    keep, change, drop = st.columns(3)
    if words and keep.button("Keep this entry", type="primary"):
        if told == words:
            _keep(at, table, rows, photo)
        else:
            st.warning("Not kept yet: what is on record has changed, and with it what this changes. Read it again.")
    if change.button("Go back and change it"):
        typed = st.session_state["typed"]
        _forget()
        st.session_state.update(typed)
        st.session_state["photo_before"], st.session_state["form_before"] = (rows[0]["connection_id"], photo), table
        st.rerun()
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
    """Nothing of an entry goes along to the next: a photograph least of all."""
    for name in ("draft", "foreseen", "typed", "photo_before", "form_before"):
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
