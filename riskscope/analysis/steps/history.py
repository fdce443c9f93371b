"""What earlier readings of a connection say beside its latest: a fallen rise without work is no cure."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.analysis.frames import NO_DAY, days, floats, of_readings
from riskscope.settings import Settings
from riskscope.units import edge

READS = ("id_rank", "survey_date", "severity", "last_work_date", "worked_after", "connection_c",
         "hottest_other_c", "surveyed", "seen_when_cool")  # fmt: skip
WRITES = ("hotter before, no work since", "another reading was hotter")


def history(frame: pd.DataFrame, readings: pd.DataFrame, settings: Settings) -> dict[str, object]:
    """Flags of connections that were rated 3 or worse since their last work and are rated less, not found tight since.

    Reads
        `READS`; of the readings ``id_rank survey_date severity``.
    Writes
        `WRITES`
    """
    if len(readings) == int(frame["surveyed"].sum()):
        readings = readings.iloc[:0]  # nobody was read before
    at = of_readings(frame, readings)
    day, latest = days(readings["survey_date"]), days(frame["survey_date"])
    worked = days(frame["last_work_date"])
    known = np.flatnonzero(at >= 0)
    code = at[known]
    severity = floats(readings, "severity")[known]
    earlier = (day[known] < latest[code]) & ((worked[code] == NO_DAY) | (day[known] > worked[code]))
    with np.errstate(invalid="ignore"):
        bad = earlier & (severity >= settings.history_severity)
        worst = np.zeros(len(frame))
        np.maximum.at(worst, code[bad], severity[bad])
        now = floats(frame, "severity")
        fallen = (worst >= settings.history_severity) & ~(now >= worst) & ~frame["worked_after"].to_numpy(dtype=bool)
        fallen &= ~frame["seen_when_cool"].to_numpy(dtype=bool)
        hotter = edge(floats(frame, "hottest_other_c") - floats(frame, "connection_c")) >= edge(
            settings.history_hotter_k
        )
    return {"hotter before, no work since": fallen, "another reading was hotter": hotter}
