"""For the planner: what to retighten first, everything beside it, findings and deferrals."""

from __future__ import annotations

import streamlit as st

from riskscope.errors import RiskscopeError
from riskscope.jobs.enter import enter
from riskscope.report.blocks import Show
from riskscope.report.documents.parts import AS_FOUND, SEVERITY, WHERE
from riskscope.schema import TABLES
from riskscope.screens.parts import frame, lists, reports
from riskscope.words import codes

VIEWS = {
    "a": "Retighten first: hot or loose joints",
    "b": "Records to check when a board is open",
    "other": "Other actions",
    "resurvey": "Survey again",
}
SORTS = {"order": "Order of work", "board": "Board", "age": "Oldest reading first"}
RATED = (SEVERITY, AS_FOUND)
WHY = Show("reason", "why", "text", 4)
REQUIRED = (Show("required_nm", "required", "torque"),)

at = frame.here()
st.title("Work list")
record = frame.needed(at)
urgent = len(record.summary["now"])
if urgent:
    st.html(
        f'<div class="rs-now"><strong>{urgent:,}</strong>must be dealt with now: do not wait for the outage. '
        f'<a href="{frame.link("survey", urgency="now")}" target="_self">Show them</a></div>'
    )
left, right = st.columns([3, 1])
with left:
    view = lists.bound("view", list(VIEWS), "List", VIEWS.get)
with right:
    order = lists.bound("sort", list(SORTS), "Sort by", SORTS.get)
first = frame.listed(at, record, "retighten_first")
if view == "b":
    rows = first[first["section"] == "b"]
    columns = [
        Show("rank", "order", "count"),
        *WHERE,
        Show("record_now", "record"),
        *REQUIRED,
        Show("likelihood", "likely loose"),
        WHY,
    ]
    filters = [*lists.WHERE, lists.RECORD]
elif view == "other":
    rows = frame.listed(at, record, "other_actions")
    columns = [*WHERE, Show("action", "action"), *RATED, WHY]
    filters = [*lists.WHERE, lists.BAND, lists.ACTION]
elif view == "resurvey":
    rows = frame.listed(at, record, "resurvey")
    columns = [*WHERE, SEVERITY, Show("survey_date", "last read", "day"), Show("resurvey_reason", "why", "text", 4)]
    filters = [*lists.WHERE, lists.BAND]
else:
    rows = first[first["section"] == "a"]
    columns = [Show("rank", "order", "count"), *WHERE, Show("action", "action"), *RATED, *REQUIRED, WHY]
    filters = [*lists.WHERE, lists.BAND, lists.ACTION, lists.RECORD]
shown = lists.narrowed(rows, filters)
if order == "board":
    shown = shown.sort_values(["equipment", "connection_id"], kind="stable")
elif order == "age":
    shown = shown.sort_values("survey_date", kind="stable", na_position="last")
lists.show(shown, columns, at, total=len(rows), empty="Nothing in this list.")
lists.download(shown, columns, at, f"work_{view}")
lists.caution(codes.CAUTIONS)

st.header("Enter what was found or done")
table = TABLES["findings"]
with st.form("finding", clear_on_submit=True):
    left, right = st.columns(2)
    typed = {
        "connection_id": left.text_input("Connection", value=st.query_params.get("id", "")),
        "work_date": right.date_input("Day of the work", value=frame.day_given(at.on), max_value=at.on).isoformat(),
        "as_found": left.selectbox("As found", list(table.by_name["as_found"].choices or {})),
        "action": right.selectbox("Done", list(table.by_name["action"].choices or {})),
        "as_left_torque": left.text_input("Torque it was left at", help="A number; empty where none was measured."),
        "torque_unit": right.selectbox("Unit of the torque", list(table.by_name["torque_unit"].choices or {})),
        "tool_id": left.text_input("Torque tool"),
        "work_order": right.text_input("Work order"),
        "deferred_by": left.text_input("Put off by", help="Who decided to leave it for now."),
        "deferred_until": right.text_input("Put off until", placeholder="2026-12-31"),
        "comment": st.text_input("Remark, or why it is put off"),
    }
    if st.form_submit_button("Keep this finding", type="primary"):
        st.session_state["typed_finding"] = typed
if "typed_finding" in st.session_state:
    row = st.session_state.pop("typed_finding")
    if not row["as_left_torque"].strip():
        row["torque_unit"] = ""
    try:
        known = frame.assessment(at, record).find(row["connection_id"])
        made = enter(at.store, "findings", {**row, "connection_id": known}, on=at.on, stamp=at.stamp)
        if made.outcome == "there":
            st.warning("This very finding is kept already; nothing was changed.")
        else:
            st.session_state["kept"] = known
            st.rerun()
    except RiskscopeError as error:
        st.error(frame.md(f"Not kept: {error}"))
if "kept" in st.session_state:
    st.success(frame.md(f"Kept: {st.session_state.pop('kept')}. The lists above count it."))

st.header("To hand over and to fill in")
reports.sheet(at, record, "findings-sheet", "Findings sheet for the site (XLSX)")
reports.offer(at, record, "work", "Work report")
