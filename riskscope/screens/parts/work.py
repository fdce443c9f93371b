"""Long work as a page sees it: how far it is, and that the page may be left."""

from __future__ import annotations

import streamlit as st

from riskscope.jobs import background
from riskscope.screens.parts.frame import Here, md, safe


def watch(at: Here) -> None:
    """Show the job this session began until it is over, then let the page run again."""
    number = st.session_state.get("task")
    if number is None:
        return
    task = background.state(at.store, at.actor, number)
    if task.state == "running":
        _running(at, number)
    elif task.state == "done":
        st.success(md(f"Done: {task.result}."))
        del st.session_state["task"]
        st.session_state["task_done"] = task.result
        st.rerun()
    else:
        st.error(md(f"It did not work: {task.result}"))
        del st.session_state["task"]


@st.fragment(run_every=1.0)
def _running(at: Here, number: int) -> None:
    task = background.state(at.store, at.actor, number)
    if task.state != "running":
        st.rerun()
    words = safe(task.progress or "beginning")
    st.html(f'<p role="status">Working: {words} … You may leave this page; it goes on.</p>')
