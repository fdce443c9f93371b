"""riskscope trend"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from riskscope.cli import options
from riskscope.cli.options import FILE, Progress

COLUMNS = [
    ("connection_id", "connection", "text"), ("surveys", "surveys", "count"), ("basis", "rise over", "text"),
    ("load_fraction", "at load", "share"), ("last_rise_k", "last", "rise"), ("change_k", "change", "rise"),
    ("change_low_k", "from", "rise"), ("change_high_k", "to", "rise"), ("slope_k_per_year", "slope", "slope"),
    ("slope_low_k_per_year", "from", "slope"), ("slope_high_k_per_year", "to", "slope"),
    ("next_band_earliest", "next band earliest", "day"), ("next_band_latest", "latest", "day"),
]  # fmt: skip
WORK = [
    ("connection_id", "connection", "text"), ("work_date", "work", "day"), ("what", "done", "text"),
    ("before_severity", "before", "count"), ("after_severity", "after", "count"), ("effect", "effect", "text"),
]  # fmt: skip


SHARES = [
    ("what", "work", "text"), ("works", "done", "count"), ("cured", "cured", "count"),
    ("improved", "improved", "count"), ("not_cured", "not cured", "count"),
    ("not_resurveyed", "not surveyed since", "count"), ("share_cured", "cured, of those surveyed", "share"),
]  # fmt: skip


@click.command("trend")
@click.argument("folder", type=FILE, required=False)
@click.option("--work", "by_work", is_flag=True, help="What each piece of work has cured, instead.")
@options.listing
@options.inputs
def command(folder: Path | None, by_work: bool, out: Path | None, form: str, **given: Any) -> None:
    """How rises have gone since the last work, at the load of the latest reading, steepest first.

    Two surveys give the change with its interval, four a slope with its own, five and more, while it rises, the days
    between which the next band would be reached at that load; earlier at more. None is told for what must not wait,
    and no date puts anything off. A fallen rise without work is no cure.

    \b
    Example:
      riskscope trend demo_data
      riskscope trend demo_data --work
    """
    request = options.request(folder, given)
    from riskscope.cli.listing import show
    from riskscope.jobs.rank import rank
    from riskscope.results.years import effects, share_cured, trends

    assessment = rank(request, Progress())
    if by_work:
        done = effects(assessment)
        show(done, WORK, form, out, request.units, "No work on a connection that was rated 2 or worse.")
        if form == "text" and len(done):
            click.echo()
            show(share_cured(assessment), SHARES, form, None, request.units, "")
        return
    made = trends(assessment)
    shown = made if form != "text" else made[made["change_k"].notna()]
    show(shown, COLUMNS, form, out, request.units, "No connection has two surveys since its last work.")
