"""riskscope rank"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import click

from riskscope.cli import options
from riskscope.cli.options import FILE, Progress
from riskscope.cli.say import say


@click.command("rank")
@click.argument("folder", type=FILE, required=False)
@click.option("--out", type=FILE, required=True, help="Folder the results are written to.")
@click.option("--strict", is_flag=True, help="Exit with status 1 if any row is rejected.")
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True, help="What is printed."
)
@options.inputs
def command(folder: Path | None, out: Path, strict: bool, form: str, **given: Any) -> int:
    """Rank a survey and say what to retighten first.

    FOLDER holds the tables as CSV, TSV or XLSX files; or name a file for each table; without
    either, the store is read. Writes
    ranking.csv, retighten_first.csv, other_actions.csv, resurvey.csv, not_surveyed.csv,
    rejected.csv, coverage.csv and summary.json.

    \b
    Example:
      riskscope rank demo_data --out results
      riskscope rank --survey may.xlsx --installs torque.csv --out results
    """
    request = options.request(folder, given, keep=True)
    from riskscope.jobs.rank import rank
    from riskscope.results.tables import results, write

    progress = Progress()
    assessment = rank(request, progress)
    progress("ordering the work")
    made = results(assessment, request.units)
    progress("writing")
    written = write(made, out)
    if form == "json":
        say(json.dumps(made.summary, ensure_ascii=False, indent=2))
    else:
        from riskscope.cli.terminal import overview

        if request.store is not None:
            say(f"Store: {request.store} (this assessment is kept in it)\n")
        say(overview(assessment, request.units, out, written))
    if not len(made["ranking"]):
        click.echo("riskscope: NOTHING COULD BE ASSESSED: no reading was usable; see rejected.csv.", err=True)
        return 1
    rejected = (made["rejected"]["kind"] == "rejected").any()
    return 1 if strict and rejected else 0
