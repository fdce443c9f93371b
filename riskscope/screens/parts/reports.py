"""Buttons that make a report and hand it over."""

from __future__ import annotations

import streamlit as st

from riskscope.errors import RiskscopeError
from riskscope.jobs import report
from riskscope.jobs.keep import AssessmentRecord
from riskscope.screens.parts import frame
from riskscope.screens.parts.frame import Here

MIME = {"html": "text/html", "pdf": "application/pdf",
        "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"}  # fmt: skip


@st.cache_data(show_spinner=False, max_entries=12)
def _made(place: str, fingerprint: str, name: str, form: str, _at: Here, _record: AssessmentRecord) -> bytes:
    subject = report.subject(frame.assessment(_at, _record), _at.request)
    return report.render(report.REPORTS[name](subject), (form,))[form]


@st.cache_data(show_spinner=False, max_entries=6)
def _sheet(place: str, fingerprint: str, name: str, _at: Here, _record: AssessmentRecord) -> bytes:
    return report.sheet(frame.assessment(_at, _record), name, _at.units)


def offer(at: Here, record: AssessmentRecord, name: str, title: str) -> None:
    """Choose a format, make the report, download it."""
    form = st.selectbox(f"{title}: format", report.FORMATS, format_func=str.upper, key=f"form_{name}")
    if st.button(f"Make the {title.lower()}", key=f"make_{name}"):
        st.session_state[f"made_{name}"] = form
    if st.session_state.get(f"made_{name}") == form:
        with st.spinner("Making the report …"):
            try:
                data = _made(at.store.address, record.fingerprint, name, form, at, record)
            except RiskscopeError as error:
                st.error(frame.told(error))
                return
        st.download_button(
            f"Download the {title.lower()} ({form.upper()}, {len(data) / 1e6:.1f} MB)",
            data,
            file_name=f"{name}_report.{form}",
            mime=MIME[form],
            on_click="ignore",
        )


def sheet(at: Here, record: AssessmentRecord, name: str, title: str) -> None:
    """A sheet to fill in on site."""
    st.download_button(
        title,
        lambda: _sheet(at.store.address, record.fingerprint, name, at, record),
        file_name=f"{name.replace('-', '_')}.xlsx",
        mime=MIME["xlsx"],
        on_click="ignore",
    )
