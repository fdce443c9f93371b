"""Text that holds words of the user's files, without what could command a terminal or a page."""

from __future__ import annotations

import unicodedata

_UNSEEN = {chr(code): "\ufffd" for code in (*range(0x202A, 0x202F), *range(0x2066, 0x206A), 0x200B, 0xFEFF)}


def plain(text: str) -> str:
    """Text with control, direction and zero-width characters made visible; lines and tabs stay."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        "\ufffd" if char in _UNSEEN or (unicodedata.category(char) in {"Cc", "Cs"} and char not in "\n\t") else char
        for char in text
    )
