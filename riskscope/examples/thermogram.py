"""A thermogram: temperatures of three boxes, rows for a survey, and their rating. All of it is invented."""

import subprocess
import sys
from pathlib import Path
from tempfile import mkdtemp

import numpy as np
import pandas as pd

import riskscope

row, column = np.mgrid[0:60, 0:120]


def spot(at: int, rise: float) -> np.ndarray:
    return rise * np.exp(-((row - 30) ** 2 + (column - at) ** 2) / 40.0)


picture = 27.0 + spot(20, 9.0) + spot(60, 31.0) + spot(100, 8.0)  # °C, one number a pixel

BOXES = """\
image,box,connection_id,points,emissivity
pumps.csv,A,PUMPS/F2/A,"17,27 23,33",0.95
pumps.csv,B,PUMPS/F2/B,"57,27 63,33",0.95
pumps.csv,C,PUMPS/F2/C,"97,27 103,33",0.95
"""

folder = Path(mkdtemp(prefix="thermogram_"))
np.savetxt(folder / "pumps.csv", picture, delimiter=",", fmt="%.2f")
(folder / "boxes.csv").write_text(BOXES, encoding="utf-8")
command = ["thermogram", "pumps.csv", "--boxes", "boxes.csv", "--temperature-unit", "C", "--on", "2026-05-12"]
subprocess.run([sys.executable, "-m", "riskscope", *command, "--out", "readings"], cwd=folder, check=True)

readings = pd.read_csv(folder / "readings" / "pumps_survey.csv")
readings = readings.assign(circuit="F2", phase=["A", "B", "C"], ambient_c=24.0, load_pct=[55, 56, 57])  # seen on site
site = riskscope.rank(readings, on="2026-06-01")
print(site.ranking[["connection_id", "severity_as_found", "severity", "action"]].to_string(index=False))
chain = site.explain("PUMPS/F2/B")
print(chain[chain.index("What to do") :])
print(f"The picture with its boxes is {folder / 'readings' / 'pumps_annotated.png'}")
