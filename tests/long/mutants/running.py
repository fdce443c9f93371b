"""Which tests cover a line, and whether one of them turns red."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from queue import SimpleQueue

import coverage

from tests.long.mutants.changes import Change

# Browser, kills and crashes run in other processes; baselines are our own earlier numbers.
LEFT_OUT = ("tests/screens", "tests/long", "tests/benchmarks", "tests/baselines", "tests/store/test_kill.py")
LONGEST_S = 600.0
NEAR = ("tests/analysis/", "tests/planning/", "tests/published/")
RED = (1, 2)  # how pytest ends where tests fail, or cannot be collected


@dataclass(frozen=True)
class Outcome:
    """What came of a change: the test that caught it, or none."""

    change: Change
    before: str
    after: str
    line: int
    caught_by: str | None
    tests: int
    seconds: float


def copied(top: Path, folder: Path) -> Path:
    """The working tree as git knows it, with what is not committed yet."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=top,
        capture_output=True,
        check=True,
    ).stdout.decode()
    for name in filter(None, listed.split("\0")):
        if (top / name).is_file():
            place = folder / name
            place.parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(top / name, place)
    return folder


def pytest_in(folder: Path, *arguments: str, seconds: float | None = None) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "pytest", "-p", "no:cacheprovider", "--quiet", "--quiet", "--tb=no", *arguments]
    environment = {**os.environ, "PYTHONPATH": str(folder), "COVERAGE_FILE": str(folder / "coverage.db")}
    return subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, timeout=seconds)


def covering(folder: Path) -> dict[tuple[str, int], set[str]]:
    """For each line of the package the tests that run it."""
    ignored = [f"--ignore={name}" for name in LEFT_OUT]
    done = pytest_in(folder, *ignored, "--cov=riskscope", "--cov-context=test", "--cov-report=", "tests")
    if done.returncode:
        raise SystemExit(f"the tests are red before anything was changed:\n{done.stdout[-3000:]}")
    data = coverage.CoverageData(str(folder / "coverage.db"))
    data.read()
    found: dict[tuple[str, int], set[str]] = defaultdict(set)
    for path in data.measured_files():
        name = str(Path(path).relative_to(folder))
        for line, contexts in data.contexts_by_lineno(path).items():
            # a test with all its cases: the names of cases may hold the path of a copy
            found[name, line] |= {one.partition("|")[0].partition("[")[0] for one in contexts if one}
    return found


def _near_first(change: Change) -> Callable[[str], tuple[bool, bool, str]]:
    stem = Path(change.file).stem

    def key(test: str) -> tuple[bool, bool, str]:
        return stem not in test, not test.startswith(NEAR), test

    return key


def tried(change: Change, folder: Path, tests: Sequence[str]) -> Outcome:
    """Apply a change in a copy, run its tests until one fails, and put it back."""
    path = folder / change.file
    source = path.read_text("utf-8")
    before, after = change.words(source)
    begin = time.monotonic()
    caught: str | None = None
    try:
        path.write_text(change.applied(source), "utf-8")
        _forget(path)
        listed = folder / "tests_to_run.txt"
        listed.write_text("\n".join(sorted(tests, key=_near_first(change))), "utf-8")
        done = pytest_in(folder, "-n0", "-x", f"@{listed}", seconds=LONGEST_S) if tests else None
        if done is not None and done.returncode:
            if done.returncode not in RED:
                raise RuntimeError(f"pytest ended with {done.returncode}: {done.stdout[-2000:]}{done.stderr[-2000:]}")
            failed = [line for line in done.stdout.splitlines() if line.startswith(("FAILED", "ERROR"))]
            caught = failed[0].partition(" - ")[0] if failed else "what cannot be collected"
    except subprocess.TimeoutExpired:
        caught = f"still running after {LONGEST_S:.0f} s"
    finally:
        path.write_text(source, "utf-8")
        _forget(path)
    return Outcome(change, before, after, change.line(source), caught, len(tests), time.monotonic() - begin)


def _forget(path: Path) -> None:
    """Drop what was compiled of a file: its time may look unchanged."""
    for made in (path.parent / "__pycache__").glob(f"{path.stem}.*.pyc"):
        made.unlink()


def run(changes: Sequence[Change], top: Path, scratch: Path, workers: int) -> Iterator[Outcome]:
    """The outcome of each change, in order, as it comes; so many at a time, each in a copy of its own."""
    folders = [copied(top, scratch / f"copy{number}") for number in range(workers)]
    cover = covering(folders[0])
    free: SimpleQueue[Path] = SimpleQueue()
    for folder in folders:
        free.put(folder)

    def work(change: Change) -> Outcome:
        source = (top / change.file).read_text("utf-8")
        tests: set[str] = set().union(*(cover.get((change.file, line), set()) for line in change.lines(source)))
        if not tests:  # what runs at import has no test of its own: all tests of the file
            tests = set().union(*(names for (file, _), names in cover.items() if file == change.file))
        folder = free.get()
        try:
            return tried(change, folder, sorted(tests))
        finally:
            free.put(folder)

    with ThreadPoolExecutor(workers) as pool:
        yield from pool.map(work, changes)
