"""The worked examples run where they stand, from any folder, and say what they promise."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from riskscope import demo
from riskscope.cli.main import run
from tests.examples import part

SAYS = {
    "hot-joint": ["PUMPS/F2/A                  4         4 under-torqued retighten", "Lock out and tag"],
    "three-years": [
        "SWB-1/F2/A",
        "SWB-2/F3/A 2026-05-12 tightened",
        "MSB/F1/A open finding; look again 2026-05-12 2025-05-13",
    ],
    "outage": ["DO NOT WAIT: 7", "OUT-1      1  MCC-2", "findings"],
    "thermogram": ["B: 57.2 °C", "PUMPS/F2/B                  4         4    retighten"],
}


@pytest.mark.long
@pytest.mark.parametrize("name", part(demo.EXAMPLES, 1))
def test_an_example_runs_as_it_is_printed(name: str, tmp_path: Path, capsys: pytest.CaptureFixture) -> None:
    """As a user would: printed into a file, run from another folder."""
    assert run(["example", name]) == 0
    script = tmp_path / "mine.py"
    script.write_text(capsys.readouterr().out, "utf-8")
    environment = {**os.environ, "PYTHONPATH": str(Path(demo.__file__).parent.parent), "TMPDIR": str(tmp_path)}
    done = subprocess.run(
        [sys.executable, "-W", "error", str(script)],
        cwd=tmp_path,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    for words in SAYS[name]:
        assert words in done.stdout


def test_the_examples_are_named(capsys: pytest.CaptureFixture) -> None:
    assert run(["example"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in lines] == list(demo.EXAMPLES) == list(SAYS)
    assert all("invented" in line for line in lines)


def test_an_example_that_is_not_there_is_a_sentence(capsys: pytest.CaptureFixture) -> None:
    assert run(["example", "hot-join"]) == 2
    assert "there is no example 'hot-join'" in capsys.readouterr().err


def test_to_run_an_example_it_has_to_be_named(capsys: pytest.CaptureFixture) -> None:
    assert run(["example", "--run"]) == 2
    assert "which example is to be run? There are hot-joint" in capsys.readouterr().err
