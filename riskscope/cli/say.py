"""Text on a terminal, without what could command it."""

from __future__ import annotations

import click

from riskscope.words.plain import plain

__all__ = ["plain", "say"]


def say(text: str) -> None:
    """Print a text that holds words of the user's files."""
    click.echo(plain(text))
