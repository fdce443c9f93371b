"""Two processes importing while a third reads: no error reaches a user, counts add up."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from riskscope.jobs import keep
from riskscope.store import reading as held
from riskscope.store.migrations import open_store
from tests.store.conftest import postgres_place

TOP = Path(__file__).parent.parent.parent
IMPORTER = """
import sys, time, json
from riskscope.store.migrations import open_store
from tests.store.build import add
place, name, seconds = sys.argv[1], sys.argv[2], float(sys.argv[3])
store = open_store(place, create=True)
end, done = time.monotonic() + seconds, 0
while time.monotonic() < end:
    rows = "\\n".join(f"{name}/{done}/{n},2025-03-01,20,20,N·m" for n in range(50))
    head = "connection_id,work_date,required_torque,applied_torque,torque_unit\\n"
    add(store, head + rows, f"{name}-{done}.csv")
    done += 1
print(json.dumps(done))
"""
READER = """
import sys, time, json
from riskscope.store.migrations import open_store
from riskscope.store import reading as held
place, seconds = sys.argv[1], float(sys.argv[2])
store = open_store(place, create=True)
end, last, reads = time.monotonic() + seconds, 0, 0
while time.monotonic() < end:
    tables = held.tables(store, 30)
    rows = len(tables.accepted.get("installs", ()))
    assert rows % 50 == 0, rows
    assert rows >= last, (rows, last)
    assert rows == 50 * len(tables.files)
    last, reads = rows, reads + 1
print(json.dumps(reads))
"""


def import_while_reading(place: str, seconds: float) -> None:
    open_store(place, create=True).close()
    commands = [
        [IMPORTER, place, "a", str(seconds)],
        [IMPORTER, place, "b", str(seconds)],
        [READER, place, str(seconds)],
    ]
    running = [
        subprocess.Popen(
            [sys.executable, "-c", *command], cwd=TOP, text=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE
        )
        for command in commands
    ]
    answers = [process.communicate(timeout=seconds + 60) for process in running]
    for process, (_, error) in zip(running, answers, strict=True):
        assert process.returncode == 0, error
    one, two, reads = (json.loads(out) for out, _ in answers)
    assert min(one, two, reads) >= 1
    with keep.opened(place) as store:
        assert len(held.listed(store)) == one + two
        assert len(held.tables(store, 30)["installs"]) == 50 * (one + two)


@pytest.mark.long
def test_two_importers_and_a_reader(tmp_path: Path) -> None:
    import_while_reading(str(tmp_path / "s.db"), seconds=1.5)


@pytest.fixture
def server_place() -> Iterator[str]:
    yield from postgres_place()


def test_two_importers_and_a_reader_on_a_server(server_place: str) -> None:
    import_while_reading(server_place, seconds=1.5)
