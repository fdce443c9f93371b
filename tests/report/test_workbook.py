"""The workbook of a document: cells of their types, nothing that runs, nothing lost without a mark."""

from __future__ import annotations

import io

import numpy as np
import openpyxl
import pandas as pd
import pytest

from riskscope.errors import UnusableInput
from riskscope.report.blocks import Caution, Document, Facts, Show, Table, Text
from riskscope.report.writers import workbook
from riskscope.words.render import Units

FRAME = pd.DataFrame(
    {
        "id": pd.Series(["=1+1", "http://x.invalid/y", "007", None], dtype="str"),
        "t_c": [62.0, np.nan, 35.5, 20.0],
        "severity": pd.array([4, None, 0, 1], dtype="Int64"),
        "day": pd.to_datetime(["2026-05-04", None, "2026-05-05", "2026-05-06"]),
        "share": [0.25, 1.0, np.nan, 0.5],
    }
)
SHOWS = [
    Show("id", "connection"),
    Show("t_c", "temperature", "temperature"),
    Show("severity", "severity", "severity"),
    Show("day", "read on", "day"),
    Show("share", "load", "share"),
]


def book(*blocks: object, units: Units | None = None) -> openpyxl.Workbook:
    document = Document("A title", "as of today", list(blocks), units or Units())  # type: ignore[arg-type]
    return openpyxl.load_workbook(io.BytesIO(workbook.write(document)))


def test_every_cell_has_its_type_and_unit() -> None:
    sheet = book(Table(FRAME, SHOWS, sheet="rows"), units=Units("°F"))["rows"]
    assert list(sheet.values) == [
        ("connection", "temperature (°F)", "severity", "read on", "load (%)"),
        ("=1+1", pytest.approx(143.6), 4, pd.Timestamp("2026-05-04"), 25),
        ("http://x.invalid/y", None, "not rated", None, 100),
        ("007", pytest.approx(95.9), 0, pd.Timestamp("2026-05-05"), None),
        (None, 68, 1, pd.Timestamp("2026-05-06"), 50),
    ]
    assert sheet["A2"].data_type == "s"
    assert sheet["A3"].hyperlink is None
    assert (sheet["B2"].number_format, sheet["D2"].number_format) == ("0.0", "d mmm yyyy")
    assert (sheet.freeze_panes, sheet.auto_filter.ref) == ("B2", "A1:E5")


def test_a_severity_has_its_colour_by_its_number() -> None:
    sheet = book(Table(FRAME, SHOWS, sheet="rows"))["rows"]
    [(place, rules)] = [(str(r.sqref), r.rules) for r in sheet.conditional_formatting]
    assert place.startswith("C2:C")
    fills = {rule.formula[0]: rule.dxf.fill.bgColor.rgb[-6:] for rule in rules}
    assert fills == {"0": "E9EDF1", "1": "F6E3B4", "2": "F0B95B", "3": "D9722B", "4": "8C2409"}


def test_the_first_sheet_says_what_it_is() -> None:
    blocks = [
        Facts([("day", "1 June 2026")]),
        Text("Read this.", "strong"),
        Text("Not this."),
        Caution(["Stand back."]),
    ]
    sheet = book(*blocks)["about"]
    assert list(sheet.values) == [
        ("A title", None),
        (None, "as of today"),
        ("day", "1 June 2026"),
        (None, "Read this."),
        ("caution", "Stand back."),
    ]
    assert sheet["B5"].fill.fgColor.rgb.endswith("FFF6DF")


@pytest.mark.parametrize("length", [32_767, 32_768, 100_000])
def test_a_text_too_long_for_a_cell_ends_in_a_mark(length: int) -> None:
    frame = pd.DataFrame({"id": pd.Series(["x" * length], dtype="str")})
    cell = book(Table(frame, SHOWS[:1], sheet="rows"))["rows"]["A2"].value
    assert cell == ("x" * 32_767 if length == 32_767 else "x" * 32_766 + "…")


def test_a_long_text_of_rare_characters_fits_too() -> None:
    """A character beyond the first 65,536 may count twice."""
    frame = pd.DataFrame({"id": pd.Series(["\U0001f525" * 40_000], dtype="str")})
    cell = book(Table(frame, SHOWS[:1], sheet="rows"))["rows"]["A2"].value
    assert cell.endswith("\U0001f525…")


def test_two_columns_of_one_title_are_refused() -> None:
    shows = [Show("id", "connection"), Show("t_c", "connection")]
    with pytest.raises(ValueError, match="two columns of rows have one title"):
        book(Table(FRAME, shows, sheet="rows"))


def test_a_sheet_without_rows_has_its_heading() -> None:
    sheet = book(Table(FRAME[:0], SHOWS, sheet="rows"))["rows"]
    assert [cell.value for cell in sheet[1]] == ["connection", "temperature (°C)", "severity", "read on", "load (%)"]
    assert sheet.max_row == 1


def test_words_on_the_first_sheet_are_plain_and_cut() -> None:
    sheet = book(Text("a\x07b\u202ec", "strong"), Text("x" * 40_000, "strong"))["about"]
    assert sheet["B3"].value == "a\ufffdb\ufffdc"
    assert sheet["B4"].value == "x" * 32_766 + "…"
    assert sheet["A1"].font.bold
    assert sheet.column_dimensions["B"].width == pytest.approx(100, abs=1)


def test_a_long_name_of_a_sheet_is_cut_and_an_empty_list_has_no_filter() -> None:
    made = book(Table(FRAME[:0], SHOWS, sheet="a" * 40))
    assert made.sheetnames == ["about", "a" * 31]
    assert made["a" * 31].auto_filter.ref is None


def test_columns_are_as_wide_as_what_they_hold() -> None:
    sheet = book(Table(FRAME, [Show("id", "connection", weight=4), Show("t_c", "t", "temperature")], sheet="rows"))[
        "rows"
    ]
    assert sheet.column_dimensions["A"].width == pytest.approx(44, abs=1)
    assert sheet.column_dimensions["B"].width == pytest.approx(12, abs=1)


def test_a_number_without_end_is_said() -> None:
    frame = pd.DataFrame({"t_c": [1.0, np.inf, -np.inf]})
    sheet = book(Table(frame, [Show("t_c", "t", "count")], sheet="rows"))["rows"]
    assert [row[0] for row in sheet.values] == ["t", 1, "inf", "-inf"]


def test_more_rows_than_a_sheet_holds_are_a_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workbook, "MOST_ROWS", 3)
    with pytest.raises(UnusableInput, match="the list rows has 4 rows; a sheet of a workbook holds 3"):
        book(Table(FRAME, SHOWS, sheet="rows"))
