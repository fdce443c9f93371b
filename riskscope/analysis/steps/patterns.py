"""What the siblings show: the joint, the current, or the place."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.analysis.frames import Bools, floats, named
from riskscope.schema.codes import PATTERNS
from riskscope.settings import Settings
from riskscope.standards.severity import Criteria
from riskscope.units import edge

READS = ("reference", "low_k", "resistance_ratio", "alike", "rise_similar_found_k", "within_noise",
         "ratable", "reads cold", "reference load not compared", "group_code", "unfit", "rise_ambient_found_k",
         "rated_low_over_air_k", "permitted_rise_k")  # fmt: skip
WRITES = ("hot", "pattern")


def patterns(readings: pd.DataFrame, criteria: Criteria, settings: Settings) -> dict[str, object]:
    """The pattern each reading makes with its siblings.

    Reads
        `READS`
    Writes
        `WRITES`
    """
    compared = readings["reference"].notna().to_numpy() & readings["ratable"].to_numpy()
    as_found, alike = floats(readings, "rise_similar_found_k"), readings["alike"].to_numpy()
    ratio = floats(readings, "resistance_ratio")
    hot = (
        compared
        & (edge(floats(readings, "low_k")) > settings.hot_low_k)
        & (np.isnan(ratio) | (edge(ratio) >= settings.hot_ratio))
        & (~alike | (edge(as_found) >= settings.hot_seen_k))
    )
    imbalance = (
        compared & ~hot & ~alike & (criteria.severity("similar", as_found) >= 2) & readings["within_noise"].to_numpy()
    )
    cold = readings["reads cold"].to_numpy() & ~hot
    warm, beyond = _all_warm(readings, hot, criteria)
    shows = {
        "one joint hot": hot,
        "load imbalance": imbalance & ~beyond,
        "one cold": cold,
        "all warm, load explains it": warm & ~beyond,
        "all hot beyond load": beyond,
        "even": compared & ~readings["reference load not compared"].to_numpy(dtype=bool),
    }
    last = len(PATTERNS) - 1
    pattern = np.select([shows[name] for name in list(PATTERNS)[:last]], range(last), last)
    return {"hot": hot, "pattern": named(PATTERNS, pattern)}


def _all_warm(readings: pd.DataFrame, hot: Bools, criteria: Criteria) -> tuple[Bools, Bools]:
    """Where every sibling is warm over ambient as found and none hot, and where beyond its load.

    First: the low end of the connection's own full-load rise is within what its limit permits.
    Second: the low end of every sibling's is above it.
    """
    group = readings["group_code"].to_numpy()
    rise = floats(readings, "rise_ambient_found_k")
    member = (group >= 0) & readings["ratable"].to_numpy()
    low, permitted = floats(readings, "rated_low_over_air_k"), floats(readings, "permitted_rise_k")
    above = edge(low) > edge(permitted)
    warm = criteria.severity("ambient", rise) >= 2
    count = max(int(group.max(initial=0)) + 1, 1)
    number = np.bincount(group[member], minlength=count)

    def every(mask: Bools) -> Bools:
        hits = np.bincount(group[member & mask], minlength=count)
        whole = (hits == number) & (number >= 2)
        return member & whole[np.where(group < 0, 0, group)]

    all_warm = every(warm & ~hot)
    return all_warm & ~above & ~np.isnan(low), all_warm & every(above)
