"""Whether a tool was in calibration on a day, and its range."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.analysis.frames import NO_DAY, Bools, days, filled, floats, texts
from riskscope.settings import Settings
from riskscope.units import Floats


def calibration(rows: pd.DataFrame, tools: pd.DataFrame, settings: Settings) -> tuple[Bools, Floats, Floats, Bools]:
    """For each record: a calibration covers its day; the tool's range; found out of tolerance."""
    count = len(rows)
    covered, found_out = np.zeros(count, dtype=bool), np.zeros(count, dtype=bool)
    smallest, largest = np.full(count, np.nan), np.full(count, np.nan)
    if not len(tools) or "tool_id" not in rows:
        return covered, smallest, largest, found_out
    day = rows["day"].to_numpy()
    calibrated = texts(tools, "calibrated_on")
    begin, bad = days(calibrated), days(texts(tools, "found_out_of_tolerance_on"))
    due = texts(tools, "calibration_due")
    if calibrated.dtype.kind == "M":
        due = filled(due, calibrated + pd.DateOffset(months=settings.calibration_months))
    end = days(due)
    range_min, range_max = floats(tools, "range_min_nm"), floats(tools, "range_max_nm")
    history_of = tools.groupby("tool_id", sort=False).indices
    for name, mine in rows.groupby("tool_id", sort=False).indices.items():
        history = history_of.get(name)
        if history is None:
            continue
        for row in history[begin[history] != NO_DAY]:
            covered[mine] |= (begin[row] <= day[mine]) & (day[mine] <= end[row])
        for row in history[bad[history] != NO_DAY]:
            good = begin[history][begin[history] < bad[row]]
            last_good = good.max() if len(good) else NO_DAY
            found_out[mine] |= (last_good < day[mine]) & (day[mine] <= bad[row])
        smallest[mine] = np.fmax.reduce(range_min[history])
        largest[mine] = np.fmin.reduce(range_max[history])
    return covered, smallest, largest, found_out
