"""Text cells to values, a column at a time: numbers with units, dates, times, choices.

Every function works on the distinct texts of a column where it cannot work on the column at once.
A cell that cannot be read is a fault with its words; nothing is repaired in silence.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc
from numpy.typing import ArrayLike, NDArray

from riskscope.schema import Column
from riskscope.units import UNITS, find_unit, to_inside

MISSING = frozenset(
    {
        "",
        "n/a",
        "na",
        "n.a.",
        "n.a",
        "-",
        "--",
        "---",
        "–",
        "—",
        "null",
        "nil",
        "nan",
        "#n/a",
        "none",
        "not recorded",
        "not measured",
        "tbd",
        ".",
    }
)
ODD_SPACES = ("\u00a0", "\u202f", "\u2007", "\ufeff")
OVER_RANGE = frozenset({"ol", "o.l.", "o.l", "0l", "over", "over range", "overload", "hi", "lo"})
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
MONTHS = {
    name: number
    for number, names in enumerate(
        (
            "january jan",
            "february feb",
            "march mar",
            "april apr",
            "may",
            "june jun",
            "july jul",
            "august aug",
            "september sep sept",
            "october oct",
            "november nov",
            "december dec",
        ),
        1,
    )
    for name in names.split()
}
EXCEL_EPOCH = dt.date(1899, 12, 30)


CONVERTED_DIGITS = 9


def converted(values: ArrayLike, quantity: str, unit: str) -> Any:
    """Values in the unit used inside; converted ones to 1e-9, so that 143.6 °F is 62 °C, not near it."""
    if unit == next(iter(UNITS[quantity])):
        return np.asarray(values, dtype=float)
    return np.round(to_inside(values, quantity, unit), CONVERTED_DIGITS)


@dataclass
class Parsed:
    """What a column became.

    Attributes
    ----------
    values : dict of str to Series
        Stored column name -> values.
    faults : list of (bool array, Series of str)
        Rows that cannot be read, with the words for each row.
    notes : list of str
        What was assumed.
    question : str or None
        What the column leaves open and what to type.
    minutes : Series or None
        Time of day that date cells carried.
    """

    values: dict[str, pd.Series] = field(default_factory=dict)
    faults: list[tuple[NDArray[np.bool_], pd.Series]] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    question: str | None = None
    minutes: pd.Series | None = None

    def fault(self, mask: NDArray[np.bool_], words: pd.Series) -> None:
        if mask.any():
            self.faults.append((mask, words))


def clean(text: pd.Series) -> pd.Series:
    """Cells without outer blanks, with plain spaces, without the apostrophe that marks a text."""
    if not text.str.isascii().all():
        for space in ODD_SPACES:
            text = text.str.replace(space, " ", regex=False)
    text = text.str.strip()
    if text.str.startswith("'").any():
        text = text.str.replace(r"^'(?=[=+\-@])", "", regex=True)
    return text


def missing(text: pd.Series) -> NDArray[np.bool_]:
    """Which cells say that there is nothing."""
    return text.str.lower().isin(MISSING).to_numpy()


def by_distinct(text: pd.Series, parse: Callable[[str], Any]) -> list[Any]:
    """`parse` of every cell, called once for each distinct text."""
    codes, distinct = pd.factorize(text)
    results = np.empty(len(distinct), dtype=object)
    results[:] = [parse(value) for value in distinct]
    return list(results[codes])


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
    if lowered in OVER_RANGE:
        return Number(fault="is off the instrument's scale: it may be the hottest, read it again")
    match = _NUMBER.fullmatch(text)
    if not match:
        return Number(fault="is not a number")
    if match["bound"]:
        return Number(fault="is a bound, off the scale: it may be the hottest, read it again")
    digits = re.sub(r"(?<=\d)[\s'’](?=\d{3}(?!\d))", "", match["number"]).strip()
    digits = digits.replace("−", "-").replace("–", "-")
    if decimal == "either":  # a typed number of a workbook has a point, a number typed as text a comma
        if _GROUPED["point"].fullmatch(digits):
            return Number(fault="can be read two ways: give --decimal point or --decimal comma")
        decimal = "comma" if _PLAIN["comma"].fullmatch(digits) and "," in digits else "point"
    if _PLAIN[decimal].fullmatch(digits):
        value = digits.replace(",", ".")
    elif _GROUPED[decimal].fullmatch(digits):
        thousands = "," if decimal == "point" else "."
        value = digits.replace(thousands, "").replace(",", ".")
    else:
        return Number(fault=f"is not a number with a decimal {decimal}")
    unit = (match["unit"] or "").strip()
    return Number(float(value), unit or None)


def decimal_evidence(columns: Iterable[pd.Series], *, semicolons: bool = False) -> set[str]:
    """What the number cells of a file show of its decimal sign: point, comma, or unclear.

    A comma before exactly three digits, or several, may be a thousands separator and shows nothing
    by itself; so does a point in a file whose cells stand between semicolons.
    """
    found: set[str] = set()
    columns = list(columns)
    commas = any(text.str.contains(",", regex=False).any() for text in columns)
    if not commas and not semicolons:
        return found
    for text in (pd.Series(pd.unique(column), dtype="str") for column in columns):
        if text.str.contains(r"\d?\.\d{1,2}(?!\d)|\d\.\d{4,}|(?:^|\D)0\.\d", regex=True).any():
            found.add("point")
        elif semicolons and text.str.contains(r"\d\.\d{3}(?!\d)", regex=True).any():
            found.add("unclear")
        if text.str.contains(r"\d?,\d{1,2}(?!\d)|\d,\d{4,}|(?:^|\D)0,\d", regex=True).any():
            found.add("comma")
        elif text.str.contains(r"\d,\d{3}(?!\d)", regex=True).any():
            found.add("unclear")
    return found


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
    if decimal != "comma" or not text.str.contains(".", regex=False).any():
        swapped = text if decimal != "comma" else text.str.replace(",", ".", regex=False)
        values = _plain_floats(swapped)
        values = np.where(np.isfinite(values), values, np.nan)
    else:
        values = np.full(len(text), np.nan)
    if unit is not None and column.quantity is not None:
        values = converted(values, column.quantity, unit)
    left = np.isnan(values) & (text != "").to_numpy()
    if left.any():
        rest = text[left]
        cells = by_distinct(rest, lambda cell: parse_number(cell, decimal))
        read, faults = np.array([c.value for c in cells]), [c.fault for c in cells]
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
                if column.name == "torque_unit":
                    continue
        shown = ", ".join(column.choices)

    def read(cell: str) -> str | None:
        if column.name == "torque_unit" and (unit := find_unit(cell, "torque")):
            return unit
        return allowed.get(_fold(cell))

    codes, distinct = pd.factorize(text)
    found = np.array([read(cell) for cell in distinct] or [None], dtype=object)
    blank = np.array(
        [value is None and cell.casefold() in MISSING for cell, value in zip(distinct, found, strict=False)] or [True]
    )
    lost = np.array([value is None for value in found]) & ~blank
    values = pd.Series(found[codes], index=text.index, dtype="str")
    parsed.values[column.name] = values
    words = pd.Series(f"is not one of {shown}", index=text.index, dtype="str")
    parsed.fault(lost[codes] if len(text) else np.zeros(0, bool), words)
    return parsed


def _fold(text: str) -> str:
    return " ".join(text.casefold().replace("_", " ").split())


_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})")
_NUMERIC = re.compile(r"(\d{1,2})[-/. ](\d{1,2})[-/. ](\d{4}|\d{2})")
_DAY_MONTH = re.compile(r"(?:[a-z]+,? )?(\d{1,2})(?:st|nd|rd|th)?[-/. ]*([a-z]+)\.?,?[-/. ]*(\d{4}|\d{2})")
_MONTH_DAY = re.compile(r"(?:[a-z]+,? )?([a-z]+)\.?[-/. ]*(\d{1,2})(?:st|nd|rd|th)?,?[-/. ]+(\d{4}|\d{2})")
_COMPACT = re.compile(r"((?:19|20)\d{2})(\d{2})(\d{2})")
_SERIAL = re.compile(r"(\d{5})(\.\d+)?")
_CLOCK = re.compile(r"(\d{1,2})[:.h](\d{2})(?::(\d{2})(?:\.\d+)?)?\s*(am|pm|a\.m\.|p\.m\.)?(?:z)?")


@dataclass(frozen=True)
class Day:
    """One cell read as a date: its date, its time of day, whether the day order decides it."""

    date: dt.date | None = None
    minutes: float = float("nan")
    fault: str = ""
    first: int = 0
    second: int = 0
    short_year: bool = False
    serial: bool = False


def parse_clock(text: str) -> float | None:
    """Minutes after midnight of a time as people write it; None if it is none."""
    match = _CLOCK.fullmatch(text.casefold().strip())
    if not match:
        return None
    hour, minute, second = int(match[1]), int(match[2]), int(match[3] or 0)
    if match[4]:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if match[4].startswith("p") else 0)
    if hour > 23 or minute > 59 or second > 59:
        return None
    return hour * 60 + minute + second / 60


def _year(text: str) -> int:
    year = int(text)
    return year if len(text) == 4 else year + (1900 if year >= 70 else 2000)


def parse_date(text: str, day_first: bool | None) -> Day:
    """A date as people write it. Day and month in figures need `day_first`, unless one is > 12."""
    lowered = text.casefold()
    if lowered in MISSING:
        return Day()
    body, minutes = lowered, float("nan")
    for match in re.finditer(r"[t ]+", lowered):
        clock = parse_clock(lowered[match.end() :])
        if clock is not None:
            body, minutes = lowered[: match.start()], clock
            break
    body = body.strip(" ,")
    found: re.Match[str] | None
    try:
        if found := _ISO.fullmatch(body):
            return Day(dt.date(int(found[1]), int(found[2]), int(found[3])), minutes)
        if found := _COMPACT.fullmatch(body):
            return Day(dt.date(int(found[1]), int(found[2]), int(found[3])), minutes)
        if found := _SERIAL.fullmatch(body):
            days, part = int(found[1]), float(found[2] or 0)
            if 20_000 <= days <= 80_000:
                date = EXCEL_EPOCH + dt.timedelta(days=days)
                return Day(date, round(part * 1440) if part else float("nan"), serial=True)
        if found := _NUMERIC.fullmatch(body):
            first, second, year = int(found[1]), int(found[2]), _year(found[3])
            short = len(found[3]) == 2
            if day_first is None:
                if first == second:
                    return Day(dt.date(year, first, first), minutes, short_year=short)
                return Day(None, minutes, first=first, second=second, short_year=short)
            day, month = (first, second) if day_first else (second, first)
            return Day(dt.date(year, month, day), minutes, short_year=short)
        if (found := _DAY_MONTH.fullmatch(body)) and found[2] in MONTHS:
            return Day(
                dt.date(_year(found[3]), MONTHS[found[2]], int(found[1])), minutes, short_year=len(found[3]) == 2
            )
        if (found := _MONTH_DAY.fullmatch(body)) and found[1] in MONTHS:
            return Day(
                dt.date(_year(found[3]), MONTHS[found[1]], int(found[2])), minutes, short_year=len(found[3]) == 2
            )
    except ValueError:
        return Day(fault="is not a day of the calendar")
    return Day(fault="is not a date")


def day_order(text: pd.Series) -> str | None:
    """What a column shows of its day order: ``day``, ``month``, ``both``, ``open``, or None.

    ``open``: there are dates like 1/2/2026 and nothing that settles them.
    """
    seen: set[str] = set()
    for cell in pd.unique(text):
        day = parse_date(cell, None)
        if day.first > 12 >= day.second:
            seen.add("day")
        elif day.second > 12 >= day.first:
            seen.add("month")
        elif day.first:
            seen.add("open")
    if {"day", "month"} <= seen:
        return "both"
    return next((word for word in ("day", "month", "open") if word in seen), None)


def dates(column: Column, text: pd.Series, day_first: bool | None) -> Parsed:
    """A date column; `day_first` None lets the column settle it, or asks."""
    parsed = Parsed()
    values = pd.to_datetime(text, format="%Y-%m-%d", errors="coerce")
    minutes = np.full(len(text), np.nan)
    left = values.isna().to_numpy() & (text != "").to_numpy()
    values = values.astype("datetime64[us]")
    if left.any():
        rest = text[left]
        order = day_first
        if order is None:
            evidence = day_order(rest)
            if evidence in {"open", "both"}:
                example = next(cell for cell in rest if parse_date(cell, None).first)
                parsed.question = f"dates like {example!r} can be read two ways" + (
                    " and the column holds both orders." if evidence == "both" else "."
                )
            elif evidence:
                order = evidence == "day"
                parsed.notes.append(
                    f"read as {'day' if order else 'month'} first: the column holds dates that can only be read so"
                )
        cells = by_distinct(rest, lambda cell: parse_date(cell, order))
        read = pd.Series([c.date for c in cells], index=rest.index, dtype="datetime64[us]")
        values = values.where(~pd.Series(left, index=text.index), read.reindex(text.index))
        minutes[left] = [c.minutes for c in cells]
        words = pd.Series("", index=text.index, dtype="str")
        words[left] = [c.fault for c in cells]
        parsed.fault((words != "").to_numpy(), words)
        if text.str.fullmatch(r"\d{4}-\d{2}-\d{2}.*").any() and rest.str.fullmatch(r"\d{1,2}/\d{1,2}/\d{2,4}").any():
            parsed.notes.append(
                "holds both ISO or typed dates and dates like 13/5/2026: a spreadsheet may have "
                "swapped day and month of some, check them"
            )
        if any(c.short_year for c in cells):
            parsed.notes.append("two-figure years 70 to 99 read as 19.., others as 20..")
        if any(c.serial for c in cells):
            parsed.notes.append("numbers read as a spreadsheet's day numbers")
    parsed.values[column.name] = values
    if not np.isnan(minutes).all():
        parsed.minutes = pd.Series(minutes, index=text.index)
    return parsed


def times(column: Column, text: pd.Series) -> Parsed:
    """A time column as minutes after midnight."""
    parsed = Parsed()

    def read(cell: str) -> float | str:
        if cell.casefold() in MISSING:
            return float("nan")
        clock = parse_clock(cell)
        if clock is None and " " in cell:
            clock = parse_clock(cell.split(" ", 1)[1])
        if clock is None and re.fullmatch(r"0?\.\d+", cell):
            clock = round(float(cell) * 1440)
        return "is not a time of day such as 14:30" if clock is None else clock

    cells = by_distinct(text, read)
    bad = np.array([isinstance(cell, str) for cell in cells], dtype=bool)
    parsed.values[column.name] = pd.Series(
        [float("nan") if isinstance(c, str) else c for c in cells], index=text.index, dtype=float
    )
    words = pd.Series([c if isinstance(c, str) else "" for c in cells], index=text.index, dtype="str")
    parsed.fault(bad, words)
    return parsed


def split_range(text: pd.Series) -> tuple[pd.Series, pd.Series]:
    """Cells such as ``30-40 N·m`` as two cells, ``30 N·m`` and ``40 N·m``; one number twice."""
    if not any(text.str.contains(sign, regex=False).any() for sign in ("-", "–", "—", "to", "..")):
        return text, text
    found = text.str.extract(r"^\s*([\d.,]+)\s*([^\d\s.,–—-][^\d–—-]*)?\s*(?:-|–|—|to|\.\.)\s*([\d.,]+)\s*(\D.*)?$")
    is_range = found[0].notna()
    if not is_range.any():
        return text, text
    unit = found[3].fillna(found[1]).fillna("")
    low = (found[0] + " " + unit).where(is_range, text).str.strip()
    high = (found[2] + " " + unit).where(is_range, text).str.strip()
    return low, high
