"""Which readings may be older than heat that the walk has behind it, or has of their day in an order nobody knows."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.analysis.frames import DAY_MIN, NO_DAY, Bools, Ints, codes, days, floats, texts
from riskscope.analysis.proof.walked import ELSEWHERE, HOT_AGAIN, UNTOLD
from riskscope.schema.names import apart
from riskscope.units import Floats


def before_hot(readings: pd.DataFrame, code: Ints, clock: Floats) -> Ints:
    """Why each reading proves nothing and takes nothing back, as a place in `WORSE`; −1 where nothing is the matter.

    Parameters
    ----------
    readings : DataFrame
        ``survey_date survey_time circuit device hot_untimed_on hot_until_min``; of each survey the one that counts.
    code : ndarray of int
        The connection of each.
    clock : ndarray of float
        Its place in the walk within its day.
    """
    reasons = [also_elsewhere(readings, code), beside_untimed(readings, code), hot_once_more(readings, code, clock)]
    return np.select(reasons, [ELSEWHERE, UNTOLD, HOT_AGAIN], -1)


def beside_untimed(readings: pd.DataFrame, code: Ints) -> Bools:
    """Readings of a day on which another of their connection is hot and has no time.

    Parameters
    ----------
    readings : DataFrame
        ``survey_date hot_untimed_on``; of each survey the one that counts.
    code : ndarray of int
        The connection of each.
    """
    day, untimed = days(readings["survey_date"]), days(readings["hot_untimed_on"])
    key = codes(pd.Series(np.tile(code, 2)), pd.Series(np.concatenate([day, untimed])))
    its, of_hot = np.split(key, 2)
    others = np.bincount(of_hot, untimed != NO_DAY, minlength=len(key) + 1)[its] - (untimed == day)
    return (others > 0) & (day != NO_DAY)


def also_elsewhere(readings: pd.DataFrame, code: Ints) -> Bools:
    """Readings of a day on which their connection is said to stand at several circuits or devices.

    Parameters
    ----------
    readings : DataFrame
        ``survey_date circuit device``
    code : ndarray of int
        The connection of each.
    """
    made = np.zeros(len(code), dtype=bool)
    rows = pd.DataFrame({"code": code, "day": days(readings["survey_date"])})
    if not rows.duplicated().any():
        return made
    for part in ("circuit", "device"):
        said = rows.assign(place=apart(texts(readings, part).reset_index(drop=True))).dropna().drop_duplicates()
        several = said[said.duplicated(["code", "day"], keep=False)]
        made |= pd.MultiIndex.from_frame(rows).isin(pd.MultiIndex.from_frame(several[["code", "day"]]))
    return made


def hot_once_more(readings: pd.DataFrame, code: Ints, clock: Floats) -> Bools:
    """Readings behind a survey that stands in the walk by its worst reading, and was hot once more after them.

    Parameters
    ----------
    readings : DataFrame
        ``survey_date survey_time hot_until_min``; of each survey the one that counts.
    code : ndarray of int
        The connection of each.
    clock : ndarray of float
        Its place in the walk within its day.
    """
    day, until = days(readings["survey_date"]), floats(readings, "hot_until_min")
    begun = day * float(DAY_MIN) + np.nan_to_num(floats(readings, "survey_time"))
    rows = pd.DataFrame({"code": code, "at": np.arange(len(code)), "day": day, "clock": clock, "begun": begun})
    both = rows.assign(until=until)[until > begun].merge(rows, on="code", suffixes=("", "_its"))
    earlier = (both["day"] < both["day_its"]) | ((both["day"] == both["day_its"]) & (both["clock"] < both["clock_its"]))
    made = np.zeros(len(code), dtype=bool)
    made[both["at_its"][earlier & (both["until"] >= both["begun_its"])]] = True
    return made
