"""riskscope plan"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import click

from riskscope.cli import options
from riskscope.cli.options import FILE, Progress
from riskscope.cli.say import caution, say

WORK = [
    ("outage_id", "outage", "text"),
    ("crew", "crew", "count"),
    ("board", "board", "text"),
    ("start_min", "minute", "count"),
    ("connection_id", "connection", "text"),
    ("action", "action", "text"),
    ("severity", "severity", "count"),
    ("required_nm", "torque", "torque"),
    ("tool_id", "tool", "text"),
]
LEFT = [
    ("connection_id", "connection", "text"),
    ("action", "action", "text"),
    ("severity", "severity", "count"),
    ("why", "why", "text"),
]


@click.command("plan")
@click.argument("folder", type=FILE, required=False)
@click.option("--out", type=FILE, help="Folder for plan.csv, plan.json, job cards and the findings sheet.")
@click.option("--must", multiple=True, metavar="CONNECTION", help="Has to be in the plan (may be repeated).")
@click.option(
    "--must-not", "must_not", multiple=True, metavar="CONNECTION", help="May not be in the plan (may be repeated)."
)
@click.option("--records-alone", is_flag=True, help="Open boards for torque records alone too.")
@click.option("--learned", is_flag=True, help="Likelihoods learned from the findings, not the assumed ones.")
@click.option("--one-more-hour", is_flag=True, help="What one more crew-hour would gain: solves again.")
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True, help="What is printed."
)
@options.inputs
def command(
    folder: Path | None,
    out: Path | None,
    must: tuple[str, ...],
    must_not: tuple[str, ...],
    records_alone: bool,
    one_more_hour: bool,
    learned: bool,
    form: str,
    **given: Any,
) -> None:
    """What to do in the outages of the table outages: joints by board and crew, and what did not fit.

    What must not wait stands above the plan: it is not for an outage to come.

    \b
    Example:
      riskscope plan demo_data --out plan
      riskscope plan demo_data --must MCC-3/F1/A --one-more-hour
    """
    request = options.request(folder, given)
    from riskscope import files
    from riskscope.cli.listing import show
    from riskscope.jobs import plan
    from riskscope.jobs.rank import rank

    progress = Progress()
    assessment = rank(request, progress)
    choices = plan.Choices(must, must_not, records_alone, one_more_hour, learned)
    planned = plan.make(assessment, request, choices, progress)
    written = files.write(plan.files(planned, assessment, request, out, progress)) if out is not None else []
    if form == "json":
        say(json.dumps(planned.as_data(), ensure_ascii=False, indent=2, default=str))
        return
    now = planned.plan.now
    if len(now):
        say(f"DO NOT WAIT: {len(now)} must be dealt with before any outage: {', '.join(now['connection_id'])}\n")
    for line in plan.sentences(planned):
        say(f"  {line}")
    needed = len(planned.plan.left) > 0
    nothing = "Nothing can be planned." if needed else "Nothing on record needs tightening or remaking in an outage."
    say("")
    show(planned.work, WORK, "text", None, request.units, nothing, most=len(planned.work))
    if len(planned.plan.left):
        say("\nNot planned:")
        left, most = plan.in_order(planned.plan.left)
        show(left.head(most), LEFT, "text", None, request.units, "", most=most)
        if words := plan.the_rest(left, most):
            say(f"  {words}")
    for path in written:
        say(f"  {path}")
    caution()
