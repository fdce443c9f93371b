"""riskscope store"""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from riskscope.cli import options
from riskscope.cli.options import ACTOR, FILE, STORE
from riskscope.cli.say import say
from riskscope.schema import TABLES

if TYPE_CHECKING:
    from riskscope.jobs.bring_in import FileOutcome
    from riskscope.jobs.keep import Import


@click.group("store")
def command() -> None:
    """Surveys, records and findings kept over the years in one place.

    A store is a file, riskscope.db by default, or a PostgreSQL database. What is in it is never
    overwritten: a file can be superseded by a later one or undone, and stays readable.

    \b
    Example:
      riskscope store add demo_data
      riskscope store list
    """


@command.command("add")
@click.argument("paths", type=FILE, nargs=-1, required=True)
@click.option("--table", type=click.Choice(list(TABLES)), help="The table the files hold.")
@click.option(
    "--supersedes",
    type=int,
    multiple=True,
    metavar="IMPORT",
    help="An earlier import this file replaces (may be repeated).",
)
@click.option("--beside", is_flag=True, help="Keep rows beside those an earlier import has already.")
@STORE
@ACTOR
@options.reading
def add(
    paths: tuple[Path, ...],
    table: str | None,
    supersedes: tuple[int, ...],
    beside: bool,
    store: str | None,
    actor: str | None,
    **given: Any,
) -> int:
    """Bring files or folders into the store, each file whole or not at all.

    A file that is in the store already changes nothing. Exit status 1 if a file could not be
    brought in; the others are.

    \b
    Example:
      riskscope store add demo_data
      riskscope store add may.xlsx --supersedes 3
    """
    from riskscope.jobs.bring_in import Decision, bring_in, sources
    from riskscope.jobs.keep import opened

    read_options = options.read_options(given, table)
    plan = sources(paths, read_options)
    with opened(store, create=True) as held:
        say(f"Store: {held.place}")
        done = bring_in(
            held,
            plan.files,
            on=options.day(given["on"]),
            options=options.pairs(given["settings"], "--set"),
            stamp=options.stamp(actor),
            decision=Decision(supersedes, beside),
            progress=options.Progress(),
        )
    for one in done:
        _brought(one)
    for note in plan.notes:
        say(f"  {note}")
    return 1 if any(one.error for one in done) else 0


def _brought(one: FileOutcome) -> None:
    if one.error is not None:
        say(f"  {one.file}: NOT BROUGHT IN. {_without_file(one)}")
    elif one.made is not None and one.outcome == "there":
        state = "" if one.made.state == "active" else f", {_state(one.made)}"
        say(f"  {one.file}: is in the store already as import {one.made.id}{state}; nothing changed")
    elif one.made is not None:
        say(f"  {one.file}: import {one.made.id}, {_counts(one.made)}")
    else:
        say(f"  {one.file}: holds no table; not brought in")
    for note in one.notes:
        if note.kind in {"warning", "assumed", "not read", "merge"}:
            say(f"      {note.in_file}")


def _without_file(one: FileOutcome) -> str:
    return str(one.error).removeprefix(f"{one.file}: ")


def _counts(one: Import) -> str:
    parts = []
    for table, counts in one.tables.items():
        text = f"{table} {counts['accepted']:,} rows"
        if counts["rejected"]:
            text += f" ({counts['rejected']:,} REJECTED)"
        parts.append(text)
    return ", ".join(parts)


def _state(one: Import) -> str:
    return f"superseded by {one.superseded_by}" if one.state == "superseded" else one.state


@command.command("list")
@STORE
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True, help="What is printed."
)
def listed(store: str | None, form: str) -> None:
    """Every import there ever was: what it holds, who brought it in, whether it counts.

    \b
    Example:
      riskscope store list
    """
    from riskscope.jobs.keep import listed, opened

    with opened(store) as held:
        found = listed(held)
        place = held.place
    if form == "json":
        rows = [
            {
                "import": one.id,
                "file": one.name,
                "sha256": one.sha256,
                "state": one.state,
                "superseded_by": one.superseded_by,
                "actor": one.actor,
                "at": one.at,
                "as_of": one.as_of,
                "tables": one.tables,
            }
            for one in found
        ]
        say(json.dumps(rows, ensure_ascii=False, indent=2))
        return
    say(f"Store: {place}")
    if not found:
        say("  nothing in it yet: riskscope store add FILE")
    for one in found:
        when = f"{dt.datetime.fromisoformat(one.at):%Y-%m-%d %H:%M} UTC"
        say(f"  {one.id:>4}  {_state(one):<16}  {when}  {one.actor}  {one.name}: {_counts(one)}")


@command.command("undo")
@click.argument("import_id", type=int, metavar="IMPORT")
@STORE
@ACTOR
def undo(import_id: int, store: str | None, actor: str | None) -> None:
    """Take an import back: its rows no longer count; those it superseded count again.

    Its file and rows stay in the store.

    \b
    Example:
      riskscope store undo 3
    """
    from riskscope.jobs.keep import opened
    from riskscope.jobs.keep import undo as take_back

    with opened(store) as held:
        one, again = take_back(held, import_id, options.stamp(actor))
        say(f"Store: {held.place}")
    say(f"  import {one.id} ({one.name}) no longer counts")
    for number in again:
        say(f"  import {number} counts again")


@command.command("export")
@click.option("--out", type=FILE, required=True, help="Folder the tables are written to.")
@click.option(
    "--format",
    "form",
    type=click.Choice(["csv", "xlsx", "parquet"]),
    default="csv",
    show_default=True,
    help="Kind of file.",
)
@click.option("--set", "settings", multiple=True, metavar="NAME=VALUE", help="A setting (may be repeated).")
@STORE
def export(out: Path, form: str, settings: tuple[str, ...], store: str | None) -> None:
    """All rows that count, a file or sheet for each table; they can be brought in again without loss.

    For a copy of everything, with history, use backup.

    \b
    Example:
      riskscope store export --out tables --format xlsx
    """
    from riskscope.jobs.keep import export_tables, opened

    with opened(store) as held:
        written = export_tables(held, out, form, options.pairs(settings, "--set"))
    for path in written:
        say(f"  {path}")


@command.command("backup")
@click.argument("path", type=FILE, metavar="FILE")
@STORE
def backup(path: Path, store: str | None) -> None:
    """Copy the whole store, history and kept files included, into one file.

    \b
    Example:
      riskscope store backup riskscope-2026-11.db
    """
    from riskscope.jobs.keep import backup as copy
    from riskscope.jobs.keep import opened

    with opened(store) as held:
        say(f"{held.place} copied to {copy(held, path)}")


@command.command("restore")
@click.argument("path", type=FILE, metavar="FILE")
@STORE
def restore(path: Path, store: str | None) -> None:
    """Bring a backup back where there is no store yet; nothing is overwritten.

    \b
    Example:
      riskscope store restore riskscope-2026-11.db --store restored.db
    """
    from riskscope.jobs.keep import restore as bring_back

    say(f"Store: {bring_back(path, store)}, restored from {path}")


@command.command("check")
@STORE
def check(store: str | None) -> int:
    """Read each kept file again and compare its rows with those in the store.

    Exit status 1 if anything differs.

    \b
    Example:
      riskscope store check
    """
    from riskscope.jobs.keep import check as look
    from riskscope.jobs.keep import opened

    with opened(store) as held:
        count, found = look(held)
        say(f"Store: {held.place}")
    for one in found:
        say(f"  import {one.import_id} ({one.name}): {one.words}")
    if not found:
        say(f"  {count:,} imports read again: every row is as it was brought in")
    return 1 if found else 0
