"""Text on a terminal, without what could command it."""

from __future__ import annotations

import textwrap

import click

from riskscope.words import codes
from riskscope.words.plain import plain

__all__ = ["caution", "plain", "say"]
WIDTH = 100


def say(text: str) -> None:
    """Print a text that holds words of the user's files."""
    click.echo(plain(text))


def caution() -> None:
    """Print what has to stand wherever work is advised."""
    say("\n" + "\n".join(textwrap.wrap(f"Caution: {codes.CAUTION}", WIDTH)))
