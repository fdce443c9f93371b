"""Templates filled from a frame, a column at a time, in the units a reader chose."""

from __future__ import annotations

import string
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from riskscope.units import from_inside

MINUS = "−"


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
    array = np.asarray(values, dtype=float)
    rounded = np.round(array, digits) + 0.0
    text = np.char.mod(f"%.{digits}f", rounded)
    text = np.char.replace(text, "-", MINUS)
    return np.where(np.isnan(array), "–", text)


def quantity(values: object, kind: str, units: Units) -> NDArray:
    """Values with their unit, by kind: ``temperature rise torque share ratio current count text day``."""
    if kind == "text":
        return pd.Series(values).astype("str").fillna("–").to_numpy(dtype=object)
    if kind == "day":
        day = pd.to_datetime(pd.Series(values))
        text = day.dt.day.astype("Int64").astype("str") + day.dt.strftime(" %B %Y")
        return text.where(day.notna(), "–").to_numpy(dtype=object)
    array = np.asarray(pd.Series(values).to_numpy(dtype=float, na_value=np.nan))
    if kind == "temperature":
        shown, unit = (number(from_inside(array, "temperature", units.temperature), 1), units.temperature)
    elif kind == "rise":
        shown, unit = (number(from_inside(array, "difference", units.difference), 1), units.difference)
    elif kind == "torque":
        digits = 0 if units.torque == "lbf·in" else 1
        shown, unit = number(from_inside(array, "torque", units.torque), digits), units.torque
    elif kind == "share":
        shown, unit = number(array * 100, 0), "%"
    elif kind == "current":
        shown, unit = number(array, 0), "A"
    elif kind == "ratio":
        return number(array, 1)
    elif kind == "count":
        return number(array, 0)
    else:
        raise ValueError(f"there is no kind of quantity {kind!r}")
    return np.where(shown == "–", "–", np.char.add(shown.astype(str), f" {unit}"))


def amount(value: object, kind: str, units: Units) -> str:
    """One value with its unit; see `quantity`.

    Examples
    --------
    >>> amount(62.0, "temperature", Units("°F"))
    '143.6 °F'
    """
    return str(quantity([value], kind, units)[0])


def fields(template: str) -> list[tuple[str, str]]:
    """The fields of a template: column and kind of quantity."""
    return [(name, spec or "text") for _, name, spec, _ in string.Formatter().parse(template) if name]


def fill(template: str, frame: pd.DataFrame, units: Units) -> pd.Series:
    """A template such as ``{rise_similar_found_k:rise} over similar`` filled for every row."""
    text = pd.Series("", index=frame.index, dtype="str")
    if not len(frame):
        return text
    for literal, name, spec, _ in string.Formatter().parse(template):
        text = text + literal
        if name:
            shown = quantity(frame[name], spec or "text", units)
            text = text + pd.Series(shown, index=frame.index).astype("str")
    return text
