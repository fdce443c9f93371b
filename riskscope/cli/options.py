"""Options that several commands share, and what they become."""

from __future__ import annotations

import datetime as dt
import getpass
import os
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from riskscope import apart
from riskscope.errors import WrongUsage
from riskscope.schema import TABLES


class _File(click.Path):
    """A path; an empty one is nobody's wish."""

    def convert(self, value: Any, param: Any, ctx: Any) -> Any:
        if value == "":
            self.fail("a path must not be empty", param, ctx)
        return super().convert(value, param, ctx)


FILE = _File(path_type=Path)


READING: list[Callable[..., Any]] = [
    click.option("--sheet", help="Sheet of a workbook, or all."),
    click.option("--site", metavar="NAME", help="Site of files whose rows do not say theirs."),
    click.option("--day-first/--month-first", "day_first", default=None, help="Order of dates such as 1/2/2026."),
    click.option("--decimal", type=click.Choice(["point", "comma"]), help="Decimal sign."),
    click.option("--temperature-unit", metavar="C|F|K", help="Unit of temperatures that state none."),
    click.option("--torque-unit", metavar="UNIT", help="Unit of torques that state none, such as N·m or lbf·in."),
    click.option("--load", type=click.Choice(["percent", "fraction"]), help="What a load column holds."),
    click.option(
        "--delta-basis", type=click.Choice(["similar", "ambient"]), help="What a bare Delta T is a rise over."
    ),
    click.option(
        "--map", "mapping", multiple=True, metavar="HEADER=COLUMN", help="What a header means (may be repeated)."
    ),
    click.option("--on", metavar="DATE", help="Day of the work; by default today."),
    click.option("--set", "settings", multiple=True, metavar="NAME=VALUE", help="A setting (may be repeated)."),
]
STORE = click.option(
    "--store", "store", metavar="FILE|URL", help="The store; by default RISKSCOPE_STORE, else riskscope.db here."
)
ACTOR = click.option("--actor", metavar="NAME", help="Who does this; by default your user name.")
ASSESSING: list[Callable[..., Any]] = [
    STORE,
    click.option("--criteria", metavar="NAME|FILE", help="Severity table: a published name or a TOML file."),
    click.option(
        "--show-temperature",
        type=click.Choice(["C", "F"]),
        default="C",
        show_default=True,
        help="Unit of temperatures in sentences.",
    ),
    click.option(
        "--show-torque",
        type=click.Choice(["N·m", "lbf·in", "lbf·ft"]),
        default="N·m",
        show_default=True,
        help="Unit of torques in sentences.",
    ),
]


def reading(function: Callable[..., Any]) -> Callable[..., Any]:
    """How files are read that do not say so themselves."""
    for option in reversed(READING):
        function = option(function)
    return function


def listing(function: Callable[..., Any]) -> Callable[..., Any]:
    """How a list is printed, and where it is written."""
    function = click.option("--out", type=FILE, help="Write all of it to a CSV file too.")(function)
    return click.option(
        "--format",
        "form",
        type=click.Choice(["text", "csv", "json"]),
        default="text",
        show_default=True,
        help="What is printed.",
    )(function)


def inputs(function: Callable[..., Any]) -> Callable[..., Any]:
    """A file for each table, how files are read, how they are assessed."""
    for table in reversed(TABLES.values()):
        function = click.option(
            f"--{table.name}",
            f"file_{table.name}",
            type=FILE,
            multiple=True,
            metavar="FILE",
            help=f"{table.title}: a file (may be repeated).",
        )(function)
    for option in reversed(ASSESSING):
        function = option(function)
    return reading(function)


def pairs(given: tuple[str, ...], option: str) -> dict[str, str]:
    """``NAME=VALUE`` options as a dictionary."""
    made = {}
    for text in given:
        name, equals, value = text.rpartition("=")
        if not equals or not name.strip():
            raise WrongUsage(f"{option} takes NAME=VALUE; got {text!r}.")
        made[name.strip()] = value.strip()
    return made


def day(text: str | None, option: str = "--on") -> dt.date:
    """A day given as an option; by default today."""
    if text is None:
        return dt.date.today()  # noqa: DTZ011  (a local calendar date, read only here)
    try:
        date = dt.date.fromisoformat(text)
        if not 1970 <= date.year <= 2200:
            raise ValueError
        return date
    except ValueError:
        raise WrongUsage(f"{option} takes a date such as 2026-06-01; got {text!r}.") from None


def read_options(given: dict[str, Any], table: str | None = None) -> Any:
    """The reading options of a command as `ReadOptions`."""
    from riskscope.jobs.rank import ReadOptions

    return ReadOptions(
        table=table,
        sheet=given["sheet"],
        site=given["site"],
        day_first=given["day_first"],
        decimal=given["decimal"],
        temperature_unit=given["temperature_unit"],
        torque_unit=given["torque_unit"],
        delta_basis=given["delta_basis"],
        load=given["load"],
        mapping=pairs(given["mapping"], "--map"),
    )


def request(folder: Path | None, given: dict[str, Any], *, keep: bool = False) -> Any:
    """The options of a command as a request of `riskscope.jobs.rank`; `keep`: the store keeps the assessment."""
    if folder or any(given[f"file_{name}"] for name in TABLES):
        apart.start()  # it loads what reading needs while this process loads the rest
    from riskscope.jobs.rank import Request
    from riskscope.words.render import Units

    files = {name: list(given[f"file_{name}"]) for name in TABLES if given[f"file_{name}"]}
    if given["store"] and (folder or files):
        raise WrongUsage("give a folder or files, or --store, not both.")
    return Request(
        folder=folder,
        files=files,
        read_options=read_options(given),
        options=pairs(given["settings"], "--set"),
        criteria=given["criteria"],
        on=day(given["on"]),
        units=Units(f"°{given['show_temperature']}", given["show_torque"]),
        store=None if folder or files else _store(given["store"]),
        stamp=stamp(None) if keep else None,
    )


def _store(given: str | None) -> str | None:
    """The store to read: as given or as the environment says, else the one in this folder, if any."""
    named = given or os.environ.get("RISKSCOPE_STORE")
    return named or ("riskscope.db" if Path("riskscope.db").is_file() else None)


def now() -> str:
    """This instant in UTC, ISO 8601."""
    return dt.datetime.now(dt.UTC).isoformat(timespec="seconds")


def actor(named: str | None = None) -> Any:
    """Who does what a command does: on one machine its user, with all rights."""
    from riskscope.jobs.rank import Actor

    try:
        return Actor(named or getpass.getuser())
    except (OSError, KeyError):
        return Actor("unknown")


def stamp(named: str | None) -> Any:
    """Who does what a command does, and when."""
    from riskscope.jobs.rank import Stamp

    return Stamp(actor(named), now())


class Progress:
    """Says on stderr what is being done, on a terminal, once a job has run for a second."""

    def __init__(self) -> None:
        self.begin = time.monotonic()

    def __call__(self, text: str) -> None:
        if sys.stderr.isatty() and time.monotonic() - self.begin > 1.0:
            click.echo(f"{text} …", err=True)
