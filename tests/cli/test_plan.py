"""riskscope plan: what is printed and written."""

from __future__ import annotations

import json
import re
from pathlib import Path

import openpyxl
import pandas as pd
import pypdf
import pytest

from riskscope.cli.main import run

DEMO = Path(__file__).parent.parent.parent / "demo_data"
ON = ["--on", "2026-06-01"]


def test_machines_get_json_and_nothing_else(capfd: pytest.CaptureFixture) -> None:
    assert run(["plan", str(DEMO), *ON, "--format", "json", "--one-more-hour"]) == 0
    data = json.loads(capfd.readouterr().out)
    assert {row["connection_id"] for row in data["do_not_wait"]} >= {"MSB/F1/A", "MCC-1/F1/A"}
    assert data["gap"] <= 0.001
    assert set(data["gain_of_one_more_crew_hour"]) == {"OUT-1", "OUT-2"}


def test_what_must_not_wait_heads_the_plan(capsys: pytest.CaptureFixture) -> None:
    assert run(["plan", str(DEMO), *ON]) == 0
    assert capsys.readouterr().out.startswith("DO NOT WAIT: 7 must be dealt with before any outage")


def test_what_is_hot_and_in_no_plan_is_counted(capsys: pytest.CaptureFixture) -> None:
    """By planted.csv: MCC-1/F2/body, UPS-1/F2/A, B rated 3 (check load), DB-2/F1/A (inspect), GEN-1/F1/B, C (load)."""
    assert run(["plan", str(DEMO), *ON]) == 0
    assert (
        "something else than tightening or remaking (inspect, check load or circuit, survey again): 6."
        in capsys.readouterr().out
    )


def test_a_site_that_needs_no_outage_says_so(tmp_path: Path, capsys: pytest.CaptureFixture) -> None:
    (tmp_path / "survey.csv").write_text(
        "connection_id,survey_date,connection_c,ambient_c,load_pct,equipment,point\nA,2026-05-04,40,30,80,B1,fuse "
        "clip\n"
    )
    (tmp_path / "outages.csv").write_text("outage_id,start,hours,equipment\nO1,2026-09-01,4,B1\n")
    assert run(["plan", str(tmp_path), *ON, "--out", str(tmp_path / "out")]) == 0
    assert "Nothing on record needs tightening or remaking in an outage." in capsys.readouterr().out
    assert pd.read_csv(tmp_path / "out" / "not_planned.csv").empty


def test_job_cards_and_sheets(tmp_path: Path, capsys: pytest.CaptureFixture) -> None:
    assert run(["plan", str(DEMO), *ON, "--out", str(tmp_path), "--show-torque", "lbf·in"]) == 0
    plan = pd.read_csv(tmp_path / "plan.csv")
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(tmp_path / "job_cards.pdf").pages)
    assert len(re.findall("Job card:", text)) >= plan["board"].nunique()
    assert not re.search(r"\bdead\b", text, re.IGNORECASE)
    assert "permit no." in text
    assert "T-07" in text
    book = openpyxl.load_workbook(tmp_path / "findings_sheet.xlsx")
    rows = list(book["findings"].values)
    assert [row[0] for row in rows[1:] if row[0]] == plan["connection_id"].tolist()
    assert {"work orders", "boards", "materials"} <= set(openpyxl.load_workbook(tmp_path / "job_cards.xlsx").sheetnames)
    data = json.loads((tmp_path / "plan.json").read_text("utf-8"))
    assert len(data["work"]) == len(plan)


@pytest.mark.long
def test_the_same_input_gives_the_same_plan(tmp_path: Path) -> None:
    for name in ("a", "b"):
        assert run(["plan", str(DEMO), *ON, "--out", str(tmp_path / name)]) == 0
    for file in ("plan.csv", "plan.json", "job_cards.pdf", "job_cards.html"):
        assert (tmp_path / "a" / file).read_bytes() == (tmp_path / "b" / file).read_bytes(), file


def test_what_cannot_be_planned_is_one_sentence(capsys: pytest.CaptureFixture) -> None:
    assert run(["plan", str(DEMO), *ON, "--must", "DB-1/F5/A"]) == 1
    assert "no outage isolates DB-1" in capsys.readouterr().err
    assert run(["plan", str(DEMO), *ON, "--set", "crew_use=2"]) == 2
    assert "crew_use must be at most 1" in capsys.readouterr().err


def learned(capsys: pytest.CaptureFixture) -> None:
    """What the findings of the demo teach, and a plan by it."""
    assert run(["learn", str(DEMO), "--on", "2026-07-10"]) == 0
    text = capsys.readouterr().out
    assert "not adopted: too few findings" in text
    assert "never a chance of failure" in text
    assert "nan" not in text
    assert run(["plan", str(DEMO), "--on", "2026-07-10", "--learned"]) == 0
    assert "likelihoods by priors with 8 findings" in " ".join(capsys.readouterr().out.split())
