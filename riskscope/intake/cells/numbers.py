"""Cells that are numbers, as people write them, with their units."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc
from numpy.typing import ArrayLike, NDArray

from riskscope.intake.cells.parsed import MISSING, Parsed, by_distinct, holds, is_filled
from riskscope.schema import Column
from riskscope.schema.notes import AGAIN, HOTTEST
from riskscope.units import UNITS, find_unit, to_inside

OVER_RANGE = r"[+>]?\s*(?:o\.?l\.?|o/l|0l|over(?:[ -]?(?:range|load|scale))?|off[ -]?scale|hi|lo)\s*\*?"
_NUMBER = re.compile(
    r"(?P<bound>[<>≤≥~≈]=?)?\s*"
    r"(?P<number>[+\-−–]?(?:\d[\d.,'’\s]*|[.,]\d+)(?:[eE][+\-]?\d+)?)\s*(?P<unit>[^\d].*)?"
)
_GROUPED = {
    "point": re.compile(r"[+-]?\d{1,3}(?:,\d{3})+(?:\.\d+)?"),
    "comma": re.compile(r"[+-]?\d{1,3}(?:\.\d{3})+(?:,\d+)?"),
}
_PLAIN = {
    "point": re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"),
    "comma": re.compile(r"[+-]?(?:\d+,?\d*|,\d+)(?:[eE][+-]?\d+)?"),
}
CONVERTED_DIGITS = 9
OFF, BOUND = "is off the instrument's scale", "is a bound, off the scale"
OF_HEAT = {fault: f"{fault}: it {HOTTEST}, {AGAIN}" for fault in (OFF, BOUND)}
OF_OTHERS = {OFF: f"{OFF}: {AGAIN}", BOUND: "is a bound, not the number that was read: write that"}


def converted(values: ArrayLike, quantity: str, unit: str) -> Any:
    """Values in the unit used inside; converted ones to 1e-9, so that 143.6 °F is 62 °C, not near it."""
    if unit == next(iter(UNITS[quantity])):
        return np.asarray(values, dtype=float)
    return np.round(to_inside(values, quantity, unit), CONVERTED_DIGITS)


@dataclass(frozen=True)
class Number:
    """One cell read as a number: its value and unit, or what is wrong with it."""

    value: float = float("nan")
    unit: str | None = None
    fault: str = ""


def parse_number(text: str, decimal: str) -> Number:
    """A number as people write it: thousands separators, a unit behind it, a minus sign."""
    lowered = text.casefold()
    if lowered in MISSING:
        return Number()
    if re.fullmatch(OVER_RANGE, lowered):
        return Number(fault=OFF)
    match = _NUMBER.fullmatch(text)
    if not match:
        return Number(fault="is not a number")
    if match["bound"]:
        return Number(fault=BOUND)
    digits = re.sub(r"(?<=\d)[\s'’](?=\d{3}(?!\d))", "", match["number"]).strip()
    digits = digits.replace("−", "-").replace("–", "-")
    if decimal == "either":  # a typed number of a workbook has a point, a number typed as text a comma
        if _GROUPED["point"].fullmatch(digits):
            return Number(fault="can be read two ways: is its decimal sign a point or a comma?")
        decimal = "comma" if _PLAIN["comma"].fullmatch(digits) and "," in digits else "point"
    if _PLAIN[decimal].fullmatch(digits):
        value = digits.replace(",", ".")
    elif _GROUPED[decimal].fullmatch(digits):
        thousands = "," if decimal == "point" else "."
        value = digits.replace(thousands, "").replace(",", ".")
    else:
        return Number(fault=f"is not a number with a decimal {decimal}{_as_meant(digits, decimal)}")
    unit = (match["unit"] or "").strip()
    return Number(float(value), unit or None)


def _as_meant(digits: str, decimal: str) -> str:
    """How to write a number that has the other decimal sign than its file."""
    other, sign, wrong = ("comma", ".", ",") if decimal == "point" else ("point", ",", ".")
    return f": write {digits.replace(wrong, sign)}" if _PLAIN[other].fullmatch(digits) else ""


def decimal_evidence(columns: Iterable[pd.Series], *, semicolons: bool = False) -> set[str]:
    """What the number cells of a file show of its decimal sign: point, comma, or unclear.

    A comma before exactly three digits, or several, may be a thousands separator and shows nothing
    by itself; so does a point in a file whose cells stand between semicolons.
    """
    evidence: set[str] = set()
    columns = list(columns)
    commas = any(holds(text, ",") for text in columns)
    if not commas and not semicolons:
        return evidence
    for text in (pd.Series(pd.unique(column), dtype="str") for column in columns):
        if text.str.contains(r"\d?\.\d{1,2}(?!\d)|\d\.\d{4,}|(?:^|\D)0\.\d", regex=True).any():
            evidence.add("point")
        elif semicolons and text.str.contains(r"\d\.\d{3}(?!\d)", regex=True).any():
            evidence.add("unclear")
        if text.str.contains(r"\d?,\d{1,2}(?!\d)|\d,\d{4,}|(?:^|\D)0,\d", regex=True).any():
            evidence.add("comma")
        elif text.str.contains(r"\d,\d{3}(?!\d)", regex=True).any():
            evidence.add("unclear")
    return evidence


def _plain_floats(text: pd.Series) -> NDArray[np.float64]:
    """Cells as floats, NaN where a cell is not plainly a number."""
    cells = pa.array(text.array)
    try:
        known = pc.if_else(pc.equal(cells, ""), pa.scalar(None, cells.type), cells)
        return np.asarray(pc.cast(known, pa.float64()).to_numpy(zero_copy_only=False), dtype=float)
    except pa.ArrowInvalid:  # some cell needs a closer look
        return pd.to_numeric(text, errors="coerce").to_numpy(dtype=float, na_value=np.nan)


def numbers(column: Column, text: pd.Series, unit: str | None, decimal: str) -> tuple[Parsed, NDArray]:
    """A number column in the unit used inside.

    Parameters
    ----------
    column : Column
    text : Series of str
        Clean cells.
    unit : str or None
        Unit of cells that carry none; None where the column has no quantity or the caller
        converts afterwards.
    decimal : str
        ``point``, ``comma``, or ``either`` for workbooks that hold both.

    Returns
    -------
    Parsed
        With one value under the column's own name.
    ndarray of bool
        Cells that carry a unit of their own.
    """
    parsed = Parsed()
    index = text.index
    own_unit = np.zeros(len(text), dtype=bool)
    if decimal != "comma" or not holds(text, "."):
        swapped = text if decimal != "comma" else text.str.replace(",", ".", regex=False)
        values = _plain_floats(swapped)
        values = np.where(np.isfinite(values), values, np.nan)
    else:
        values = np.full(len(text), np.nan)
    if unit is not None and column.quantity is not None:
        values = converted(values, column.quantity, unit)
    left = np.isnan(values) & is_filled(text)
    if left.any():
        rest = text[left]
        cells = by_distinct(rest, lambda cell: parse_number(cell, decimal))
        said = OF_HEAT if column.quantity in {"temperature", "difference"} else OF_OTHERS
        read, faults = np.array([c.value for c in cells]), [said.get(c.fault, c.fault) for c in cells]
        for position, cell in enumerate(cells):
            if cell.unit is None:
                if unit is not None and column.quantity is not None:
                    read[position] = converted(read[position], column.quantity, unit)
                continue
            cell_unit = find_unit(cell.unit, column.quantity) if column.quantity else None
            if cell_unit is None:
                known = ", ".join(UNITS[column.quantity]) if column.quantity else "none"
                faults[position] = f"has the unit {cell.unit!r}, which is not one of {known}"
                read[position] = np.nan
            elif column.quantity:
                read[position] = converted(read[position], column.quantity, cell_unit)
        values[left] = read
        own_unit[left] = [c.unit is not None for c in cells]
        bad = np.zeros(len(text), dtype=bool)
        bad[left] = [bool(f) for f in faults]
        words = pd.Series("", index=index, dtype="str")
        words[bad] = [f for f in faults if f]
        parsed.fault(bad, words)
    parsed.values[column.name] = pd.Series(values, index=index)
    return parsed, own_unit


def split_range(text: pd.Series) -> tuple[pd.Series, pd.Series]:
    """Cells such as ``30-40 N·m`` as two cells, ``30 N·m`` and ``40 N·m``; one number twice."""
    if not any(holds(text, sign) for sign in ("-", "–", "—", "to", "..")):
        return text, text
    parts = text.str.extract(r"^\s*([\d.,]+)\s*([^\d\s.,–—-][^\d–—-]*)?\s*(?:-|–|—|to|\.\.)\s*([\d.,]+)\s*(\D.*)?$")
    is_range = parts[0].notna()
    if not is_range.any():
        return text, text
    unit = parts[3].fillna(parts[1]).fillna("")
    low = (parts[0] + " " + unit).where(is_range, text).str.strip()
    high = (parts[2] + " " + unit).where(is_range, text).str.strip()
    return low, high
