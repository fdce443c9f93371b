"""The long forms of tests that the README's command runs a part of, by hand: ``pytest tests/long -n0``."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.analysis.learn.test_learn import adopted_of_aluminium, adopted_of_noise
from tests.cli.test_cli import explained
from tests.cli.test_plan import learned
from tests.report.test_documents import same_bytes
from tests.store.test_kill import before_and_after_each_statement, random_moments
from tests.store.test_together import import_while_reading
from tests.test_readme import notebook

TOP = Path(__file__).parent.parent.parent
PARTS = sorted(
    str(path.relative_to(TOP))
    for path in TOP.glob("tests/**/test_*.py")
    if path.parent != Path(__file__).parent
    and ("tests.examples" in (text := path.read_text("utf-8")) or ".mark.long" in text)
)


def test_explain_every_connection_of_the_demo() -> None:
    explained(step=1)


def test_killed_at_every_moment(tmp_path: Path) -> None:
    before_and_after_each_statement(tmp_path, step=1)


def test_killed_at_a_hundred_random_moments(tmp_path: Path) -> None:
    random_moments(tmp_path, seed=100, count=100)


def test_two_importers_and_a_reader_for_a_minute(tmp_path: Path) -> None:
    import_while_reading(str(tmp_path / "s.db"), seconds=60.0)


def test_noise_is_hardly_ever_adopted() -> None:
    """200 sets: adopted in at most 2."""
    assert adopted_of_noise(200) <= 2


def test_a_real_signal_is_nearly_always_found_and_none_is_hardly_ever() -> None:
    """Aluminium alone, loose 4 % and 40 %, 120 findings: in 85 of 100 sets; without a signal in 2 of 200."""
    assert adopted_of_aluminium(100, signal=True) >= 85
    assert adopted_of_aluminium(200, signal=False) <= 2


def test_the_same_bytes_in_another_process_zone_and_hash_seed() -> None:
    same_bytes("overview", "work", "survey")


def test_the_notebook_of_the_readme_runs(tmp_path: Path) -> None:
    notebook(tmp_path)


def test_learning_from_the_demo_findings(capsys: pytest.CaptureFixture) -> None:
    learned(capsys)


@pytest.mark.parametrize("path", PARTS)
def test_all_that_the_suite_tries_a_part_of(path: str) -> None:
    environment = {**os.environ, "RISKSCOPE_TEST_LONG": "1"}
    command = [sys.executable, "-m", "pytest", "-q", "-n2", path]
    done = subprocess.run(command, cwd=TOP, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout[-4000:]
