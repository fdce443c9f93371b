"""Bad input is one clear sentence, loses no row and never ends in a traceback."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from riskscope.analysis.assess import assess as assess_tables
from riskscope.errors import Ambiguous, UnusableInput
from riskscope.intake.files import Source, folder_of
from riskscope.intake.options import ReadOptions
from riskscope.intake.read import read_files
from riskscope.schema import tables as schema_tables
from riskscope.schema.tables import Tables

ON = dt.date(2026, 6, 1)
HEAD = "connection_id,survey_date,connection_c,ambient_c,load_pct\n"


def read(tmp_path: Path, content: str | bytes, name: str = "survey.csv", **read_options: object) -> Tables:
    path = tmp_path / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return read_files([Source(path, ReadOptions(**read_options))], on=ON)  # type: ignore[arg-type]


def refused(intake: Tables) -> list[tuple[int, str]]:
    rows = intake.refused[intake.refused["kind"] == "rejected"]
    return list(zip(rows["line"].tolist(), rows["reason"].tolist(), strict=True))


@pytest.mark.parametrize(
    ("content", "name", "words"),
    [
        (b"", "survey.csv", "survey.csv: is empty."),
        (b" \n\n", "survey.csv", "is empty"),
        (bytes(range(256)) * 40, "survey.csv", "is not a text file"),
        (b"%PDF-1.7 rest", "survey.csv", "not a text file but a PDF"),
        (b"PK\x03\x04 rest", "survey.csv", "must end in .xlsx"),
        (b"plain text", "survey.xlsx", "is not an XLSX workbook"),
        (b"\xd0\xcf\x11\xe0 old", "survey.csv", "old binary workbook"),
        (b'connection_id,survey_date\n"open', "survey.csv", "quotation mark that is not closed"),
    ],
    ids=["empty", "blank", "binary", "pdf", "zip", "no workbook", "xls", "open quote"],
)
def test_file_that_cannot_be_read(tmp_path: Path, content: bytes, name: str, words: str) -> None:
    with pytest.raises(UnusableInput, match=words.replace("(", r"\(")):
        read(tmp_path, content, name)


def test_missing_column_names_what_was_looked_for_and_what_was_found(tmp_path: Path) -> None:
    with pytest.raises(UnusableInput) as caught:
        read(tmp_path, "Tag,When,Temp (°C)\nA,2026-05-04,40\n")
    text = str(caught.value)
    assert "survey.csv, line 1" in text
    assert "no column survey_date (looked for: survey_date, date" in text
    assert "Headers found: 'Tag', 'When', 'Temp (°C)'" in text
    assert "mapping" in text


@pytest.mark.parametrize(
    ("row", "reason"),
    [
        ("A,2026-05-04,3000,30,50", "connection_c “3000” must be at most 1500 °C"),
        ("A,2026-05-04,-80,30,50", "connection_c “-80” must be at least -60 °C"),
        ("A,2026-05-04,40,30,-5", "load_pct “-5” must not be negative"),
        ("A,2026-05-04,40,30,301", "load_pct “301” must be at most 300 %"),
        ("A,2026-07-04,40,30,50", "survey_date “2026-07-04” is in the future (after 2026-06-02)"),
        ("A,1969-12-31,40,30,50", "survey_date “1969-12-31” is before 1970"),
        ("A,2026-02-30,40,30,50", "survey_date “2026-02-30” is not a day of the calendar"),
        ("A,yesterday,40,30,50", "survey_date “yesterday” is not a date"),
        ("A,today,40,30,50", "survey_date “today” is not a date"),
        ("A,planned 20 May 2026,40,30,50", "survey_date “planned 20 May 2026” is not a date"),
        (
            "A,26-05-20,40,30,50",
            "survey_date “26-05-20” may begin with its day or with its year: write the year in four figures, "
            "or say which order the dates have",
        ),
        ("A,now,40,30,50", "survey_date “now” is not a date"),
        (
            "A,2026-05-04,OL,30,50",
            "connection_c “OL” is off the instrument's scale: it may be the hottest, read it again (A, 2026-05-04)",
        ),
        (
            "A,2026-05-04,>250,30,50",
            ("connection_c “>250” is a bound, off the scale: it may be the hottest, read it again (A, 2026-05-04)"),
        ),
        ("A,2026-05-04,warm,30,50", "connection_c “warm” is not a number"),
        (
            "A,2026-05-04,40 furlong,30,50",
            "connection_c “40 furlong” has the unit 'furlong', which is not one of °C, °F, K",
        ),
        ("A,2026-05-04,N/A,30,50", "no temperature of the connection and no rise"),
        (",2026-05-04,40,30,50", "no connection_id"),
        ("A,,40,30,50", "no survey_date"),
        ("A,,3000,30,-5", "connection_c “3000” must be at most 1500 °C"),
    ],
)
def test_row_that_cannot_be(tmp_path: Path, row: str, reason: str) -> None:
    intake = read(tmp_path, HEAD + "ok,2026-05-04,40,30,50\n" + row + "\n")
    assert intake["survey"]["connection_id"].tolist() == ["ok"]
    [(line, reasons)] = refused(intake)
    assert line == 3
    assert reason in reasons.split("; ")
    assert intake.counts["survey"] == {"read": 3, "accepted": 1, "rejected": 1, "set_aside": 1, "warnings": 0}


def test_every_fault_of_a_row_is_named(tmp_path: Path) -> None:
    intake = read(tmp_path, HEAD + "A,,3000,30,-5\nok,2026-05-04,40,30,50\n")
    [(_, reasons)] = refused(intake)
    assert len(reasons.split("; ")) == 4, "the date, the temperature, the load, and that nobody knows how hot it was"


def test_tomorrow_is_not_the_future(tmp_path: Path) -> None:
    assert len(read(tmp_path, HEAD + "A,2026-06-02,40,30,50\n")["survey"]) == 1


def test_duplicates_of_the_register_are_refused_with_the_first_line(tmp_path: Path) -> None:
    intake = read(tmp_path, "connection_id,rated_a\nA,100\na,200\n", "connections.csv")
    assert refused(intake) == [(3, "the same connection_id is already on line 2")]


def test_temperature_without_a_unit_asks(tmp_path: Path) -> None:
    content = "Connection,Date,Temp,Ambient\nA,2026-05-04,140,90\n"
    with pytest.raises(Ambiguous, match="--temperature-unit"):
        read(tmp_path, content)
    assert read(tmp_path, content, temperature_unit="F")["survey"]["connection_c"].tolist() == [60.0]


def test_torque_without_a_unit_asks(tmp_path: Path) -> None:
    content = "connection_id,work_date,required_torque,applied_torque\nA,2026-05-04,275,275\n"
    with pytest.raises(Ambiguous, match="--torque-unit"):
        read(tmp_path, content, "installs.csv")
    read_ = read(tmp_path, content, "installs.csv", torque_unit="in-lb")
    assert read_["installs"]["applied_nm"].tolist() == pytest.approx([275 * 0.1129848290276167])


def test_unknown_torque_unit_of_a_row_is_refused(tmp_path: Path) -> None:
    content = (
        "connection_id,work_date,applied_torque,torque_unit\nA,2026-05-04,20,cubits\nB,2026-05-04,20,\n"
        "C,2026-05-04,20,N·m\n"
    )
    intake = read(tmp_path, content, "installs.csv")
    assert [line for line, _ in refused(intake)] == [2, 3]
    assert "torque_unit “cubits” is not one of N·m" in refused(intake)[0][1]


def test_header_and_row_that_contradict_each_other_are_refused(tmp_path: Path) -> None:
    content = "connection_id,work_date,Applied torque (N·m),torque_unit\nA,2026-05-04,20,lbf·in\n"
    assert "is in N·m by its header and in lbf·in" in refused(read(tmp_path, content, "installs.csv"))[0][1]


def test_bare_rise_asks_for_its_basis(tmp_path: Path) -> None:
    content = "Connection,Date,Delta T (K)\nA,2026-05-04,12\n"
    with pytest.raises(Ambiguous, match="--delta-basis similar or --delta-basis ambient"):
        read(tmp_path, content)
    frame = read(tmp_path, content, delta_basis="ambient")["survey"]
    assert frame["rise_ambient_k"].tolist() == [12.0]


def test_temperatures_win_over_a_rise_that_disagrees_and_it_is_said(tmp_path: Path) -> None:
    content = "connection_id,survey_date,connection_c,similar_c,rise_similar_k\nA,2026-05-04,50,40,15\n"
    intake = read(tmp_path, content)
    assert any(note.kind == "warning" and "differs by more than 1 K" in note.text for note in intake.notes)
    found = assess_tables(intake, on=ON).connections
    assert found["rise_similar_found_k"].tolist() == [10.0]


def test_a_missing_folder_is_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(UnusableInput, match="is not a folder"):
        folder_of(tmp_path / "nowhere")


def test_nothing_to_assess_is_a_sentence() -> None:
    with pytest.raises(UnusableInput, match="there is no survey"):
        assess_tables(Tables({}, schema_tables.refused([])), on=ON)
