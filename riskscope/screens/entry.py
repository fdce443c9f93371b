"""The router: pages, the choices they share, the frame around them."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import streamlit as st

from riskscope.errors import RiskscopeError
from riskscope.jobs import keep
from riskscope.jobs.unexpected import log_unexpected
from riskscope.screens.parts import changed, frame

HERE = Path(__file__).parent
PAGES = (
    ("overview", "Risk today", ""),
    ("bring_in", "Bring in files", "bring-in"),
    ("thermogram", "Thermograms", "thermograms"),
    ("survey", "Survey results", "survey"),
    ("work", "Work list", "work"),
    ("plan", "Outage plan", "plan"),
    ("connection", "One connection", "connection"),
    ("records", "Records", "records"),
)


def main() -> None:
    """Run the page asked for."""
    st.set_page_config(page_title="riskscope", page_icon="🔩", layout="wide")
    pages = [
        st.Page(HERE / f"{module}.py", title=title, url_path=path or None, default=not path)
        for module, title, path in PAGES
    ]
    page = st.navigation(pages)
    if page.url_path != "bring-in":
        st.session_state.pop(frame.UPLOADER, None)
    frame.style()
    try:
        frame.sidebar()
        at = frame.here()
        with st.sidebar:
            changed.watch(at, keep.state(at.store, at.actor))
        page.run()
    except RiskscopeError as error:
        st.error(frame.told(error))
    except Exception as error:  # noqa: BLE001  (the last door: nothing past it but a sentence)
        name, path = log_unexpected(error, dt.datetime.now(dt.UTC))
        st.error(
            frame.md(
                f"Something went wrong that is our fault ({type(error).__name__}); nothing was changed "
                f"by it. Error {name}, see {path}."
            )
        )
