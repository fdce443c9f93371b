"""The lazy group of commands, and how every error reaches a person."""

from __future__ import annotations

import datetime as dt
import importlib
import logging
import sys
from typing import Any

import click

import riskscope
from riskscope.errors import RiskscopeError

# name -> (module, one line of help); the module is loaded when its command runs.
COMMANDS = {
    "rank": ("rank", "Rank a survey and say what to retighten first."),
    "check": ("check", "What was understood of each file, and what it leaves open."),
    "template": ("template", "A workbook to fill in for one table."),
    "explain": ("explain", "The whole chain of one connection, with every number and source."),
    "trend": ("trend", "How rises have gone over the years, and what work has cured."),
    "due": ("due", "What is due to be surveyed or done, what must not wait first."),
    "recall": ("recall", "Every connection a doubtful torque tool has touched."),
    "plan": ("plan", "How to spend the outages: what to do where, with job cards."),
    "learn": ("learn", "What your findings say of the likelihood of a loose joint."),
    "gaps": ("gaps", "Torque records that are missing, wrong or in doubt, by board."),
    "thermogram": ("thermogram", "Temperatures of boxes of a thermogram, and an annotated picture."),
    "report": ("report", "A report to hand over, or a sheet to fill in on site."),
    "store": ("store", "Keep surveys and records over the years: add, list, undo, export and more."),
    "serve": ("serve", "The app, for a browser on this machine."),
    "settings": ("settings", "Every setting, its value and where it comes from."),
    "demo": ("demo", "Copy the invented demo site into a folder."),
    "example": ("example", "Worked examples: short Python scripts to read, run and change."),
}


class LazyGroup(click.Group):
    """A group that knows its commands' names and help, and loads a module only to run it."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"riskscope.cli.{COMMANDS[cmd_name][0]}")
        command: click.Command = module.command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, help_) for name, (_, help_) in COMMANDS.items()])


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(riskscope.__version__, prog_name="riskscope")
@click.option("-v", "--verbose", is_flag=True, help="Log what is done to stderr.")
def main(verbose: bool) -> None:
    """Which bolted and set-screw connections to retighten first.

    Start with the demo site: riskscope demo --out demo, then riskscope rank demo --out results.
    """
    logging.basicConfig(
        stream=sys.stderr, level=logging.INFO if verbose else logging.WARNING, format="%(name)s: %(message)s"
    )


def run(arguments: list[str] | None = None) -> int:
    """Run the command line; the exit status.

    0 done, 1 unusable input or rejected rows with ``--strict``, 2 wrong usage, 3 our own fault.
    """
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    try:
        result: Any = main.main(args=arguments, prog_name="riskscope", standalone_mode=False)
        return result if isinstance(result, int) else 0
    except RiskscopeError as error:
        click.echo(f"riskscope: {error}", err=True)
        return error.exit_code
    except click.exceptions.Exit as error:
        return error.exit_code
    except click.exceptions.Abort:
        click.echo("riskscope: stopped.", err=True)
        return 130
    except click.ClickException as error:
        error.show(sys.stderr)
        return 2
    except BrokenPipeError:
        sys.stderr.close()
        return 0
    except Exception as error:  # noqa: BLE001  (the last door: nothing past it but a sentence)
        from riskscope.jobs.unexpected import log_unexpected

        name, path = log_unexpected(error, dt.datetime.now(dt.UTC))
        click.echo(
            f"riskscope: something went wrong that is our fault ({type(error).__name__}); nothing "
            f"was changed by it. Error {name}, see {path}.",
            err=True,
        )
        return 3


def entry() -> None:
    """Entry point of the installed command."""
    sys.exit(run())
