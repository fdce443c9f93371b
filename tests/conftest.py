"""What a test may need and a machine may lack; in which order files run; how many examples a law tries."""

from __future__ import annotations

import gc
import os
import random

import pytest
from hypothesis import settings

from tests.examples import LONG, examples

settings.register_profile("ours", examples(40))
settings.load_profile("ours")
LONGEST = [
    "tests/screens/test_journey.py",
    "tests/screens/test_looks.py",
    "tests/report/test_documents.py",
    "tests/screens/test_pages.py",
    "tests/screens/test_proof.py",
    "tests/store/test_kill.py",
]
REQUIRED = frozenset(filter(None, os.environ.get("RISKSCOPE_TEST_REQUIRE", "").split(",")))


def lacking(what: str, reason: str) -> None:
    """Skip a test for want of something; fail it where RISKSCOPE_TEST_REQUIRE names that thing."""
    if what in REQUIRED:
        pytest.fail(f"{what} is required here: {reason}")
    pytest.skip(reason)


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--shuffle-files", metavar="SEED", help="run the files in an order drawn by this seed")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """An order drawn by a seed; else, among several workers, what takes longest first, so that none waits long.

    What is marked `long` runs with RISKSCOPE_TEST_LONG set only.
    """
    if not LONG and (long := [item for item in items if item.get_closest_marker("long")]):
        config.hook.pytest_deselected(items=long)
        items[:] = [item for item in items if not item.get_closest_marker("long")]
    seed = config.getoption("--shuffle-files", None)
    files = list(dict.fromkeys(_file(item) for item in items))
    if seed is not None:
        random.Random(seed).shuffle(files)
    elif hasattr(config, "workerinput"):
        files.sort(key=lambda name: LONGEST.index(name) if name in LONGEST else len(LONGEST))
    place = {name: number for number, name in enumerate(files)}
    items.sort(key=lambda item: place[_file(item)])


def pytest_collection_finish() -> None:
    """What is there before the first test stays to the end: the collector need not walk through it again and again.

    What comes after is small: an eighth of the time of the tests went into looking for cycles among it.
    """
    gc.collect()
    gc.freeze()
    gc.set_threshold(100_000, 50, 100)


def _file(item: pytest.Item) -> str:
    return item.nodeid.partition("::")[0]
