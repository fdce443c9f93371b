"""What every page stands in: store, day, reader's units, who is working, style, links."""

from __future__ import annotations

import datetime as dt
import getpass
import html
import os
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import streamlit as st

from riskscope.errors import RiskscopeError
from riskscope.jobs import assessed, keep
from riskscope.jobs.keep import Actor, AssessmentRecord, Stamp, Store, place_of
from riskscope.jobs.rank import Assessment, ReadOptions, Request
from riskscope.words.plain import plain
from riskscope.words.render import Units

TEMPERATURES = ("°C", "°F")
TORQUES = ("N·m", "lbf·in", "lbf·ft")
SHARED = {"t": "°C", "q": "N·m", "by": ""}  # carried from page to page in the address


@dataclass(frozen=True)
class Here:
    """Where a page is: the store, the day, the reader."""

    store: Store
    on: dt.date
    units: Units
    actor: Actor

    @property
    def request(self) -> Request:
        return Request(
            folder=None,
            files={},
            read_options=ReadOptions(),
            options={},
            criteria=None,
            on=self.on,
            units=self.units,
            store=self.store.address,
            stamp=self.stamp,
        )

    @property
    def stamp(self) -> Stamp:
        return Stamp(self.actor, now())


def now() -> str:
    """This instant in UTC, ISO 8601."""
    return dt.datetime.now(dt.UTC).isoformat(timespec="seconds")


def today() -> dt.date:
    """The day the app works on: today, unless it was started for another day."""
    given = os.environ.get("RISKSCOPE_ON")
    return dt.date.fromisoformat(given) if given else dt.date.today()  # noqa: DTZ011


@st.cache_resource(show_spinner=False)
def _store(place: str) -> Store:
    return keep.open_store(place, create=True)


def here() -> Here:
    """The store, day and reader of this page."""
    chosen = {name: str(st.session_state.get(f"shared_{name}", default)) for name, default in SHARED.items()}
    return Here(_store(place_of(None)), today(), Units(chosen["t"], chosen["q"]), Actor(chosen["by"] or user()))


def user() -> str:
    """Who is logged in to this machine."""
    try:
        return getpass.getuser()
    except (OSError, KeyError):
        return "unknown"


def sidebar() -> None:
    """Units and name, the same on every page; kept in the address."""
    for name, default in SHARED.items():
        key = f"shared_{name}"
        if key not in st.session_state:
            st.session_state[key] = st.query_params.get(name, default)
    if st.session_state["shared_t"] not in TEMPERATURES:
        st.session_state["shared_t"] = TEMPERATURES[0]
    if st.session_state["shared_q"] not in TORQUES:
        st.session_state["shared_q"] = TORQUES[0]
    with st.sidebar:
        st.selectbox("Temperatures in", TEMPERATURES, key="shared_t")
        st.selectbox("Torques in", TORQUES, key="shared_q")
        st.text_input(
            "Your name", key="shared_by", placeholder=user(), help="Written beside what you bring in, correct or enter."
        )
        st.html(f'<p class="rs-quiet">As of {day(today())}<br>Store: {safe(_store(place_of(None)).place)}</p>')
    for name, default in SHARED.items():
        value = st.session_state[f"shared_{name}"]
        if value != default:
            st.query_params[name] = value
        elif name in st.query_params:
            del st.query_params[name]


def day(value: dt.date) -> str:
    """A day as screens write it."""
    return f"{value.day} {value:%B %Y}"


def day_given(latest: dt.date) -> dt.date:
    """The day named in the address, if it is one that has been; else the latest."""
    try:
        return min(dt.date.fromisoformat(st.query_params.get("day", "")), latest)
    except ValueError:
        return latest


def safe(text: object) -> str:
    """Words of the user's files, safe inside a page."""
    return html.escape(plain(str(text)))


# What makes formatting, links or pictures of words; an underscore inside a word does not.
MARKUP = re.compile(r"[\\`*\[\]<$]|~(?=~)|(?<![^\W_])_|_(?![^\W_])|:(?=[a-z_]+[/\[:])")


def md(text: object) -> str:
    """Words of the user's files where the app would read them as formatting: nothing but words."""
    words = plain(str(text)).replace("\n", " ")
    return MARKUP.sub(r"\\\g<0>", words)


UPLOADER = "uploader is shown"  # while the page with it is; the router forgets it on every other
# A sentence that only helps who types commands.
OF_COMMANDS = re.compile(r"riskscope [a-z]+|--[a-z]|riskscope\.toml")


def told(error: RiskscopeError) -> str:
    """An error as a page says it: where, what, and what to do as far as that can be done on a page."""
    first, *more = re.split(r"(?<=[.!?])\s+(?=[A-Z`])", f"{error.message} {error.hint or ''}".strip())
    words = " ".join([first, *(sentence for sentence in more if not OF_COMMANDS.search(sentence))])
    return md((f"{error.place}: " if error.place else "") + words)


def link(page: str, **parameters: str) -> str:
    """The address of a page with parameters, and what is shared by all pages."""
    for name, default in SHARED.items():
        value = str(st.session_state.get(f"shared_{name}", default))
        if value != default:
            parameters.setdefault(name, value)
    path = page or "."
    return html.escape(f"{path}?{urlencode(parameters)}" if parameters else path, quote=True)


def record(at: Here) -> AssessmentRecord | None:
    """The record of the store's assessment as it is now; None while it holds no survey."""
    if not _has_survey(at):
        return None
    with st.spinner("Assessing what has changed …"):
        return assessed.current(at.store, at.request)


def needed(at: Here) -> AssessmentRecord:
    """The record of the assessment, or a page that says what to do first."""
    there = record(at)
    if there is None:
        st.info("There is no survey yet. Bring in your files, or look at the invented demo site first.")
        st.html(f'<p><a href="{link("bring-in")}" target="_self">Bring in files or try the demo site</a></p>')
        st.stop()
    return there


def _has_survey(at: Here) -> bool:
    return any(
        counts["accepted"]
        for held in keep.listed(at.store, at.actor)
        if held.state == "active"
        for table, counts in held.tables.items()
        if table == "survey"
    )


@st.cache_resource(show_spinner=False, max_entries=60)
def _list(place: str, record_id: int, name: str, actor: Actor, _record: AssessmentRecord) -> Any:
    return assessed.read(_store(place), _record, name, actor)


def listed(at: Here, there: AssessmentRecord, name: str) -> Any:
    """One list of an assessment; shared, so never changed."""
    return _list(at.store.address, there.id, name, at.actor, there)


@st.cache_resource(show_spinner=False, max_entries=3)
def _assessment(place: str, fingerprint: str, _at: Here, _record: AssessmentRecord) -> Assessment:
    return assessed.load(_at.store, _record, _at.request)


def assessment(at: Here, there: AssessmentRecord) -> Assessment:
    """An assessment with all that made it, as the store kept it; shared, so never changed."""
    try:
        return _assessment(at.store.address, there.fingerprint, at, there)
    except assessed.Changed:
        st.rerun()


STYLE = Path(__file__).with_name("style.css")


def style() -> None:
    """The one style sheet of all pages."""
    st.html(f"<style>{STYLE.read_text(encoding='utf-8')}</style>")
