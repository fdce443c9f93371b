"""An outage: which joints fit into the hours, on which board, by which crew. The demo site, all invented."""

import subprocess
import sys
from pathlib import Path
from tempfile import mkdtemp

from riskscope import demo

work = Path(mkdtemp(prefix="outage_"))
demo.copy(work / "site")  # outages.csv says which boards are isolated, how long, and by how many crews
subprocess.run(
    [sys.executable, "-m", "riskscope", "plan", str(work / "site"), "--on", "2026-06-01", "--out", str(work / "plan")],
    check=True,
)
print(f"The plan, the job cards and the sheet for what is found are in {work / 'plan'}")
