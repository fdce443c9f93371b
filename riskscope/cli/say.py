"""Text on a terminal, without what could command it."""

from __future__ import annotations

import textwrap

import click

from riskscope.words import codes
from riskscope.words.plain import plain

__all__ = ["caution", "cautions", "plain", "say", "wrapped"]
WIDTH = 100


def say(text: str) -> None:
    """Print a text that holds words of the user's files."""
    click.echo(plain(text))


def wrapped(text: str, indent: str = "") -> list[str]:
    """A text in lines of a terminal."""
    return textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent)


def cautions() -> list[str]:
    """What has to stand wherever work is advised, in lines."""
    return wrapped(f"Caution: {codes.CAUTION}")


def caution() -> None:
    """Print it below what was printed."""
    say("\n".join(["", *cautions()]))
