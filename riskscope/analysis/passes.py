"""Which readings of a survey stand beside which: the passes over each set of siblings."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.analysis.frames import (
    NO_DAY,
    Bools,
    Ints,
    codes,
    days,
    floats,
    is_any,
    kept,
    latest,
    texts,
    with_columns,
)
from riskscope.analysis.like_places import COLUMNS as LIKE
from riskscope.analysis.like_places import WHERE
from riskscope.physics.load import loads_alike
from riskscope.settings import Settings
from riskscope.units import Floats

HOTTER_K = 1.0  # a difference to the coolest reading of a sibling that can matter
PLACE, BORROWED, PAIR, PASS, MEMBERS = "place", "borrowed", "pair", "pass", "members"  # while the rounds are rated


def over_sets(frame: pd.DataFrame, own: Ints, settings: Settings) -> list[pd.DataFrame]:
    """The passes over each set of siblings: a new one begins where a connection is read again.

    A connection that was not read in a pass stands in it with its reading of the nearest day, then of the nearest pass.
    Where it is not sure of which pass a reading is, or what stands in a pass may be unfit to compare with, each reading
    is also compared with the coolest of every sibling at a known load. What is fit also stands in its passes as though
    nothing unfit had been read of its set.
    """
    place = [*(texts(frame, name) for name in ("survey_id", "site")), *(frame[name] for name in WHERE.values())]
    place += [frame[LIKE[part]] for part in ("device", "group")]
    alone = np.logical_and.reduce([texts(frame, name).isna().to_numpy() for name in ("circuit", "device", "group")])
    members = pd.factorize(np.where(alone, own + len(frame), codes(*place)))[0]
    comparable = may_be_compared(frame, settings)
    mine = codes(pd.Series(own), pd.Series(members))  # an id that stands at two places is of two sets
    nth = _passes(members, mine, _in_order(frame, members, mine))
    frame = with_columns(frame, {PLACE: np.arange(len(frame)), BORROWED: False, PASS: nth, MEMBERS: members})
    affected = np.isin(members, members[nth > 0])
    unsure = affected & _unsure(frame, members, own, comparable)
    made = _by_pass(frame, mine, nth, affected, unsure)
    fit = affected & comparable & np.isin(members, members[~comparable])
    if fit.any():
        part, of_set, its = kept(frame, fit), members[fit], mine[fit]
        nth = _passes(of_set, its, _in_order(part, of_set, its))
        made += _by_pass(part, its, nth, affected[fit], unsure[fit])
    return [*made, *_beside_the_coolest(frame, members, own, unsure, comparable, settings)]


def _by_pass(frame: pd.DataFrame, own: Ints, nth: Ints, affected: Bools, unsure: Bools) -> list[pd.DataFrame]:
    """A round for each pass: in the first every set, in the others those that were gone over again."""
    members, day, made = frame[MEMBERS].to_numpy(), days(frame["survey_date"]), []
    for number in range(int(nth.max()) + 1):
        far = np.abs(nth - number) * 2 + (nth > number)
        that_day = latest(int(members.max()) + 1, members[nth == number], day[nth == number])[members]
        nights = np.where(that_day == NO_DAY, 0, np.abs(day - that_day))
        order = np.lexsort((far, nights, nth != number, own))
        nearest = order[np.append(True, np.diff(own[order]) != 0)]
        nearest = np.sort(nearest if number == 0 else nearest[affected[nearest]])
        borrowed = (nth[nearest] != number) & ~unsure[nearest]
        made.append(frame.iloc[nearest].assign(**{BORROWED: borrowed}).reset_index(drop=True))
    return made


def _unsure(frame: pd.DataFrame, members: Ints, own: Ints, comparable: Bools) -> Bools:
    """Readings of sets of which a time is lacking or stands twice, that were read on several days, or partly unfit."""
    time, day = floats(frame, "survey_time"), days(frame["survey_date"])
    twice = pd.DataFrame({"own": own, "day": day, "time": time}).duplicated(keep=False).to_numpy()
    bad = np.isnan(time) | twice | ~comparable
    by_set = pd.Series(day).groupby(members)
    return (pd.Series(bad).groupby(members).transform("any") | (by_set.transform("min") < day)).to_numpy(dtype=bool)


def may_be_compared(frame: pd.DataFrame, settings: Settings) -> Bools:
    """Readings that another may be compared with, as far as they say themselves."""
    with np.errstate(invalid="ignore"):
        below_air = floats(frame, "rise_ambient_found_k") < -settings.coverage * settings.u_ambient_k
    return ~(frame["unfit"].to_numpy(dtype=bool) | below_air)


def _beside_the_coolest(
    frame: pd.DataFrame, members: Ints, own: Ints, unsure: Bools, comparable: Bools, settings: Settings
) -> list[pd.DataFrame]:
    """Rounds in which one reading of a set stands beside the coolest comparable reading of each of its siblings.

    Of a sibling that was read at a like load too, the coolest of those: at unlike loads a warm one can look cold. A
    closed cover stands beside closed covers, at any load.
    """
    heat, closed = floats(frame, "connection_c"), is_any(frame, "cover", ("closed",))
    loads = [floats(frame, name) for name in ("load_pct", "load_a")]
    known = ~np.isnan(loads).all(axis=0) | closed
    usable = unsure & known & (comparable | closed) & ~np.isnan(heat)
    rows = np.flatnonzero(unsure & known & ~np.isnan(heat))
    if not usable.any():
        return []
    at = np.flatnonzero(usable)
    others = pd.DataFrame({"set": members[at], "own": own[at], "closed": closed[at], "heat": heat[at], "at": at})
    subject = pd.DataFrame({"set": members[rows], "own": own[rows], "closed": closed[rows], "subject": rows})
    subject["nth"] = subject.groupby("set").cumcount()
    made = []
    for _, part in subject.groupby("nth"):
        beside = part.merge(others, on=["set", "closed"], suffixes=("", "_its"))
        beside = beside[beside["own"] != beside["own_its"]]
        pair = [(load[beside["subject"]], load[beside["at"]]) for load in loads]
        like = np.logical_or.reduce([loads_alike(mine, its, settings.alike_load) for mine, its in pair])
        by = ["subject", "own_its", "unlike", "heat", "pct", "amperes"]  # as warm at more load is the cooler
        beside = beside.assign(unlike=~like, pct=-loads[0][beside["at"]], amperes=-loads[1][beside["at"]])
        beside = beside.sort_values(by, kind="stable")
        beside = beside.drop_duplicates(["subject", "own_its"])
        hotter = beside[heat[beside["subject"]] - beside["heat"] >= min(HOTTER_K, settings.cover_rise_k)]
        beside = beside[beside["set"].isin(hotter["set"])]
        if len(beside):
            subjects = beside["subject"].drop_duplicates().to_numpy()
            rows_ = np.sort(np.concatenate([subjects, beside["at"].to_numpy()]))
            made.append(frame.iloc[rows_].assign(**{BORROWED: ~np.isin(rows_, subjects)}).reset_index(drop=True))
    return made


def _passes(members: Ints, own: Ints, order: Ints) -> Ints:
    """The pass of each reading, from 0, walking through the readings of every set at once."""
    members, own = pd.factorize(members)[0], pd.factorize(own)[0]
    made = np.zeros(len(own), dtype=np.int64)
    current, last = np.zeros(int(members.max()) + 1, dtype=np.int64), np.full(int(own.max()) + 1, -1)
    sorted_members = members[order]
    nth = pd.Series(sorted_members).groupby(sorted_members, sort=False).cumcount().to_numpy()
    by_nth = np.argsort(nth, kind="stable")
    ends = np.cumsum(np.bincount(nth))
    for begin, end in zip(np.append(0, ends[:-1]), ends, strict=True):
        rows = order[by_nth[begin:end]]
        begun = current[members[rows]]
        begun = np.where(last[own[rows]] >= begun, begun + 1, begun)
        current[members[rows]] = last[own[rows]] = made[rows] = begun
    return made


def heat_of(frame: pd.DataFrame) -> Floats:
    """How hot each was read: its temperature, else the rise that is given. [°C or K]"""
    heat = floats(frame, "connection_c")
    for rise in ("rise_similar_k", "rise_ambient_k"):
        heat = np.where(np.isnan(heat), floats(frame, rise), heat)
    return heat


def _in_order(frame: pd.DataFrame, members: Ints, own: Ints) -> Ints:
    """The readings of each set in order of time; on a day where a time is lacking in order of heat, then of load,
    those that are alike in order of the times they have, as often as their connection was read before.

    Only rows that say the same stand in the order of their lines, else sorting a sheet would change a rating.
    """
    day = days(frame["survey_date"])
    time = floats(frame, "survey_time")
    all_timed = pd.Series(~np.isnan(time)).groupby([members, day]).transform("all").to_numpy()
    heat = heat_of(frame)
    line = frame["source_line"].to_numpy() if "source_line" in frame else np.arange(len(frame))
    ways = [floats(frame, name) for name in ("ambient_c", "load_steady_min", "load_a", "load_pct")]
    keys = [*ways, np.nan_to_num(heat, nan=-np.inf), np.where(all_timed, time, 0.0), day, members]
    order = np.lexsort([line, np.nan_to_num(time, nan=-1.0), *keys])
    before = np.empty(len(own), dtype=np.int64)
    before[order] = pd.Series(own[order]).groupby(own[order]).cumcount()
    return np.lexsort([line, frame["id_rank"].to_numpy(), before, *keys])
