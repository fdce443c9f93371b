"""SIGKILL at every moment of an import: all of a file or none of it, and nothing stands in the way."""

from __future__ import annotations

import random
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from riskscope.store.migrations import open_store
from tests.store import killing
from tests.store.conftest import postgres_place

ROWS = 200


def before_and_after_each_statement(folder: Path, step: int) -> None:
    """Killed at every so-manieth moment before and after statements and commits, and at the last ones."""
    moments = killing.count_moments(str(folder / "count.db"), ROWS)
    assert moments > 30
    for moment in sorted({*range(0, moments, step), *range(moments - 6, moments)}):
        place = str(folder / f"{moment}.db")
        assert killing.killed_at(place, moment, ROWS)
        killing.is_whole(place, ROWS)


@pytest.mark.long
def test_killed_before_and_after_statements_and_commits(tmp_path: Path) -> None:
    before_and_after_each_statement(tmp_path, step=128)


@pytest.fixture
def server_place() -> Iterator[str]:
    yield from postgres_place()


def test_killed_on_a_server(server_place: str) -> None:
    open_store(server_place, create=True).close()
    for moment in range(0, 40, 13):
        killing.killed_at(server_place, moment, ROWS)
    killing.is_whole(server_place, ROWS)


def test_killed_while_a_store_is_made(tmp_path: Path) -> None:
    for wait in (0.0, 0.002, 0.005, 0.01, 0.02):
        place = str(tmp_path / f"{wait}.db")
        killing.killed_after(place, wait, ROWS)
        killing.is_whole(place, ROWS)


def random_moments(folder: Path, seed: int, count: int, rows: int = 20_000) -> None:
    begin = time.perf_counter()
    killing.killed_after(str(folder / "warm.db"), 0.001, rows)
    store = open_store(str(folder / "time.db"), create=True)
    begin = time.perf_counter()
    killing.bring_in(store, rows)
    whole = time.perf_counter() - begin
    store.close()
    moments = random.Random(seed)
    killed = 0
    for number in range(count):
        place = str(folder / f"{number}.db")
        killed += killing.killed_after(place, moments.uniform(0.0, whole * 1.1), rows)
        killing.is_whole(place, rows)
    assert killed > count / 3


def test_killed_at_random_moments(tmp_path: Path) -> None:
    random_moments(tmp_path, seed=4, count=5, rows=2000)
