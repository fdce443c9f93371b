"""First-order uncertainty of a rise taken to full load (JCGM 100:2008, clause 5)."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from riskscope.units import check_range


def u_of_difference(u_reading: ArrayLike, u_joint: float) -> Any:
    """Standard uncertainty of the difference between two joints seen by one camera.

    Parameters
    ----------
    u_reading : array-like, shape (n,)
        Between two readings. [K]
    u_joint : float
        Healthy spread per joint. [K]

    Returns
    -------
    ndarray or float
        [K]
    """
    return np.sqrt(np.asarray(u_reading, dtype=float) ** 2 + 2 * u_joint**2)


def u_single(
    rise_rated: ArrayLike, load_fraction: ArrayLike, u_rise: ArrayLike, u_load: ArrayLike, exponent: float = 2.0
) -> Any:
    """Standard uncertainty of one measured rise taken to full load by one load.

    Parameters
    ----------
    rise_rated : array-like, shape (n,)
        The rise at full load. [K]
    load_fraction : array-like, shape (n,)
        Current over full load, above 0. [-]
    u_rise : array-like, shape (n,)
        Of the rise as measured. [K]
    u_load : array-like, shape (n,)
        Relative, of the load. [-]
    exponent : float, default 2.0
        [-]

    Returns
    -------
    ndarray or float
        [K]

    Raises
    ------
    OutOfRange
        If a load fraction is 0 or below.
    """
    fraction = check_range("load_fraction", load_fraction, above=0.0)
    return np.hypot(
        fraction**-exponent * np.asarray(u_rise, dtype=float),
        exponent * np.asarray(rise_rated, dtype=float) * np.asarray(u_load, dtype=float),
    )


class Loaded(NamedTuple):
    """A rise and the load it goes with.

    Attributes
    ----------
    rise : array-like, shape (n,)
        Over ambient. [K]
    load_fraction : array-like, shape (n,)
        Current over full load, above 0. [-]
    u_load : array-like, shape (n,)
        Relative standard uncertainty of the load. [-]
    """

    rise: ArrayLike
    load_fraction: ArrayLike
    u_load: ArrayLike


def u_siblings(
    this: Loaded,
    other: Loaded,
    shared_load: ArrayLike,
    u_difference: ArrayLike,
    u_ambient: float,
    exponent: float = 2.0,
) -> Any:
    """Standard uncertainty of the difference of two siblings, each taken to full load.

    Parameters
    ----------
    this, other : Loaded
        Their rises at full load, and the loads those were taken from.
    shared_load : array-like of bool, shape (n,)
        Whether both loads are one reading. [-]
    u_difference : array-like, shape (n,)
        Of the difference of the two as measured. [K]
    u_ambient : float
        Of the common air temperature. [K]
    exponent : float, default 2.0
        [-]

    Returns
    -------
    ndarray or float
        [K]

    Raises
    ------
    OutOfRange
        If a load fraction is 0 or below.
    """
    scale_1 = check_range("load_fraction of this", this.load_fraction, above=0.0) ** -exponent
    scale_2 = check_range("load_fraction of the other", other.load_fraction, above=0.0) ** -exponent
    rise_1, rise_2 = np.asarray(this.rise, float), np.asarray(other.rise, float)
    u_1, u_2 = np.asarray(this.u_load, float), np.asarray(other.u_load, float)
    each = np.asarray(u_difference, dtype=float) / np.sqrt(2.0)
    from_load = np.where(
        shared_load,
        (exponent * (rise_1 - rise_2) * u_1) ** 2,
        (exponent * rise_1 * u_1) ** 2 + (exponent * rise_2 * u_2) ** 2,
    )
    return np.sqrt((scale_1 * each) ** 2 + (scale_2 * each) ** 2 + ((scale_1 - scale_2) * u_ambient) ** 2 + from_load)


def u_of_log_ratio(
    this: Loaded,
    other: Loaded,
    shared_load: ArrayLike,
    u_difference: ArrayLike,
    u_ambient: float,
    exponent: float = 2.0,
    offset: float = 1.0,
) -> Any:
    """Standard uncertainty of the natural logarithm of a resistance ratio.

    Parameters
    ----------
    this, other : Loaded
        Their rises at the loads found.
    shared_load : array-like of bool, shape (n,)
        Whether both loads are one reading; then they cancel. [-]
    u_difference : array-like, shape (n,)
        Of the difference of the two as measured. [K]
    u_ambient : float
        Of the common air temperature. [K]
    exponent, offset : float
        As for `riskscope.physics.load.resistance_ratio`.

    Returns
    -------
    ndarray or float
        [-]
    """
    upper, lower = np.asarray(this.rise, float) + offset, np.asarray(other.rise, float) + offset
    each = np.asarray(u_difference, dtype=float) / np.sqrt(2.0)
    load = np.where(shared_load, 0.0, np.hypot(this.u_load, other.u_load))
    return np.sqrt(
        (each / upper) ** 2 + (each / lower) ** 2 + ((1 / upper - 1 / lower) * u_ambient) ** 2 + (exponent * load) ** 2
    )
