"""Cells that are dates or times of day, as people write them."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from riskscope.intake.cells.parsed import MISSING, Parsed, by_distinct, is_filled
from riskscope.schema import Column

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
YEAR_PERHAPS_FIRST = (
    "may begin with its day or with its year: write the year in four figures, or say which order the dates have"
)
IN_FIGURES = r"\d{1,2}[-/. ]\d{1,2}[-/. ]\d{2,4}(?!\d)"
LIKELY_YEARS = 10  # of a sheet with years of two figures
EXCEL_EPOCH, LAST_EPOCH = dt.date(1899, 12, 30), dt.date(1904, 1, 1)  # which days spreadsheets count from

_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})")
_IN_FIGURES = r"\d{4}-\d"  # pandas takes "today" and "now" for dates in any format, and the clock for their day
_NUMERIC = re.compile(r"(\d{1,2})[-/. ](\d{1,2})[-/. ](\d{4}|\d{2})")
_WEEKDAY = r"(?:(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,? )?"
_DAY_MONTH = re.compile(_WEEKDAY + r"(\d{1,2})(?:st|nd|rd|th)?[-/. ]*([a-z]+)\.?,?[-/. ]*(\d{4}|\d{2})")
_MONTH_DAY = re.compile(_WEEKDAY + r"([a-z]+)\.?[-/. ]*(\d{1,2})(?:st|nd|rd|th)?,?[-/. ]+(\d{4}|\d{2})")
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


@dataclass(frozen=True)
class Clock:
    """One cell read as a time of day: its minutes, and the day it says too, with its day first and with its month."""

    minutes: float = float("nan")
    fault: str = ""
    days: tuple[dt.date | None, dt.date | None] = (None, None)


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
    body, clock = _with_clock(lowered)
    minutes = clock or float("nan")  # midnight is what a spreadsheet writes where there is no time
    try:
        for form in (_year_first, _serial, _figures, _worded):
            day = form(body, minutes, day_first)
            if day is not None:
                return day
    except ValueError:
        return Day(fault="is not a day of the calendar")
    return Day(fault="is not a date")


def _with_clock(text: str) -> tuple[str, float | None]:
    """What stands before a time of day, and that time; None where there is none."""
    for match in re.finditer(r"[t ]+", text):
        clock = parse_clock(text[match.end() :])
        if clock is not None:
            return text[: match.start()].strip(" ,"), clock
    return text.strip(" ,"), None


def _year_first(body: str, minutes: float, day_first: bool | None) -> Day | None:
    match = _ISO.fullmatch(body) or _COMPACT.fullmatch(body)
    return Day(dt.date(int(match[1]), int(match[2]), int(match[3])), minutes) if match else None


def _serial(body: str, minutes: float, day_first: bool | None) -> Day | None:
    match = _SERIAL.fullmatch(body)
    if not match or not 20_000 <= int(match[1]) <= 80_000:
        return None
    part = float(match[2] or 0)
    date = EXCEL_EPOCH + dt.timedelta(days=int(match[1]))
    return Day(date, round(part * 1440) if part else float("nan"), serial=True)


def _figures(body: str, minutes: float, day_first: bool | None) -> Day | None:
    match = _NUMERIC.fullmatch(body)
    if not match:
        return None
    first, second, year = int(match[1]), int(match[2]), _year(match[3])
    short = len(match[3]) == 2
    if day_first is None and first != second:
        return Day(None, minutes, first=first, second=second, short_year=short)
    day, month = (first, second) if day_first else (second, first)
    return Day(dt.date(year, month, day), minutes, short_year=short)


def _worded(body: str, minutes: float, day_first: bool | None) -> Day | None:
    for form, day_at, month_at in ((_DAY_MONTH, 1, 2), (_MONTH_DAY, 2, 1)):
        match = form.fullmatch(body)
        if match and match[month_at] in MONTHS:
            date = dt.date(_year(match[3]), MONTHS[match[month_at]], int(match[day_at]))
            return Day(date, minutes, short_year=len(match[3]) == 2)
    return None


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


def dates(
    column: Column,
    text: pd.Series,
    day_first: bool | None,
    in_file: pd.Series | None = None,
    latest_year: int = 9999,
    settles: NDArray[np.bool_] | None = None,
) -> Parsed:
    """A date column; `day_first` None lets the column settle it, or asks.

    Where cells were corrected by hand the column as it stands `in_file` settles it first; else the rows that `settles`
    says, by default all. What may be a year of two figures, up to the latest there can be, before the month is no day.
    """
    parsed = Parsed()
    values = pd.to_datetime(text.where(text.str.match(_IN_FIGURES)), format="%Y-%m-%d", errors="coerce")
    minutes = np.full(len(text), np.nan)
    left = values.isna().to_numpy() & is_filled(text)
    values = values.astype("datetime64[us]")
    if left.any():
        rest = text[left]
        own = rest if settles is None else rest[settles[left]]
        order = day_first
        if order is None and in_file is not None:
            its = in_file if settles is None else in_file[settles]
            order = {"day": True, "month": False}.get(day_order(its) or "")
        either = pd.Series(False, index=text.index)
        if day_first is None:
            either = _year_perhaps_first(own, latest_year, column.planned).reindex(text.index, fill_value=False)
        if order is None:
            evidence = None if either[own.index].all() else day_order(own)
            if evidence in {"open", "both"}:
                example = next(cell for cell in own if parse_date(cell, None).first)
                parsed.question = f"dates like {example!r} can be read two ways" + (
                    " and the column holds both orders." if evidence == "both" else "."
                )
            elif evidence:
                order = evidence == "day"
                parsed.notes.append(
                    f"read as {'day' if order else 'month'} first: the column holds dates that can only be read so"
                )
        cells = by_distinct(rest, lambda cell: parse_date(cell, order))
        if len(own) < len(rest):  # below another header a day that can be read two ways is of a day nobody knows
            alone = by_distinct(rest, lambda cell: parse_date(cell, day_first))
            cells = [mine if settled else its for mine, its, settled in zip(cells, alone, settles[left], strict=True)]  # type: ignore[index]
        read = pd.Series([c.date for c in cells], index=rest.index, dtype="datetime64[us]")
        values = values.where(~pd.Series(left, index=text.index), read.reindex(text.index))
        minutes[left] = [c.minutes for c in cells]
        words = pd.Series("", index=text.index, dtype="str")
        words[left] = [c.fault for c in cells]
        words, values = words.where(~either, YEAR_PERHAPS_FIRST), values.where(~either)
        parsed.fault((words != "").to_numpy(), words)
        if text.str.fullmatch(r"\d{4}-\d{2}-\d{2}.*").any() and rest.str.match(IN_FIGURES).any():
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


def _year_perhaps_first(text: pd.Series, latest_year: int, planned: bool) -> pd.Series:
    """Dates of two-figure years that may begin with their year.

    Of the last ten years their first figures may be one. What stands between hyphens, as in ISO dates, then asks; with
    other signs a date that would be older if it began with its day, with the name of a month one that would be of none
    of those years. Then each date of the column is in question that may begin with a year of these, if none denies it:
    what would be of none of those years, if no date of as long ago does. What is planned is of no past year.
    """
    parts = text.str.casefold().str.extract(r"^(\d{2})([-/. ]?)(\d{1,2}|[a-z]{3,9})([-/. ]?)(\d{2})(?!\d)")
    first, month, last = (pd.to_numeric(parts[name], errors="coerce") for name in (0, 2, 4))
    named = month.isna()
    oldest, latest = latest_year % 100 - LIKELY_YEARS, latest_year % 100
    two_ways = last.notna() & (first != last) & (named | ((parts[1] != "") & (parts[3] != "")))
    may_be = two_ways & first.between(oldest, latest) & last.between(1, 31) & ~(month > 12)
    may_be &= ~(planned & (last >= latest))
    denies = two_ways & ~may_be & ((first <= 12) | ~(month > 12))
    long_ago = may_be & (last < oldest) & (not (denies & (last < oldest)).any())
    asks = may_be & ~named & ((parts[1] == "-") | (parts[3] == "-") | (first > last))
    return long_ago | (may_be & ~named & (asks.any() and not denies.any()))


def times(column: Column, text: pd.Series, day: pd.Series | None = None, day_first: bool | None = None) -> Parsed:
    """A time column as minutes after midnight.

    Where a cell says a day too it is that of its row, `day`, or the one a spreadsheet counts from. Midnight is what a
    spreadsheet writes where there is no time.
    """
    parsed = Parsed()
    cells = by_distinct(text, _time)
    minutes = pd.Series([cell.minutes for cell in cells], index=text.index, dtype=float)
    words = pd.Series([cell.fault for cell in cells], index=text.index, dtype="str")
    orders = [0, 1] if day_first is None else [0 if day_first else 1]
    said = [pd.Series([cell.days[n] for cell in cells], text.index, dtype="datetime64[us]") for n in orders]
    known = np.array([cell.days != (None, None) for cell in cells], dtype=bool)
    if day is not None and known.any():
        fits = np.logical_or.reduce([(its == day) | (its <= pd.Timestamp(LAST_EPOCH)) for its in said])
        words = words.mask(known & ~fits, "says another day than the date of its row")
    if (known & minutes.isna()).any() or (minutes == 0).any():
        parsed.notes.append("midnight, or a day without a time, read as no time")
    parsed.values[column.name] = minutes.where(minutes != 0)
    parsed.fault((words != "").to_numpy(), words)
    return parsed


def _time(text: str) -> Clock:
    if text.casefold() in MISSING:
        return Clock()
    minutes = parse_clock(text)
    if minutes is not None:
        return Clock(minutes)
    if re.fullmatch(r"0?\.\d+", text):
        return Clock(round(float(text) * 1440))
    body, minutes = _with_clock(text.casefold())
    days = [parse_date(body, day_first).date for day_first in (True, False)]
    if days == [None, None]:
        return Clock(fault="is not a time of day such as 14:30")
    return Clock(minutes or float("nan"), days=(days[0], days[1]))
