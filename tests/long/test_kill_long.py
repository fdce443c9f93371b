"""A hundred random moments, by hand: ``pytest tests/long -n0``."""

from __future__ import annotations

from pathlib import Path

from tests.store.test_kill import random_moments
from tests.store.test_together import import_while_reading


def test_killed_at_a_hundred_moments(tmp_path: Path) -> None:
    random_moments(tmp_path, seed=100, count=100)


def test_two_importers_and_a_reader_for_a_minute(tmp_path: Path) -> None:
    import_while_reading(str(tmp_path / "s.db"), seconds=60.0)
