"""Templates filled from a frame, a column at a time, in the units a reader chose."""

from __future__ import annotations

import string
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from riskscope.units import from_inside

MINUS = "−"
MOST_SHOWN_K = 100.0
AT_FULL_LOAD = {"full rise": ("rise", MOST_SHOWN_K), "full temperature": ("temperature", 40.0 + MOST_SHOWN_K)}
ENOUGH_LOAD_PCT, FULL_LOAD_PCT = 40.0, 100.0  # edges that a share is never rounded across


@dataclass(frozen=True)
class Units:
    """The units a reader chose.

    Examples
    --------
    >>> Units("°F", "lbf·in").difference
    '°F'
    """

    temperature: str = "°C"
    torque: str = "N·m"

    @property
    def difference(self) -> str:
        """Unit a temperature difference is written in: K, or °F for a reader of °F."""
        return "°F" if self.temperature == "°F" else "K"


def number(values: object, digits: int) -> NDArray:
    """Numbers as text with so many decimals and a true minus sign; "–" where there is none."""
    words, place = _numbers(np.asarray(values, dtype=float), digits)
    return words[place]


def many(count: int, singular: str, plural: str = "") -> str:
    """A count with its noun.

    Examples
    --------
    >>> many(1, "reading"), many(1200, "reading"), many(0, "piece of work", "pieces of work")
    ('1 reading', '1,200 readings', '0 pieces of work')
    """
    return f"{count:,} {singular if count == 1 else plural or singular + 's'}"


def quantity(values: object, kind: str, units: Units) -> NDArray:
    """Values with their unit, by kind: ``temperature rise torque share ratio current limit count text day``.

    A ``limit`` is a current that another is held against: as it was said, never rounded above it. A ``full rise`` or
    ``full temperature`` is one at full load: no joint lives to show more than `MOST_SHOWN_K` over the air, and it is
    not said how much more.
    """
    words, place = _worded(values, kind, units)
    return words[place]


def _worded(values: object, kind: str, units: Units) -> tuple[NDArray, NDArray[np.intp]]:
    """Each distinct value in words, "–" last, and for every value the place of its words."""
    if kind == "text":
        place, distinct = pd.factorize(pd.Series(values).astype("str"))
        return np.array([*distinct, "–"], dtype=object), place
    if kind == "day":
        place, days = pd.factorize(pd.to_datetime(pd.Series(values)))
        return np.array([*(f"{day.day} {day:%B %Y}" for day in days), "–"], dtype=object), place
    array = np.asarray(pd.Series(values).to_numpy(dtype=float, na_value=np.nan))
    if kind == "temperature":
        return _numbers(from_inside(array, "temperature", units.temperature), 1, f" {units.temperature}")
    if kind == "rise":
        return _numbers(from_inside(array, "difference", units.difference), 1, f" {units.difference}")
    if kind in AT_FULL_LOAD:
        return _up_to(array, kind, units)
    if kind == "torque":
        digits = 0 if units.torque == "lbf·in" else 1
        return _numbers(from_inside(array, "torque", units.torque), digits, f" {units.torque}")
    if kind == "share":
        place, distinct = pd.factorize(_whole_but_at_edges(array * 100) + 0.0)
        words = (f"{value:.1f}".removesuffix(".0").replace("-", MINUS) + " %" for value in distinct)
        return np.array([*words, "–"], dtype=object), place
    if kind == "current":
        return _numbers(array, 0, " A")
    if kind == "limit":
        place, distinct = pd.factorize(np.floor(np.round(array * 100.0, 6)) / 100.0)
        return np.array([*(f"{value:.2f}".rstrip("0").removesuffix(".") + " A" for value in distinct), "–"]), place
    if kind == "ratio":
        return _numbers(array, 1)
    if kind == "count":
        return _numbers(array, 0)
    raise ValueError(f"there is no kind of quantity {kind!r}")


def _up_to(array: NDArray, kind: str, units: Units) -> tuple[NDArray, NDArray[np.intp]]:
    """`_worded` of what is at full load, where what is larger in size than is shown is only said to be."""
    kind, most = AT_FULL_LOAD[kind]
    words, place = _worded(np.clip(array, -most, most), kind, units)
    edge = amount(most, kind, units).replace(".0 ", " ")
    beyond = (array > most, f"over {edge}"), (array < -most, f"below {MINUS}{edge}")
    for mask, word in beyond:
        words, place = np.insert(words, len(words) - 1, word), np.where(mask, len(words) - 1, place)
    return words, place


def _whole_but_at_edges(percent: NDArray) -> NDArray:
    """Whole percents, but none that stands for enough load, or for no overload, where there is not."""
    percent = np.round(percent, 6)
    whole = np.round(percent)
    too_little = (percent < ENOUGH_LOAD_PCT) & (whole == ENOUGH_LOAD_PCT)
    too_much = (percent > FULL_LOAD_PCT) & (whole == FULL_LOAD_PCT)
    return np.select([too_little, too_much], [np.floor(percent * 10) / 10, np.ceil(percent * 10) / 10], whole)


def _numbers(array: NDArray, digits: int, unit: str = "") -> tuple[NDArray, NDArray[np.intp]]:
    """`_worded` of numbers, with so many decimals and a true minus sign."""
    place, distinct = pd.factorize(np.round(array, digits) + 0.0)  # no minus before a zero
    words = (f"{value:.{digits}f}{unit}".replace("-", MINUS) for value in distinct)
    return np.array([*words, "–"], dtype=object), place


def amount(value: object, kind: str, units: Units) -> str:
    """One value with its unit; see `quantity`.

    Examples
    --------
    >>> amount(62.0, "temperature", Units("°F"))
    '143.6 °F'
    """
    return str(quantity([value], kind, units)[0])


def between(low: str, high: str) -> str:
    """The two ends of an interval in words.

    Examples
    --------
    >>> between("55.5 K", "96.6 K"), between("over 100 K", "over 100 K")
    ('from 55.5 K to 96.6 K', 'so at both ends')
    """
    return f"from {low} to {high}" if low != high else "so at both ends"


def fields(template: str) -> list[tuple[str, str]]:
    """The fields of a template: column and kind of quantity."""
    return [(name, spec or "text") for _, name, spec, _ in string.Formatter().parse(template) if name]


def fill(template: str, frame: pd.DataFrame, units: Units) -> pd.Series:
    """A template such as ``{rise_similar_found_k:rise} over similar`` filled for every row."""
    return fill_each([template], np.zeros(len(frame), dtype=np.intp), frame, units)


def fill_each(templates: Sequence[str], which: NDArray[np.intp], frame: pd.DataFrame, units: Units) -> pd.Series:
    """For every row its own template filled; each column is put into words once.

    Parameters
    ----------
    which : ndarray of int
        The place of each row's template among them.
    """
    import pyarrow as pa
    from pyarrow import compute as pc

    if not len(frame):
        return pd.Series([], index=frame.index, dtype="str")
    text = pa.large_string()
    shown: dict[tuple[str, str], tuple[Any, NDArray[np.intp]]] = {}
    order = np.argsort(which, kind="stable")
    ends = np.searchsorted(which[order], np.arange(len(templates)), side="right")
    filled = []
    for template, rows in zip(templates, np.split(order, ends)[: len(templates)], strict=True):
        parts: list[Any] = [pa.array(np.full(len(rows), "", dtype=object), text)]
        for literal, name, spec, _ in string.Formatter().parse(template):
            parts.append(pa.scalar(literal, text))
            if name:
                place = (name, spec or "text")
                if place not in shown:
                    words, at = _worded(frame[name], place[1], units)
                    shown[place] = pa.array(words, text), at % len(words)
                distinct, at = shown[place]
                parts.append(distinct.take(at[rows]))
        filled.append(pc.binary_join_element_wise(*parts, pa.scalar("", text)))
    back = np.empty_like(order)
    back[order] = np.arange(len(order))
    return pd.Series(pa.concat_arrays(filled).take(back), index=frame.index, dtype="str")
