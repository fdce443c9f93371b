"""Assess 1,000,000 readings, of one survey and of three; run by hand: ``python -m tests.benchmarks.assess``.

The denominator is one sort, one merge and one groupby.min of the same frames in the same run.
"""

from __future__ import annotations

import datetime as dt
import math
import re
import time
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path

import numpy as np
import pandas as pd

from riskscope.analysis.assess import assess
from riskscope.schema.tables import Tables, refused

ON = dt.date(2026, 6, 1)


def tables(readings: int, surveys: int = 1) -> Tables:
    """Invented checked tables: three-phase sets, a tenth of the joints hot, records for all; each read so often."""
    count = readings // surveys
    random = np.random.default_rng(1)
    number = np.arange(count)
    ids = pd.Series(np.char.mod("C%07d", number), dtype="str")
    load = np.repeat(random.uniform(20, 100, count // 3 + 1), 3)[:count]
    rise = random.normal(20, 0.5, count) * (load / 100) ** 1.8
    rise *= np.where(random.random(count) < 0.1, random.uniform(1, 4, count), 1.0)
    date = pd.Timestamp("2026-05-04").as_unit("us")
    survey = pd.DataFrame(
        {
            "connection_id": ids,
            "survey_date": date,
            "survey_id": "S1",
            "site": "Site",
            "equipment": pd.Series(np.char.mod("E%05d", number // 30), dtype="str"),
            "circuit": pd.Series(np.char.mod("F%02d", number // 3 % 10), dtype="str"),
            "phase": pd.Series(np.array(["A", "B", "C"])[number % 3], dtype="str"),
            "connection_c": 30 + rise,
            "ambient_c": 30.0,
            "load_pct": load,
            "rated_a": 100.0,
        }
    ).astype({"survey_id": "str", "site": "str"})
    survey = pd.concat([_year(survey, year) for year in range(surveys)], ignore_index=True)
    required = random.choice([10.0, 20.0, 40.0], count)
    installs = pd.DataFrame(
        {
            "connection_id": ids,
            "work_date": pd.Timestamp("2025-03-01").as_unit("us"),
            "required_low_nm": required,
            "required_high_nm": required,
            "applied_nm": required * random.normal(1, 0.08, count),
            "tool_id": pd.Series(np.char.mod("T%02d", number % 40), dtype="str"),
            "method": pd.Series("torque tool", index=ids.index, dtype="str"),
        }
    )
    tools = pd.DataFrame(
        {
            "tool_id": pd.Series(np.char.mod("T%02d", np.arange(40)), dtype="str"),
            "range_min_nm": 5.0,
            "range_max_nm": 100.0,
            "calibrated_on": pd.Timestamp("2025-01-01").as_unit("us"),
        }
    )
    shuffled = survey.sample(frac=1, random_state=1).reset_index(drop=True)
    return Tables({"survey": shuffled, "installs": installs, "tools": tools}, refused())


def _year(survey: pd.DataFrame, year: int) -> pd.DataFrame:
    """The survey so many years ago, of a name of its own."""
    name = pd.Series(f"S{year}", index=survey.index, dtype="str")
    return survey.assign(survey_date=survey["survey_date"] - pd.Timedelta(days=365 * year), survey_id=name)


def plain(frames: Tables) -> object:
    """The same frames, plainly: one sort, one merge, one groupby.min."""
    survey, installs = frames["survey"], frames["installs"]
    merged = survey.sort_values("connection_id").merge(installs, on="connection_id", how="left")
    return merged.groupby(["equipment", "circuit"])["connection_c"].min()


def seconds(work: object, *args: object, **options: object) -> float:
    begin = time.perf_counter()
    work(*args, **options)  # type: ignore[operator]
    return time.perf_counter() - begin


def resident_mb(what: str) -> float:
    """Resident memory of this process: ``VmRSS`` now, ``VmHWM`` at its highest. Linux only."""
    text = Path("/proc/self/status").read_text("ascii")
    return float(re.search(rf"{what}:\s+(\d+)", text)[1]) / 1000  # type: ignore[index]


def peak_mb(size: int, surveys: int) -> tuple[float, float]:
    """Memory of the inputs, and what assess takes beyond what stood before it; in a process that did nothing before,
    else what that left hides it."""
    frames = tables(size, surveys)
    inputs = sum(f.memory_usage(deep=True).sum() for f in frames.values()) / 1e6
    assess(tables(1000), on=ON)
    before = resident_mb("VmRSS")
    Path("/proc/self/clear_refs").write_text("5", "ascii")
    assess(frames, on=ON)
    return inputs, resident_mb("VmHWM") - before


def main() -> None:
    sizes, times = (30_000, 100_000, 300_000, 1_000_000), []
    for size in sizes:
        frames = tables(size)
        times.append(min(seconds(assess, frames, on=ON) for _ in range(1 if size > 500_000 else 3)))
        print(f"assess {size:>9,} readings + records: {times[-1]:6.2f} s")
    base = min(seconds(plain, frames) for _ in range(2))
    slope = np.polyfit(np.log(sizes), np.log(times), 1)[0]
    print(f"one sort, merge and groupby.min:      {base:6.2f} s")
    print(f"ratio {times[-1] / base:.1f} (goal 15)   slope {slope:.2f} (goal at most 1.15)")
    frames = tables(sizes[-1], surveys=3)
    three, base = seconds(assess, frames, on=ON), min(seconds(plain, frames) for _ in range(2))
    print(f"three surveys of each connection:     {three:6.2f} s, ratio {three / base:.1f} (goal 12)")
    del frames
    for surveys in (1, 3):
        with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as fresh:
            inputs, peak = fresh.submit(peak_mb, 1_000_000, surveys).result()
        what = f"{inputs:,.0f} MB of {surveys} survey(s), assess {peak:,.0f} MB beyond them"
        print(f"memory: {what}, {peak / inputs:.1f} times (goal 4)")
    assert math.isfinite(slope)


if __name__ == "__main__":
    main()
