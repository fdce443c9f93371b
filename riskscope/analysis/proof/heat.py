"""What is hot, what burnt, and what is too cold to be true."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.analysis.frames import Bools, Ints, floats, is_any
from riskscope.schema.codes import URGENCIES
from riskscope.settings import Settings
from riskscope.units import Floats, edge

NOW, SOON, NEXT_OUTAGE, LEAST = (list(URGENCIES).index(name) for name in URGENCIES)
JOINT_HOT = ("one joint hot", "all hot beyond load")  # patterns that say that the joint itself is bad
# Flags of readings: what of their record of then may say that they were hot though tight.
PERHAPS_TIGHT = ("perhaps tight: rejected", "perhaps tight: denied")
PROOF_SEVERITY = 2  # a reading after work rated so or worse has not cured it


def burnt(readings: pd.DataFrame, settings: Settings) -> Bools:
    """Readings over the limit as found, or by far hotter than their siblings: such a joint is damaged."""
    with np.errstate(invalid="ignore"):
        large_rise = edge(floats(readings, "rise_similar_found_k")) >= settings.remake_rise_k
    return readings["over_limit_now"].to_numpy(dtype=bool) | large_rise


def asks_most(readings: pd.DataFrame, settings: Settings) -> Bools:
    """Readings that burnt, and of which no tightening or look is the answer: where a cover was closed one looks."""
    return burnt(readings, settings) & ~readings["cover closed"].to_numpy(dtype=bool)


def taken_for(readings: pd.DataFrame, settings: Settings) -> tuple[Floats, Floats]:
    """Load fraction and current that a later reading is held against: at hardly any load those are of full load.

    Returns
    -------
    ndarray
        Load fraction, 1 where it is below `reference_load_min`.
    ndarray
        Current, NaN there. [A]
    """
    load = floats(readings, "load_fraction")
    with np.errstate(invalid="ignore"):
        off = edge(load) < edge(settings.reference_load_min)
    return np.where(off, 1.0, load), np.where(off, np.nan, floats(readings, "current_a"))


def calls(severity: Floats, urgency: Ints) -> Bools:
    """Readings that call for something."""
    with np.errstate(invalid="ignore"):
        return (severity >= PROOF_SEVERITY) | (urgency <= SOON)


def too_cold(readings: pd.DataFrame, settings: Settings) -> Bools:
    """Readings that are colder than a joint under load can be, or cool only beside what is hotter.

    The first say that something else is wrong. The others are well below the sibling they were compared with, as
    `riskscope.analysis.steps.siblings` has it of one of three, and warm over the air or of unknown rise over it.
    """
    over_air, rise = floats(readings, "rise_ambient_found_k"), floats(readings, "rise_ambient_full_k")
    short = -floats(readings, "rise_similar_rated_k")
    with np.errstate(invalid="ignore"):
        below_air = over_air < -settings.coverage * settings.u_ambient_k
        well_below = ~(edge(rise) >= edge(settings.cold_ratio * (rise + short)))
        hotter = is_any(readings, "reference", ("sibling",)) & (edge(short) >= settings.cold_short_k) & well_below
        warm = ~(floats(readings, "s_ambient") < PROOF_SEVERITY)
    odd = readings[["reads cold", "reference is hotter"]].to_numpy(dtype=bool).any(axis=1)
    return odd | below_air | (hotter & warm)
