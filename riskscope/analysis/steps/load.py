"""Load of each reading: current over full load, and how well it is known."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.analysis.carried import READS as OF_LOAD
from riskscope.analysis.carried import carried
from riskscope.analysis.frames import floats, texts
from riskscope.settings import Settings

READS = (*OF_LOAD, "load_source", "load_steady_min", "strong wind")
WRITES = ("full_load_a", "full_load_from", "current_a", "load_fraction", "overload_fraction",
          "scale_fraction", "as_found_only", "u_load")  # fmt: skip


def load(readings: pd.DataFrame, settings: Settings) -> dict[str, object]:
    """Load fraction of each reading: see `riskscope.analysis.carried`.

    ``scale_fraction`` is the fraction a rise
    is scaled by: 1 where a reading is rated as found only (load unknown or not steady), NaN at no
    load.

    Reads
        `READS`
    Writes
        `WRITES`
    """
    by_what = carried(readings)
    current, fraction = by_what.current_a, by_what.fraction
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
        "full_load_a": by_what.full_load_a,
        "full_load_from": pd.Series(by_what.full_load_from, dtype="str"),
        "current_a": current,
        "load_fraction": fraction,
        "overload_fraction": np.where(np.isnan(by_rating), fraction, by_rating),
        "scale_fraction": scale,
        "as_found_only": as_found_only,
        "u_load": np.where(as_found_only, 0.0, u_load),
    }
