"""Whole commands and pages at 100,000 connections, or more, or fewer.

``python -m tests.benchmarks.whole [CHECKOUT …]``

The first line is the denominator of the others: reading both files as text, and their numbers as
numbers. Each checkout is measured in turn, in one run, so that two of them compare: make a worktree of an
earlier commit (``git worktree add FOLDER COMMIT``) and name it beside ``.``. A checkout runs in its own
``.venv`` where it has one, else in this interpreter. Only commands and addresses are used, so that
the code behind them may move.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
import pandas as pd
from playwright.sync_api import Page, sync_playwright

from tests.benchmarks.intake import best, plain
from tests.screens.serving import CHROMIUM, TOP, served

ON = "2026-06-01"
COMMANDS: dict[str, tuple[str, ...]] = {
    "rank": ("rank", "DATA", "--out", "OUT"),
    "report overview": ("report", "overview", "DATA", "--out", "OUT"),
    "explain": ("explain", "P0/F0/A", "DATA"),
}
FROM_A_STORE: dict[str, tuple[str, ...]] = {
    "store rank": ("rank", "--store", "STORE", "--out", "OUT"),
    "store overview": ("report", "overview", "--store", "STORE", "--out", "OUT"),
    "store explain": ("explain", "P0/F0/A", "--store", "STORE"),
}
PAGES = {"page overview": ("", "What matters"), "page survey": ("survey", "Rows 1 to 50"),
         "page connection": ("connection?id=P0/F0/A", "What to do")}  # fmt: skip


def site(folder: Path, count: int) -> None:
    """So many readings of three-phase circuits, and records of three in five of them."""
    random = np.random.default_rng(1)
    number = np.arange(count)
    text = lambda values: pd.Series(values).astype("str")  # noqa: E731
    phase = np.array(["A", "B", "C"])[number % 3]
    board, circuit = "P" + text(number // 300), "F" + text(number // 3)
    names = board + "/" + circuit + "/" + pd.Series(phase)
    folder.mkdir()
    pd.DataFrame(
        {
            "connection_id": names,
            "survey_date": "2026-05-04",
            "equipment": board,
            "circuit": circuit,
            "phase": phase,
            "connection_c": (30 + random.gamma(4, 3, count)).round(1),
            "ambient_c": 30.0,
            "load_pct": random.uniform(25, 105, count).round(0),
        }
    ).to_csv(folder / "survey.csv", index=False)
    some = np.sort(random.choice(count, count * 6 // 10, replace=False))
    pd.DataFrame(
        {
            "connection_id": names[some],
            "work_date": "2025-03-01",
            "required_torque": 20,
            "applied_torque": (20 * random.choice([1.0, 0.7, 1.3], len(some), p=[0.8, 0.15, 0.05])).round(1),
            "torque_unit": "N·m",
            "tool_id": random.choice(["T1", "T2", ""], len(some)),
        }
    ).to_csv(folder / "installs.csv", index=False)
    (folder / "tools.csv").write_text(
        "tool_id,range_min,range_max,torque_unit,calibrated_on\nT1,5,50,N·m,2025-01-10\n", "utf-8"
    )


def interpreter(checkout: Path) -> str:
    own = checkout / ".venv" / "bin" / "python"
    return str(own) if own.exists() else sys.executable


def command(checkout: Path, arguments: Sequence[str], folder: Path) -> float:
    """Seconds a command of a checkout takes, its start included."""
    environment = {**os.environ, "PYTHONPATH": str(checkout)}
    begin = time.perf_counter()
    subprocess.run(
        [interpreter(checkout), "-m", "riskscope", *arguments],
        cwd=folder,
        env=environment,
        capture_output=True,
        check=True,
    )
    return time.perf_counter() - begin


def page_seconds(page: Page, address: str, words: str) -> float:
    begin = time.perf_counter()
    page.goto(address)
    page.get_by_text(words).first.wait_for()
    return time.perf_counter() - begin


def pages(checkout: Path, folder: Path, turns: int, note: Callable[[str, float], None]) -> None:
    """Each page, several times, on a store that is assessed already."""
    with served(folder, ON, top=checkout, python=interpreter(checkout)) as app, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = browser.new_page()
        page.set_default_timeout(300_000)
        page_seconds(page, app.address, PAGES["page overview"][1])  # it assesses
        for _ in range(turns):
            for name, (path, words) in PAGES.items():
                note(name, page_seconds(page, f"{app.address}/{path}", words))
        browser.close()


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.whole", description=__doc__)
    parser.add_argument(
        "checkouts",
        nargs="*",
        type=Path,
        default=[TOP],
        metavar="CHECKOUT",
        help="folders that hold riskscope/ (this one)",
    )
    parser.add_argument("--connections", type=int, default=100_000, help="how many (100,000)")
    parser.add_argument("--turns", type=int, default=3, help="how often each is measured; the best counts (3)")
    given = parser.parse_args()
    for path in given.checkouts:
        if not (path / "riskscope" / "__main__.py").is_file():
            parser.error(f"{path} is no checkout: it holds no riskscope/")
    if CHROMIUM is None:
        parser.error("there is no chromium on this machine, and pages are measured in one")
    checkouts = [path.resolve() for path in given.checkouts]
    taken: dict[tuple[str, Path], list[float]] = defaultdict(list)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        site(folder / "data", given.connections)
        text = best(lambda: plain([folder / "data" / "survey.csv", folder / "data" / "installs.csv"]))
        homes = [folder / f"home{place}" for place in range(len(checkouts))]

        def run(commands: dict[str, tuple[str, ...]], turns: int) -> None:
            for label, words in [*commands.items()] * turns:
                for checkout, home in zip(checkouts, homes, strict=True):
                    known = {"DATA": folder / "data", "OUT": home / "out", "STORE": home / "store.db"}
                    arguments = [str(known.get(word, word)) for word in words]
                    taken[label, checkout].append(command(checkout, [*arguments, "--on", ON], home))

        for home in homes:
            home.mkdir()
        run(COMMANDS, given.turns)
        run({"store add": ("store", "add", "DATA", "--store", "STORE")}, 1)
        run(FROM_A_STORE, given.turns)
        for checkout, home in zip(checkouts, homes, strict=True):
            pages(checkout, home, given.turns, lambda label, s, of=checkout: taken[label, of].append(s))  # type: ignore[misc]
    print(f"{given.connections:,} connections; best of {given.turns} (store add: once), and times the first checkout")
    print(f"{'text, numbers':18}{text:8.2f} s")
    print(" " * 18 + "".join(f"{checkout.name[-16:]:>31}" for checkout in checkouts))
    for label in dict.fromkeys(label for label, _ in taken):
        shortest = [min(taken[label, checkout]) for checkout in checkouts]
        print(f"{label:18}" + "".join(f"{s:8.2f} s {s / shortest[0]:5.2f} x {s / text:6.1f} texts" for s in shortest))


if __name__ == "__main__":
    main()
