"""The reference of each reading, and the difference to it at full load with its interval."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, fields, replace
from functools import cached_property
from typing import Any

import numpy as np
import pandas as pd

from riskscope.analysis.frames import Bools, floats, is_any
from riskscope.analysis.optics import OF_SIMILAR, OF_SURFACE
from riskscope.physics.load import (
    difference_at_full_load,
    loads_alike,
    resistance_ratio,
    rise_at_full_load,
    smallest_in_size,
)
from riskscope.physics.radiometry import u_between
from riskscope.physics.uncertainty import Loaded, u_of_difference, u_of_log_ratio, u_siblings, u_single
from riskscope.settings import Settings
from riskscope.units import Floats, edge

READS = (
    "rise_surveyor_k", "rise_ambient_found_k", "similar_load_a", "current_a", "load_fraction", "full_load_a",
    "scale_fraction", "as_found_only", "u_load", "one_image", "u_wind_k", "emissivity_used", "by_emissivity_k",
    "by_reflected_k", "by_reading", "similar emissivity_used", "similar by_emissivity_k", "similar by_reflected_k",
    "similar by_reading", "sibling", "sibling_direct", "group_code", "connection_c", "load_measure", "ratable",
)  # fmt: skip
WRITES = (
    "reference",
    "reference at another load",
    "reference load not compared",
    "reference is hotter",
    "reference disagrees with siblings",
    "alike",
    "rise_similar_found_k",
    "rise_similar_rated_k",
    "rise_similar_full_k",
    "u_similar_full_k",
    "low_k",
    "low_end_k",
    "high_k",
    "rise_similar_light_k",
    "rise_similar_light_low_k",
    "rise_similar_light_high_k",
    "within_noise",
    "resistance_ratio",
    "ratio_low",
    "ratio_high",
)


def differences(readings: pd.DataFrame, settings: Settings) -> dict[str, object]:
    """Each reading against its reference: as found, at full load, with its interval.

    The reference is the surveyor's similar component where given, else a sibling. ``reference`` is
    ``surveyor``, ``sibling`` or empty.

    Reads
        `READS`
    Writes
        `WRITES`
    """
    surveyor = _surveyor(readings, settings)
    sibling = _sibling(readings, settings)
    disagree = _disagree(surveyor, sibling, settings)
    pair = surveyor.or_else(sibling)
    reference = np.where(surveyor.exists, "surveyor", np.where(sibling.exists, "sibling", ""))
    low, _ = pair.interval(whole=False)
    low_end, high = pair.interval(whole=True)
    d2, u2 = pair.difference(settings.exponent), pair.u(settings.exponent)
    light = edge(floats(readings, "load_fraction")) < settings.low_load
    light_low, _ = _at_low_load(pair, low, high, light, whole=False)
    light_low_end, light_high = _at_low_load(pair, low_end, high, light, whole=True)
    ratio, ratio_low, ratio_high = pair.ratio()
    within_noise = np.zeros(len(readings), dtype=bool)
    for n in settings.exponents:
        within_noise |= edge(pair.difference(n)) <= edge(settings.coverage * pair.u(n))
    return {
        "reference": pd.Series(reference, dtype="str").where(pair.exists),
        "reference at another load": surveyor.elsewhere,
        "reference is hotter": surveyor.exists
        & surveyor.alike
        & (edge(surveyor.found) < -edge(settings.coverage * surveyor.u_found)),
        "reference load not compared": (
            surveyor.exists & ~np.isnan(floats(readings, "similar_load_a")) & np.isnan(floats(readings, "current_a"))
        )
        | (~surveyor.exists & sibling.exists & _load_known_of_some(readings)),
        "reference disagrees with siblings": disagree,
        "alike": pair.alike & pair.exists,
        "rise_similar_found_k": pair.found,
        "rise_similar_rated_k": pair.rated(),
        "rise_similar_full_k": np.where(pair.scalable, d2, np.nan),
        "u_similar_full_k": u2,
        "low_k": low,
        "low_end_k": low_end,
        "high_k": high,
        "rise_similar_light_k": light_low,
        "rise_similar_light_low_k": light_low_end,
        "rise_similar_light_high_k": light_high,
        "within_noise": within_noise & pair.exists,
        "resistance_ratio": ratio,
        "ratio_low": ratio_low,
        "ratio_high": ratio_high,
    }


def _at_low_load(pair: Pairs, low: Floats, high: Floats, light: Bools, *, whole: bool) -> tuple[Floats, Floats]:
    """The intervals, of readings at low load taken to full load by the factor of that load."""
    if not light.any():
        return low, high
    low, high = low.copy(), high.copy()
    low[light], high[light] = pair.those(light).raised_to(pair.settings.low_load).interval(whole=whole)
    return low, high


def _disagree(surveyor: Pairs, sibling: Pairs, settings: Settings) -> Bools:
    """Where the surveyor's reference and the siblings' are apart by more than their uncertainty."""
    both = surveyor.exists & sibling.exists
    if not both.any():
        return both
    apart = np.abs(surveyor.rated() - sibling.rated())
    n = settings.exponent
    return both & (edge(apart) > edge(settings.coverage * np.hypot(surveyor.u(n), sibling.u(n))))


@dataclass(frozen=True, eq=False)
class Pairs:
    """Readings beside their references, as arrays of one length.

    ``own_load`` where both rises over ambient and both loads are known: each is then taken to full
    load by its own load. Else the difference found is taken there by the connection's load.
    """

    settings: Settings
    exists: Bools
    difference_found: Floats
    alike: Bools
    own_load: Bools
    rise_1: Floats
    load_1: Floats
    u_load_1: Floats
    rise_2: Floats
    load_2: Floats
    u_load_2: Floats
    shared: Bools
    u_reading: Floats
    by_emissivity_1: Floats
    by_reflected_1: Floats
    by_emissivity_2: Floats
    by_reflected_2: Floats
    same_emissivity: Bools
    scalable: Bools
    elsewhere: Bools
    known: dict[tuple[str, float], Floats] = field(default_factory=dict, repr=False)

    @cached_property
    def found(self) -> Floats:
        """Difference as found; NaN where there is no reference. [K]"""
        return np.where(self.exists, self.difference_found, np.nan)

    @cached_property
    def u_found(self) -> Floats:
        """Standard uncertainty of the difference found, but for what is not sure of emissivities and of what is
        reflected: to know an emissivity makes no joint look better. [K]"""
        return u_of_difference(self.u_reading, self.settings.u_joint_k)

    def u_optical(self, scale_1: Floats | float, scale_2: Floats | float) -> Floats:
        """That part, the two temperatures multiplied by these. [K]"""
        if not self.has_optics:
            return np.zeros(len(self.exists))
        of_1 = scale_1 * self.by_emissivity_1, scale_1 * self.by_reflected_1
        return u_between(of_1, (scale_2 * self.by_emissivity_2, scale_2 * self.by_reflected_2), self.same_emissivity)

    def or_else(self, other: Pairs) -> Pairs:
        """These pairs, and where there is none the other's."""
        if not self.exists.any():
            return replace(other, elsewhere=self.elsewhere)
        arrays = [f.name for f in fields(self) if f.name not in {"settings", "elsewhere", "known"}]
        merged = {name: np.where(self.exists, getattr(self, name), getattr(other, name)) for name in arrays}
        return Pairs(settings=self.settings, elsewhere=self.elsewhere, **merged)

    def difference(self, n: float) -> Floats:
        """Difference at full load by exponent n. [K]"""
        return self._once(("difference", n), lambda: self._difference(n))

    def u(self, n: float, *, whole: bool = False) -> Floats:
        """Standard uncertainty of `difference`, the whole of it or as `u_found`. [K]"""
        whole = whole and self.has_optics
        return self._once(("whole u" if whole else "u", n), lambda: self._u(n, whole=whole))

    @cached_property
    def has_optics(self) -> bool:
        """Whether the emissivity of any of them is known."""
        return bool(self.by_emissivity_1.any() or self.by_emissivity_2.any())

    def _once(self, key: tuple[str, float], work: Callable[[], Floats]) -> Floats:
        if key not in self.known:
            self.known[key] = work()
        return self.known[key]

    def _difference(self, n: float) -> Floats:
        own = difference_at_full_load(self.rise_1, self.load_1, self.rise_2, self.load_2, n)
        common = rise_at_full_load(self.found, self.load_1, n)
        return np.where(self.exists, np.where(self.own_load, own, common), np.nan)

    def _u(self, n: float, *, whole: bool) -> Floats:
        this = Loaded(rise_at_full_load(self.rise_1, self.load_1, n), self.load_1, self.u_load_1)
        other = Loaded(rise_at_full_load(self.rise_2, self.load_2, n), self.load_2, self.u_load_2)
        own = u_siblings(this, other, self.shared, self.u_found, self.settings.u_ambient_k, n)
        common = u_single(rise_at_full_load(self.found, self.load_1, n), self.load_1, self.u_found, self.u_load_1, n)
        if not whole:
            return np.where(self.exists, np.where(self.own_load, own, common), np.nan)
        scale = self.load_1**-n
        optical = self.u_optical(scale, np.where(self.own_load, self.load_2**-n, scale))
        return np.where(self.exists, np.hypot(np.where(self.own_load, own, common), optical), np.nan)

    def rated(self) -> Floats:
        """The rated difference: square law at like loads, else the smallest over the exponents."""
        estimates = np.stack([self.difference(n) for n in self.settings.exponents])
        return np.where(self.alike, estimates[-1], smallest_in_size(estimates))

    def interval(self, *, whole: bool) -> tuple[Floats, Floats]:
        """Low and high end at full load over all exponents, with the whole of the uncertainty or as `u_found`. [K]"""
        reach = self.settings.coverage
        u_found = np.hypot(self.u_found, self.u_optical(1.0, 1.0)) if whole else self.u_found
        ends = [(self.difference(n), reach * self.u(n, whole=whole)) for n in self.settings.exponents]
        low = np.min([d - u for d, u in ends], axis=0)
        high = np.max([d + u for d, u in ends], axis=0)
        found_low, found_high = self.found - reach * u_found, self.found + reach * u_found
        over = (self.load_1 > 1) & self.alike
        low = np.where(over, np.fmin(low, found_low), low)
        high = np.where(over, np.fmax(high, found_high), high)
        light = (self.load_1 <= 1) & self.alike
        low = np.where(light, np.fmax(low, found_low), low)
        return low, np.fmax(low, high)

    def those(self, mask: Bools) -> Pairs:
        """These of them."""
        arrays = [f.name for f in fields(self) if f.name not in {"settings", "known"}]
        return replace(self, **{name: getattr(self, name)[mask] for name in arrays}, known={})

    def raised_to(self, fraction: float) -> Pairs:
        """The same rises as if the connection carried at least this, the load of its reference raised in proportion."""
        with np.errstate(divide="ignore", invalid="ignore"):
            factor = np.fmax(fraction / self.load_1, 1.0)
        return replace(self, load_1=self.load_1 * factor, load_2=self.load_2 * factor, known={})

    def ratio(self) -> tuple[Floats, Floats, Floats]:
        """Resistance ratio, the smaller over the exponents, with its interval."""
        settings = self.settings
        known = self.exists & ~np.isnan(self.rise_1) & ~np.isnan(self.rise_2)
        both = [
            resistance_ratio(self.rise_1, self.load_1, self.rise_2, self.load_2, n, settings.ratio_offset_k)
            for n in (settings.exponent_low, settings.exponent)
        ]
        ratio = np.where(known, np.minimum(*both), np.nan)
        with np.errstate(divide="ignore", invalid="ignore"):
            u = u_of_log_ratio(
                Loaded(self.rise_1, self.load_1, self.u_load_1),
                Loaded(self.rise_2, self.load_2, self.u_load_2),
                self.shared,
                self.u_found,
                settings.u_ambient_k,
                settings.exponent,
                settings.ratio_offset_k,
            )
            spread = np.exp(np.minimum(settings.coverage * u, 50.0))
        return ratio, ratio / spread, np.where(known, np.maximum(*both), np.nan) * spread


def _optics(readings: pd.DataFrame, other: dict[str, Floats], settings: Settings) -> dict[str, Any]:
    """What is not sure of two temperatures by what they were read with: the fields of `Pairs`.

    `other` is what `OF_SURFACE` says of the reference of each.
    """
    own = {name: floats(readings, name) for name in OF_SURFACE}
    two = is_any(readings, "one_image", ("no",))
    u_read = np.where(two, settings.u_similar_two_images_k, settings.u_similar_k)
    noise = u_read**2 / 2 * (own["by_reading"] ** 2 + other["by_reading"] ** 2)
    mine, its = own["emissivity_used"], other["emissivity_used"]
    return {
        "u_reading": np.sqrt(noise + floats(readings, "u_wind_k") ** 2),
        "by_emissivity_1": own["by_emissivity_k"],
        "by_reflected_1": own["by_reflected_k"],
        "by_emissivity_2": other["by_emissivity_k"],
        "by_reflected_2": other["by_reflected_k"],
        "same_emissivity": (mine == its) | (np.isnan(mine) & np.isnan(its)),
    }


def _load_known_of_some(readings: pd.DataFrame) -> Bools:
    """Where the load of the reading or of its sibling is not known, but that of others of their group is."""
    position, group = readings["sibling"].to_numpy(), readings["group_code"].to_numpy()
    unknown = np.isnan(floats(readings, "load_measure"))
    either = (position >= 0) & (unknown | unknown[np.where(position < 0, 0, position)])
    if not either.any():
        return either
    known = np.bincount(group[~unknown & (group >= 0)], minlength=int(group.max()) + 1) > 0
    return either & known[group]


def _surveyor(readings: pd.DataFrame, settings: Settings) -> Pairs:
    """Each reading beside the surveyor's similar component."""
    difference, rise = floats(readings, "rise_surveyor_k"), floats(readings, "rise_ambient_found_k")
    load, u_load = floats(readings, "scale_fraction"), floats(readings, "u_load")
    current, its = floats(readings, "current_a"), floats(readings, "similar_load_a")
    as_found = readings["as_found_only"].to_numpy()
    compared = ~np.isnan(its) & ~np.isnan(current)
    alike = ~compared | loads_alike(current, its, settings.alike_load)
    its_load = its / floats(readings, "full_load_a")
    own_load = compared & ~as_found & ~np.isnan(rise) & (its_load > 0)
    given = ~np.isnan(difference)
    elsewhere = given & ~alike & ~own_load
    exists = given & ~elsewhere & ~np.isnan(load)
    return Pairs(
        settings,
        exists=exists,
        difference_found=difference,
        alike=alike,
        own_load=own_load & exists,
        rise_1=rise,
        load_1=load,
        u_load_1=u_load,
        rise_2=rise - difference,
        load_2=np.where(own_load, its_load, load),
        u_load_2=u_load,
        shared=~own_load | (its == current),
        **_optics(
            readings, {name: floats(readings, its) for name, its in zip(OF_SURFACE, OF_SIMILAR, strict=True)}, settings
        ),
        scalable=~as_found,
        elsewhere=elsewhere,
    )


def _sibling(readings: pd.DataFrame, settings: Settings) -> Pairs:
    """Each reading beside the sibling it is compared with."""
    position = readings["sibling"].to_numpy()
    its = np.where(position < 0, 0, position)
    direct = readings["sibling_direct"].to_numpy()
    as_found = readings["as_found_only"].to_numpy()
    temperature, rise = floats(readings, "connection_c"), floats(readings, "rise_ambient_found_k")
    load, measure = floats(readings, "scale_fraction"), floats(readings, "load_measure")
    u_load = floats(readings, "u_load")
    unknown = np.isnan(measure) | np.isnan(measure[its])
    alike = unknown | loads_alike(measure, measure[its], settings.alike_load)
    difference = temperature - temperature[its]
    difference = np.where(np.isnan(difference), rise - rise[its], difference)
    exists = (position >= 0) & ~np.isnan(difference) & ~np.isnan(load) & (alike | ~as_found)
    return Pairs(
        settings,
        exists=exists,
        difference_found=difference,
        alike=alike,
        own_load=~direct & ~as_found & exists,
        rise_1=rise,
        load_1=load,
        u_load_1=u_load,
        rise_2=rise[its],
        load_2=np.where(as_found, load, load[its]),
        u_load_2=u_load[its],
        shared=measure == measure[its],
        **_optics(readings, {name: floats(readings, name)[its] for name in OF_SURFACE}, settings),
        scalable=~as_found,
        elsewhere=np.zeros(len(readings), dtype=bool),
    )
