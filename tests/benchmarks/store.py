"""The store, as ratios in one run: ``python -m tests.benchmarks.store``.

Import of 100,000 readings against reading the CSV as text plus a bare executemany of the same
columns with the same PRAGMAs, committed (goal 4). Trends of 10,000 connections in 10 surveys
against reading their rows from the store (goal 2).
"""

from __future__ import annotations

import datetime as dt
import sqlite3
import tempfile
import time
from pathlib import Path

import numpy as np
import pandas as pd

from riskscope.analysis.assess import assess_readings
from riskscope.analysis.proof.devices import all_visits
from riskscope.analysis.proof.visits import settled
from riskscope.analysis.years import effects as over_time
from riskscope.analysis.years import slopes
from riskscope.intake.files import Source
from riskscope.intake.options import ReadOptions
from riskscope.jobs.bring_in import bring_in
from riskscope.settings import Settings
from riskscope.standards import severity
from riskscope.store import reading as held
from riskscope.store.database import PRAGMAS
from riskscope.store.migrations import open_store
from riskscope.store.stamp import Actor, Stamp

ON = dt.date(2026, 6, 1)
STAMP = Stamp(Actor("bench"), "2026-06-01T00:00:00+00:00")


def readings(connections: int, surveys: int) -> pd.DataFrame:
    random = np.random.default_rng(1)
    count = connections * surveys
    number = np.tile(np.arange(connections), surveys)
    year = np.repeat(np.arange(surveys), connections)
    board, circuit = number // 30, number // 3 % 10
    phase = np.array(["A", "B", "C"])[number % 3]
    text = lambda values: pd.Series(values).astype("str")  # noqa: E731
    equipment = "P" + text(board)
    return pd.DataFrame(
        {
            "connection_id": equipment + "/F" + text(circuit) + "/" + pd.Series(phase),
            "survey_date": (pd.Timestamp("2016-05-01") + pd.to_timedelta(year * 365, "D")).strftime("%Y-%m-%d"),
            "equipment": equipment,
            "circuit": "F" + text(circuit),
            "phase": phase,
            "connection_c": random.normal(45, 6, count).round(1),
            "ambient_c": 30.0,
            "load_pct": random.uniform(40, 95, count).round(0),
            "emissivity": 0.95,
            "comment": "",
        }
    )


def bare(path: Path, place: Path) -> float:
    begin = time.perf_counter()
    frame = pd.read_csv(path, dtype=str, keep_default_na=False)
    connection = sqlite3.connect(place)
    for pragma in PRAGMAS:
        connection.execute(pragma)
    connection.execute(f"CREATE TABLE t ({', '.join(frame)})".replace("group", '"group"'))
    rows = list(zip(*(frame[name].tolist() for name in frame), strict=True))
    connection.executemany(f"INSERT INTO t VALUES ({', '.join('?' * frame.shape[1])})", rows)
    connection.commit()
    connection.close()
    return time.perf_counter() - begin


def importing(folder: Path) -> None:
    path = folder / "survey.csv"
    readings(100_000, 1).to_csv(path, index=False)
    plain, ours = [], []
    for turn in range(3):
        plain.append(bare(path, folder / f"bare{turn}.db"))
        store = open_store(str(folder / f"store{turn}.db"), create=True)
        begin = time.perf_counter()
        bring_in(store, [Source(path, ReadOptions())], on=ON, options={}, stamp=STAMP)
        ours.append(time.perf_counter() - begin)
        store.close()
    ratio = min(ours) / min(plain)
    print(f"import 100,000 readings: {min(ours):.2f} s, {ratio:.1f} x bare executemany (goal 4)")


def trends(folder: Path) -> None:
    store = open_store(str(folder / "trend.db"), create=True)
    for survey, part in readings(10_000, 10).groupby("survey_date"):
        path = folder / f"survey_{survey}.csv"
        part.to_csv(path, index=False)
        bring_in(store, [Source(path, ReadOptions())], on=ON, options={}, stamp=STAMP)
    begin = time.perf_counter()
    tables = held.tables(store, 30)
    read = time.perf_counter() - begin
    settings, criteria = Settings(), severity.load()
    begin = time.perf_counter()
    every = all_visits(settled(tables), tables.refused, ON)
    found = assess_readings(tables, tables.refused, every, on=ON, settings=settings, criteria=criteria)
    assessed = time.perf_counter() - begin
    begin = time.perf_counter()
    slopes.trends(found, over_time.works(tables, ON), criteria, ON)
    made = time.perf_counter() - begin
    print(
        f"trends of 10,000 x 10: {made:.2f} s, {made / read:.1f} x reading their rows ({read:.2f} s; goal 2); "
        f"assessing the readings before: {assessed:.2f} s"
    )


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as name:
        importing(Path(name))
        trends(Path(name))
