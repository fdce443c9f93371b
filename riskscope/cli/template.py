"""riskscope template"""

from __future__ import annotations

from pathlib import Path

import click

from riskscope.cli.options import FILE, day
from riskscope.schema import TABLES


@click.command("template")
@click.argument("table", type=click.Choice(list(TABLES)))
@click.option("--connections", type=FILE, help="A register whose connections are filled in.")
@click.option("--out", type=FILE, required=True, help="Workbook to write; it must not exist.")
def command(table: str, connections: Path | None, out: Path) -> None:
    """A workbook to fill in for one TABLE: choices, units and notes for every column.

    \b
    Example:
      riskscope template survey --connections demo_data/connections.csv --out survey.xlsx
    """
    from riskscope.jobs.template import template

    count = template(table, out, on=day(None), connections=connections)
    filled = f", {count:,} connections filled in" if connections else ""
    click.echo(f"{out}: a workbook for table {table}{filled}. Bold headers are required.")
