"""Text on a terminal, without what could command it."""

from __future__ import annotations

import unicodedata

import click

_UNSEEN = {
    chr(code): "\ufffd" for code in (*range(0x202A, 0x202F), *range(0x2066, 0x206A), 0x200B, 0xFEFF)
}


def plain(text: str) -> str:
    """Text with control, direction and zero-width characters made visible; lines and tabs stay."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        "\ufffd"
        if char in _UNSEEN or (unicodedata.category(char) == "Cc" and char not in "\n\t")
        else char
        for char in text
    )


def say(text: str) -> None:
    """Print a text that holds words of the user's files."""
    click.echo(plain(text))
