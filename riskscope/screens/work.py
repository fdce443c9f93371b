"""For the planner: what to retighten first, everything beside it, findings and deferrals."""

from __future__ import annotations

import streamlit as st

from riskscope.report.blocks import Show
from riskscope.report.documents.parts import AS_FOUND, RESURVEY, SEVERITY, WHERE
from riskscope.results import years
from riskscope.results.work import why_and_where
from riskscope.screens.parts import entering, frame, lists, reports
from riskscope.words import codes

VIEWS = {
    "a": "Retighten first: hot or loose joints",
    "b": "Records to check when a board is open",
    "other": "Other actions",
    "resurvey": "Survey again",
    "proof": "From work to proof",
}
SORTS = {"order": "Order of work", "board": "Board", "age": "Oldest reading first"}
RATED = (SEVERITY, AS_FOUND)
WHY = Show("why", "why", "text", 4)
STANDS = Show("work", "from work to proof", "text", 3)
LIKELY = Show("likelihood", "likely loose")
REQUIRED = (Show("required_nm", "required", "torque"),)

at = frame.here()
st.title("Work list")
record = frame.needed(at)
urgent = len(record.summary["now"])
if urgent:
    st.html(
        f'<div class="rs-now"><strong>{urgent:,}</strong>must be dealt with now: do not wait for the outage. '
        f'<a href="{frame.link("work", view="proof", urgency="now")}" target="_self">Show them</a></div>'
    )
entered_from_a_link = bool(st.query_params.get("id"))
if entered_from_a_link:
    entering.forms(at, record)
left, right = st.columns([3, 1])
with left:
    view = lists.bound("view", list(VIEWS), "List", VIEWS.get)
with right:
    order = lists.bound("sort", list(SORTS), "Sort by", SORTS.get)
first = frame.listed(at, record, "retighten_first")
if view == "b":
    rows = first[first["section"] == "b"]
    columns = [Show("rank", "order", "count"), *WHERE, Show("record_now", "record"), *REQUIRED, LIKELY, WHY]
    filters = [*lists.WHERE, lists.RECORD]
elif view == "other":
    rows = frame.listed(at, record, "other_actions")
    columns = [*WHERE, Show("action", "action"), *RATED, WHY]
    filters = [*lists.WHERE, lists.BAND, lists.ACTION]
elif view == "resurvey":
    rows = frame.listed(at, record, "resurvey")
    columns = [*WHERE, *RESURVEY]
    filters = [*lists.WHERE, lists.BAND]
elif view == "proof":
    rows = years.standing_marked(frame.assessment(at, record), at.units)
    columns = [
        *WHERE,
        Show("work_state", "stands at"),
        Show("work_state_since", "since", "day"),
        Show("urgency", "urgency"),
        Show("action", "action"),
        *RATED,
        STANDS,
    ]
    filters = [*lists.WHERE, lists.STATE, lists.URGENCY, lists.Filter("noted", "Put off, told, made safe", "noted")]
else:
    rows = first[first["section"] == "a"]
    columns = [Show("rank", "order", "count"), *WHERE, Show("action", "action"), LIKELY, *RATED, *REQUIRED, WHY]
    filters = [*lists.WHERE, lists.BAND, lists.ACTION, lists.RECORD]
shown = lists.narrowed(rows if "why" in rows or "reason" not in rows else rows.assign(why=why_and_where(rows)), filters)
if order == "board":
    shown = shown.sort_values(["equipment", "connection_id"], kind="stable")
elif order == "age":
    shown = shown.sort_values("survey_date", kind="stable", na_position="last")
lists.show(shown, columns, at, total=len(rows), empty="Nothing in this list.")
lists.download(shown, columns, at, f"work_{view}")
lists.caution(codes.CAUTIONS)

if not entered_from_a_link:
    entering.forms(at, record)

st.header("To hand over and to fill in")
reports.sheet(at, record, "findings-sheet", "Findings sheet for the site (XLSX)")
reports.offer(at, record, "work", "Work report")
