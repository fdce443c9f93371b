"""What is worked out and said before something is kept, and the tick below it."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from riskscope.screens.parts import frame


def once(key: tuple[object, ...], make: Callable[[], str]) -> str:
    """What was worked out last for just this, else worked out now."""
    kept = st.session_state.get("worked_out")
    if kept is None or kept[0] != key:
        with st.spinner("Working out what that changes"):
            kept = st.session_state["worked_out"] = (key, make())
    words: str = kept[1]
    return words


def is_sure(changes: str, words: str) -> bool:
    """Whether somebody who has read what changes says so; nothing is asked where nothing does."""
    if not changes:
        return True
    st.warning(frame.md(changes))
    return st.checkbox(frame.md(words), key=f"sure {words} {changes}")  # a tick is of what was read, of no other
