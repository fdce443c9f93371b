"""For the manager: how many must be dealt with now and where; then the rest."""

from __future__ import annotations

import streamlit as st

from riskscope.report import charts
from riskscope.report.blocks import Show
from riskscope.report.documents import overview, parts
from riskscope.results import years
from riskscope.results.tables import left_out
from riskscope.screens.parts import frame, lists, reports, start
from riskscope.screens.parts.frame import link
from riskscope.words import codes

at = frame.here()
record = frame.record(at)
st.title("Risk today")
if record is None:
    start.first_run(at)
    st.stop()

assessment = frame.assessment(at, record)
summary = record.summary
now, noted = parts.must_not_wait(assessment, at.units), years.noted(assessment, at.units)
lists.said_first(years.said_first(assessment, at.units))
count = len(now)
places = parts.on_boards(now)
if count:
    words = "connection must be dealt with now" if count == 1 else "connections must be dealt with now"
    st.html(
        f'<div class="rs-now"><strong>{count:,}</strong>{words}, on {frame.safe(places)}.<br>'
        f"{frame.safe(codes.URGENCY['now'])} {frame.safe(years.told_words(now))}</div>"
    )
    lists.show(
        now.head(8),
        [
            Show("connection_id", "connection"),
            Show("equipment", "board"),
            Show("severity", "at full load", "severity"),
            Show("severity_as_found", "as found", "severity"),
            Show("action", "action"),
            Show("work", "from work to proof", "text", 3),
        ],
        at,
        paged=False,
    )
    if count > 8:
        st.html(
            f'<p><a href="{link("work", view="proof", urgency="now")}" target="_self">All {count:,} of them</a></p>'
        )
else:
    st.html('<div class="rs-now rs-calm"><strong>0</strong>connections must be dealt with now.</div>')

said = left_out(assessment)
if said:
    st.html(f'<p><a href="{link("survey", view="unusable")}" target="_self">{frame.safe(said)}</a></p>')

bands, records = summary["bands"], summary["records"]
known = sum(records.values())
lists.figures(
    [
        (f"{bands['4']:,}", "rated 4 at full load", link("survey", band="4")),
        (f"{bands['3']:,}", "rated 3", link("survey", band="3")),
        (f"{bands['not rated']:,}", "read, not rated", link("survey", band="not rated")),
        (f"{summary['not_surveyed']:,}", "never read", link("survey", view="not surveyed")),
        (f"{known - records['verified']:,}", f"of {known:,} records not verified", link("records", view="gaps")),
        (
            f"{years.due(assessment)['connection_id'].nunique():,}",
            "due, overdue or put off",
            link("survey", view="due"),
        ),
    ]
)

st.header("From work to proof")
lists.figures(
    [
        (f"{count:,}", name, link("work", view="proof", state=name))
        for name, count in summary["work_states"].items()
        if count
    ]
)
st.write("Each connection is counted once, in the first state that holds; the others stand beside it.")
if len(noted):
    st.subheader("Put off, told, made safe")
    columns = [*parts.WHERE, parts.SEVERITY, Show("urgency", "urgency"), Show("action", "action"), *parts.NOTED]
    lists.show(noted.head(8), columns, at, paged=False)
    if len(noted) > 8:
        st.html(
            f'<p><a href="{link("work", view="proof", noted="yes")}" target="_self">All {len(noted):,} of them</a></p>'
        )
if gone := years.out_of_use(assessment, at.units):
    st.subheader("Out of use by the register, and in no other list")
    lists.items(gone[:8])
    if len(gone) > 8:
        st.write(f"And {len(gone) - 8:,} more.")

st.header("What matters")
lists.items(
    overview.sentences(summary, frame.listed(at, record, "ranking"), years.due(assessment), years.effects(assessment))
)

if count:
    lists.caution([codes.CAUTION])

st.header("Against the reading before")
st.write("Connections that were read at least twice, as their readings are rated; work since then is not in it.")
before = years.bands_before(assessment)
lists.show(
    before,
    [
        Show("severity", "severity", "text"),
        Show("now", "latest reading", "count"),
        Show("before", "reading before", "count"),
    ],
    at,
    paged=False,
)
st.header("What work has cured")
st.write(overview.CURED_IS)
cured = years.share_cured(assessment)
lists.show(
    cured, overview.CURED[:6], at, paged=False, empty="No work is on record on a connection that was rated 2 or worse."
)

st.header("Risk by board")
lists.chart(charts.severity_by_equipment(frame.listed(at, record, "ranking")), "No reading.")
st.header("Torque records by board")
lists.chart(charts.coverage(frame.listed(at, record, "coverage")), "No record.")

st.header("The page to hand over")
reports.offer(at, record, "overview", "Overview")
