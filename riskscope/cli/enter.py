"""riskscope store defer, told, rename: what people decided and said, entered by hand."""

from __future__ import annotations

from typing import Any

import click

from riskscope.cli import options
from riskscope.cli.options import ACTOR, STORE
from riskscope.cli.say import say, wrapped
from riskscope.errors import WrongUsage
from riskscope.schema import TABLES

DAY = "Day it was, such as 2026-06-01; by default the day of --on."
ON = click.option("--on", metavar="DATE", help="The day it is; by default today.")
IDS = click.argument("connections", nargs=-1, required=True, metavar="CONNECTION...")


@click.command("defer")
@IDS
@click.option("--until", metavar="DATE", help="Day it is put off to; it counts through that day.")
@click.option("--by", "who", required=True, metavar="NAME", help="Who decided it.")
@click.option("--reason", required=True, metavar="TEXT", help="Why it can wait.")
@click.option("--decided", metavar="DATE", help=DAY)
@click.option("--withdraw", is_flag=True, help="End what was put off before.")
@STORE
@ACTOR
@ON
def defer(
    connections: tuple[str, ...],
    until: str | None,
    who: str,
    reason: str,
    decided: str | None,
    withdraw: bool,
    store: str | None,
    actor: str | None,
    on: str | None,
) -> None:
    """Put off the work on connections: who decided it, until when, why.

    It makes no joint less urgent: it stays in its lists, with this beside it, and is said first
    once it has run out.

    \b
    Example:
      riskscope store defer MSB/F1/A --until 2026-09-01 --by "P. Lowe" --reason "no spare part"
    """
    if until is None and not withdraw:
        raise WrongUsage("say until when it is put off: --until DATE.")
    last = options.day(until or decided or on, "--until")
    if last < options.day(on) and not withdraw:
        raise WrongUsage(f"--until {until} is past: nothing would be put off.")
    _said({"--by": who, "--reason": reason})
    row = {
        "decided_on": options.day(decided or on, "--decided").isoformat(),
        "deferred_by": who,
        "until": last.isoformat(),
        "reason": reason,
        "withdrawn": "yes" if withdraw else "",
    }
    _enter("deferrals", connections, row, store, actor, on)


@click.command("told")
@IDS
@click.option("--who", required=True, metavar="NAME", help="Who was told.")
@click.option("--by", "by", required=True, metavar="NAME", help="Who told them.")
@click.option("--day", "day", metavar="DATE", help=DAY)
@click.option(
    "--made-safe",
    type=click.Choice(list(TABLES["notices"].by_name["made_safe"].choices or {})),
    help="How it was made safe; leave it out where it was not.",
)
@click.option("--limited-to", metavar="AMPERE", help="Current the load was limited to.")
@click.option("--note", default="", metavar="TEXT", help="Anything else.")
@STORE
@ACTOR
@ON
def told(
    connections: tuple[str, ...],
    who: str,
    by: str,
    day: str | None,
    made_safe: str | None,
    limited_to: str | None,
    note: str,
    store: str | None,
    actor: str | None,
    on: str | None,
) -> None:
    """Write down who was told of connections that must not wait, and how they were made safe.

    It counts from the reading on: a later reading needs a notice of its own.

    \b
    Example:
      riskscope store told MSB/F1/A --who "R. Fenwick" --by "P. Lowe" --made-safe "load limited" --limited-to 120
    """
    _said({"--who": who, "--by": by})
    if (made_safe == "load limited") != (limited_to is not None):
        raise WrongUsage('--made-safe "load limited" and --limited-to AMPERE belong together.')
    row = {
        "told_on": options.day(day or on, "--day").isoformat(),
        "told": who,
        "by": by,
        "made_safe": made_safe or "",
        "limited_to_a": limited_to or "",
        "note": note,
    }
    _enter("notices", connections, row, store, actor, on)


@click.command("rename")
@click.argument("old")
@click.argument("new")
@click.option("--by", "who", required=True, metavar="NAME", help="Who decided it.")
@click.option("--reason", required=True, metavar="TEXT", help="Why they are one connection.")
@click.option("--day", "day", metavar="DATE", help=DAY)
@STORE
@ACTOR
@ON
def rename(
    old: str, new: str, who: str, reason: str, day: str | None, store: str | None, actor: str | None, on: str | None
) -> None:
    """Give a connection another name, or say that two names are one connection: its history goes with it.

    What is known of either name counts, of two readings of one survey the worse. Two names that
    were read on one day are two connections and stay so.

    \b
    Example:
      riskscope store rename MSB/F1/A MSB-1/F1/A --by "P. Lowe" --reason "new labels of March"
    """
    _said({"--by": who, "--reason": reason})
    row = {
        "was_id": old,
        "renamed_on": options.day(day or on, "--day").isoformat(),
        "renamed_by": who,
        "reason": reason,
    }
    _enter("renamings", (new,), row, store, actor, on)


def _said(given: dict[str, str]) -> None:
    for option, words in given.items():
        if not words.strip():
            raise WrongUsage(f"{option} is empty.")


def _enter(
    table: str, connections: tuple[str, ...], row: dict[str, Any], store: str | None, actor: str | None, on: str | None
) -> None:
    from riskscope.jobs.enter import enter_by_name
    from riskscope.jobs.keep import opened

    rows = [{**row, "connection_id": name} for name in connections]
    with opened(store) as held:
        words, outcome = enter_by_name(held, table, rows, on=options.day(on), stamp=options.stamp(actor))
        say(f"Store: {held.place}")
    for line in words:
        say("\n".join(wrapped(line, "  ")))
    assert outcome.made is not None
    if outcome.outcome == "there":
        say(f"  This very entry is import {outcome.made.id} already; nothing was changed.")
    else:
        say(f"  Kept as import {outcome.made.id}; riskscope store undo {outcome.made.id} takes it back.")
