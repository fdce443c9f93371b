"""Records: gaps and doubts, tools in doubt, imports with undo, corrections, method, settings."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from riskscope.jobs import settings
from riskscope.jobs.learn import explained, learn
from riskscope.report.blocks import Show
from riskscope.report.documents.parts import METHOD, WHERE
from riskscope.results.years import gaps, recall
from riskscope.schema import TABLES
from riskscope.schema.codes import STATES
from riskscope.screens.parts import entering, frame, imported, lists
from riskscope.screens.parts.frame import Here
from riskscope.words import codes

VIEWS = {
    "gaps": "Torque records that are not verified",
    "coverage": "Coverage by board",
    "recall": "Tools in doubt",
    "imports": "Imports, and undo",
    "names": "Connections renamed",
    "rejected": "Rejected rows to settle",
    "learn": "What findings teach",
    "method": "Method and sources",
    "settings": "Settings in force",
}


def show_gaps(at: Here) -> None:
    rows = gaps(frame.assessment(at, frame.needed(at)))
    lists.facts([(state, codes.STATES[state]) for state in STATES if state in set(rows["record_now"])])
    shown = lists.narrowed(rows, [*lists.WHERE, lists.RECORD])
    columns = [
        *WHERE,
        Show("record_now", "record"),
        Show("record_now_reasons", "why"),
        Show("required_nm", "required", "torque"),
        Show("applied_now_nm", "applied", "torque"),
        Show("severity", "at full load", "severity"),
        Show("action", "action"),
    ]
    lists.show(shown, columns, at, total=len(rows), empty="Every record is verified.")
    lists.download(shown, columns, at, "gaps")


def show_coverage(at: Here) -> None:
    rows = frame.listed(at, frame.needed(at), "coverage")
    known = [Show(state.column, state.name, "count") for state in STATES.values() if rows[state.column].any()]
    shown_columns = [
        Show("equipment", "board"),
        Show("connections", "joints", "count"),
        Show("surveyed", "read", "count"),
        Show("inspected_on", "looked at", "day"),
        *known,
    ]
    shown = lists.narrowed(rows, lists.WHERE)
    lists.show(shown, shown_columns, at, total=len(rows))
    lists.download(shown, shown_columns, at, "coverage")


def show_recall(at: Here) -> None:
    assessment = frame.assessment(at, frame.needed(at))
    st.write(
        "Every connection tightened with a tool since its last good date. Without a name: each tool that was "
        "found out of tolerance."
    )
    left, right = st.columns(2)
    tool = left.text_input("Torque tool", value=st.query_params.get("tool", ""))
    since = right.text_input("Good until (a date such as 2025-03-08)", help="Where the tool list does not say.")
    try:
        day = pd.Timestamp(since).date() if since.strip() else None
    except ValueError:
        st.error(frame.md(f"“{since}” is not a date such as 2025-03-08."))
        return
    rows = recall(assessment, tool.strip() or None, day)
    lists.show(
        rows,
        [
            Show("tool_id", "tool"),
            *WHERE,
            Show("work_date", "tightened", "day"),
            Show("applied_nm", "applied", "torque"),
            Show("severity", "at full load", "severity"),
            Show("action", "action"),
            Show("reworked", "worked on since"),
        ],
        at,
        empty="No connection was tightened with a tool in doubt.",
    )


def show_names(at: Here) -> None:
    record = frame.needed(at)
    rows = frame.assessment(at, record).tables.get("renamings", pd.DataFrame(columns=[*TABLES["renamings"].by_name]))
    lists.show(
        rows,
        [
            Show("was_id", "name before"),
            Show("connection_id", "name now"),
            Show("renamed_on", "decided", "day"),
            Show("renamed_by", "by"),
            Show("reason", "why", "text", 4),
        ],
        at,
        empty="No connection has been renamed here.",
    )
    st.subheader("Rename a connection, or merge two names of one")
    if not entering.waiting(at, record):
        entering.renaming(at, record)


def show_method(at: Here) -> None:
    record = frame.needed(at)
    criteria = frame.assessment(at, record).criteria
    lists.items(METHOD)
    st.subheader("Severity table")
    st.write(f"{criteria.title}, {criteria.edition}")
    bands = pd.DataFrame(
        [(band.basis, band.printed, band.severity, band.meaning, band.status) for band in criteria.bands],
        columns=["basis", "printed", "severity", "meaning", "status"],
    )
    lists.show(
        bands,
        [
            Show("basis", "rise over"),
            Show("printed", "as printed"),
            Show("severity", "severity", "severity"),
            Show("meaning", "meaning"),
            Show("status", "how sure"),
        ],
        at,
        paged=False,
    )
    st.subheader("Files read")
    files = pd.DataFrame(
        [(file["file"], ", ".join(file["tables"]), file["sha256"]) for file in record.summary["input_files"]],
        columns=["file", "tables", "sha256"],
    )
    lists.show(files, [Show("file", "file"), Show("tables", "tables"), Show("sha256", "SHA-256")], at, paged=False)
    st.subheader("Assumed while reading")
    lists.items(record.summary["notes"] or ["Nothing."])


def show_settings(at: Here) -> None:
    in_force = settings.in_force({}, at.store.home)
    rows = pd.DataFrame(
        [
            (setting.name, f"{setting.value} {setting.unit}".strip(), setting.help, setting.origin)
            for setting in in_force
        ],
        columns=["name", "value", "help", "origin"],
    )
    st.write(
        "To change a setting write it under [settings] into riskscope.toml beside "
        "the store, or set a variable RISKSCOPE_NAME."
    )
    lists.show(
        rows,
        [Show("name", "setting"), Show("value", "value"), Show("help", "meaning"), Show("origin", "from")],
        at,
        paged=False,
    )


def show_learned(at: Here) -> None:
    record = frame.needed(at)
    st.write("What electricians found, against what was assumed of each kind of torque record.")
    if not st.button("Learn from the findings"):
        return
    assessment = frame.assessment(at, record)
    with st.spinner("Learning …"):
        learned = learn(assessment)
    lists.items(learned.sentences)
    lists.show(
        learned.table,
        [
            Show("state", "torque record"),
            Show("prior", "assumed", "share"),
            Show("findings", "findings", "count"),
            Show("loose", "found loose", "count"),
            Show("mean", "with findings", "share"),
            Show("low", "from", "share"),
            Show("high", "to", "share"),
        ],
        at,
        paged=False,
    )
    st.subheader("Likeliest now")
    lists.show(
        explained(learned, assessment),
        [
            Show("connection_id", "connection"),
            Show("likelihood", "likelihood", "share"),
            Show("why", "because of", "text", 4),
        ],
        at,
        paged=False,
    )


SHOWN = {
    "learn": show_learned,
    "gaps": show_gaps,
    "coverage": show_coverage,
    "recall": show_recall,
    "imports": imported.show_imports,
    "names": show_names,
    "rejected": imported.show_rejected,
    "method": show_method,
    "settings": show_settings,
}

here = frame.here()
st.title("Records")
view = lists.bound("view", list(VIEWS), "Show", VIEWS.get)
if view not in SHOWN:
    view = "gaps"
st.header(VIEWS[view])
SHOWN[view](here)
