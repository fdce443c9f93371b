"""What a column of cells became, and what all kinds of cells share."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd
import pyarrow as pa
from numpy.typing import NDArray
from pyarrow import compute as pc

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
DITTO_WORDS = ("ditto", "dito", "dto", "do", "asabove", "seeabove", "likeabove", "same", "sameasabove", "idem",
               "asbefore", "sameasbefore", "likebefore", "asprevious", "sameasprevious", "ibid")  # fmt: skip
DITTO_SIGNS = r"(?:[〃″\"”“„^↑]|''|’’|,,)+"
AROUND = r"[\s\-–—.()\[\]]+"  # what may stand around or between them
LIKE_DITTO = rf"{DITTO_SIGNS}|dito|ditto|dto|\bdo\b|above|same|idem|before|previous|ibid"  # else it is none
TEXT = pd.StringDtype(na_value=np.nan)
ODD_SPACES = ("\u00a0", "\u202f", "\u2007", "\ufeff")


@dataclass
class Parsed:
    """What a column became.

    Attributes
    ----------
    values : dict of str to Series
        Stored column name -> values.
    faults : list of (bool array, Series of str or str)
        Rows that cannot be read, with the words for each row, or for all.
    notes : list of str
        What was assumed.
    question : str or None
        What the column leaves open and what to type.
    minutes : Series or None
        Time of day that date cells carried.
    """

    values: dict[str, pd.Series] = field(default_factory=dict)
    faults: list[tuple[NDArray[np.bool_], pd.Series | str]] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    question: str | None = None
    minutes: pd.Series | None = None

    def fault(self, mask: NDArray[np.bool_], words: pd.Series | str) -> None:
        if mask.any():
            self.faults.append((mask, words))


def clean(text: pd.Series) -> pd.Series:
    """Cells without outer blanks, with plain spaces, without the apostrophe that marks a text; the same if they are."""
    cells = typed = pa.array(text)
    if not pc.all(pc.string_is_ascii(cells)).as_py():
        for space in ODD_SPACES:
            cells = pc.replace_substring(cells, space, " ")
    cells = pc.utf8_trim_whitespace(cells)
    if not cells.equals(typed):
        text = pd.Series(cells, index=text.index, dtype="str")
    if pc.any(pc.starts_with(cells, "'")).as_py():
        text = text.str.replace(r"^'(?=[=+\-@])", "", regex=True)
    return text


def quoted(cell: str) -> str:
    """A cell as it stands in a sentence."""
    return f"“{cell if len(cell) <= 60 else cell[:57] + '…'}”"


def missing(text: pd.Series) -> NDArray[np.bool_]:
    """Which cells say that there is nothing."""
    return is_any_word(text, MISSING)


def is_sign(text: pd.Series) -> NDArray[np.bool_]:
    """Which cells hold signs alone, no letter and no figure, and are no sign for nothing."""
    signs = ~pc.match_substring_regex(pa.array(text), r"[\p{L}\p{N}]").to_numpy(zero_copy_only=False)
    return signs & ~missing(text) if signs.any() else signs


def is_ditto(text: pd.Series) -> NDArray[np.bool_]:
    """Which cells, or parts of ids that were put together, say that there is what stands above them."""
    made = pc.match_substring_regex(pa.array(text), LIKE_DITTO, ignore_case=True).to_numpy(zero_copy_only=False)
    if made.any():
        parts = text[made].str.split("/").explode()
        bare = parts.str.replace(AROUND, "", regex=True)
        is_name = (bare == "DO") | ((bare.str.lower() == "do") & text[made].str.contains("/"))  # digital outputs
        says = bare.str.lower().isin(DITTO_WORDS) | bare.str.fullmatch(DITTO_SIGNS)
        made[made] = (says & ~is_name).groupby(level=0, sort=False).any().to_numpy()
    return made


def is_any_word(text: pd.Series, words: frozenset[str], strip: str = "") -> NDArray[np.bool_]:
    """Which cells are one of the words, whatever their case; `strip` is what may stand behind them."""
    cells = pc.utf8_lower(pa.array(text))
    cells = pc.utf8_rtrim(cells, strip) if strip else cells
    return pc.is_in(cells, value_set=pa.array(words, cells.type)).to_numpy(zero_copy_only=False)


def is_filled(text: pd.Series) -> NDArray[np.bool_]:
    """Which cells hold anything."""
    return pc.not_equal(pa.array(text), "").to_numpy(zero_copy_only=False)


def holds(text: pd.Series, words: str) -> bool:
    """Whether any cell holds the words."""
    return bool(pc.any(pc.match_substring(pa.array(text), words)).as_py())


def given(text: pd.Series, mask: NDArray[np.bool_]) -> pd.Series:
    """The cells where the mask holds; missing elsewhere."""
    return text if mask.all() else _series(pc.if_else(pa.array(mask), pa.array(text), None), text.index)


def everywhere(text: str | None, index: pd.Index) -> pd.Series:
    """One text, or none, in every row."""
    return _series(pa.repeat(pa.scalar(text, pa.large_string()), len(index)), index)


def has_doubles(text: pd.Series) -> bool:
    """Whether any cell is there twice."""
    return int(pc.count_distinct(pa.array(text), "all").as_py()) < len(text)


def _series(cells: pa.Array, index: pd.Index) -> pd.Series:
    return pd.Series(pd.array(cells, dtype=TEXT), index=index, copy=False)


def by_distinct(text: pd.Series, parse: Callable[[str], Any]) -> list[Any]:
    """`parse` of every cell, called once for each distinct text."""
    codes, distinct = pd.factorize(text)
    results = np.empty(len(distinct), dtype=object)
    results[:] = [parse(value) for value in distinct]
    return list(results[codes])
