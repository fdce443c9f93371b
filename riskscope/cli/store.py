"""riskscope store"""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from riskscope import apart
from riskscope.cli import options
from riskscope.cli.enter import defer, rename, told
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


command.add_command(defer)
command.add_command(told)
command.add_command(rename)


@command.command("add")
@click.argument("paths", type=FILE, nargs=-1, required=True)
@click.option("--table", type=click.Choice(list(TABLES)), help="The table the files hold.")
@click.option(
    "--supersedes",
    type=int,
    multiple=True,
    metavar="IMPORT",
    help="An earlier import these files replace together (may be repeated).",
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
    brought in; the others are, but where they replace an import: then all come in or none.

    \b
    Example:
      riskscope store add demo_data
      riskscope store add may.xlsx --supersedes 3
    """
    apart.start()
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
    for outcome in done:
        _brought(outcome)
    for note in plan.notes:
        say(f"  {note}")
    return 1 if any(outcome.error for outcome in done) else 0


def _brought(outcome: FileOutcome) -> None:
    if outcome.error is not None:
        say(f"  {outcome.file}: NOT BROUGHT IN. {_without_file(outcome)}")
    elif outcome.made is not None and outcome.outcome == "there":
        state = "" if outcome.made.state == "active" else f", {_state(outcome.made)}"
        say(f"  {outcome.file}: is in the store already as import {outcome.made.id}{state}; nothing changed")
        if outcome.made.superseded_by:
            back = f"riskscope store undo {outcome.made.superseded_by}"
            say(f"      ITS ROWS DO NOT COUNT: {back} takes back what replaced it, and they count again")
    elif outcome.made is not None:
        say(f"  {outcome.file}: import {outcome.made.id}, {_counts(outcome.made)}")
    else:
        say(f"  {outcome.file}: holds no table; not brought in")
    for note in outcome.notes:
        if note.kind in {"warning", "assumed", "not read", "merge"}:
            say(f"      {note.in_file}")
    unused = [note.column for note in outcome.notes if note.kind == "unknown column"]
    if unused:
        say(f"      not used, kept with the rows: {', '.join(unused)}")


def _without_file(outcome: FileOutcome) -> str:
    return str(outcome.error).removeprefix(f"{outcome.file}: ")


def _counts(held: Import) -> str:
    parts = []
    for table, counts in held.tables.items():
        text = f"{table} {counts['accepted']:,} rows"
        if counts["rejected"]:
            text += f" ({counts['rejected']:,} REJECTED)"
        parts.append(text)
    return ", ".join(parts)


def _state(held: Import) -> str:
    return f"superseded by {held.superseded_by}" if held.state == "superseded" else held.state


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
    from riskscope.jobs.sites import open_sites

    with opened(store) as held:
        imports = listed(held, options.actor())
        place = held.place
        not_counted = open_sites(held, options.actor())
    if form == "json":
        rows = [
            {
                "import": entry.id,
                "file": entry.name,
                "sha256": entry.sha256,
                "state": entry.state,
                "superseded_by": entry.superseded_by,
                "actor": entry.actor,
                "at": entry.at,
                "as_of": entry.as_of,
                "tables": entry.tables,
            }
            for entry in imports
        ]
        say(json.dumps(rows, ensure_ascii=False, indent=2))
        return
    say(f"Store: {place}")
    if not imports:
        say("  nothing in it yet: riskscope store add FILE")
    for entry in imports:
        when = f"{dt.datetime.fromisoformat(entry.at):%Y-%m-%d %H:%M} UTC"
        say(f"  {entry.id:>4}  {_state(entry):<16}  {when}  {entry.actor}  {entry.name}: {_counts(entry)}")
    _say_open(not_counted)


def _say_open(words: str) -> None:
    """What does not count for want of a site."""
    if words:
        say(f"  {words} Say it: riskscope store site NAME IMPORT")


@command.command("site")
@click.argument("site", metavar="NAME")
@click.argument("import_ids", type=int, nargs=-1, required=True, metavar="IMPORT...")
@STORE
@ACTOR
def say_site(site: str, import_ids: tuple[int, ...], store: str | None, actor: str | None) -> None:
    """Say on which site the rows of an import are that do not say it themselves.

    The kept file is read again for that site and takes the place of the import; undo brings
    that one back.

    \b
    Example:
      riskscope store site "Harrow Fen" 1 2 12
    """
    apart.start()
    from riskscope.jobs.bring_in import limits_of
    from riskscope.jobs.keep import opened
    from riskscope.jobs.sites import give_site, open_sites, site_changes

    with opened(store) as held:
        say(f"Store: {held.place}")
        limits = limits_of(held)
        changes = site_changes(held, import_ids, site, limits=limits, actor=options.actor(), on=options.day(None))
        made = give_site(held, import_ids, site, limits=limits, stamp=options.stamp(actor))
        for number, entry in zip(import_ids, made, strict=True):
            say(f"  import {number} is import {entry.id} now, on {site}: {_counts(entry)}")
        if changes:
            say(f"  {changes}")
        _say_open(open_sites(held, options.actor()))


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
    from riskscope.jobs.sites import open_sites
    from riskscope.jobs.taken_back import taken_back

    with opened(store) as held:
        gone = taken_back(held, options.actor(), [import_id], on=options.day(None))
        undone, again = take_back(held, import_id, options.stamp(actor))
        say(f"Store: {held.place}")
        for entry in undone:
            say(f"  import {entry.id} ({entry.name}) no longer counts")
        for number in again:
            say(f"  import {number} counts again")
        if gone:
            say(f"  {gone}")
        _say_open(open_sites(held, options.actor()))


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
        written = export_tables(held, options.actor(), out, form, options.pairs(settings, "--set"))
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
        say(f"{held.place} copied to {copy(held, options.actor(), path)}")


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

    say(f"Store: {bring_back(path, store, options.actor())}, restored from {path}")


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
        count, findings = look(held, options.actor())
        say(f"Store: {held.place}")
    for finding in findings:
        say(f"  import {finding.import_id} ({finding.name}): {finding.words}")
    if not findings:
        say(f"  {count:,} imports read again: every row is as it was brought in")
    return 1 if findings else 0
