"""Survey report of 500 findings with a picture and a chart each: ``python -m tests.benchmarks.report``.

Goal: HTML and PDF within 90 s on two cores, below 1 GB.
"""

from __future__ import annotations

import datetime as dt
import resource
import tempfile
import time
from pathlib import Path

import numpy as np
import pandas as pd
from PIL import Image

from riskscope.intake.options import ReadOptions
from riskscope.jobs import report
from riskscope.jobs.rank import Request, rank

ON = dt.date(2026, 6, 1)


def site(folder: Path, findings: int) -> None:
    random = np.random.default_rng(3)
    rows = []
    for number in range(findings):
        for phase, warm in (("A", 62.0), ("B", 41.0), ("C", 42.0)):
            rows.append(
                (
                    f"P{number // 20}/F{number}/{phase}",
                    "2026-05-04",
                    f"P{number // 20}",
                    f"F{number}",
                    phase,
                    warm,
                    30.0,
                    80,
                    f"ir{number}.jpg" if phase == "A" else "",
                )
            )
        noise = random.integers(0, 255, (48, 64, 3), dtype=np.uint8)
        Image.fromarray(noise).resize((640, 480)).save(folder / f"ir{number}.jpg")
    pd.DataFrame(
        rows,
        columns=[
            "connection_id",
            "survey_date",
            "equipment",
            "circuit",
            "phase",
            "connection_c",
            "ambient_c",
            "load_pct",
            "image",
        ],
    ).to_csv(folder / "survey.csv", index=False)


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as name:
        site(Path(name), 500)
        begin = time.perf_counter()
        asked = Request(folder=Path(name), files={}, read_options=ReadOptions(), options={}, criteria=None, on=ON)
        document = report.REPORTS["survey"](report.subject(rank(asked), asked))
        built = time.perf_counter() - begin
        first = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
        print(f"put together: {built:.0f} s, {first:.2f} GB")
        made = {}
        for form in ("html", "pdf"):
            made |= report.render(document, (form,), lambda text: None)
            peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
            print(f"{form}: {time.perf_counter() - begin:.0f} s, {peak:.2f} GB")
        whole = time.perf_counter() - begin
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
        sizes = ", ".join(f"{form} {len(data) / 1e6:.0f} MB" for form, data in made.items())
        print(
            f"500 findings: {whole:.0f} s (goal 90; {built:.0f} s to put together), {memory:.2f} GB (goal 1); {sizes}"
        )
