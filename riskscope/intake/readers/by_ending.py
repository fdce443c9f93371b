"""A file's bytes as grids of text cells, by the ending of its name."""

from __future__ import annotations

from pathlib import Path

from riskscope.errors import UnusableInput
from riskscope.intake.files import ENDINGS, PARQUET_ENDINGS, TEXT_ENDINGS, WORKBOOK_ENDINGS
from riskscope.intake.grid import Grid
from riskscope.intake.options import Limits, ReadOptions
from riskscope.intake.readers import parquet, text, xlsx

ALL_SHEETS = "all"


def grids(data: bytes, name: str, read_options: ReadOptions, limits: Limits) -> list[Grid]:
    """The sheets of a file.

    Raises
    ------
    UnusableInput
        If it is of a kind that is not read, damaged, or beyond the limits.
    """
    ending = Path(name).suffix.casefold()
    if ending in WORKBOOK_ENDINGS:
        sheet = None if read_options.sheet in (None, ALL_SHEETS) else read_options.sheet
        return xlsx.read(data, name, limits, sheet)
    if ending in PARQUET_ENDINGS:
        return [parquet.read(data, name, limits)]
    if ending in TEXT_ENDINGS:
        return [text.read(data, name, limits)]
    raise UnusableInput(f"is of a kind that is not read; there are {', '.join(ENDINGS)}.", file=name)
