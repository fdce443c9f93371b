"""What is worked out and said before something is kept, and the tick below it."""

from __future__ import annotations

import hashlib
from collections.abc import Callable

import streamlit as st

from riskscope.jobs import keep
from riskscope.screens.parts import frame


def once(at: frame.Here, what: object, make: Callable[[], str]) -> str:
    """What was worked out before for just this and the store and its settings as they are, else worked out now."""
    stated = at.store.home / "riskscope.toml"
    settings = stated.read_bytes() if stated.is_file() else b""
    key = f"{at.store.address} {keep.state(at.store, at.actor)} {at.actor} {at.on} {settings!r} {what!r}"
    return _kept(hashlib.sha256(key.encode()).hexdigest(), make)


@st.cache_data(show_spinner="Working out what that changes", max_entries=20)
def _kept(key: str, _make: Callable[[], str]) -> str:
    """What was made for a key before, else made now."""
    return _make()


def is_sure(changes: str, words: str) -> bool:
    """Whether somebody who has read what changes says so; nothing is asked where nothing does."""
    if not changes:
        return True
    st.warning(frame.md(changes))
    return st.checkbox(frame.md(words), key=f"sure {words} {changes}")  # a tick is of what was read, of no other
