"""An open page says when the store has changed since it was drawn."""

from __future__ import annotations

import datetime as dt

import streamlit as st

from riskscope.jobs import keep
from riskscope.screens.parts.frame import Here, md

LOOK_S = 15.0


@st.fragment(run_every=LOOK_S)
def watch(at: Here, drawn: str) -> None:
    """Look now and then whether what counts is still what the page was drawn of.

    Parameters
    ----------
    drawn : str
        `riskscope.jobs.keep.state` before the page was drawn.
    """
    if keep.state(at.store, at.actor) == drawn:
        return
    who, when = keep.last_change(at.store, at.actor)
    clock = f" at {dt.datetime.fromisoformat(when).astimezone():%H:%M}" if when else ""
    st.warning(md(f"The store has changed since this page was drawn, last by {who}{clock}."))
    if st.button("Show it as it is now"):
        st.rerun()
