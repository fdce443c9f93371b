"""What each reading carried: its current, as a share of full load, and where full load is known from."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from riskscope.analysis.frames import floats
from riskscope.units import Floats

FULL_LOAD_ORDER = ("max_load_a", "setting_a", "rated_a", "register_rated_a")
READS = ("load_pct", "load_a", *FULL_LOAD_ORDER)


@dataclass(frozen=True)
class Carried:
    """Arrays of one length; NaN where it is not known.

    Attributes
    ----------
    full_load_a : ndarray
        Full load. [A]
    full_load_from : ndarray of str
        The column that says it; `load_pct` where the survey says the share itself.
    current_a : ndarray
        [A]
    fraction : ndarray
        Current over full load.
    """

    full_load_a: Floats
    full_load_from: np.ndarray
    current_a: Floats
    fraction: Floats


def carried(readings: pd.DataFrame) -> Carried:
    """What each reading carried. Full load is the first given of `FULL_LOAD_ORDER`; ampere go before a percentage."""
    full, source = np.full(len(readings), np.nan), np.full(len(readings), "", dtype=object)
    for name in FULL_LOAD_ORDER:
        values = floats(readings, name)
        use = np.isnan(full) & ~np.isnan(values)
        full[use] = values[use]
        source[use] = "rated_a, register" if name == "register_rated_a" else name
    share, amps = floats(readings, "load_pct") / 100.0, floats(readings, "load_a")
    fraction = amps / full
    source[np.isnan(fraction) & ~np.isnan(share) & (source == "")] = "load_pct"
    fraction = np.where(np.isnan(fraction), share, fraction)
    fraction = np.where(np.isnan(fraction) & (amps == 0), 0.0, fraction)
    return Carried(full, source, np.where(np.isnan(amps), fraction * full, amps), fraction)
