"""What an empty store offers: the demo site, the user's own files, templates."""

from __future__ import annotations

import functools

import streamlit as st

from riskscope import demo
from riskscope.jobs import background, bring_in
from riskscope.jobs.rank import Progress
from riskscope.report.documents import templates
from riskscope.schema import TABLES
from riskscope.screens.parts import frame, work
from riskscope.screens.parts.frame import Here, Store, link

STARTERS = ("survey", "installs", "tools", "connections", "findings")


def first_run(at: Here) -> None:
    """One click to the demo site, or the way to the user's own files."""
    st.write(
        "Nothing has been brought in yet. riskscope reads infrared surveys, loads and torque records "
        "and says which connections to deal with first."
    )
    left, right = st.columns(2)
    with left:
        st.header("Look at an invented site")
        st.write("Harrow Fen Works, its boards, people and readings are made up. You can undo it later.")
        if st.button("Bring in the demo site", type="primary"):
            stamp, on = at.stamp, at.on

            def bring(store: Store, progress: Progress) -> str:
                files = bring_in.sources([demo.folder()]).files
                done = bring_in.bring_in(store, files, on=on, options={}, stamp=stamp, progress=progress)
                return f"{sum(outcome.outcome == 'new' for outcome in done)} files of the demo site brought in"

            work.follow(background.start(at.store.address, "bring in", at.stamp, bring, frame.now))
        work.watch(at)
    with right:
        st.header("Begin with your own files")
        st.html(
            f'<p><a href="{link("bring-in")}" target="_self">Bring in files</a> as you keep them: CSV, TSV, XLSX.</p>'
        )
        workbooks()


def workbooks() -> None:
    """Workbooks to fill in."""
    st.write("Or take a workbook to fill in:")
    for name in STARTERS:
        st.download_button(
            f"{TABLES[name].title} (XLSX)",
            functools.partial(templates.template, TABLES[name]),
            key=f"template_{name}",
            file_name=f"{name}.xlsx",
            on_click="ignore",
        )
