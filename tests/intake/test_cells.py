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


@pytest.mark.parametrize("row", [",,95,max", ",,95,Total"])
@pytest.mark.parametrize("header", ["comment", "equipment"])
def test_a_row_under_a_merged_id_that_says_max_behind_its_temperature_is_a_reading(row: str, header: str) -> None:
    data = f"connection_id,survey_date,connection_c,{header}\nA,2026-05-04,40,seen\n{row}\n".encode()
    (sheet,) = check_file(FileContent("s.csv", data, ReadOptions(table="survey")), on=ON, limits=Limits()).sheets
    assert sheet.rejected["kind"].tolist() == ["set aside", "rejected"]
    assert "no connection_id" in sheet.rejected["reason"].iloc[-1]


def test_a_file_of_a_most_and_a_spot_of_each_joint_loses_none() -> None:
    """Under merged ids: what says "max" between rows with an id labels readings, the last one too."""
    lines = "statistic,connection_id,survey_date,connection_c\n"
    lines += "spot,A,2026-05-04,40\nmax,,,95\nspot,B,2026-05-04,41\nmax,,,43\n"
    (sheet,) = check_file(
        FileContent("s.csv", lines.encode(), ReadOptions(table="survey")), on=ON, limits=Limits()
    ).sheets
    assert sheet.rejected["kind"].tolist() == ["set aside", "rejected", "rejected"]


@pytest.mark.parametrize("foot", ["Maximum,,,95", "average,,,41\nmax:,,,95", "Total,,,2"])
def test_the_statistics_at_the_end_of_a_sheet_are_totals(foot: str) -> None:
    lines = f"statistic,connection_id,survey_date,connection_c\nspot,A,2026-05-04,40\n,B,2026-05-04,95\n{foot}\n"
    (sheet,) = check_file(
        FileContent("s.csv", lines.encode(), ReadOptions(table="survey")), on=ON, limits=Limits()
    ).sheets
    assert set(sheet.rejected["kind"]) == {"set aside"}


@pytest.mark.parametrize("due", ["20/03/27", "20-03-27", "24-Mar-27", "20-03-26"])
def test_what_is_planned_is_of_no_past_year(due: str) -> None:
    rows = f"tool_id,range_min,range_max,torque_unit,calibrated_on,calibration_due\nT1,5,50,N·m,2026-03-20,{due}\n"
    (sheet,) = check_file(
        FileContent("t.csv", rows.encode(), ReadOptions(table="tools")), on=ON, limits=Limits()
    ).sheets
    assert sheet.accepted["calibration_due"].dt.year.tolist() == [2000 + int(due[-2:])]


@pytest.mark.parametrize("word", ["Max", "Max box", "Total discoloured lug", "Mean"])
@pytest.mark.parametrize("header", ["point", "spot", "phase"])
def test_a_word_behind_the_id_that_tells_readings_apart_is_no_total(word: str, header: str) -> None:
    lines = f"connection_id,survey_date,{header},connection_c\nA,2026-05-04,,40\n,,{word},95\n"
    (sheet,) = check_file(
        FileContent("s.csv", lines.encode(), ReadOptions(table="survey")), on=ON, limits=Limits()
    ).sheets
    assert sheet.rejected["kind"].tolist() == ["set aside", "rejected"]


@pytest.mark.parametrize("header", ["equipment", "circuit"])
def test_a_total_in_a_place_behind_the_id_is_one(header: str) -> None:
    lines = f"connection_id,survey_date,{header},connection_c\nA,2026-05-04,P,40\n,,Total,95\n"
    (sheet,) = check_file(
        FileContent("s.csv", lines.encode(), ReadOptions(table="survey")), on=ON, limits=Limits()
    ).sheets
    assert sheet.rejected["kind"].tolist() == ["set aside", "set aside"]


@pytest.mark.parametrize(("time", "minutes"), [("08:00", None), ("16:00", 960.0), ("16:00:30", 960.5), ("", 960.0)])
def test_two_times_of_a_row_that_differ_are_none(time: str, minutes: float | None) -> None:
    made = survey_of(f"A,2026-05-20 16:00,{time},40,30,\n").sheets[0]
    read = made.accepted["survey_time"].iloc[0]
    assert (None if read != read else read) == minutes
    assert any("another time than with the date" in note.text for note in made.notes) == (minutes is None)


def test_a_column_that_says_max_of_readings_too_says_no_total() -> None:
    data = b"statistic,connection_id,survey_date,connection_c\navg,A,2026-05-04,40\nmax,,,95\n"
    (sheet,) = check_file(FileContent("s.csv", data, ReadOptions(table="survey")), on=ON, limits=Limits()).sheets
    assert sheet.rejected["kind"].tolist() == ["set aside", "rejected"]


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


def survey_of(rows: str) -> CheckedFile:
    data = f"connection_id,survey_date,survey_time,connection_c,ambient_c,phase\n{rows}".encode()
    return check_file(FileContent("s.csv", data, ReadOptions(table="survey")), on=ON, limits=Limits())


@pytest.mark.parametrize(
    ("dates", "years"),
    [
        (["26-05-20"], []),
        (["26-05-20", "25-04-20"], []),
        (["26-05-20", "2025-05-04"], [2025]),
        (["26/05/20", "04/05/26"], [2020, 2026]),
        (["25/05/26"], [2026]),
        (["27/05/24"], [2024]),
        (["24-04-12", "24-04-26"], []),
        (["24/04/12", "24/04/26"], []),
        (["24-05-26"], []),
        (["24-05-26", "24-06-10"], []),
        (["19-05-13", "26-05-12"], []),
        (["24-05-26", "04-05-26"], [2026, 2026]),
        (["24-05-26", "24-13-26"], []),
        (["15-05-26"], [2026]),
        (["26-05-26"], [2026]),
        (["26-05-12", "04-05-26"], [2026]),
        (["26-May-12"], []),
        (["26-May-20"], [2020]),
        (["18.05.12", "05.06.12", "30.03.12"], [2012, 2012, 2012]),
        (["16-May-09", "3-Jun-09", "30-Jun-09"], [2009, 2009, 2009]),
        (["26/05-12"], []),
        (["20-May-26", "24 May 26"], [2026, 2026]),
    ],
)
def test_two_figures_that_may_be_the_year_are_no_day(dates: list[str], years: list[int]) -> None:
    """In a column where another date denies that the year is first, or where that year is to come, they are.

    On 1 June 2026 a year of the last ten is 16 to 26. Between hyphens, as in ISO dates, 24 may be the year though as
    the day it makes the later date; of no sheet a date of 2012 is likelier than one of 2026.
    """
    made = survey_of("".join(f"A{n},{date},,40,30,\n" for n, date in enumerate(dates)))
    assert made.sheets[0].accepted["survey_date"].dt.year.tolist() == years


@pytest.mark.parametrize(
    ("date", "time", "minutes"),
    [
        ("2026-05-20 00:00:00", "", None),
        ("2026-05-20 00:00", "", None),
        ("2026-05-20 14:30", "", 870.0),
        ("2026-05-20 00:00:00", "14:30", 870.0),
        ("2026-05-20", "1899-12-30 14:30:00", 870.0),
        ("2026-05-20", "2026-05-20 14:30", 870.0),
        ("2026-05-20", "20.05.2026 14:30", 870.0),
        ("2026-05-20", "5/20/2026 2:30 pm", 870.0),
        ("2026-05-20", "2026-05-20T14:30:00", 870.0),
        ("2026-05-20", "2026-05-20 00:00:00", None),
        ("2026-05-20", "20.05.2026 00:00", None),
        ("2026-05-20", "00:00", None),
        ("2026-05-20", "00:00:00", None),
        ("2026-05-20", "1899-12-30 00:00:00", None),
        ("2026-05-20", "2026-05-20", None),
        ("2026-05-20", "00:01", 1.0),
    ],
)
def test_midnight_behind_a_date_is_no_time(date: str, time: str, minutes: float | None) -> None:
    read = survey_of(f"A,{date},{time},40,30,\n").sheets[0].accepted.get("survey_time")
    assert (None if read is None or read.isna().all() else read.iloc[0]) == minutes


@pytest.mark.parametrize(
    "time", ["2026-05-21 09:00", "21.05.2026 09:00", "2026-05-21 00:00:00", "2026-05-21", "5/21/2026 9:00"]
)
@pytest.mark.parametrize("head", ["survey_date,survey_time", "survey_time,survey_date"])
def test_a_time_of_another_day_is_none(time: str, head: str) -> None:
    """Whichever column stands first, and whichever order the day is written in."""
    cells = {"survey_date": "2026-05-20", "survey_time": time}
    row = ",".join(cells[name] for name in head.split(","))
    data = f"connection_id,{head},connection_c\nA,{row},40\n".encode()
    made = check_file(FileContent("s.csv", data, ReadOptions(table="survey")), on=ON, limits=Limits()).sheets[0]
    assert "says another day than the date of its row" in made.rejected["reason"].iloc[-1]


def test_the_order_of_the_dates_is_that_of_the_days_in_times() -> None:
    """5/6/2026 is 6 May, as 5/14/2026 is 14 May; 6/5/2026 is 5 June, the day of no row."""
    rows = "A,5/6/2026,6/5/2026 15:00,40,30,A\nB,5/14/2026,5/14/2026 9:00,40,30,B\n"
    made = survey_of(rows).sheets[0]
    assert made.accepted["connection_id"].tolist() == ["B"]
    assert "says another day" in made.rejected["reason"].iloc[-1]


@pytest.mark.parametrize(
    ("header", "cell"),
    [("source", "walkdown"), ("required", "yes"), ("required_torque", "see label"), ("required_source", "walkdown")],
)
def test_what_a_finding_says_of_the_required_torque_refuses_no_finding(header: str, cell: str) -> None:
    """Whatever stands in it: that the joint is damaged is the finding."""
    data = f"connection_id,work_date,as_found,action,{header}\nA,2026-05-20,damaged,none,{cell}\n".encode()
    made = check_file(FileContent("f.csv", data, ReadOptions(table="findings")), on=ON, limits=Limits()).sheets[0]
    assert made.accepted["as_found"].tolist() == ["damaged"]


def test_a_time_with_a_word_before_it_is_no_time() -> None:
    made = survey_of("A,2026-05-20,before 14:30,40,30,\n").sheets[0]
    assert "is not a time of day" in made.rejected["reason"].iloc[-1]


@pytest.mark.parametrize(("phases", "read"), [(["-"], [None]), (["+", "-"], ["DC+", "DC-"]), (["A", "-"], ["A", None])])
def test_a_dash_is_a_pole_beside_the_other_pole_only(phases: list[str], read: list[str | None]) -> None:
    made = survey_of("".join(f"{n},2026-05-20,,40,30,{phase}\n" for n, phase in enumerate(phases)))
    accepted = made.sheets[0].accepted
    assert [None if value != value else value for value in accepted["phase"]] == read


def test_the_time_of_another_day_is_not_that_of_the_work() -> None:
    header = "connection_id,work_date,as_found,action,deferred_until"
    data = f"{header}\nA,2026-05-20,loose,remade,2026-08-01 17:00\n".encode()
    read = check_file(FileContent("f.csv", data, ReadOptions(table="findings")), on=ON, limits=Limits())
    made = read.sheets[0].accepted
    assert "work_time" not in made or made["work_time"].isna().all()
