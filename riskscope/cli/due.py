"""riskscope due"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from riskscope.cli import options
from riskscope.cli.options import FILE, Progress

COLUMNS = [
    ("equipment", "equipment", "text"), ("connection_id", "connection", "text"), ("due", "due", "text"),
    ("last_seen", "last seen", "day"), ("severity", "severity", "count"), ("age_days", "days open", "count"),
    ("deferred_by", "put off by", "text"), ("deferred_until", "until", "day"), ("days_left", "days left", "count"),
    ("told", "told", "text"), ("made_safe", "made safe", "text"), ("action", "action", "text"),
    ("work_state", "work", "text"),
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
    from riskscope.jobs.rank import rank
    from riskscope.results.years import due

    show(due(rank(request, Progress())), COLUMNS, form, out, request.units, "Nothing is due.")
