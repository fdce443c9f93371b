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
    ("severity", "severity", "count"), ("due_on", "due on", "day"), ("age_days", "days open", "count"),
    ("days_left", "days left", "count"), ("work_state", "work", "text"), ("due", "due", "text"),
]  # fmt: skip


@click.command("due")
@click.argument("folder", type=FILE, required=False)
@options.listing
@options.inputs
def command(folder: Path | None, out: Path | None, form: str, **given: Any) -> None:
    """What is due: what must not wait first, then in route order; why, and who put it off or was told.

    \b
    Example:
      riskscope due demo_data --out due.csv
    """
    request = options.request(folder, given)
    from riskscope.cli.listing import MOST, show
    from riskscope.cli.say import say, wrapped
    from riskscope.jobs.rank import rank
    from riskscope.results.tables import left_out
    from riskscope.results.years import due, said_first
    from riskscope.words.render import many

    made = rank(request, Progress())
    rows = due(made)
    now = int((rows["urgency"] == "now").sum())
    if form == "text":
        if now:
            say(f"{many(now, 'connection')} must be dealt with now: first in this list.")
        for words in filter(None, [left_out(made), *said_first(made, request.units)]):
            say("\n".join(wrapped(words, "")))
    show(rows, COLUMNS, form, out, request.units, "Nothing is due.", most=max(MOST, now))
