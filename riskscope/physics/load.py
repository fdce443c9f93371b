"""What a rise found at one load would be at another.

The heat of a joint is I² R. With a constant heat transfer coefficient the rise follows the square
of the current; with laminar natural convection, h ∝ ΔT^0.25, it follows I^1.6. Published exponents
lie between the two.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from riskscope.units import check_range, edge


def rise_at_full_load(rise: ArrayLike, load_fraction: ArrayLike, exponent: float = 2.0) -> Any:
    """Temperature rise the joint would show at full load.

    Parameters
    ----------
    rise : array-like, shape (n,)
        Rise at the load found. [K]
    load_fraction : array-like, shape (n,)
        Current over full load, above 0. [-]
    exponent : float, default 2.0
        2 is the square-law approximation; published values run from 1.6. [-]

    Returns
    -------
    ndarray or float
        Rise at full load. [K]

    Raises
    ------
    OutOfRange
        If a load fraction is 0 or below.

    Examples
    --------
    >>> float(rise_at_full_load(5.0, 0.5))
    20.0
    """
    fraction = check_range("load_fraction", load_fraction, above=0.0)
    return np.asarray(rise, dtype=float) * fraction**-exponent


def rise_at_load(rise_rated: ArrayLike, load_fraction: ArrayLike, exponent: float = 2.0) -> Any:
    """Temperature rise at a load, from the rise at full load: the inverse of `rise_at_full_load`.

    Parameters
    ----------
    rise_rated : array-like, shape (n,)
        Rise at full load. [K]
    load_fraction : array-like, shape (n,)
        Current over full load, 0 or above. [-]
    exponent : float, default 2.0
        [-]

    Returns
    -------
    ndarray or float
        Rise at the load. [K]

    Raises
    ------
    OutOfRange
        If a load fraction is below 0.
    """
    fraction = check_range("load_fraction", load_fraction, at_least=0.0)
    return np.asarray(rise_rated, dtype=float) * fraction**exponent


def difference_at_full_load(
    rise_1: ArrayLike, load_fraction_1: ArrayLike, rise_2: ArrayLike, load_fraction_2: ArrayLike, exponent: float = 2.0
) -> Any:
    """Difference of two rises over one ambient, each taken to full load by its own load.

    Parameters
    ----------
    rise_1, rise_2 : array-like, shape (n,)
        Rises over ambient at the loads found. [K]
    load_fraction_1, load_fraction_2 : array-like, shape (n,)
        Current over full load of each, above 0. [-]
    exponent : float, default 2.0
        [-]

    Returns
    -------
    ndarray or float
        Difference at full load. [K]

    Raises
    ------
    OutOfRange
        If a load fraction is 0 or below.
    """
    return rise_at_full_load(rise_1, load_fraction_1, exponent) - rise_at_full_load(rise_2, load_fraction_2, exponent)


def loads_alike(load_1: ArrayLike, load_2: ArrayLike, share: float = 0.10) -> Any:
    """Whether two loads are apart by at most a share of the larger.

    Parameters
    ----------
    load_1, load_2 : array-like, shape (n,)
        In one unit. [any]
    share : float, default 0.10
        [-]

    Returns
    -------
    ndarray of bool, shape (n,)
        False where a load is NaN.
    """
    load_1, load_2 = np.asarray(load_1, dtype=float), np.asarray(load_2, dtype=float)
    return edge(np.abs(load_1 - load_2)) <= edge(share * np.maximum(load_1, load_2))


def smallest_in_size(values: ArrayLike) -> Any:
    """Of several estimates of one difference the smallest in size, and 0 where signs differ.

    Parameters
    ----------
    values : array-like, shape (k, n)
        Estimates, one row each. [any]

    Returns
    -------
    ndarray, shape (n,)
        [as given]
    """
    values = np.asarray(values, dtype=float)
    lowest, highest = values.min(axis=0), values.max(axis=0)
    return np.where(lowest > 0, lowest, np.where(highest < 0, highest, np.where(np.isnan(lowest), np.nan, 0.0)))


def resistance_ratio(
    rise_1: ArrayLike,
    load_fraction_1: ArrayLike,
    rise_2: ArrayLike,
    load_fraction_2: ArrayLike,
    exponent: float = 2.0,
    offset: float = 1.0,
) -> Any:
    """How many times the resistance of joint 2 joint 1 shows, both taken to full load.

    Parameters
    ----------
    rise_1, rise_2 : array-like, shape (n,)
        Rises over ambient at the loads found. [K]
    load_fraction_1, load_fraction_2 : array-like, shape (n,)
        Current over full load of each, above 0. [-]
    exponent : float, default 2.0
        [-]
    offset : float, default 1.0
        Added to both rises, so that two cool joints do not make a large ratio. [K]

    Returns
    -------
    ndarray or float
        Ratio; NaN where a rise is so far below ambient that there is none. [-]

    Raises
    ------
    OutOfRange
        If a load fraction is 0 or below.
    """
    upper = rise_at_full_load(np.asarray(rise_1, float) + offset, load_fraction_1, exponent)
    lower = rise_at_full_load(np.asarray(rise_2, float) + offset, load_fraction_2, exponent)
    computable = (upper > 0) & (lower > 0)
    return np.where(computable, upper, np.nan) / np.where(computable, lower, np.nan)
