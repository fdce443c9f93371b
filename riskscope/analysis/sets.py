"""The sets of siblings of a survey as arrays, and what the rises of each say of its members."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, replace
from typing import NamedTuple

import numpy as np
import pandas as pd

from riskscope.analysis.frames import Bools, Ints, any_of, codes, days, floats, is_any, taken
from riskscope.analysis.likelihood import logit
from riskscope.analysis.optics import OF_REFERENCE
from riskscope.physics import evidence as physics
from riskscope.schema.codes import UNFIT
from riskscope.settings import Settings
from riskscope.units import Floats, edge

READS = (
    "group_code",
    "parallel lugs",
    "reads cold",
    "id_rank",
    "survey_date",
    "survey_time",
    "rise_ambient_found_k",
    "connection_c",
    "rise_surveyor_k",
    "similar_load_a",
    "current_a",
    "load_fraction",
    "u_load",
    "one_image",
    "emissivity_used",
    "by_reading",
    "u_radiometric_k",
    "rise not corrected",
    *OF_REFERENCE,
    "reference is hotter",
    "ratable",
    "chance_by_record",
    *UNFIT,
)
# Flags of which one factor is that of every rise of a set, so that it says nothing of one beside the others.
ONE_FACTOR = ("through a window", "emissivity below 0.60")
ANY_LEVEL = 3.0  # spread of the level of a set of which only the differences are known
KNOWN_LEVEL, OF_ONE_FACTOR, NO_AIR = range(3)
ASSUMED = fields(physics.Assumed)


class Members(NamedTuple):
    """Members of sets, arrays of one length.

    Attributes
    ----------
    of_set, kind : ndarray of int
        The set, and whether its level says anything.
    row : ndarray of int
        Place among the readings; −1 for a surveyor's similar component.
    rise_k, u_rise_k, fraction, u_fraction : ndarray
        See `riskscope.physics.evidence.Read`.
    chance : ndarray
        Likelihood before the survey. [-]
    """

    of_set: Ints
    kind: Ints
    row: Ints
    rise_k: Floats
    u_rise_k: Floats
    fraction: Floats
    u_fraction: Floats
    chance: Floats

    def those(self, which: Bools | Ints) -> Members:
        """These of them."""
        return Members(**{name: values[which] for name, values in self._asdict().items()})


def log_factors(readings: pd.DataFrame, wanted: Bools, settings: Settings) -> tuple[Floats, Floats]:
    """Logarithm of the factor on the odds of each reading that it is of a bad joint, by its survey alone.

    All line phases of a group speak at once, lugs of one phase by the current of each; a surveyor's similar component
    is one more, unless it is one of them or clearly hotter than its joint. A reading with a ● flag says nothing, but
    where all of a set carry it and it is one factor for all of them. Where no air temperature is given the differences
    speak, where one of them has none that of the others.

    Parameters
    ----------
    wanted : ndarray of bool
        Readings whose sets are asked for.

    Returns
    -------
    ndarray, ndarray
        With, and without the similar components; NaN where there is nothing to say.

    Reads
        `READS`
    """
    members = _members(readings, wanted, settings)
    every = _by_rows(members, readings, settings)
    compared = members.row < 0
    if not compared.any():
        return every, every
    rest = members.those(any_of(compared, members.of_set) & ~compared)
    without = every.copy()
    without[rest.row] = np.nan
    without[rest.row] = _by_rows(rest, readings, settings)[rest.row]
    return every, without


def _by_rows(members: Members, readings: pd.DataFrame, settings: Settings) -> Floats:
    """The factors of each reading; NaN of what is no member, of one joint without an air temperature, and of what reads
    colder than its siblings allow: that is no sign of a bad joint, nor of a good one."""
    made = np.full(len(readings), np.nan)
    for its, kind in _alike(members):
        if kind == NO_AIR and len(its.row) == 1:
            continue
        real = its.row >= 0
        made[its.row[real]] = (_log_odds(its, kind, settings) - logit(its.chance))[real]
    made[readings["reads cold"].to_numpy(dtype=bool)] = np.nan
    return made


def _log_odds(its: Members, kind: int, settings: Settings) -> Floats:
    """Of sets of one size and kind, as arrays of shape (members, sets)."""
    assumed = physics.Assumed(**{field.name: getattr(settings, f"evidence_{field.name}") for field in ASSUMED})
    exponents = (settings.exponent_low, settings.exponent)
    rise = its.rise_k - its.rise_k.min(axis=0) if kind == NO_AIR else its.rise_k
    read = physics.Read(rise, its.u_rise_k, its.fraction, its.u_fraction)
    if kind == NO_AIR:
        nodes = physics.of_unknown_air(read, exponents, assumed)
    else:
        nodes = physics.of_known_air(exponents, settings.u_ambient_k)
    if kind != KNOWN_LEVEL:
        assumed = replace(assumed, level_spread=ANY_LEVEL)
    return physics.log_odds(read, its.chance, nodes, assumed)


def _alike(members: Members) -> Iterator[tuple[Members, int]]:
    """The sets of each size and kind, each array of shape (members, sets)."""
    _, begins, size = np.unique(members.of_set, return_index=True, return_counts=True)
    its_kind = members.kind[begins]
    for kind in range(3):
        for count in np.unique(size[its_kind == kind]):
            rows = begins[(its_kind == kind) & (size == count)]
            yield members.those(rows + np.arange(count)[:, np.newaxis]), kind


def _members(readings: pd.DataFrame, wanted: Bools, settings: Settings) -> Members:
    """Who speaks in the sets that are asked for, sorted by set."""
    group = readings["group_code"].to_numpy().astype(np.int64)
    count = int(group.max(initial=-1)) + 1
    of_set = np.where(group >= 0, group, count + np.arange(len(group)))
    asked = np.zeros(count + len(group), dtype=bool)
    asked[of_set[wanted]] = True
    rows = np.flatnonzero(asked[of_set])
    rows = rows[_last_of_each(readings, of_set, rows)]
    return _of_rows(taken(readings[[name for name in READS if name in readings]], rows), rows, of_set[rows], settings)


def _last_of_each(readings: pd.DataFrame, of_set: Ints, rows: Ints) -> Bools:
    """Of the readings of a connection in a set, between which it was worked on, the last."""
    rank = readings["id_rank"].to_numpy()[rows]
    key = of_set[rows] * (int(rank.max(initial=0)) + 1) + rank
    if not pd.Series(key).duplicated().any():
        return np.ones(len(rows), dtype=bool)
    time = np.nan_to_num(floats(readings, "survey_time")[rows], nan=-1.0)
    order = np.lexsort((time, days(readings["survey_date"])[rows], key))
    made = np.zeros(len(rows), dtype=bool)
    made[order[np.append(key[order][1:] != key[order][:-1], True)[: len(rows)]]] = True
    return made


def _of_rows(part: pd.DataFrame, rows: Ints, of_set: Ints, settings: Settings) -> Members:
    temperature, rise = floats(part, "connection_c"), floats(part, "rise_ambient_found_k")
    to_similar, fraction = floats(part, "rise_surveyor_k"), floats(part, "load_fraction")
    ratable = part["ratable"].to_numpy(dtype=bool)
    ratable = ratable & ~part[["parallel lugs", "rise not corrected"]].any(axis=1).to_numpy()
    only_similar = np.isnan(temperature) & np.isnan(rise) & ~np.isnan(to_similar)
    of_set = np.where(only_similar, int(of_set.max(initial=0)) + 1 + np.arange(len(rows)), of_set)
    of_set = pd.factorize(of_set)[0].astype(np.int64)
    temperature = np.where(only_similar, 0.0, temperature)
    fit, one_factor = _fit(part, of_set, ratable & ~(np.isnan(temperature) & np.isnan(rise)))
    air = _mean(of_set, temperature - rise, fit)
    rise = np.where(np.isnan(rise), temperature - air, rise)
    no_air = ~any_of(~np.isnan(rise) & fit, of_set)
    place = np.where(no_air, temperature, rise)  # on one scale for a set: over its air, else as read
    speaks = fit & ~np.isnan(place)
    known = speaks & ~np.isnan(fraction)
    others = np.exp(_mean(of_set, np.log(np.where(known, fraction, 1.0)), known))
    unknown = np.isnan(fraction)
    fraction = np.where(unknown, np.nan_to_num(others, nan=1.0), fraction)
    u_fraction = np.where(unknown, settings.evidence_u_load_unknown, floats(part, "u_load"))
    u_read = np.where(is_any(part, "one_image", ("no",)), settings.u_similar_two_images_k, settings.u_similar_k)
    kind = np.where(no_air, NO_AIR, np.where(one_factor, OF_ONE_FACTOR, KNOWN_LEVEL))
    unlike = any_of(~_same(floats(part, "emissivity_used"), of_set), of_set)  # else one factor for all
    u_rise = np.sqrt((u_read * floats(part, "by_reading")) ** 2 / 2 + settings.u_joint_k**2)
    u_rise = np.where(unlike, np.hypot(u_rise, floats(part, "u_radiometric_k")), u_rise)
    chance = floats(part, "chance_by_record")
    every = Members(of_set, kind, rows, place, u_rise, fraction, u_fraction, chance)
    own, compared = every.those(speaks), speaks & ~np.isnan(to_similar)
    compared = compared & ~part[[*OF_REFERENCE, "reference is hotter"]].any(axis=1).to_numpy()
    if not compared.any():
        return own.those(np.argsort(own.of_set, kind="stable"))
    similar = _similar(part, every, compared, settings)
    both = Members(**{name: np.append(values, getattr(similar, name)) for name, values in own._asdict().items()})
    return both.those(np.argsort(both.of_set, kind="stable"))


def _fit(part: pd.DataFrame, of_set: Ints, seen: Bools) -> tuple[Bools, Bools]:
    """What may speak: seen and without a ● flag, or with the same one as all others of its set, which is then one
    factor for all of them; which those are."""
    flags = {name: part[name].to_numpy(dtype=bool) for name in UNFIT}
    unfit = np.logical_or.reduce([*flags.values()])
    fit, one_factor = seen & ~unfit, np.zeros(len(seen), dtype=bool)
    shared = seen & unfit & ~np.logical_or.reduce([mask for name, mask in flags.items() if name not in ONE_FACTOR])
    shared &= ~is_any(part, "one_image", ("no",))
    if not shared.any():
        return fit, one_factor
    optics = codes(*(pd.Series(flags[name]) for name in ONE_FACTOR), part["emissivity_used"].reset_index(drop=True))
    first = np.full(int(of_set.max()) + 1, -1)
    first[of_set[seen][::-1]] = optics[seen][::-1]
    differs = seen & (~shared | (optics != first[of_set]))
    one_factor = shared & ~any_of(differs, of_set) & (np.bincount(of_set[seen], minlength=len(first))[of_set] > 1)
    return fit | one_factor, one_factor


def _similar(part: pd.DataFrame, every: Members, given: Bools, settings: Settings) -> Members:
    """The surveyors' similar components that are none of the set itself, each once for a set."""
    its = every.those(given)
    to_similar = floats(part, "rise_surveyor_k")[given]
    load, current = floats(part, "similar_load_a")[given], floats(part, "current_a")[given]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = load / current
    compared = np.isfinite(share) & (share > 0)
    fraction = np.where(compared, its.fraction * share, its.fraction)
    unknown = ~np.isnan(load) & ~compared
    u_fraction = np.where(unknown, settings.evidence_u_load_unknown, its.u_fraction)
    place = its.rise_k - to_similar
    key = codes(pd.Series(np.append(every.of_set, its.of_set)), pd.Series(edge(np.append(every.rise_k, place))))
    read, asked = key[: len(every.row)], key[len(every.row) :]
    as_warm = np.bincount(read[~np.isnan(every.rise_k)], minlength=int(key.max(initial=0)) + 1)[asked]
    own = edge(place) == edge(its.rise_k)
    is_new = (as_warm - own <= 0) & ~pd.Series(asked).duplicated().to_numpy()
    prior = np.full(len(its.row), settings.prior_similar)
    made = Members(its.of_set, its.kind, np.full(len(its.row), -1), place, its.u_rise_k, fraction, u_fraction, prior)
    return made.those(is_new)


def _mean(of_set: Ints, values: Floats, which: Bools) -> Floats:
    """The mean of those values of each set; NaN where it has none."""
    use = which & ~np.isnan(values)
    count = np.bincount(of_set[use], minlength=int(of_set.max(initial=0)) + 1)
    total = np.bincount(of_set[use], values[use], minlength=len(count))
    with np.errstate(invalid="ignore"):
        return (total / count)[of_set]


def _same(values: Floats, of_set: Ints) -> Bools:
    """Which values are that of the first of their set, or as unknown."""
    first = np.empty(int(of_set.max(initial=0)) + 1)
    first[of_set[::-1]] = values[::-1]
    return (values == first[of_set]) | (np.isnan(values) & np.isnan(first[of_set]))
