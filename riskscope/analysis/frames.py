"""What the steps share: columns that may be absent, keys of several columns, days as numbers."""

from __future__ import annotations

import functools
from collections.abc import Iterable, Mapping

import numpy as np
import pandas as pd
import pyarrow as pa
from numpy.typing import NDArray
from pyarrow import compute as pc

from riskscope.schema import TABLES
from riskscope.units import Floats

Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]
DAY_MIN = 24 * 60
NO_DAY, NEVER = np.iinfo(np.int64).min, np.iinfo(np.int64).max


def table(tables: Mapping[str, pd.DataFrame], name: str) -> pd.DataFrame:
    """A checked table; one that is not there has no rows. Absent columns are read as empty."""
    given = tables.get(name)
    return _without_rows(name) if given is None else given


@functools.cache
def _without_rows(name: str) -> pd.DataFrame:
    """A table without rows; shared, so never changed."""
    return pd.DataFrame({column: _empty(kind.kind) for column, kind in TABLES[name].stored.items()})


def _empty(kind: str) -> pd.Series:
    if kind == "date":
        return pd.Series([], dtype="datetime64[us]")
    return pd.Series([], dtype="float64" if kind in {"number", "integer", "range", "time"} else "str")


def floats(frame: pd.DataFrame, name: str) -> Floats:
    """A number column as an array, not to be written to; NaN throughout where it is absent."""
    if name not in frame:
        return np.broadcast_to(np.nan, len(frame))
    return frame[name].to_numpy(dtype=float, na_value=np.nan)


def texts(frame: pd.DataFrame, name: str) -> pd.Series:
    """A text or date column; empty throughout where it is absent."""
    if name not in frame:
        return pd.Series(np.broadcast_to(np.nan, len(frame)), index=frame.index, copy=False)
    return frame[name]


def is_any(frame: pd.DataFrame, name: str, values: tuple[str, ...]) -> Bools:
    """Where a text column is one of the values; nowhere where it is absent."""
    if name not in frame:
        return np.zeros(len(frame), dtype=bool)
    return frame[name].isin(list(values)).to_numpy(dtype=bool)


def filled(own: pd.Series, other: pd.Series) -> pd.Series:
    """`own`, and where it is empty `other`."""
    lacking = own.isna()
    if not lacking.any():
        return own
    return other if lacking.all() else own.where(~lacking, other)


def kept(frame: pd.DataFrame, mask: Bools) -> pd.DataFrame:
    """The rows where the mask holds, numbered anew; the frame itself where it holds throughout."""
    return frame if mask.all() else frame[mask].reset_index(drop=True)


def taken(frame: pd.DataFrame, rows: Ints) -> pd.DataFrame:
    """Those rows of a frame, in order; the frame itself where they are all of them."""
    return frame if len(rows) == len(frame) else frame.iloc[rows]


def of_readings(frame: pd.DataFrame, readings: pd.DataFrame) -> Ints:
    """The place of the connection of each reading in a frame with a row for each; −1 where there is none."""
    surveyed = np.flatnonzero(frame["surveyed"].to_numpy(dtype=bool))
    own = frame["id_rank"].to_numpy()[surveyed].astype(np.int64)
    rank = readings["id_rank"].to_numpy()
    made = np.full(int(max(own.max(initial=-1), rank.max(initial=-1))) + 1, -1)
    made[own] = surveyed
    return made[rank]


def positions(known: pd.Series, wanted: pd.Series) -> Ints:
    """Position of each wanted id among the known, of several the first; −1 where there is none, or no id."""
    if not len(known) or not len(wanted):
        return np.full(len(wanted), -1, dtype=np.int64)
    there = pa.array(known.astype("str"), pa.large_string())
    at = pc.index_in(pa.array(wanted.astype("str")), value_set=there, skip_nulls=True)
    return at.fill_null(-1).to_numpy(zero_copy_only=False).astype(np.int64)


def _says_nothing(column: pd.Series) -> bool:
    """Whether a column tells no rows apart, as far as that is quickly seen."""
    if column.dtype.kind == "f":
        return bool(column.isna().all())
    return column.dtype.kind == "i" and len(column) > 0 and bool((column == column.iloc[0]).all())


def codes(*columns: pd.Series) -> Ints:
    """One number for each distinct row of several columns; empty cells are a value like others."""
    combined: Ints | None = None
    for column in columns:
        if combined is not None and _says_nothing(column):
            continue
        code_of, distinct = pd.factorize(column, use_na_sentinel=True)
        code_of = code_of.astype(np.int64) + 1
        if combined is None:
            combined = code_of
        else:
            combined, _ = pd.factorize(combined * (len(distinct) + 1) + code_of)
            combined = combined.astype(np.int64)
    assert combined is not None
    return combined


def days(column: pd.Series) -> Ints:
    """Dates as days since 1970; `NO_DAY` where there is none."""
    if column.dtype.kind != "M":
        return np.full(len(column), NO_DAY)
    values = column.to_numpy(dtype="datetime64[D]").astype(np.int64)
    return np.where(column.isna().to_numpy(), NO_DAY, values)


def dates(day: Ints) -> pd.Series:
    """Days since 1970 as dates; the inverse of `days`."""
    known = day != NO_DAY
    if not known.any():
        return pd.Series(np.broadcast_to(np.datetime64("NaT", "us"), len(day)), copy=False)
    values = np.where(known, day, 0).astype("datetime64[D]").astype("datetime64[us]")
    return pd.Series(values).where(known)


def latest(count: int, code: Ints, day: Ints) -> Ints:
    """The latest day of each of so many things, of days with the code of a thing each; `NO_DAY` where it has none."""
    made = np.full(count, NO_DAY)
    np.maximum.at(made, code, day)
    return made


def take(values: pd.Series | NDArray, position: Ints) -> pd.Series:
    """`values` at the positions; empty where a position is −1."""
    series = pd.Series(values) if not isinstance(values, pd.Series) else values
    if not len(series) or (len(position) and position.max() < 0):
        return pd.Series(np.broadcast_to(np.nan, len(position)), copy=False)
    taken = series.iloc[np.where(position < 0, 0, position)].reset_index(drop=True)
    return taken.where(position >= 0) if (position < 0).any() else taken


def any_of(mask: Bools, code: Ints) -> Bools:
    """For each row whether the mask holds anywhere among those of its code, which is from 0 on."""
    return (np.bincount(code, mask) > 0)[code]


def named(names: Iterable[str | None], position: Ints) -> pd.Series:
    """Codes as text: the name at each position; missing where that is None."""
    words = pd.array(list(names), dtype="str")
    return pd.Series(words.take(np.asarray(position)))


def joined(masks: dict[str, Bools], separator: str = "; ") -> pd.Series:
    """For each row the names whose mask holds, joined in order: the list columns of the results."""
    if not masks:
        return pd.Series(dtype="str")
    names = list(masks)
    bits = np.zeros(len(next(iter(masks.values()))), dtype=np.int64)
    for number, name in enumerate(names):
        bits |= masks[name].astype(np.int64) << number
    return bit_names(bits, names, separator)


def bit_names(bits: Ints, names: list[str] | tuple[str, ...], separator: str = "; ") -> pd.Series:
    """Bit sets as the names of their bits, joined; each distinct set is spelled once."""
    position, distinct = pd.factorize(bits)
    words = [separator.join(name for n, name in enumerate(names) if int(value) >> n & 1) for value in distinct]
    return named(words, position)


def with_columns(frame: pd.DataFrame, columns: dict[str, object]) -> pd.DataFrame:
    """The frame with columns added or replaced; like ``assign`` without scattering its memory."""
    replaced = [name for name in columns if name in frame]
    rest = frame.drop(columns=replaced) if replaced else frame
    return pd.concat([rest, pd.DataFrame(columns, index=frame.index, copy=False)], axis=1)
