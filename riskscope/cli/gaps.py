"""riskscope gaps"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from riskscope.cli import options
from riskscope.cli.options import FILE, Progress
from riskscope.schema.codes import STATES

COVERAGE = [
    ("site", "site", "text"),
    ("equipment", "equipment", "text"),
    ("connections", "connections", "count"),
    ("surveyed", "surveyed", "count"),
    ("inspected_on", "last looked at", "day"),
    *((state.column, state.name, "count") for state in STATES.values()),
]
LIST = [
    ("equipment", "equipment", "text"), ("connection_id", "connection", "text"),
    ("record_now", "record", "text"), ("record_now_reasons", "why", "text"),
    ("required_nm", "required", "torque"), ("applied_now_nm", "applied", "torque"),
    ("severity", "severity", "count"), ("action", "action", "text"),
]  # fmt: skip


@click.command("gaps")
@click.argument("folder", type=FILE, required=False)
@click.option("--state", type=click.Choice(STATES), help="List the records of one state.")
@click.option("--board", "board", metavar="NAME", help="List the records of one board.")
@options.listing
@options.inputs
def command(
    folder: Path | None, state: str | None, board: str | None, out: Path | None, form: str, **given: Any
) -> None:
    """How much of each board was surveyed and has a good torque record; the list behind a figure.

    Alone it prints the counts by board; with --state or --board the connections behind them.

    \b
    Example:
      riskscope gaps demo_data
      riskscope gaps demo_data --board MCC-1 --state unrecorded
    """
    request = options.request(folder, given)
    from riskscope.cli.listing import show
    from riskscope.jobs.rank import rank
    from riskscope.results.tables import results
    from riskscope.results.years import gaps

    assessment = rank(request, Progress())
    if state or board:
        frame, columns = gaps(assessment, state, board), LIST
    else:
        frame, columns = results(assessment, request.units)["coverage"], COVERAGE
    show(frame, columns, form, out, request.units, "No such record.")
