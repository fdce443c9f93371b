"""Trends of short series: the median slope and a test for monotone change, many series at once."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike
from scipy.stats import norm

COVERAGE_Z = 1.959963984540054


def theil_sen(times: ArrayLike, values: ArrayLike) -> tuple[Any, Any, Any]:
    """Theil–Sen slope of each series with its 95 % interval.

    The slope is the median of the slopes of all pairs; the interval is Sen's (1968), by the normal
    approximation to Kendall's S with ties in values and times.

    Parameters
    ----------
    times : array-like, shape (series, n)
        Times of the readings; NaN pads a shorter series. [any]
    values : array-like, shape (series, n)
        Readings; NaN pads. [any]

    Returns
    -------
    slope, low, high : ndarray, shape (series,)
        NaN where a series has fewer than two distinct times. [value per time]
    """
    times, values = np.asarray(times, dtype=float), np.asarray(values, dtype=float)
    if times.shape[1] < 2:
        none = np.full(len(times), np.nan)
        return none, none, none
    first, second = np.triu_indices(times.shape[1], k=1)
    step = times[:, second] - times[:, first]
    rise = values[:, second] - values[:, first]
    with np.errstate(divide="ignore", invalid="ignore"):
        slopes = np.where(step != 0, rise / step, np.nan)
    slopes = np.sort(slopes, axis=1)  # NaN last
    count = (~np.isnan(slopes)).sum(axis=1)
    slope = _median(slopes, count)
    padded = np.where(np.isnan(values), np.nan, times)
    reach = COVERAGE_Z * np.sqrt(np.maximum(_variance_of_s(values) - _ties(padded) / 18.0, 0.0))
    upper = np.minimum(np.round((count + reach) / 2), count - 1).astype(int)
    lower = np.maximum(np.round((count - reach) / 2) - 1, 0).astype(int)
    rows = np.arange(len(slopes))
    known = count > 0
    low = np.where(known, slopes[rows, np.where(known, lower, 0)], np.nan)
    high = np.where(known, slopes[rows, np.where(known, upper, 0)], np.nan)
    return slope, low, high


def _median(ordered: Any, count: Any) -> Any:
    """Median of each row of which the first `count` values stand in order."""
    rows = np.arange(len(ordered))
    known = count > 0
    upper = ordered[rows, np.where(known, count // 2, 0)]
    lower = ordered[rows, np.where(known, (count - 1) // 2, 0)]
    return np.where(known, (lower + upper) / 2, np.nan)


def _variance_of_s(values: Any) -> Any:
    """Variance of Kendall's S of each series without trend, corrected for ties."""
    n = (~np.isnan(values)).sum(axis=1)
    return (n * (n - 1) * (2 * n + 5) - _ties(values)) / 18.0


def _ties(values: Any) -> Any:
    """Σ t (t − 1) (2 t + 5) over the ties of each row, t the size of a tie."""
    size = (values[:, :, None] == values[:, None, :]).sum(axis=2)  # of the tie of each value
    return np.where(size > 0, (size - 1) * (2 * size + 5), 0).sum(axis=1)


def mann_kendall(values: ArrayLike) -> tuple[Any, Any]:
    """Mann–Kendall test of each series for a monotone trend (Mann 1945, Kendall 1975).

    Parameters
    ----------
    values : array-like, shape (series, n)
        Readings in order of time; NaN pads. [any]

    Returns
    -------
    s : ndarray, shape (series,)
        Rising less falling pairs. [-]
    p : ndarray, shape (series,)
        Two-sided probability of an S as far from 0 without a trend, by the normal approximation
        with continuity correction and ties; 1 where there is no variance. [-]
    """
    values = np.asarray(values, dtype=float)
    first, second = np.triu_indices(values.shape[1], k=1)
    sign = np.sign(values[:, second] - values[:, first])
    s = np.nansum(sign, axis=1)
    variance = _variance_of_s(values)
    with np.errstate(divide="ignore", invalid="ignore"):
        z = np.where(variance > 0, (s - np.sign(s)) / np.sqrt(variance), 0.0)
    return s, 2 * norm.sf(np.abs(z))
