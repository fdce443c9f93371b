"""Long work as a page sees it: how far it is, and that the page may be left."""

from __future__ import annotations

import streamlit as st

from riskscope.jobs import background
from riskscope.screens.parts.frame import Here, md, safe


def follow(task: background.Task) -> None:
    """A job that this session began: it is watched until it is over, beside those begun before."""
    st.session_state.setdefault("tasks", []).append(task.id)


def watch(at: Here) -> None:
    """Show the jobs this session began until they are over, then let the page run again."""
    numbers = st.session_state.get("tasks", [])
    tasks = [background.state(at.store, at.actor, number) for number in numbers]
    results = [task.result for task in tasks if task.state == "done"]
    if results:
        st.session_state["tasks"] = [task.id for task in tasks if task.state != "done"]
        st.session_state.setdefault("tasks_done", []).extend(results)
        st.rerun()
    st.session_state["tasks"] = [task.id for task in tasks if task.state == "running"]
    for task in tasks:
        if task.state == "running":
            _running(at, task.id)
        else:
            st.error(md(f"It did not work: {task.result}"))


def done() -> str:
    """What the jobs that are over have made, said once; empty where none is."""
    return "; ".join(st.session_state.pop("tasks_done", []))


@st.fragment(run_every=1.0)
def _running(at: Here, number: int) -> None:
    task = background.state(at.store, at.actor, number)
    if task.state != "running":
        st.rerun()
    words = safe(task.progress or "beginning")
    st.html(f'<p role="status">Working: {words} … You may leave this page; it goes on.</p>')
