"""How the rise of each connection has gone since its last work, and when the next band is reached."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pandas as pd

from riskscope.analysis.frames import Ints, dates, days, floats, positions, take, with_columns
from riskscope.physics.slopes import mann_kendall, theil_sen
from riskscope.standards.severity import Criteria

DAYS_A_YEAR = 365.25
FEWEST_SURVEYS = 3


def _series(readings: pd.DataFrame, work: pd.DataFrame) -> Ints:
    """How many pieces of work came before each reading, on its day included."""
    code, ids = pd.factorize(readings["connection_id"])
    done = positions(pd.Series(ids), work["connection_id"])
    known = done >= 0
    moment = np.concatenate([days(work["work_date"])[known], days(readings["survey_date"])])
    who = np.concatenate([done[known], code])
    is_reading = np.concatenate([np.zeros(known.sum(), dtype=bool), np.ones(len(code), dtype=bool)])
    order = np.lexsort((is_reading, moment, who))
    before = np.cumsum(~is_reading[order])
    starts = np.append(True, who[order][1:] != who[order][:-1])
    base = np.maximum.accumulate(np.where(starts, before - ~is_reading[order], 0))
    count = np.empty(len(order), dtype=np.int64)
    count[order] = before - base
    return count[is_reading]


def trends(readings: pd.DataFrame, work: pd.DataFrame, criteria: Criteria, on: dt.date) -> pd.DataFrame:
    """Trend of the full-load rise of each connection since its last work.

    The rise over similar where every reading of the series has one, else the rise over ambient.
    Fewer than three surveys give no slope. The next band is that above the severity of the last
    reading, by its rise at full load; the projected date is a range because the slope is one.

    Parameters
    ----------
    readings : DataFrame
        From `riskscope.assess_readings`: every reading that counts, of every survey.
    work : DataFrame
        From `works`.
    criteria : Criteria
    on : date

    Returns
    -------
    DataFrame
        One row a connection: ``connection_id basis surveys since first_date last_date last_rise_k
        slope_k_per_year slope_low_k_per_year slope_high_k_per_year p_value next_band_k
        next_band_earliest next_band_latest``.
    """
    frame = with_columns(readings, {"series": _series(readings, work), "day": days(readings["survey_date"])})
    frame = frame[frame["load_fraction"].gt(0).to_numpy() & frame["ratable"].to_numpy(dtype=bool)]
    last = frame.groupby("connection_id")["series"].transform("max")
    frame = frame[(frame["series"] == last).to_numpy()].sort_values(["connection_id", "day"], kind="stable")
    similar = frame["rise_similar_full_k"].notna().groupby(frame["connection_id"]).transform("all")
    rise = np.where(similar, frame["rise_similar_full_k"], frame["rise_ambient_full_k"])
    frame = with_columns(frame, {"rise": rise, "basis": np.where(similar, "similar", "ambient")})
    frame = frame[frame["rise"].notna()]
    code, ids = pd.factorize(frame["connection_id"])
    place = frame.groupby("connection_id", sort=False).cumcount().to_numpy()
    count = np.bincount(code, minlength=len(ids))
    width = int(count.max(initial=1))
    years = np.full((len(ids), width), np.nan)
    rises = np.full((len(ids), width), np.nan)
    years[code, place] = frame["day"] / DAYS_A_YEAR
    rises[code, place] = frame["rise"]
    slope, low, high = theil_sen(years, rises)
    _, p_value = mann_kendall(rises)
    enough = count >= FEWEST_SURVEYS
    final = frame.groupby("connection_id", sort=False).last()
    next_k = _next_band(final, criteria)
    ahead = next_k - final["rise"].to_numpy()
    today = int(np.datetime64(on, "D").astype(np.int64))
    begun = _last_work(pd.Series(ids), work)
    return pd.DataFrame(
        {
            "connection_id": ids,
            "basis": final["basis"].to_numpy(),
            "surveys": count,
            "since": begun,
            "first_date": frame.groupby("connection_id", sort=False)["survey_date"].first().to_numpy(),
            "last_date": final["survey_date"].to_numpy(),
            "last_rise_k": final["rise"].to_numpy(),
            "slope_k_per_year": np.where(enough, slope, np.nan),
            "slope_low_k_per_year": np.where(enough, low, np.nan),
            "slope_high_k_per_year": np.where(enough, high, np.nan),
            "p_value": np.where(enough, p_value, np.nan),
            "next_band_k": next_k,
            "next_band_earliest": _reached(final["day"].to_numpy(), ahead, np.where(enough, high, np.nan), today),
            "next_band_latest": _reached(final["day"].to_numpy(), ahead, np.where(enough, low, np.nan), today),
        }
    )


def _last_work(ids: pd.Series, work: pd.DataFrame) -> pd.Series:
    last = work.drop_duplicates("connection_id", keep="last")
    return take(last["work_date"], positions(last["connection_id"], ids))


def _next_band(final: pd.DataFrame, criteria: Criteria) -> np.ndarray:
    """Lower limit of the first band above each rise, by the basis of its series. [K]"""
    rise = floats(final, "rise")
    limit = np.full(len(final), np.nan)
    for basis in ("similar", "ambient"):
        mine = (final["basis"] == basis).to_numpy()
        for band in reversed(criteria.of(basis)):
            limit = np.where(mine & (rise < band.from_k), band.from_k, limit)
    return limit


def _reached(day: Ints, ahead_k: np.ndarray, slope: np.ndarray, today: int) -> pd.Series:
    """Day a rise that grows by `slope` a year has grown by `ahead_k`; none in a hundred years: none."""
    with np.errstate(divide="ignore", invalid="ignore"):
        wait = np.where(slope > 0, ahead_k / slope, np.inf) * DAYS_A_YEAR
    known = np.isfinite(wait) & (wait < 100 * DAYS_A_YEAR)
    reached = np.maximum(day + np.where(known, wait, 0.0).astype(np.int64), today)
    return dates(reached).where(known)
