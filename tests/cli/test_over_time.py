"""trend, due and recall as a user types them."""

from __future__ import annotations

import datetime as dt
import io
import json
from pathlib import Path

import pandas as pd
import pytest

from riskscope.cli.main import run
from riskscope.schema import results
from tests import of_demo
from tests.examples import part
from tests.of_demo import DEMO

DAY = dt.date(2026, 11, 1)
ON = ["--on", DAY.isoformat()]


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A store of the demo site, which keeps what it was assessed to be: asked again, it is not assessed again."""
    return str(of_demo.store(tmp_path_factory.mktemp("demo") / "riskscope.db", DAY))


@pytest.fixture(autouse=True)
def _of_the_store(kept: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RISKSCOPE_STORE", kept)


@pytest.mark.parametrize(
    ("arguments", "words"),
    part(
        [
            (["trend", str(DEMO)], ["MCC-3/F1/A", "change", "4.6 K"]),
            (["trend", "--work"], ["SWB-1/F4/A", "not re-surveyed"]),
            (["due"], ["DB-3/F2/A", "past its interval"]),
            (["recall"], ["T-05", "MCC-3/F4/A", "30.1 N·m"]),
            (["recall", "T-05", "--show-torque", "lbf·ft"], ["MCC-3/F4/A", "22.2 lbf·ft"]),
            (["recall", "t-06", "--since", "2025-01-01"], ["SWB-2/F3/A", "SWB-1/F1/B"]),
            (["gaps"], ["MCC-1", "unrecorded", "verified"]),
            (["gaps", "--board", "mcc-3", "--state", "doubtful"], ["MCC-3/F4/A", "30.1 N·m"]),
        ],
        4,
    ),
    ids=lambda value: " ".join(value[:2])[:12] if isinstance(value, list) else "",
)
def test_what_is_printed(arguments: list[str], words: list[str], capsys: pytest.CaptureFixture) -> None:
    assert run([*arguments, *ON]) == 0
    text = capsys.readouterr().out
    for word in words:
        assert word in text


@pytest.mark.parametrize(
    ("command", "table"), part([("trend", results.TREND), ("due", results.DUE), ("recall", results.RECALLED)], 1)
)
def test_machines_get_the_columns_of_the_schema(
    command: str, table: object, capsys: pytest.CaptureFixture, tmp_path: Path
) -> None:
    out = tmp_path / "list.csv"
    assert run([command, *ON, "--format", "csv", "--out", str(out)]) == 0
    printed = capsys.readouterr().out
    assert printed == out.read_text("utf-8")
    assert list(pd.read_csv(io.StringIO(printed)).columns) == [c.name for c in table.columns]  # type: ignore[attr-defined]
    assert run([command, *ON, "--format", "json"]) == 0
    assert len(json.loads(capsys.readouterr().out)) == len(pd.read_csv(out))


@pytest.mark.parametrize(
    ("arguments", "status", "words"),
    [
        (["recall", "T-99"], 1, "there is no tool 'T-99'"),
        (["recall", "T-05", "--since", "then"], 2, "--since takes a date"),
        (["due", str(DEMO), "--out", "/nowhere/x.csv"], 1, "cannot be written"),
    ],
    ids=["tool", "date", "out"],
)
def test_wrong_use_is_a_sentence(arguments: list[str], status: int, words: str, capsys: pytest.CaptureFixture) -> None:
    assert run([*arguments, *ON]) == status
    assert words in capsys.readouterr().err


@pytest.mark.long
def test_each_figure_of_the_coverage_has_its_list(capsys: pytest.CaptureFixture) -> None:
    assert run(["gaps", *ON, "--format", "csv"]) == 0
    counts = pd.read_csv(io.StringIO(capsys.readouterr().out)).set_index("equipment")
    for state in ("unrecorded", "under-torqued", "verified"):
        assert run(["gaps", *ON, "--board", "MCC-1", "--state", state, "--format", "csv"]) == 0
        listed = pd.read_csv(io.StringIO(capsys.readouterr().out))
        assert len(listed) == counts.loc["MCC-1", state.replace("-", "_")]


def test_a_board_nobody_knows(capsys: pytest.CaptureFixture) -> None:
    assert run(["gaps", *ON, "--board", "MCC-9"]) == 1
    assert "no connection is on 'MCC-9'. Did you mean MCC-" in capsys.readouterr().err


def test_reports_and_sheets_are_written(tmp_path: Path, capsys: pytest.CaptureFixture) -> None:
    for name in ("overview", "field-sheet", "findings-sheet"):
        assert run(["report", name, *ON, "--out", str(tmp_path)]) == 0
    written = {path.name for path in tmp_path.iterdir()}
    assert written == {
        "overview_report.html",
        "overview_report.pdf",
        "overview_report.xlsx",
        "field_sheet.xlsx",
        "findings_sheet.xlsx",
    }
    assert "overview_report.pdf" in capsys.readouterr().out
    assert run(["report", "survey", *ON, "--out", str(tmp_path), "--set", "paper=A3"]) == 2
    assert "paper must be A4 or Letter" in capsys.readouterr().err


@pytest.mark.parametrize("arguments", [["trend"], ["trend", "--work"], ["due"], ["recall"], ["gaps"]], ids=" ".join)
def test_a_first_survey_has_no_trend_and_no_fault(
    arguments: list[str], tmp_path: Path, capsys: pytest.CaptureFixture
) -> None:
    (tmp_path / "survey.csv").write_text(
        "connection_id,survey_date,connection_c,ambient_c,load_pct\nA,2026-05-04,60,30,80\n"
    )
    assert run([arguments[0], str(tmp_path), *arguments[1:], *ON]) == 0, capsys.readouterr().err
