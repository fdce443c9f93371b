"""riskscope check: what was understood, what is not used, what is open and how to settle it."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from riskscope.cli.main import run

ON = ["--on", "2026-06-01"]
OPEN = """Connection,Date,Temp,Delta T (K),Load,Spare
A,1/2/2026,140,12,0.5,x
B,3/4/2026,150,14,80,y
"""


def words(capsys: pytest.CaptureFixture) -> str:
    return " ".join(capsys.readouterr().out.split())


def test_what_was_understood(tmp_path: Path, capsys: pytest.CaptureFixture) -> None:
    (tmp_path / "survey.csv").write_text(
        "Tag,Date,Temp (°F),Ambient,Load %,Spare\nA,2026-05-04,140,90,50,x\nB,2026-05-04,9999,90,50,\nTotal,,,,,\n",
        "utf-8",
    )
    assert run(["check", str(tmp_path), *ON]) == 0
    text = words(capsys)
    assert "survey.csv: table survey, 4 rows: 1 accepted, 1 rejected, 2 set aside" in text
    assert "Temp (°F) is connection_c, in °F" in text
    assert "Spare is kept with the row, not used" in text
    assert "column Ambient: no unit in the header: read in the file's °F" in text
    assert "line 3: Temp (°F) “9999” must be at most 1500 °C; it may be the hottest: read it again (B, 2026" in text
    assert "Cells: B, 2026-05-04, 9999, 90, 50" in text
    assert "line 4: totals. Cells: Total" in text
    assert run(["check", str(tmp_path), "--strict", *ON]) == 1


def test_lines_that_settle_what_is_open(tmp_path: Path, capsys: pytest.CaptureFixture) -> None:
    """The printed lines, put into riskscope.toml, make the file readable."""
    (tmp_path / "survey.csv").write_text(OPEN, "utf-8")
    assert run(["check", str(tmp_path), *ON]) == 1
    text = capsys.readouterr().out
    lines = text[text.index('[files."survey.csv"]') :]
    stated = tomllib.loads(lines)["files"]["survey.csv"]
    assert stated == {"day_first": True, "temperature_unit": "C", "delta_basis": "similar", "load": "percent"}
    (tmp_path / "riskscope.toml").write_text(lines, "utf-8")
    assert run(["check", str(tmp_path), *ON]) == 0


def test_one_unreadable_file_does_not_hide_the_others(tmp_path: Path, capsys: pytest.CaptureFixture) -> None:
    (tmp_path / "survey.csv").write_text("Tag,When\nA,2026-05-04\n", "utf-8")
    (tmp_path / "tools.csv").write_text("tool_id,calibrated_on\nT1,2026-01-01\n", "utf-8")
    (tmp_path / "broken.xlsx").write_bytes(b"PK")
    assert run(["check", str(tmp_path), *ON]) == 1
    text = words(capsys)
    assert "survey.csv: CANNOT BE USED AS IT STANDS" in text
    assert "broken.xlsx: CANNOT BE USED AS IT STANDS" in text
    assert "tools.csv: table tools, 2 rows: 1 accepted" in text
    assert 'mapping = { "YOUR HEADER" = "survey_date" }' in text


def test_a_file_can_be_left_out(tmp_path: Path, capsys: pytest.CaptureFixture) -> None:
    (tmp_path / "survey.csv").write_text("not,a,survey\n", "utf-8")
    (tmp_path / "riskscope.toml").write_text('[files."survey.csv"]\ntable = "none"\n', "utf-8")
    assert run(["check", str(tmp_path), *ON]) == 0
    assert "riskscope.toml says it holds no table" in words(capsys)


@pytest.mark.parametrize(
    ("toml", "text"),
    [
        ('[files."survvy.csv"]\ntable = "survey"\n', "there is no such file in the folder. Did you mean survey.csv?"),
        ('[files."survey.csv"]\ntabel = "survey"\n', "there is no way of reading called tabel"),
        ('[files."survey.csv"]\ntable = "surveyy"\n', "there is no table 'surveyy'"),
        ('[files."survey.csv"]\ndecimal = "dot"\n', "decimal must be point or comma; got 'dot'"),
        ('[files."survey.csv"]\ntemperature_unit = "R"\n', "temperature_unit must be °C or °F or K"),
        ('[files."survey.csv"]\nday_first = "yes"\n', "day_first must be true or false"),
        ('[files."survey.csv"]\nmapping = { Tag = "conection_id" }\n', "the mapping names a column 'conection_id'"),
        ('[files."survey.csv"]\nmapping = "x"\n', "mapping must be a table of header = column"),
        ("[files]\nsurvey = 3\n", "must be a section"),
    ],
)  # fmt: skip
def test_faults_of_riskscope_toml(toml: str, text: str, tmp_path: Path, capsys: pytest.CaptureFixture) -> None:
    (tmp_path / "survey.csv").write_text("Tag,Date,Temp (°C)\nA,2026-05-04,40\n", "utf-8")
    (tmp_path / "riskscope.toml").write_text(toml, "utf-8")
    assert run(["check", str(tmp_path), *ON]) in (1, 2)
    printed = capsys.readouterr()
    assert text in " ".join((printed.out + printed.err).split())


def test_one_file_with_the_ways_of_its_folder(tmp_path: Path, capsys: pytest.CaptureFixture) -> None:
    (tmp_path / "may.csv").write_text("Tag,Date,Temp\nA,2026-05-04,140\n", "utf-8")
    (tmp_path / "riskscope.toml").write_text('[files."may.csv"]\ntemperature_unit = "F"\n', "utf-8")
    assert run(["check", str(tmp_path / "may.csv"), "--table", "survey", *ON]) == 0
    assert "1 accepted" in words(capsys)
