"""Nothing is assessed or described twice, on any path to a person."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest

from riskscope.analysis import assess as steps
from riskscope.cli.main import run
from riskscope.results import describe
from tests import of_demo
from tests.examples import part
from tests.screens.pages import page

DEMO = Path(__file__).parent.parent.parent / "demo_data"
CONNECTIONS = 255  # of the demo site
ON = ["--on", "2026-06-01"]


class Counts:
    """How often readings were assessed, and of how many rows sentences were made."""

    def __init__(self) -> None:
        self.assessed, self.described = 0, 0

    def taken(self) -> tuple[int, int]:
        """Both counts since they were asked for last."""
        both = self.assessed, self.described
        self.assessed, self.described = 0, 0
        return both


@pytest.fixture
def counts(monkeypatch: pytest.MonkeyPatch) -> Counts:
    made = Counts()
    assess, say = steps.assess_readings, describe.sentences

    def assessed(*given: object, **more: object) -> pd.DataFrame:
        made.assessed += 1
        return assess(*given, **more)  # type: ignore[arg-type]

    def described(assessment: object, rows: pd.DataFrame, units: object) -> dict[str, object]:
        made.described += len(rows)
        return say(assessment, rows, units)  # type: ignore[arg-type]

    monkeypatch.setattr(steps, "assess_readings", assessed)
    monkeypatch.setattr(describe, "sentences", described)
    return made


def ranking(source: list[str], out: Path) -> list[str]:
    return ["rank", *source, "--out", str(out / "results")]


def report(source: list[str], out: Path) -> list[str]:
    return ["report", "survey", *source, "--format", "html", "--format", "xlsx", "--out", str(out / "reports")]


def overview(source: list[str], out: Path) -> list[str]:
    return ["report", "overview", *source, "--format", "html", "--out", str(out / "reports")]


def explain(source: list[str], out: Path) -> list[str]:
    return ["explain", "MSB/F1/A", *source]


def due(source: list[str], out: Path) -> list[str]:
    return ["due", *source]


@pytest.mark.long
@pytest.mark.parametrize(
    ("command", "described"),
    part([(report, CONNECTIONS), (explain, 1), (due, 0), (ranking, CONNECTIONS), (overview, CONNECTIONS)], 1),
    ids=lambda value: getattr(value, "__name__", None),
)
def test_from_a_folder_once(
    command: Callable[[list[str], Path], list[str]], described: int, counts: Counts, tmp_path: Path
) -> None:
    assert run([*command([str(DEMO)], tmp_path), *ON]) == 0
    assert counts.taken() == (1, described)


@pytest.mark.long
def test_from_a_store_once_and_then_never_again(counts: Counts, tmp_path: Path) -> None:
    source = ["--store", str(of_demo.store(tmp_path / "s.db"))]
    assert run([*ranking(source, tmp_path), *ON]) == 0
    assert counts.taken() == (1, CONNECTIONS)
    for command in part((explain, overview, due, ranking, report), 3):
        assert run([*command(source, tmp_path), *ON]) == 0
        assert counts.taken() == (0, 0), command.__name__


def test_a_command_that_only_reads_writes_nothing_into_a_store(counts: Counts, tmp_path: Path) -> None:
    place = of_demo.store(tmp_path / "s.db")
    before = hashlib.sha256(place.read_bytes()).hexdigest()
    for command, described in part([(explain, 1), (due, 0), (report, CONNECTIONS)], 2):
        assert run([*command(["--store", str(place)], tmp_path), *ON]) == 0
        assert counts.taken() == (1, described)
    assert hashlib.sha256(place.read_bytes()).hexdigest() == before


@pytest.mark.long
def test_pages_share_what_the_store_has_kept(counts: Counts, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    place = of_demo.store(tmp_path / "s.db")
    page("overview", place, monkeypatch)
    assert counts.taken() == (1, CONNECTIONS)
    page("survey", place, monkeypatch)
    page("connection", place, monkeypatch, id="MSB/F1/A")
    assert run(["explain", "MSB/F1/A", "--store", str(place), *ON]) == 0
    assert counts.taken() == (0, 0)
