"""riskscope due"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from riskscope.cli import options
from riskscope.cli.options import FILE, Progress

# Of a terminal; a file has every column.
COLUMNS = [
    ("equipment", "equipment", "text"), ("connection_id", "connection", "text"), ("urgency", "urgency", "text"),
    ("severity", "severity", "count"), ("days_left", "days left", "count"), ("work_state", "work", "text"),
    ("due", "due", "text"),
]  # fmt: skip


@click.command("due")
@click.argument("folder", type=FILE, required=False)
@options.listing
@options.inputs
def command(folder: Path | None, out: Path | None, form: str, **given: Any) -> None:
    """What is due, in route order: never surveyed, to survey again, past its interval, still open.

    \b
    Example:
      riskscope due demo_data --out due.csv
    """
    request = options.request(folder, given)
    from riskscope.cli.listing import show
    from riskscope.cli.say import say, wrapped
    from riskscope.jobs.rank import rank
    from riskscope.results.years import due, said_first

    made = rank(request, Progress())
    if form == "text":
        for words in said_first(made, request.units):
            say("\n".join(wrapped(words, "")))
    show(due(made), COLUMNS, form, out, request.units, "Nothing is due.")
