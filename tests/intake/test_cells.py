"""Cells as people type them: blanks, totals, ids, long texts; in place by the line of their row."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from riskscope.intake.files import FileContent
from riskscope.intake.options import Limits, ReadOptions
from riskscope.intake.read import CheckedFile, check_file
from riskscope.intake.readers.text import parse

ON = dt.date(2026, 6, 1)
HEAD = "connection_id,survey_date,connection_c,comment"


def checked(*lines: str) -> CheckedFile:
    data = "\n".join([HEAD, *lines, ""]).encode()
    return check_file(FileContent("may.csv", data, ReadOptions(table="survey")), on=ON, limits=Limits())


def ids(*cells: str) -> list[object]:
    accepted = checked(*(f'"{cell}",2026-05-04,40,' for cell in cells)).sheets[0].accepted
    return accepted["connection_id"].tolist()


@pytest.mark.parametrize(
    ("cell", "name"),
    [("A\u00a0B", "A B"), ("\ufeffA", "A"), ("A\u2007\u202fB", "A B"), ("A\nB", "A B"), ("A\tB", "A B"),
     ("A\rB", "A B"), ("'=A", "=A"), ("'A", "'A"), ("  A  ", "A")],
    ids=["no-break space", "mark at the start", "narrow spaces", "new line", "tab", "return", "formula", "apostrophe",
         "outer blanks"],
)  # fmt: skip
def test_an_id_is_one_line_with_plain_spaces(cell: str, name: str) -> None:
    assert ids(cell) == [name]


@pytest.mark.parametrize("cell", ["n/a", "N/A", "-", "none", "TBD"])
def test_a_word_for_nothing_is_no_id(cell: str) -> None:
    (sheet,) = checked(f"{cell},2026-05-04,40,", "B,2026-05-04,41,").sheets
    assert sheet.accepted["connection_id"].tolist() == ["B"]
    assert sheet.rejected["reason"].tolist()[-1].startswith("no connection_id")


@pytest.mark.parametrize("word", ["Total", "Total:", "TOTALS", "average:"])
def test_a_total_is_set_aside_whatever_stands_behind_it(word: str) -> None:
    (sheet,) = checked("A,2026-05-04,40,", f"{word},,40,").sheets
    assert sheet.accepted["connection_id"].tolist() == ["A"]
    assert sheet.rejected["reason"].tolist() == ["header", "totals"]


def test_rows_not_used_stand_in_the_order_of_their_lines() -> None:
    (sheet,) = checked("Total,,1,", "A,2026-05-04,hot,", "B,2026-05-04,40,", "Sum,,2,", "C,2026-05-04,warm,").sheets
    assert sheet.rejected["line"].tolist() == [1, 2, 3, 5, 6]
    assert sheet.rejected["kind"].tolist() == ["set aside", "set aside", "rejected", "set aside", "rejected"]


@pytest.mark.parametrize(("length", "kept"), [(32_767, 1), (32_768, 0)])
def test_a_cell_holds_as_much_as_that_of_a_workbook(length: int, kept: int) -> None:
    assert len(checked("A,2026-05-04,40," + "x" * length).sheets[0].accepted) == kept


def test_a_file_said_to_hold_no_table_is_said(tmp_path: Path) -> None:
    import riskscope

    (tmp_path / "a.csv").write_text("x,y\n1,2\n", "utf-8")
    (tmp_path / "survey.csv").write_text(HEAD + "\nA,2026-05-04,40,\n", "utf-8")
    (tmp_path / "riskscope.toml").write_text('[files."a.csv"]\ntable = "none"\n', "utf-8")
    notes = [str(note) for note in riskscope.read(tmp_path, on=ON).notes]
    assert any("a.csv" in note and "it holds no table" in note for note in notes)


@pytest.mark.parametrize(
    "line", ["A,2026-05-04,40", "A,2026-05-04,40,", "A,2026-05-04,40,,"], ids=["short", "full", "a cell more"]
)
def test_a_short_line_ends_in_blank_cells(line: str) -> None:
    grid = parse("\n".join([HEAD, line, "B,2026-05-04,41,seen", "", "C", ""]), "may.csv", Limits())
    assert grid.cells.iloc[3].tolist() == [""] * grid.cells.shape[1]
    assert not grid.cells.isna().any(axis=None)
    assert grid.cells.iloc[1, :4].tolist() == ["A", "2026-05-04", "40", ""]
    accepted = checked(line, "B,2026-05-04,41,seen").sheets[0].accepted
    assert accepted["comment"].isna().tolist() == [True, False]
