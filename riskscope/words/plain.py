"""Words of the user's files without what could command a terminal, a page or a spreadsheet."""

from __future__ import annotations

import io
import unicodedata
from typing import IO, TYPE_CHECKING

if TYPE_CHECKING:
    import pandas as pd

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")

_UNSEEN = {chr(code): "\ufffd" for code in (*range(0x202A, 0x202F), *range(0x2066, 0x206A), 0x200B, 0xFEFF)}


def plain(text: str) -> str:
    """Text with control, direction and zero-width characters made visible; lines and tabs stay."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        "\ufffd" if char in _UNSEEN or (unicodedata.category(char) in {"Cc", "Cs"} and char not in "\n\t") else char
        for char in text
    )


def plain_each(texts: pd.Series) -> pd.Series:
    """`plain` of a column of texts; missing stays missing."""
    import pandas as pd

    place, distinct = pd.factorize(texts.astype("str"))
    words = pd.array([plain(text) for text in distinct], dtype="str")
    return pd.Series(words.take(place, allow_fill=True), index=texts.index, dtype="str")


def as_csv(frame: pd.DataFrame) -> bytes:
    """A frame as CSV; see `write_csv`."""
    file = io.BytesIO()
    write_csv(frame, file)
    return file.getvalue()


def write_csv(frame: pd.DataFrame, file: IO[bytes]) -> None:
    """Write a frame as CSV: full precision, days as 2026-06-01, no text that a spreadsheet would run.

    Text is quoted, numbers are not, what is missing is empty; lines end in a line feed.
    """
    import pyarrow as pa
    from pyarrow import csv

    made = pa.Table.from_pandas(no_formulas(frame), preserve_index=False)
    for place, column in enumerate(made.schema):
        if pa.types.is_timestamp(column.type):
            made = made.set_column(place, column.name, made.column(place).cast(pa.date32()))
    csv.write_csv(made, file)


def no_formulas(frame: pd.DataFrame) -> pd.DataFrame:
    """The frame with an apostrophe before each text that a spreadsheet would run."""
    safe = frame.copy()
    for name in safe.columns:
        if safe[name].dtype == "str":
            risky = safe[name].str.startswith(FORMULA_STARTS).fillna(False).to_numpy(dtype=bool)
            if risky.any():
                safe[name] = safe[name].where(~risky, "'" + safe[name])
    return safe
