"""One hot joint, from the files to the action. All of it is invented."""

from pathlib import Path
from tempfile import mkdtemp

import riskscope

SURVEY = """\
Connection,Circuit,Phase,Date,Temp (°C),Ambient (°C),Load (A),Rated (A)
PUMPS/F2/A,F2,A,2026-05-12,58.0,24.0,88,160
PUMPS/F2/B,F2,B,2026-05-12,33.5,24.0,90,160
PUMPS/F2/C,F2,C,2026-05-12,34.0,24.0,91,160
"""
TORQUE = """\
Connection,Date,Required (N·m),Applied (N·m),Tool
PUMPS/F2/A,2025-03-08,20,14,W-7
PUMPS/F2/B,2025-03-08,20,20,W-7
PUMPS/F2/C,2025-03-08,20,20,W-7
"""
TOOLS = """\
Tool,Range min (N·m),Range max (N·m),Calibrated on
W-7,5,50,2025-01-15
"""

folder = Path(mkdtemp(prefix="hot_joint_"))
(folder / "survey.csv").write_text(SURVEY, encoding="utf-8")
(folder / "installs.csv").write_text(TORQUE, encoding="utf-8")
(folder / "tools.csv").write_text(TOOLS, encoding="utf-8")

site = riskscope.rank(folder, on="2026-06-01")
shown = ["connection_id", "severity_as_found", "severity", "install_state", "action"]
print(site.ranking[shown].to_string(index=False))
print()
print(site.ranking["reason"][0].replace("; ", "\n  "))

chain = site.explain("PUMPS/F2/A")  # every number, from the reading to the action
print()
print(chain[chain.index("What to do") :])

written = site.report("survey", folder / "reports") + site.to_files(folder / "results")
print(f"Reports and tables, {len(written)} files, are in {folder}")
