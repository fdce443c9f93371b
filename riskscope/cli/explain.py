"""riskscope explain"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import click

from riskscope.cli import options
from riskscope.cli.options import FILE, Progress
from riskscope.cli.say import say


@click.command("explain")
@click.argument("connection")
@click.argument("folder", type=FILE, required=False)
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True, help="What is printed."
)
@options.inputs
def command(connection: str, folder: Path | None, form: str, **given: Any) -> None:
    """The whole chain of one CONNECTION: every number, unit, limit and source.

    FOLDER holds the tables; without it and without files, the store, else the current folder.

    \b
    Example:
      riskscope explain MCC-2/F3/load/B demo_data
    """
    request = options.request(folder, given)
    if folder is None and not request.files and request.store is None:
        request = options.request(Path(), given)
    from riskscope.jobs.rank import rank
    from riskscope.results.story import as_data, as_text, story

    assessment = rank(request, Progress())
    name = assessment.find(connection)
    made = story(assessment, name, request.units)
    if form == "json":
        say(json.dumps({"connection_id": name, "chain": as_data(made)}, ensure_ascii=False, indent=2))
    else:
        say(as_text(name, made))
