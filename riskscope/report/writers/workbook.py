"""A document's lists as a workbook: typed cells, units in the headings, a sheet for each list."""

from __future__ import annotations

import io

import numpy as np
import pandas as pd
import xlsxturbo
from xlsxturbo.types import ColumnFormat, ConditionalFormat, HeaderFormat, SheetOptions

from riskscope.errors import UnusableInput
from riskscope.report import colours
from riskscope.report.blocks import Caution, Document, Facts, Show, Table, Text, typed
from riskscope.words.plain import plain

FORMATS = {"temperature": "0.0", "rise": "0.0", "full rise": "0.0", "torque": "0.0", "share": "0", "current": "0",
           "ratio": "0.0", "count": "0", "severity": "0", "day": "d mmm yyyy"}  # fmt: skip
ABOUT = "about"
LONGEST_NAME = 31  # characters of the name of a sheet
MOST_ROWS = 1_048_575  # beside the heading
LONGEST_CELL = 32_767  # characters
HEAD: HeaderFormat = {
    "bold": True,
    "border_bottom": True,
    "wrap_text": True,
    "align_vertical": "top",
    "bg_color": "#E9EDF1",
}
WRAPPED: ColumnFormat = {"wrap_text": True, "align_vertical": "top"}
QUIET: ColumnFormat = {"font_color": colours.QUIET, "align_vertical": "top"}
WARNING: ColumnFormat = {**WRAPPED, "bg_color": "#FFF6DF"}

Sheet = tuple[pd.DataFrame, str, SheetOptions]


def write(document: Document) -> bytes:
    """The document's tables, each on its own sheet, behind a sheet that says what they are."""
    tables = [block for block in document.blocks if isinstance(block, Table) and block.sheet]
    sheets: list[Sheet] = [_about(document), *(_sheet(block, document) for block in tables)]
    buffer = io.BytesIO()
    xlsxturbo.dfs_to_xlsx(sheets, buffer)  # type: ignore[arg-type]
    return buffer.getvalue()


def _about(document: Document) -> Sheet:
    rows = [("", document.subtitle), ("organisation", document.organisation), ("report", document.number)]
    rows = [(document.title, ""), *(row for row in rows if row[1])]
    warned: list[int] = []
    for block in document.blocks:
        if isinstance(block, Facts):
            rows += block.rows
        elif isinstance(block, Caution):
            warned += range(len(rows), len(rows) + len(block.items))
            rows += [("caution", item) for item in block.items]
        elif isinstance(block, Text) and block.style == "strong":
            rows.append(("", block.text))
    frame = pd.DataFrame([[plain(cell) for cell in row] for row in rows], columns=["name", "words"], dtype="str")
    frame = frame.apply(_cut)
    options: SheetOptions = {
        "header": False,
        "column_widths": {0: 28, 1: 100},
        "column_formats": {"name": QUIET, "words": WRAPPED},
        "cells": {
            "A1": {"value": frame["name"][0], "format": {"bold": True, "font_size": 14}},
            **{f"B{line + 1}": {"value": frame["words"][line], "format": WARNING} for line in warned},
        },
    }
    return frame, ABOUT, options


def _sheet(block: Table, document: Document) -> Sheet:
    shows = list(block.everything or block.columns)
    columns = {_title(show, document): show for show in shows}
    if len(columns) < len(shows):
        raise ValueError(f"two columns of {block.sheet} have one title")
    if len(block.frame) > MOST_ROWS:
        raise UnusableInput(
            f"the list {block.sheet} has {len(block.frame):,} rows; a sheet of a workbook holds {MOST_ROWS:,}.",
            hint="Ask for HTML and PDF only, and take the list from the CSV files of rank.",
        )
    frame = pd.DataFrame({title: _values(block.frame, show, document) for title, show in columns.items()})
    options: SheetOptions = {
        "freeze_panes": (1, 1),
        "autofilter": bool(len(frame)),
        "header_format": HEAD,
        "column_widths": {place: _width(show) for place, show in enumerate(shows)},
        "column_formats": {title: _format(show) for title, show in columns.items()},
        "conditional_formats": {title: FILLS for title, show in columns.items() if show.kind == "severity"},
    }
    return frame, block.sheet[:LONGEST_NAME], options


def _title(show: Show, document: Document) -> str:
    unit = show.unit(document.units)
    return f"{show.title} ({unit})" if unit else show.title


def _values(frame: pd.DataFrame, show: Show, document: Document) -> pd.Series:
    values = typed(frame[show.name], show, document.units).reset_index(drop=True)
    if show.kind == "severity":
        return values.astype(object).where(values.notna(), "not rated")
    if show.kind == "text":
        return _cut(values)
    endless = np.isinf(values) if show.kind != "day" else np.zeros(len(values), dtype=bool)
    return values.astype(object).where(~endless, values.astype("str")) if endless.any() else values


def _cut(texts: pd.Series) -> pd.Series:
    """Texts that a cell can hold; what was cut ends in "…"."""
    return texts.where(~(texts.str.len() > LONGEST_CELL), texts.str.slice(0, LONGEST_CELL - 1) + "…")


def _format(show: Show) -> ColumnFormat:
    if show.kind == "text":
        return WRAPPED
    number: ColumnFormat = {"num_format": FORMATS.get(show.kind, "General"), "align_vertical": "top"}
    return {**number, "align_horizontal": "center"} if show.kind == "severity" else number


def _width(show: Show) -> float:
    return {"text": 14 + 10 * (show.weight - 1), "day": 13}.get(show.kind, 12)


FILLS: list[ConditionalFormat] = [
    {
        "type": "cell",
        "criteria": "equal_to",
        "value": level,
        "format": {"bg_color": fill, "font_color": colours.SEVERITY_TEXT[level], "bold": True},
    }
    for level, fill in colours.SEVERITY.items()
]
