"""The app: ``python -m tests.benchmarks.app``.

The demo site in a fresh store, from the click to the first page, and the first page of a new server on it,
each within 4 s (goal). On 100,000 connections, a warm server: first paint of every page with its first rows
within 3 s (goal), a filter within 1 s (goal), and no page imports scikit-learn.
"""

from __future__ import annotations

import datetime as dt
import tempfile
import time
from pathlib import Path

import numpy as np
import pandas as pd
from playwright.sync_api import Playwright, sync_playwright

from riskscope.intake.files import Source
from riskscope.intake.options import ReadOptions
from riskscope.jobs import keep
from riskscope.jobs.bring_in import bring_in
from riskscope.store.stamp import Actor, Stamp
from tests.screens.serving import CHROMIUM, served

PAGES = {"": "What matters", "survey": "Rows 1 to 50", "work": "Rows 1 to 50", "connection?id=P0/F0/A": "Reading",
         "records": "Rows 1 to 50", "plan": "Outages to come", "bring-in": "Files"}  # fmt: skip


def site(path: Path, count: int) -> None:
    random = np.random.default_rng(1)
    number = np.arange(count)
    circuit = pd.Series(number // 3).astype("str")
    board = pd.Series(number // 300).astype("str")
    phase = np.array(["A", "B", "C"])[number % 3]
    pd.DataFrame(
        {
            "connection_id": "P" + board + "/F" + circuit + "/" + phase,
            "survey_date": "2026-05-04",
            "equipment": "P" + board,
            "circuit": "F" + circuit,
            "phase": phase,
            "connection_c": random.normal(42, 4, count).round(1),
            "ambient_c": 30.0,
            "load_pct": random.uniform(45, 95, count).round(0),
        }
    ).to_csv(path, index=False)


def first_sight(folder: Path, playwright: Playwright) -> None:
    browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
    for label in ("the demo site brought in and seen", "a new server on it, first page"):
        with served(folder) as app:
            page = browser.new_page()
            begin = time.perf_counter()
            page.goto(app.address)
            if label.startswith("the demo"):
                button = page.get_by_role("button", name="Bring in the demo site")
                button.wait_for()
                begin = time.perf_counter()
                button.click()
            page.get_by_role("heading", name="What matters").wait_for(timeout=60_000)
            print(f"{label}: {time.perf_counter() - begin:.1f} s (goal 4)")
    browser.close()


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        first_sight(Path(name), playwright)
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        folder = Path(name)
        site(folder / "survey.csv", 100_000)
        with keep.opened(str(folder / "store.db"), create=True) as store:
            bring_in(
                store,
                [Source(folder / "survey.csv", ReadOptions())],
                on=dt.date(2026, 6, 1),
                options={},
                stamp=Stamp(Actor("bench"), "2026-06-01T00:00:00+00:00"),
            )
        with served(folder) as app:
            browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
            page = browser.new_page()
            page.set_default_timeout(120_000)
            for warm in (True, False):
                for path, words in PAGES.items():
                    begin = time.perf_counter()
                    page.goto(f"{app.address}/{path}")
                    page.get_by_text(words).first.wait_for()
                    if not warm:
                        print(f"{path or 'overview'}: {time.perf_counter() - begin:.1f} s (goal 3)")
            page.goto(f"{app.address}/survey")
            page.get_by_text("Rows 1 to 50").first.wait_for()
            box = page.get_by_role("textbox", name="Search")
            box.fill("P77/")
            begin = time.perf_counter()
            box.press("Enter")
            page.get_by_text("without filters").first.wait_for()
            print(f"a filter: {time.perf_counter() - begin:.1f} s (goal 1)")
            maps = Path(f"/proc/{app.process.pid}/maps").read_text()
            print("scikit-learn loaded:", "sklearn" in maps)
            browser.close()
