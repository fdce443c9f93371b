"""Load of each reading: current over full load, and how well it is known."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.analysis.frames import floats, texts
from riskscope.settings import Settings

READS = ("load_pct", "load_a", "max_load_a", "setting_a", "rated_a", "register_rated_a",
         "load_source", "load_steady_min", "strong wind")  # fmt: skip
WRITES = ("full_load_a", "full_load_from", "current_a", "load_fraction", "overload_fraction",
          "scale_fraction", "as_found_only", "u_load")  # fmt: skip
FULL_LOAD_ORDER = ("max_load_a", "setting_a", "rated_a", "register_rated_a")


def load(readings: pd.DataFrame, settings: Settings) -> dict[str, object]:
    """Load fraction of each reading.

    Full load is the first given of ``max_load_a``, ``setting_a``, ``rated_a``, the register's
    rating. A current in ampere goes before a percentage. ``scale_fraction`` is the fraction a rise
    is scaled by: 1 where a reading is rated as found only (load unknown or not steady), NaN at no
    load.

    Reads
        `READS`
    Writes
        `WRITES`
    """
    full, source = np.full(len(readings), np.nan), np.full(len(readings), "", dtype=object)
    for name in FULL_LOAD_ORDER:
        values = floats(readings, name)
        use = np.isnan(full) & ~np.isnan(values)
        full[use] = values[use]
        source[use] = "rated_a, register" if name == "register_rated_a" else name
    share = floats(readings, "load_pct") / 100.0
    amps = floats(readings, "load_a")
    fraction = amps / full
    source[np.isnan(fraction) & ~np.isnan(share) & (source == "")] = "load_pct"
    fraction = np.where(np.isnan(fraction), share, fraction)
    fraction = np.where(np.isnan(fraction) & (amps == 0), 0.0, fraction)
    current = np.where(np.isnan(amps), fraction * full, amps)
    rated = floats(readings, "rated_a")
    rated = np.where(np.isnan(rated), floats(readings, "register_rated_a"), rated)
    by_rating = current / rated
    unsteady = (floats(readings, "load_steady_min") < settings.steady_min) | readings["strong wind"].to_numpy(
        dtype=bool
    )
    unknown = np.isnan(fraction)
    as_found_only = (unknown | unsteady) & ~(fraction == 0)
    scale = np.where(as_found_only, 1.0, np.where(fraction > 0, fraction, np.nan))
    u_load = (
        texts(readings, "load_source")
        .map(
            {
                "measured": settings.u_load_measured,
                "display": settings.u_load_display,
                "estimated": settings.u_load_estimated,
                "unknown": settings.u_load_unknown,
            }
        )
        .fillna(settings.u_load_not_given)
        .to_numpy(dtype=float)
    )
    return {
        "full_load_a": full,
        "full_load_from": pd.Series(source, dtype="str"),
        "current_a": current,
        "load_fraction": fraction,
        "overload_fraction": np.where(np.isnan(by_rating), fraction, by_rating),
        "scale_fraction": scale,
        "as_found_only": as_found_only,
        "u_load": np.where(as_found_only, 0.0, u_load),
    }
