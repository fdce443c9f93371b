"""riskscope check"""

from __future__ import annotations

import json
import textwrap
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from riskscope import apart
from riskscope.cli import options
from riskscope.cli.options import FILE
from riskscope.cli.say import say
from riskscope.schema import TABLES

LONGEST_CELL = 200

if TYPE_CHECKING:
    from riskscope.jobs.check import CheckedSheet, FileReport


@click.command("check")
@click.argument("path", type=FILE)
@click.option("--table", type=click.Choice(list(TABLES)), help="The table a single file holds.")
@click.option("--strict", is_flag=True, help="Exit with status 1 if any row is rejected.")
@options.reading
def command(path: Path, table: str | None, strict: bool, **given: Any) -> int:
    """What was understood of each header, what was assumed, what is not used and why.

    PATH is a file or a folder. Prints the lines to put into riskscope.toml to settle what a file
    leaves open. Exit status 1 if a file cannot be used as it stands.

    \b
    Example:
      riskscope check demo_data
      riskscope check may.xlsx --table survey
    """
    apart.start()
    from riskscope.jobs.check import check

    stated = options.read_options(given, table)
    reports = check([path], stated, options.day(given["on"]), options.pairs(given["settings"], "--set"))
    for report in reports:
        _file(report)
    lines = [line for report in reports for line in (*report.toml, "")[: -1 if not report.toml else None]]
    if lines:
        say("\nTo settle what is open, put this into riskscope.toml in the same folder, corrected:\n")
        say("\n".join(lines).rstrip())
    rejected = sum(report.rejected for report in reports)
    return 1 if any(report.is_open for report in reports) or (strict and rejected) else 0


def _file(report: FileReport) -> None:
    for sheet in report.sheets:
        _sheet(sheet)
    for note in report.notes:
        say(f"\n{note}")
    if report.error is not None:
        say(f"\n{report.name}: CANNOT BE USED AS IT STANDS")
        _lines([str(report.error)])


def _sheet(sheet: CheckedSheet) -> None:
    grid, counts = sheet.grid, sheet.counts
    where = f"{grid.file}, sheet {grid.sheet}" if grid.sheet else grid.file
    say(
        f"\n{where}: table {sheet.table.name}, {counts['read']:,} rows: {counts['accepted']:,} accepted, "
        f"{counts['rejected']:,} rejected, {counts['set_aside']:,} set aside"
    )
    say(f"  Headers, on line {grid.line[sheet.headers.row]}")
    shown = [*(m.header for m in sheet.headers.matches), *sheet.headers.unknown.values()]
    wide = max((len(header) for header in shown), default=0)
    for match in sorted(sheet.headers.matches, key=lambda m: m.position):
        unit = f", in {match.unit}" if match.unit else ""
        say(f"    {match.header:<{wide}}  is {match.column.name}{unit} ({match.how})")
    for header in sheet.headers.unknown.values():
        say(f"    {header:<{wide}}  is kept with the row, not used")
    _titled("Assumed", [n.in_file for n in sheet.notes if n.kind == "assumed"])
    _titled("Warnings", [n.in_file for n in sheet.notes if n.kind == "warning"])
    for kind, title in (("rejected", "Rejected"), ("set aside", "Set aside")):
        rows = sheet.rejected[sheet.rejected["kind"] == kind]
        _titled(
            title,
            [
                f"line {line}: {reason}. Cells: {', '.join(map(_short, json.loads(cells)))}"
                for line, reason, cells in zip(rows["line"], rows["reason"], rows["cells"], strict=True)
            ],
        )
    _titled("OPEN", [str(question) for question in sheet.questions])


def _short(cell: str) -> str:
    return cell if len(cell) <= LONGEST_CELL else f"{cell[:LONGEST_CELL]}… ({len(cell):,} characters)"


def _titled(title: str, lines: list[str]) -> None:
    if lines:
        say(f"  {title}")
        _lines(lines)


def _lines(lines: list[str]) -> None:
    for line in lines:
        say("\n".join(textwrap.wrap(line, 100, initial_indent="    ", subsequent_indent="      ")))
