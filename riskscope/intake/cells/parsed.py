"""What a column of cells became, and what all kinds of cells share."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

MISSING = frozenset(
    (
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
    )
)
ODD_SPACES = ("\u00a0", "\u202f", "\u2007", "\ufeff")


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
