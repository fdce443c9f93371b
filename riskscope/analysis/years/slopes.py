"""How the rise of each connection has gone since its last work, at the load of its latest reading."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection

import numpy as np
import pandas as pd

from riskscope.analysis.frames import Bools, Ints, dates, days, floats, is_any, positions, take, with_columns
from riskscope.physics.slopes import COVERAGE_Z, mann_kendall, slope_interval
from riskscope.physics.uncertainty import u_of_difference
from riskscope.settings import Settings
from riskscope.standards.severity import Criteria
from riskscope.units import Floats, edge

DAYS_A_YEAR = 365.25
FEWEST_SURVEYS, FEWEST_FOR_DATES = 4, 5


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


def at_latest_load(readings: pd.DataFrame, work: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """Readings since the last work whose rise can be told at the current of the latest, by connection and day.

    The rise as found times (I_latest / I)^n: by ampere, so that a full load that was changed changes nothing, else by
    the load fraction; only readings within a factor `reference_load_factor` of the latest current. Over similar where
    every reading was compared at like loads, else, or where the latest is rated by the air or its limit, or is the
    cooler, over the air: beside siblings that grow hot a joint would stand still, or fall.

    Returns
    -------
    DataFrame
        ``connection_id survey_date day basis severity load_fraction current_a rise_k rise_low_k rise_high_k u_k
        left_out``: the rise at the latest current by the middle exponent and the ends over the exponents, its standard
        uncertainty, and how many readings of the connection were at too different a load.
    """
    frame = with_columns(readings, {"series": _series(readings, work), "day": days(readings["survey_date"])})
    frame = frame[frame["load_fraction"].gt(0).to_numpy() & frame["ratable"].to_numpy(dtype=bool)]
    last = frame.groupby("connection_id")["series"].transform("max")
    frame = frame[(frame["series"] == last).to_numpy()].sort_values(["connection_id", "day"], kind="stable")
    of_each = frame.groupby("connection_id", sort=False)
    amps = of_each["current_a"].transform("count") == of_each["current_a"].transform("size")
    carried = frame["current_a"].where(amps, frame["load_fraction"])
    ratio = carried.groupby(frame["connection_id"]).transform("last") / carried
    near = (edge(np.fmax(ratio, 1 / ratio)) <= settings.reference_load_factor) & (ratio > 0).to_numpy()
    left_out = pd.Series(~near, index=frame.index).groupby(frame["connection_id"]).transform("sum")
    frame = with_columns(frame, {"ratio": ratio, "left_out": left_out})[near]
    compared = frame["rise_similar_found_k"].notna() & frame["alike"].astype(bool)
    by_id = frame["connection_id"]
    of_air = frame["governing_basis"].isin(["ambient", "limit"]) | (frame["rise_similar_found_k"] < 0)
    of_air = of_air.groupby(by_id).transform("last")
    of_air &= frame["rise_ambient_found_k"].notna().groupby(by_id).transform("all")
    similar = compared.groupby(by_id).transform("all").to_numpy(dtype=bool) & ~of_air.to_numpy(dtype=bool)
    frame = with_columns(frame, {"basis": np.where(similar, "similar", "ambient")})
    rise = np.where(similar, frame["rise_similar_found_k"], frame["rise_ambient_found_k"])
    scale = [frame["ratio"].to_numpy() ** n for n in settings.exponents]
    rises = np.stack([rise * factor for factor in scale])
    made = {
        "rise_k": rises[1],
        "rise_low_k": rises.min(axis=0),
        "rise_high_k": rises.max(axis=0),
        "u_k": np.hypot(_u_found(frame, similar, settings) * scale[1], settings.exponent * rises[1] * frame["u_load"]),
    }
    kept_ = ["connection_id", "survey_date", "day", "basis", "severity", "load_fraction", "current_a", "left_out"]
    return with_columns(frame[kept_], made)[~np.isnan(rise)]


def _u_found(frame: pd.DataFrame, similar: Bools, settings: Settings) -> Floats:
    """Standard uncertainty of each rise as found, but for what is the same every year. [K]"""
    two = is_any(frame, "one_image", ("no",))
    read = np.where(two, settings.u_similar_two_images_k, settings.u_similar_k)
    return np.where(similar, u_of_difference(read, settings.u_joint_k), settings.u_ambient_k)


def trends(
    readings: pd.DataFrame,
    work: pd.DataFrame,
    criteria: Criteria,
    settings: Settings,
    on: dt.date,
    urgent: Collection[str] = (),
) -> pd.DataFrame:
    """How the rise of each connection, at the load of its latest reading, has gone since its last work.

    Two surveys give a change with its interval, four a slope (Theil–Sen) with its own, over the exponents too, and the
    probability of such a trend by chance. From five, while it rises, the days between which the next band would be
    reached at that load, no further ahead than the span seen, and never for what is urgent.

    Parameters
    ----------
    readings : DataFrame
        From `riskscope.assess_readings`: every reading that counts, of every survey.
    work : DataFrame
        From `works`.
    criteria : Criteria
    settings : Settings
    on : date
    urgent : collection of str
        Connections that wait for no date.

    Returns
    -------
    DataFrame
        One row a connection: ``connection_id basis surveys left_out since first_date last_date load_fraction
        last_rise_k change_k change_low_k change_high_k slope_k_per_year slope_low_k_per_year slope_high_k_per_year
        p_value next_band_k next_band_earliest next_band_latest``.
    """
    frame = at_latest_load(readings, work, settings)
    code, ids = pd.factorize(frame["connection_id"])
    count = np.bincount(code, minlength=len(ids))
    place = frame.groupby("connection_id", sort=False).cumcount().to_numpy()
    shape = (len(ids), int(count.max(initial=1)))

    def each(values: Floats) -> Floats:
        """Those of every connection in order of time, NaN where there are no more."""
        made = np.full(shape, np.nan)
        made[code, place] = values
        return made

    years, u = each(frame["day"].to_numpy() / DAYS_A_YEAR), each(frame["u_k"].to_numpy())
    with np.errstate(invalid="ignore"):
        u_series = np.sqrt(np.nansum(u**2, axis=1) / np.fmax(count, 1))
    names = ("rise_k", "rise_low_k", "rise_high_k")
    rises = [each(frame[name].to_numpy()) for name in names]
    slope, low, high = slope_interval(years, rises[0], u_series)
    ends = [slope_interval(years, rise, u_series)[1:] for rise in rises[1:]]
    low, high = np.fmin.reduce([low, *(end[0] for end in ends)]), np.fmax.reduce([high, *(end[1] for end in ends)])
    slope, low, high, p_value = (
        np.where(count >= FEWEST_SURVEYS, part, np.nan) for part in (slope, low, high, mann_kendall(rises[0])[1])
    )
    of_each = frame.groupby("connection_id", sort=False)
    final, first = of_each.last(), of_each["day"].first().to_numpy()
    next_k = _next_band(final, criteria)
    last_rise, day = final["rise_k"].to_numpy(), final["day"].to_numpy()
    dated = (count >= FEWEST_FOR_DATES) & (slope > 0) & ~pd.Series(ids).isin(list(urgent)).to_numpy()
    reached = [_reached(day, next_k - last_rise, np.where(dated, end, np.nan), day - first, on) for end in (high, low)]
    return pd.DataFrame(
        {
            "connection_id": ids,
            "basis": final["basis"].to_numpy(),
            "surveys": count,
            "left_out": final["left_out"].to_numpy(),
            "since": _last_work(pd.Series(ids), work),
            "first_date": of_each["survey_date"].first().to_numpy(),
            "last_date": final["survey_date"].to_numpy(),
            "load_fraction": final["load_fraction"].to_numpy(),
            "last_rise_k": last_rise,
            **_change(rises, u, count),
            "slope_k_per_year": slope,
            "slope_low_k_per_year": low,
            "slope_high_k_per_year": high,
            "p_value": p_value,
            "next_band_k": next_k,
            "next_band_earliest": reached[0],
            "next_band_latest": reached[1],
        }
    )


def _change(rises: list[Floats], u: Floats, count: Ints) -> dict[str, Floats]:
    """How far the latest rise is from the one before, at the load of the latest, with its interval. [K]"""
    row, at = np.arange(len(count)), np.maximum(count - 1, 0)
    before = np.maximum(at - 1, 0)
    changes = np.stack([np.where(count > 1, rise[row, at] - rise[row, before], np.nan) for rise in rises])
    reach = COVERAGE_Z * np.hypot(u[row, at], u[row, before])
    ends = changes.min(axis=0) - reach, changes.max(axis=0) + reach
    return {"change_k": changes[0], "change_low_k": ends[0], "change_high_k": ends[1]}


def _last_work(ids: pd.Series, work: pd.DataFrame) -> pd.Series:
    last = work.drop_duplicates("connection_id", keep="last")
    return take(last["work_date"], positions(last["connection_id"], ids))


def _next_band(final: pd.DataFrame, criteria: Criteria) -> Floats:
    """Lower limit of the first band above each rise, by the basis of its series. [K]"""
    rise = floats(final, "rise_k")
    limit = np.full(len(final), np.nan)
    for basis in ("similar", "ambient"):
        mine = (final["basis"] == basis).to_numpy()
        for band in reversed(criteria.of(basis)):
            limit = np.where(mine & (rise < band.from_k), band.from_k, limit)
    return limit


def _reached(day: Ints, ahead_k: Floats, slope: Floats, span: Ints, on: dt.date) -> pd.Series:
    """Day a rise that grows by `slope` a year has grown by `ahead_k`, not before today; none further ahead than the
    span that was seen."""
    with np.errstate(divide="ignore", invalid="ignore"):
        wait = np.where(slope > 0, ahead_k / slope, np.inf) * DAYS_A_YEAR
    known = wait <= span
    today = int(np.datetime64(on, "D").astype(np.int64))
    reached = np.maximum(day + np.where(known, wait, 0.0).astype(np.int64), today)
    return dates(reached).where(known)
