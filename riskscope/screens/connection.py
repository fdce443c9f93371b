"""One connection: the whole chain from reading to action, siblings, trend, record, work, cautions."""

from __future__ import annotations

import streamlit as st

from riskscope.errors import RiskscopeError
from riskscope.jobs import keep
from riskscope.report import charts, pictures
from riskscope.report.blocks import Show
from riskscope.results.story import described_one, photographs, siblings, story
from riskscope.results.years import effects, history
from riskscope.screens.parts import frame, lists
from riskscope.screens.parts.frame import link, safe
from riskscope.words import codes

MOST_FOUND = 50
RETIRED = [
    Show("connection_id", "connection"),
    Show("equipment", "board"),
    Show("survey_date", "last read", "day"),
    Show("severity", "at full load", "severity"),
    Show("action", "action"),
]

at = frame.here()
assessment = frame.assessment(at, frame.needed(at))
ids = assessment.connections["connection_id"]
given = st.query_params.get("id", "")


def changed() -> None:
    st.query_params["id"] = st.session_state["find_id"]


st.text_input("Find a connection", value=given, key="find_id", on_change=changed, placeholder="its name or part of it")
if not given.strip():
    st.title("One connection")
    st.write("Type the name of a connection, or choose one from a list: it is told here from reading to action.")
    st.stop()
gone = ""
try:
    given = assessment.find(given)
except RiskscopeError as error:
    gone = frame.told(error)
same = ids[ids.str.casefold() == " ".join(given.split()).casefold()]
retired = assessment.retired
retired = retired[retired["connection_id"].str.casefold() == " ".join(given.split()).casefold()]
if same.empty and len(retired):
    st.html(f'<h1 style="overflow-wrap:anywhere">{safe(str(retired["connection_id"].iloc[0]))}</h1>')
    st.write(gone)
    lists.show(retired, RETIRED, at, paged=False)
    st.stop()
if same.empty:
    st.title("No such connection")
    st.write(frame.md(f"There is no connection called “{given}”."))
    near = assessment.connections[ids.str.contains(given.strip(), case=False, regex=False)]
    if len(near):
        cut = f" (the first {MOST_FOUND} of {len(near):,}; type more of the name)" if len(near) > MOST_FOUND else ""
        st.write(f"These names hold what you typed{cut}:")
        lists.show(
            near.head(MOST_FOUND),
            [
                Show("connection_id", "connection"),
                Show("equipment", "board"),
                Show("severity", "at full load", "severity"),
                Show("action", "action"),
            ],
            at,
            paged=False,
        )
    st.stop()
name = str(same.iloc[0])
row = described_one(assessment, name, at.units).iloc[0]
st.html(f'<h1 style="overflow-wrap:anywhere">{safe(name)}</h1>')
severity = "not rated" if row["severity"] != row["severity"] else f"{row['severity']:.0f}"
as_found = "not rated" if row["severity_as_found"] != row["severity_as_found"] else f"{row['severity_as_found']:.0f}"
st.html(
    f'<div class="rs-now{"" if row["urgency"] == "now" else " rs-calm"}">'
    f"<p><b>{safe(str(row['action']).capitalize())}</b>: {safe(row['reason'])}.</p>"
    f"<p>Severity at full load {lists.chip(severity)} as found {lists.chip(as_found)} {safe(row['severity_label'])}</p>"
    f"<p>{safe(row['work'])}</p><p>{safe(codes.URGENCY.get(str(row['urgency']), ''))}</p></div>"
)
st.html(f'<p><a href="{link("work", id=name)}" target="_self">Enter what was found or done here</a></p>')

years = history(assessment, name)
sections = dict(story(assessment, name, at.units))
for title in ("Reading", "Load and full load", "Load"):
    if title in sections:
        st.header(title)
        lists.items(sections.pop(title))
if "What the siblings show" in sections:
    st.header("What the siblings show")
    lists.items(sections.pop("What the siblings show"))
    drawn = charts.siblings(siblings(assessment, row), at.units)
    lists.chart(drawn, "No sibling with a rise over the air.")
st.header("Over the years")
lists.chart(
    charts.trend(years.readings, years.basis, years.load_fraction, years.ahead, at.units),
    "One reading or none: no trend yet.",
)
work = effects(assessment)
work = work[work["connection_id"] == name]
if len(work):
    lists.show(
        work,
        [
            Show("work_date", "work", "day"),
            Show("what", "done"),
            Show("before_severity", "before", "severity"),
            Show("after_severity", "after", "severity"),
            Show("effect", "effect"),
        ],
        at,
        paged=False,
    )
for picture, caption in photographs(assessment, name, at.units):
    kept = keep.picture(at.store, at.actor, picture)
    if kept is None:
        st.write(frame.md(f"Photograph {picture} of {caption}: it is not kept here."))
    else:
        lists.picture(pictures.load_bytes(kept, picture), f"Photograph, {caption}", caption, is_photo=True)
for title, lines in sections.items():
    st.header(title)
    if title == "Cautions":
        lists.caution(lines)
    else:
        lists.items(lines)
