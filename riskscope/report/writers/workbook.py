"""A document's lists as a workbook: typed cells, units in the headings, a sheet for each list."""

from __future__ import annotations

import io
from typing import Any

import xlsxwriter

from riskscope.report import colours
from riskscope.report.blocks import Caution, Document, Facts, Show, Table, Text, typed
from riskscope.words.plain import plain

FORMATS = {"temperature": "0.0", "rise": "0.0", "torque": "0.0", "share": "0", "current": "0",
           "ratio": "0.0", "count": "0", "day": "d mmm yyyy"}  # fmt: skip
ABOUT = "about"


def write(document: Document) -> bytes:
    """The document's tables, each on its own sheet, behind a sheet that says what they are."""
    buffer = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    with xlsxwriter.Workbook(buffer, options) as book:
        book.set_properties({"title": plain(document.title), "author": plain(document.organisation)})
        _about(book, document)
        for block in document.blocks:
            if isinstance(block, Table) and block.sheet:
                _sheet(book, block, document)
    return buffer.getvalue()


def _about(book: xlsxwriter.Workbook, document: Document) -> None:
    page = book.add_worksheet(ABOUT)
    bold = book.add_format({"bold": True, "font_size": 14})
    wrap = book.add_format({"text_wrap": True, "valign": "top"})
    quiet = book.add_format({"valign": "top", "font_color": colours.QUIET})
    warn = book.add_format({"text_wrap": True, "valign": "top", "bg_color": "#FFF6DF"})
    page.set_column(0, 0, 28)
    page.set_column(1, 1, 100)
    page.write_string(0, 0, plain(document.title), bold)
    line = 1
    parts = [("", document.subtitle), ("organisation", document.organisation), ("report", document.number)]
    for name, value in parts:
        if value:
            page.write_string(line, 0, name, quiet)
            page.write_string(line, 1, plain(value), wrap)
            line += 1
    for block in document.blocks:
        rows: list[tuple[str, str, Any]] = []
        if isinstance(block, Facts):
            rows = [(name, value, wrap) for name, value in block.rows]
        elif isinstance(block, Caution):
            rows = [("caution", item, warn) for item in block.items]
        elif isinstance(block, Text) and block.style == "strong":
            rows = [("", block.text, wrap)]
        for name, value, style in rows:
            page.write_string(line, 0, plain(name), quiet)
            page.write_string(line, 1, plain(value)[:32_000], style)
            line += 1


def _sheet(book: xlsxwriter.Workbook, block: Table, document: Document) -> None:
    columns = list(block.everything or block.columns)
    page = book.add_worksheet(block.sheet[:31])
    head = book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top", "bg_color": "#E9EDF1"})
    for place, show in enumerate(columns):
        unit = show.unit(document.units)
        page.write_string(0, place, f"{show.title} ({unit})" if unit else show.title, head)
        style = book.add_format(
            {
                "num_format": FORMATS.get(show.kind, "General"),
                "valign": "top",
                **({"text_wrap": True} if show.kind == "text" else {}),
            }
        )
        page.set_column(place, place, _width(show), style)
        _column(book, page, place, block, show, document)
    page.freeze_panes(1, 1)
    if len(block.frame):
        page.autofilter(0, 0, len(block.frame), len(columns) - 1)


def _width(show: Show) -> float:
    return {"text": 14 + 10 * (show.weight - 1), "day": 13}.get(show.kind, 12)


def _column(book: xlsxwriter.Workbook, page: Any, place: int, block: Table, show: Show, document: Document) -> None:
    fills = (
        {
            str(level): book.add_format(
                {
                    "bg_color": colours.SEVERITY[level],
                    "align": "center",
                    "bold": True,
                    "font_color": colours.SEVERITY_TEXT[level],
                    "valign": "top",
                }
            )
            for level in colours.SEVERITY
        }
        if show.kind == "severity"
        else {}
    )
    for line, value in enumerate(typed(block.frame[show.name], show, document.units), start=1):
        if value is None:
            if show.kind == "severity":
                page.write_string(line, place, "not rated")
        elif isinstance(value, str):
            page.write_string(line, place, value)
        elif show.kind == "day":
            page.write_datetime(line, place, value)
        elif show.kind == "severity":
            page.write_number(line, place, value, fills.get(f"{value:.0f}"))
        else:
            page.write_number(line, place, value)
