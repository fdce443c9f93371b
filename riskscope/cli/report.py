"""riskscope report"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from riskscope.cli import options
from riskscope.cli.options import FILE, Progress
from riskscope.cli.say import say

NAMES = ("survey", "work", "overview", "field-sheet", "findings-sheet")


@click.command("report")
@click.argument("name", type=click.Choice(NAMES))
@click.argument("folder", type=FILE, required=False)
@click.option("--out", type=FILE, required=True, help="Folder the report is written to.")
@click.option(
    "--format",
    "forms",
    type=click.Choice(["html", "pdf", "xlsx"]),
    multiple=True,
    help="Format (may be repeated); by default all three. Sheets are always XLSX.",
)
@click.option("--pictures", type=FILE, help="Folder the pictures named in the survey are in.")
@options.inputs
def command(
    name: str, folder: Path | None, out: Path, forms: tuple[str, ...], pictures: Path | None, **given: Any
) -> None:
    """A report to hand over: survey, work or overview; or a sheet to fill in on site.

    \b
    survey          the thermographer's report: conditions, findings one by one, what was not seen
    work            the planner's list: retighten first, other actions, what to survey again
    overview        the manager's page: how many, where, what work has cured
    field-sheet     the next survey's sheet, with what is due
    findings-sheet  a findings sheet with the connections of the work list

    \b
    Example:
      riskscope report survey demo_data --out reports
      riskscope report work demo_data --out reports --format pdf --show-torque lbf·in
    """
    request = options.request(folder, given)
    from riskscope import files
    from riskscope.jobs import report
    from riskscope.jobs.rank import rank

    progress = Progress()
    assessment = rank(request, progress)
    if name in report.SHEETS:
        made = {out / f"{name.replace('-', '_')}.xlsx": report.sheet(assessment, name, request.units)}
    else:
        progress("putting the report together")
        subject = report.subject(assessment, request, [pictures] if pictures else [])
        rendered = report.render(report.REPORTS[name](subject), forms or report.FORMATS, progress)
        made = {out / f"{name}_report.{form}": data for form, data in rendered.items()}
    for path in files.write(made):
        say(f"  {path}")
