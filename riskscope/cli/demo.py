"""riskscope demo"""

from __future__ import annotations

from pathlib import Path

import click

from riskscope.cli.options import FILE


@click.command("demo")
@click.option("--out", type=FILE, required=True, help="Folder to copy it to; it must not exist or be empty.")
def command(out: Path) -> None:
    """Copy the invented demo site into a folder, to try the commands on.

    \b
    Example:
      riskscope demo --out demo
      riskscope rank demo --out results
    """
    from riskscope.demo import copy

    copied = copy(out)
    click.echo(f"{len(copied)} files of an invented site in {out}. Now: riskscope rank {out} --out results")
