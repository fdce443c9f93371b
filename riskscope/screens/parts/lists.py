"""A list as a plain table: links, severity in words and colour, filters kept in the address."""

from __future__ import annotations

import base64
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import pandas as pd
import streamlit as st

from riskscope.report import charts, colours
from riskscope.report.blocks import Chart, Document, Show, Table
from riskscope.report.writers import workbook
from riskscope.screens.parts.frame import Here, link, safe
from riskscope.words.plain import as_csv

PAGE_ROWS = 50
LONG_WORD = 28
SHORT = 14  # characters of a name that is never broken
ALL = "all"


@dataclass(frozen=True)
class Filter:
    """A choice that narrows a list: its key in the address, its label, the column it speaks of."""

    key: str
    label: str
    column: str
    shown: Callable[[str], str] = str


WHERE = (Filter("site", "Site", "site"), Filter("board", "Board", "equipment"))
BAND = Filter("band", "Severity", "severity")
ACTION = Filter("action", "Action", "action")
RECORD = Filter("record", "Torque record", "record_now")
STATE = Filter("state", "From work to proof", "work_state")
URGENCY = Filter("urgency", "Urgency", "urgency")


def bound(key: str, options: Sequence[str], label: str, shown: Callable[[str], str | None] = lambda text: text) -> str:
    """A choice that stands in the address, so that a link or the back button brings it back."""
    given = st.query_params.get(key, options[0])
    choices = list(options) if given in options else [*options, given]

    def changed() -> None:
        if st.session_state[f"choice_{key}"] == options[0]:
            st.query_params.pop(key, None)
        else:
            st.query_params[key] = st.session_state[f"choice_{key}"]
        st.query_params.pop("page", None)

    return str(
        st.selectbox(
            label,
            choices,
            index=choices.index(given),
            key=f"choice_{key}",
            on_change=changed,
            format_func=lambda text: shown(text) or text,
        )
    )


def search() -> str:
    """A search that stands in the address."""

    def changed() -> None:
        if st.session_state["choice_find"]:
            st.query_params["find"] = st.session_state["choice_find"]
        else:
            st.query_params.pop("find", None)
        st.query_params.pop("page", None)

    return st.text_input(
        "Search",
        value=st.query_params.get("find", ""),
        key="choice_find",
        on_change=changed,
        placeholder="connection, board or words of the reason",
    )


def as_text(values: pd.Series) -> pd.Series:
    """A column as the choices of a filter name it."""
    if pd.api.types.is_numeric_dtype(values):
        return values.astype("Int64").astype("str").fillna("not rated")
    return values.astype("str").fillna("not recorded")


def _varies(values: pd.Series) -> bool:
    return len(values.drop_duplicates()) > 1


def said_first(words: Sequence[str]) -> None:
    """What has run out, above everything else."""
    if words:
        st.html(f'<div class="rs-now">{"<br>".join(safe(line) for line in words)}</div>')


def narrowed(frame: pd.DataFrame, filters: Sequence[Filter]) -> pd.DataFrame:
    """Show the filters and return the rows that are left."""
    filters = [
        choice
        for choice in filters
        if choice.column in frame and (_varies(frame[choice.column]) or st.query_params.get(choice.key))
    ]
    keep = pd.Series(True, index=frame.index)
    places = st.columns(len(filters) + 1)
    for place, choice in zip(places, filters, strict=False):
        with place:
            values = as_text(frame[choice.column])
            chosen = bound(choice.key, [ALL, *sorted(values.unique())], choice.label)
            if chosen != ALL:
                keep &= values == chosen
    with places[-1]:
        words = search().strip()
    if words:
        hits = pd.Series(False, index=frame.index)
        for column in ("connection_id", "equipment", "circuit", "reason", "resurvey_reason", "record_now_reasons"):
            if column in frame:
                hits |= frame[column].str.contains(words, case=False, regex=False, na=False)
        keep &= hits
    return frame[keep]


def show(
    frame: pd.DataFrame,
    columns: Sequence[Show],
    at: Here,
    *,
    total: int | None = None,
    empty: str = "Nothing.",
    paged: bool = True,
) -> None:
    """A page of a list: fifty rows with links, how many there are, and the way to the next.

    Parameters
    ----------
    total : int, optional
        How many there are without filters, where that is more.
    paged : bool
        Without pages every row is shown: no list ends unsaid.
    """
    if frame.empty:
        st.write(empty if not total else "No row fits these filters.")
        return
    page = _page(len(frame)) if paged else 0
    part = frame.iloc[page * PAGE_ROWS : (page + 1) * PAGE_ROWS] if paged else frame
    if paged:
        first, last = page * PAGE_ROWS + 1, page * PAGE_ROWS + len(part)
        of = f"{len(frame):,}" + (f" ({total:,} without filters)" if total and total != len(frame) else "")
        st.html(f'<p class="rs-quiet">Rows {first:,} to {last:,} of {of}</p>')
    st.html(table(part, columns, at))
    if paged and len(frame) > PAGE_ROWS:
        _pager(page, len(frame))


def _page(rows: int) -> int:
    try:
        page = int(st.query_params.get("page", "1")) - 1
    except ValueError:
        page = 0
    return min(max(page, 0), (rows - 1) // PAGE_ROWS)


def _pager(page: int, rows: int) -> None:
    last = (rows - 1) // PAGE_ROWS
    before, after, _ = st.columns([1, 1, 3])

    def go(to: int) -> None:
        st.query_params["page"] = str(to + 1)

    before.button("Previous rows", disabled=page == 0, on_click=go, args=(page - 1,))
    after.button("Next rows", disabled=page == last, on_click=go, args=(page + 1,))


def table(frame: pd.DataFrame, columns: Sequence[Show], at: Here) -> str:
    """Rows as an HTML table; a connection's name leads to its page."""
    heads = "".join(
        f'<th scope="col"{" class=rs-number" if show.is_number else ""}>{safe(show.title) or "&nbsp;"}</th>'
        for show in columns
    )
    lines = []
    for row in Table(frame, columns).cells(at.units):
        cells = "".join(_cell(show, text) for show, text in zip(columns, row, strict=True))
        lines.append(f"<tr>{cells}</tr>")
    return f'<table class="rs-list"><thead><tr>{heads}</tr></thead><tbody>{"".join(lines)}</tbody></table>'


def _cell(show: Show, text: str) -> str:
    inside, kind = safe(text), ""
    if show.kind == "severity":
        inside = chip(text)
    elif show.name == "connection_id":
        inside = f'<a href="{link("connection", id=text)}" target="_self">{inside}</a>'
        kind = "rs-nowrap" if len(text) <= LONG_WORD else "rs-long"
    elif show.is_number:
        kind = "rs-number"
    elif show.weight >= 3:
        kind = "rs-why"
    elif len(text) <= SHORT and " " not in text:
        kind = "rs-nowrap"
    elif any(len(word) > LONG_WORD for word in text.split()):
        kind = "rs-long"
    elif show.kind == "day":
        kind = "rs-nowrap"
    return f'<td data-label="{safe(show.title)}"{f" class={kind}" if kind else ""}>{inside}</td>'


def chip(severity: str) -> str:
    """A severity with its colour and its number."""
    fill = colours.of(severity)
    style = f' style="background:{fill[0]};color:{fill[1]}"' if fill else ""
    return f'<span class="rs-chip"{style}>{safe(severity)}</span>'


def figures(rows: Sequence[tuple[str, str, str]]) -> None:
    """Large numbers, each leading to its list: value, what it counts, address."""
    boxes = "".join(
        f'<a href="{address}" target="_self"><strong>{safe(value)}</strong><span>{safe(words)}</span></a>'
        if address
        else f"<div><strong>{safe(value)}</strong><span>{safe(words)}</span></div>"
        for value, words, address in rows
    )
    st.html(f'<div class="rs-figures">{boxes}</div>')


@st.cache_data(show_spinner=False, max_entries=200)
def _drawn(spec: dict[str, object], words: str, width: int) -> str:
    picture = charts.svg(Chart(spec, words, width))
    return base64.b64encode(picture.encode()).decode("ascii")


def chart(made: Chart | None, nothing: str) -> None:
    """A chart as a picture with its words, on white in every theme."""
    if made is None:
        st.write(nothing)
        return
    data = _drawn(made.spec, made.words, made.width)
    st.html(f'<figure class="rs-chart"><img alt="{safe(made.words)}" src="data:image/svg+xml;base64,{data}"></figure>')


def picture(data: bytes, words: str, caption: str = "", *, is_photo: bool = False) -> None:
    """A picture made safe before, what it shows in words, and a line below it; a photograph is shown small."""
    kind = "png" if data.startswith(b"\x89PNG") else "jpeg"
    below = f"<figcaption>{safe(caption)}</figcaption>" if caption else ""
    st.html(
        f'<figure class="rs-chart {"rs-photo" if is_photo else "rs-picture"}"><img alt="{safe(words)}" '
        f'src="data:image/{kind};base64,{base64.b64encode(data).decode("ascii")}">{below}</figure>'
    )


def download(frame: pd.DataFrame, columns: Sequence[Show], at: Here, name: str) -> None:
    """What is shown, all pages of it, as CSV or as a workbook with units in its headings."""
    if frame.empty:
        return
    row = st.container(horizontal=True)
    row.download_button(
        "Download this list (CSV)",
        lambda: as_csv(frame),
        file_name=f"{name}.csv",
        mime="text/csv",
        on_click="ignore",
        key=f"csv_{name}",
    )
    row.download_button(
        "Download this list (XLSX)",
        lambda: _workbook(frame, columns, at, name),
        file_name=f"{name}.xlsx",
        on_click="ignore",
        key=f"xlsx_{name}",
    )


def _workbook(frame: pd.DataFrame, columns: Sequence[Show], at: Here, name: str) -> bytes:
    block = Table(frame, columns, sheet=name.replace("_", " "))
    return workbook.write(Document(f"riskscope: {name.replace('_', ' ')}", "", [block], at.units))


def facts(rows: Sequence[tuple[str, str]]) -> None:
    """Names and what they are."""
    inside = "".join(f"<dt>{safe(name)}</dt><dd>{safe(value)}</dd>" for name, value in rows)
    st.html(f'<dl class="rs-facts">{inside}</dl>')


def items(lines: Sequence[str]) -> None:
    """Short sentences one below the other."""
    st.html("<ul>" + "".join(f"<li>{safe(line)}</li>" for line in lines) + "</ul>")


def caution(items: Sequence[str]) -> None:
    """What must be known before anybody touches anything."""
    st.html('<div class="rs-caution">' + "".join(f"<p>{safe(item)}</p>" for item in items) + "</div>")
