"""Workbooks to fill in: one table each, made from the schema, read back by the intake."""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence

import pandas as pd
import xlsxwriter

from riskscope.schema import Column, Table
from riskscope.units import UNITS

ROWS = 5000  # rows that carry formats and choices
ABOUT = "about"
_FORMATS = {"date": "yyyy-mm-dd", "time": "hh:mm", "id": "@", "text": "@", "file": "@"}


def template(table: Table, prefilled: pd.DataFrame | None = None, beside: Sequence[str] = ()) -> bytes:
    """A workbook for one table: headers with notes, formats, choices, and rows already known.

    Parameters
    ----------
    table : Table
    prefilled : DataFrame, optional
        Rows to begin with; columns the table does not have are left out.
    beside : sequence of str
        Of those the ones that stand in grey behind the table's own, to be read and not filled in.

    Returns
    -------
    bytes
        An XLSX file; its sheet is named for the table, a second sheet says what each column is.
    """
    buffer = io.BytesIO()
    with xlsxwriter.Workbook(buffer, {"in_memory": True, "strings_to_formulas": False}) as book:
        page = book.add_worksheet(table.name)
        required = book.add_format({"bold": True, "bottom": 1, "bg_color": "#E6EDF3"})
        optional = book.add_format({"bottom": 1, "bg_color": "#F5F5F5"})
        for position, column in enumerate(table.columns):
            page.write_string(0, position, column.name, required if column.required else optional)
            page.write_comment(0, position, _note(column), {"x_scale": 2, "y_scale": 1.5})
            style = book.add_format({"num_format": _FORMATS.get(column.kind, "General")})
            page.set_column(position, position, max(12, len(column.name) + 2), style)
            rule = _validation(column)
            if rule:
                page.data_validation(1, position, ROWS, position, rule)
        page.freeze_panes(1, 1)
        if prefilled is not None:
            _fill(page, table, prefilled)
            grey = book.add_format({"font_color": "#666666", "italic": True})
            for position, name in enumerate(beside, len(table.columns)):
                page.set_column(position, position, 40)
                for line, words in enumerate([name, *prefilled[name].fillna("")]):
                    page.write_string(line, position, str(words), grey)
        _about(book, table)
    return buffer.getvalue()


def _fill(page: xlsxwriter.workbook.Worksheet, table: Table, rows: pd.DataFrame) -> None:
    for position, column in enumerate(table.columns):
        if column.name in rows:
            for line, value in enumerate(rows[column.name], 1):
                if not pd.isna(value):
                    if column.is_number:
                        page.write_number(line, position, float(value))
                    else:
                        page.write_string(line, position, str(value))


def _note(column: Column) -> str:
    parts = [column.help, "Required." if column.required else "", _unit(column), _allowed(column)]
    return "\n".join(part for part in parts if part)


def _unit(column: Column) -> str:
    if column.quantity is None:
        return ""
    if column.quantity == "torque":
        return "In the unit of torque_unit."
    return f"In {next(iter(UNITS[column.quantity]))}."


def _allowed(column: Column) -> str:
    if column.choices:
        return f"One of {', '.join(column.choices)}."
    if column.kind == "flag":
        return "yes or no."
    if column.kind == "range":
        return "One number, or two as in 30-40."
    if column.is_number and column.kind != "time":
        low = f"{'above' if column.open_low else 'from'} {column.low:g}" if column.low is not None else ""
        high = f"to {column.high:g}" if column.high is not None else ""
        return f"{low} {high}".strip().capitalize() + "." if low or high else ""
    return {"date": "A date, such as 2026-05-12.", "time": "A time, such as 14:30."}.get(column.kind, "")


def _validation(column: Column) -> dict[str, object] | None:
    if column.kind == "flag":
        return {"validate": "list", "source": ["yes", "no"]}
    if column.choices:
        choices = list(column.choices)
        if len(",".join(choices)) <= 255:
            return {"validate": "list", "source": choices}
        return None
    if column.kind in {"number", "integer"} and column.low is not None and column.high is not None:
        return {
            "validate": "decimal",
            "criteria": "between",
            "minimum": column.low,
            "maximum": column.high,
            "error_title": column.name,
            "error_message": _note(column)[:255],
            "error_type": "warning",
        }
    return None


def _about(book: xlsxwriter.Workbook, table: Table) -> None:
    """A sheet that says what each column is; it holds no table."""
    page = book.add_worksheet(ABOUT)
    bold, wrap = (book.add_format({"bold": True}), book.add_format({"text_wrap": True, "valign": "top"}))
    page.set_column(0, 0, 26)
    page.set_column(1, 1, 90, wrap)
    rows: Iterable[tuple[str, str]] = [
        (table.sheet_title, table.help),
        (
            "",
            "One row for each. Leave empty what is not known. Columns you do not need may be deleted; "
            "columns of your own are kept with the row.",
        ),
        *((column.name, _note(column).replace("\n", " ")) for column in table.columns),
    ]
    for line, (left, right) in enumerate(rows):
        page.write_string(line, 0, left, bold)
        page.write_string(line, 1, right, wrap)
