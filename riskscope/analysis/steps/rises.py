"""Rises as found, and the flags that say how good a reading is."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.analysis.frames import floats, is_any
from riskscope.schema.codes import OPTICAL, UNFIT
from riskscope.settings import Settings
from riskscope.units import edge

READS = (
    "connection_c",
    "similar_c",
    "ambient_c",
    "rise_similar_k",
    "rise_ambient_k",
    "cover",
    "load_fraction",
    "overload_fraction",
    "load_steady_min",
    *OPTICAL,
)
WRITES = ("rise_ambient_found_k", "rise_surveyor_k", "low load", "not loaded", "load unknown",
          "overload", "cover closed", "unsteady", "unfit", "ratable")  # fmt: skip


def rises(readings: pd.DataFrame, settings: Settings) -> dict[str, object]:
    """Rise over ambient and over the surveyor's similar component; temperatures go before rises.

    A column named like a flag is true where the flag is raised. ``unfit``: never firm and never a
    reference for another. ``ratable``: the joint itself was seen, under load.

    Reads
        `READS`
    Writes
        `WRITES`
    """
    connection = floats(readings, "connection_c")
    over_ambient = connection - floats(readings, "ambient_c")
    over_similar = connection - floats(readings, "similar_c")
    given_ambient, given_similar = (floats(readings, name) for name in ("rise_ambient_k", "rise_similar_k"))
    fraction = floats(readings, "load_fraction")
    not_loaded = fraction == 0
    closed = is_any(readings, "cover", ("closed",))
    unsteady = floats(readings, "load_steady_min") < settings.steady_min
    flags = {
        "low load": (edge(fraction) < settings.low_load) & (fraction > 0),
        "not loaded": not_loaded,
        "load unknown": np.isnan(fraction),
        "overload": edge(floats(readings, "overload_fraction")) > 1.0,
        "cover closed": closed,
        "unsteady": unsteady,
    }
    optical = {name: readings[name].to_numpy(dtype=bool) for name in OPTICAL}
    return {
        "rise_ambient_found_k": np.where(np.isnan(over_ambient), given_ambient, over_ambient),
        "rise_surveyor_k": np.where(np.isnan(over_similar), given_similar, over_similar),
        **flags,
        "unfit": np.logical_or.reduce([{**flags, **optical}[name] for name in UNFIT]),
        "ratable": ~not_loaded & ~closed,
    }
