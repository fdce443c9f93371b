"""riskscope recall"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from riskscope.cli import options
from riskscope.cli.options import FILE, Progress

COLUMNS = [
    ("tool_id", "tool", "text"), ("connection_id", "connection", "text"), ("equipment", "equipment", "text"),
    ("work_date", "tightened", "day"), ("applied_nm", "applied", "torque"), ("severity", "severity", "count"),
    ("action", "action", "text"), ("reworked", "worked on since", "text"),
]  # fmt: skip


@click.command("recall")
@click.argument("tool", required=False)
@click.argument("folder", type=FILE, required=False)
@click.option("--since", metavar="DATE", help="The tool's last good date, where the tool list does not say.")
@options.listing
@options.inputs
def command(
    tool: str | None, folder: Path | None, since: str | None, out: Path | None, form: str, **given: Any
) -> None:
    """Every connection tightened with TOOL since its last good date, worst-rated first.

    With only a folder: for every tool that was found out of tolerance.

    \b
    Example:
      riskscope recall demo_data
      riskscope recall T-05 demo_data --since 2024-03-08
    """
    if folder is None and tool is not None and Path(tool).is_dir():
        folder, tool = Path(tool), None
    request = options.request(folder, given)
    from riskscope.cli.listing import show
    from riskscope.cli.say import caution
    from riskscope.jobs.rank import rank
    from riskscope.results.years import recall

    last_good = options.day(since, "--since") if since else None
    frame = recall(rank(request, Progress()), tool, last_good)
    show(frame, COLUMNS, form, out, request.units, "No connection was tightened with a tool in doubt.")
    if form == "text" and len(frame):
        caution()
