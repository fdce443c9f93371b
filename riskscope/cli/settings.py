"""riskscope settings"""

from __future__ import annotations

import dataclasses
import json
from pathlib import Path

import click

from riskscope.cli.options import FILE, pairs


@click.command("settings")
@click.argument("folder", type=FILE, required=False)
@click.option("--set", "given", multiple=True, metavar="NAME=VALUE", help="A setting (may be repeated).")
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True, help="What is printed."
)
def command(folder: Path | None, given: tuple[str, ...], form: str) -> None:
    """Every setting, its value, unit, meaning and where the value comes from.

    FOLDER is one whose riskscope.toml counts. To change a value: --set NAME=VALUE, a variable
    RISKSCOPE_NAME, [settings] in riskscope.toml, or the user's own file.

    \b
    Example:
      riskscope settings demo_data
    """
    from riskscope.jobs.settings import in_force

    values = in_force(pairs(given, "--set"), folder)
    if form == "json":
        click.echo(json.dumps([dataclasses.asdict(value) for value in values], ensure_ascii=False, indent=2))
        return
    wide = max(len(value.name) for value in values)
    for value in values:
        shown = f"{value.value:g}" if isinstance(value.value, float) else str(value.value)
        click.echo(f"{value.name:<{wide}}  {f'{shown} {value.unit}'.strip():<12}  {value.help}")
        origin = f"from {value.origin}" if value.origin != "default" else "default"
        click.echo(f"{'':<{wide}}  {'':<12}  {origin}{f'; {value.source}' if value.source else ''}")
