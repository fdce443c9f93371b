"""Cells that are one of the words a column allows."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.intake.cells.parsed import MISSING, TEXT, Parsed
from riskscope.schema import Column
from riskscope.units import find_unit


def choices(column: Column, text: pd.Series) -> Parsed:
    """A choice or yes/no column, in the schema's spelling."""
    parsed = Parsed()
    allowed: dict[str, str] = {}
    if column.kind == "flag":
        allowed = dict.fromkeys(("yes", "y", "true", "1", "x", "✓"), "yes")
        allowed |= dict.fromkeys(("no", "n", "false", "0"), "no")
        shown = "yes or no"
    else:
        assert column.choices is not None
        for choice, spellings in column.choices.items():
            for spelling in (choice, *spellings):
                allowed.setdefault(_fold(spelling), choice)
        shown = ", ".join(column.choices)

    codes, distinct = pd.factorize(text)
    poles = "+" in distinct  # else a dash is nothing, as elsewhere

    def read(cell: str) -> str | None:
        if cell == "-" and not poles:
            return None
        if column.name == "torque_unit" and (unit := find_unit(cell, "torque")):
            return unit
        return allowed.get(_fold(cell))

    chosen = np.array([read(cell) for cell in distinct] or [None], dtype=object)
    blank = np.array(
        [value is None and cell.casefold() in MISSING for cell, value in zip(distinct, chosen, strict=False)] or [True]
    )
    lost = np.array([value is None for value in chosen]) & ~blank
    parsed.values[column.name] = pd.Series(pd.array(chosen, dtype=TEXT).take(codes), index=text.index)
    parsed.fault(lost[codes] if len(text) else np.zeros(0, bool), f"is not one of {shown}")
    return parsed


def _fold(text: str) -> str:
    return " ".join(text.casefold().replace("_", " ").split())
