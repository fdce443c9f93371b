"""riskscope learn"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from riskscope.cli import options
from riskscope.cli.options import FILE, Progress
from riskscope.cli.say import say

STATES = [
    ("state", "torque record", "text"),
    ("prior", "assumed", "share"),
    ("findings", "findings", "count"),
    ("loose", "found loose", "count"),
    ("mean", "with findings", "share"),
    ("low", "from", "share"),
    ("high", "to", "share"),
]
LIKELIEST = [
    ("connection_id", "connection", "text"),
    ("likelihood", "likelihood", "share"),
    ("why", "because of", "text"),
]


@click.command("learn")
@click.argument("folder", type=FILE, required=False)
@options.listing
@options.inputs
def command(folder: Path | None, out: Path | None, form: str, **given: Any) -> None:
    """What your findings say of the likelihood of a loose joint, and whether a model may speak.

    Prints the assumed and the learned likelihood of each kind of torque record, how good the model
    is out of fold, why it is adopted or not, and what raises the likeliest connections. Use it in
    a plan with: riskscope plan --learned.

    \b
    Example:
      riskscope learn demo_data
    """
    request = options.request(folder, given)
    from riskscope.cli.listing import show
    from riskscope.jobs.learn import explained, learn
    from riskscope.jobs.rank import rank

    progress = Progress()
    assessment = rank(request, progress)
    learned = learn(assessment, progress)
    if form == "text":
        for line in learned.sentences:
            say(f"  {line}")
        say("")
    show(learned.table, STATES, form, out, request.units, "No state of record.")
    if form == "text":
        if len(learned.verdict.reliability):
            say("\nOut of fold, by fifths of the likelihood:")
            show(
                learned.verdict.reliability,
                [
                    ("likelihood_said", "likelihood said", "share"),
                    ("share_found_loose", "share found loose", "share"),
                    ("findings", "findings", "count"),
                ],
                form,
                None,
                request.units,
                "",
            )
        say("\nLikeliest now:")
        show(explained(learned, assessment), LIKELIEST, form, None, request.units, "")
