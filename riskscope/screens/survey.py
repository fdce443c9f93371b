"""For the thermographer: what is urgent, what is hot, what to survey again; sheets and the report."""

from __future__ import annotations

import streamlit as st

from riskscope.report.blocks import Show
from riskscope.report.documents.parts import AS_FOUND, RESURVEY, SEVERITY, WHERE
from riskscope.results import years
from riskscope.results.lists import rejected_first
from riskscope.results.tables import left_out
from riskscope.screens.parts import frame, lists, reports
from riskscope.words import codes

VIEWS = {
    "hot": "Rated, worst first",
    "resurvey": "Survey again",
    "not surveyed": "Not surveyed",
    "due": "Due",
    "unusable": "Rows not used",
}

at = frame.here()
st.title("Survey results")
record = frame.needed(at)
now = len(record.summary["now"])
if now:
    st.html(
        f'<div class="rs-now"><strong>{now:,}</strong>must be dealt with now. '
        f'<a href="{frame.link("work", view="proof", urgency="now")}" target="_self">Show them</a></div>'
    )
view = lists.bound("view", list(VIEWS), "List", VIEWS.get)
if view == "resurvey":
    frame_ = frame.listed(at, record, "resurvey")
    columns = [*WHERE, *RESURVEY]
    filters, empty = [*lists.WHERE, lists.BAND], "Nothing has to be surveyed again."
elif view == "not surveyed":
    frame_ = frame.listed(at, record, "not_surveyed")
    columns = [
        *WHERE,
        Show("urgency", "urgency"),
        Show("inspected_on", "board last looked at", "day"),
        Show("inspection_result", "what was seen"),
        Show("record_now", "torque record"),
        Show("action", "action"),
        Show("resurvey_reason", "why it is to be read", "text", 2),
    ]
    filters, empty = [*lists.WHERE, lists.RECORD], "Every connection on record has a reading."
elif view == "due":
    assessment = frame.assessment(at, record)
    lists.said_first(years.said_first(assessment, at.units))
    st.write(frame.md(left_out(assessment)))
    frame_ = years.due_in_words(assessment, at.units)
    columns = [
        *WHERE,
        Show("why", "why it is due"),
        Show("last_seen", "last seen", "day"),
        Show("urgency", "urgency"),
        SEVERITY,
        Show("days_left", "days left", "count"),
        Show("work", "from work to proof", "text", 2),
    ]
    filters, empty = [*lists.WHERE, lists.URGENCY, lists.Filter("due", "Why", "due")], "Nothing is due."
elif view == "unusable":
    frame_ = rejected_first(frame.listed(at, record, "rejected"))
    columns = [
        Show("file", "file"),
        Show("sheet", "sheet"),
        Show("line", "line", "count"),
        Show("kind", "kind"),
        Show("reason", "why", "text", 4),
        Show("cells", "original cells"),
    ]
    filters, empty = (
        [lists.Filter("kind", "Kind", "kind"), lists.Filter("file", "File", "file")],
        "Every row was used.",
    )
else:
    frame_ = frame.listed(at, record, "ranking")
    columns = [
        *WHERE,
        SEVERITY,
        AS_FOUND,
        Show("load_fraction", "load", "share"),
        Show("rise_similar_k", "over similar", "rise"),
        Show("rise_ambient_k", "over air", "rise"),
        Show("action", "action"),
        Show("reason", "why", "text", 4),
    ]
    filters, empty = [*lists.WHERE, lists.BAND, lists.ACTION, lists.URGENCY], "No reading."
shown = lists.narrowed(frame_, filters)
lists.show(shown, columns, at, total=len(frame_), empty=empty)
lists.download(shown, columns, at, view.replace(" ", "_"))
lists.caution(codes.CAUTIONS)

st.header("To hand over and to fill in")
reports.sheet(at, record, "field-sheet", "Field sheet for the next survey (XLSX)")
reports.offer(at, record, "survey", "Survey report")
