"""Siblings: which connections should run alike, which of them is the reference, which reads cold."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.analysis.frames import Bools, Ints, codes, floats, is_any, texts
from riskscope.analysis.like_places import COLUMNS as LIKE
from riskscope.analysis.like_places import LINE, LUGS, MADE_OF, NEUTRAL, POLES, WHERE
from riskscope.physics.load import loads_alike
from riskscope.settings import Settings
from riskscope.units import Floats, edge

READS = ("survey_id", "site", "circuit", "device",
         "set equipment", "set circuit", "set group", "set device", "set side", "set point", "set line", "set lugs",
         "phase", "set conductor_material", "set conductor_size", "id_rank", "load_a",
         "connection_c", "rise_ambient_found_k", "current_a", "load_fraction",
         "scale_fraction", "as_found_only", "unfit", "cover closed")  # fmt: skip
WRITES = ("set_code", "group_code", "parallel lugs", "reference of another conductor", "beside its other wire",
          "sibling", "sibling_direct", "reads cold", "beside a cold sibling", "cover_rise_k", "rise_alike_k",
          "load_measure")  # fmt: skip


def siblings(readings: pd.DataFrame, settings: Settings) -> dict[str, object]:
    """The sibling each connection is compared with, and the one of a group that reads cold.

    Siblings are line phases of one `group`, else of one site, equipment, circuit, device and side,
    in one survey and of one kind of point, told apart as in `riskscope.analysis.like_places`.
    ``sibling`` is the position of the reference, −1 where there is none; ``sibling_direct`` where
    it is compared by temperature because there is no air temperature. ``group_code`` is −1 where a
    connection has no siblings; ``set_code`` holds neutrals too.

    Reads
        `READS`
    Writes
        `WRITES`
    """
    set_code, group_code = _groups(readings)
    rank = readings["id_rank"].to_numpy()
    order = np.lexsort((rank, group_code))
    order = order[np.searchsorted(group_code[order], 0) :]
    count = len(readings)
    size = np.bincount(group_code[order]) if len(order) else np.zeros(0, dtype=np.int64)
    too_large = size > settings.group_max
    if too_large.any():
        group_code = np.where((group_code >= 0) & too_large[group_code], -1, group_code)
        order = order[group_code[order] >= 0]
    places = {
        "sibling": np.full(count, -1, dtype=np.int32),
        "sibling_direct": np.zeros(count, dtype=bool),
        "parallel lugs": _parallel(readings),
        "reference of another conductor": np.zeros(count, dtype=bool),
        "beside its other wire": np.zeros(count, dtype=bool),
        "reads cold": np.zeros(count, dtype=bool),
        "beside a cold sibling": np.zeros(count, dtype=bool),
        "cover_rise_k": np.full(count, np.nan),
        "rise_alike_k": np.full(count, np.nan),
        "load_measure": floats(readings, "load_fraction").copy(),
    }
    if len(order):
        group = Sorted(readings, order, group_code[order], settings)
        cold, beside = group.cold()
        reference, direct, coolest = group.reference(cold)
        heat = np.append(group.temperature, np.nan)  # position −1: none
        places["rise_alike_k"][order] = group.temperature - heat[coolest]
        places["sibling"][order] = np.where(reference >= 0, order[reference], -1)
        places["sibling_direct"][order] = direct
        places["reference of another conductor"][order] = group.unlike(reference)
        of_two = is_any(readings, "phase", (NEUTRAL, *POLES))[order]
        places["beside its other wire"][order] = (reference >= 0) & (of_two | of_two[reference])
        places["reads cold"][order] = cold
        places["beside a cold sibling"][order] = beside
        places["cover_rise_k"][order] = group.cover_rise()
        places["load_measure"][order] = group.measure
    return {"set_code": set_code.astype(np.int32), "group_code": group_code.astype(np.int32), **places}


def _groups(readings: pd.DataFrame) -> tuple[Ints, Ints]:
    """Codes of the sets of like connections, with and without what is not a line phase."""
    survey, site = (texts(readings, name) for name in ("survey_id", "site"))
    group, device, side, point = (readings[name] for name in LIKE.values())
    place = codes(*(readings[name] for name in WHERE.values()), device, side)
    named = group.to_numpy() >= 0
    derived = (texts(readings, "circuit").notna() | texts(readings, "device").notna()).to_numpy()
    members = np.where(named, codes(group), -1 - place)
    set_code = codes(survey, site, pd.Series(members))
    set_code = np.where(named | derived, set_code, -1)
    line = readings[LINE].to_numpy(dtype=bool)
    group_code = codes(pd.Series(set_code), point)
    return set_code, np.where(line & (set_code >= 0), group_code, -1)


def _parallel(readings: pd.DataFrame) -> Bools:
    """Lugs of one phase of which the current of each is not known."""
    code, rank = readings[LUGS].to_numpy(), readings["id_rank"].to_numpy()
    made = code >= 0
    if not made.any():
        return made
    load = floats(readings, "load_a")[made]
    its = pd.DataFrame({"code": code[made], "rank": rank[made], "load": load, "lacks": np.isnan(load)})
    of_code = its.groupby("code")
    several = of_code["rank"].transform("min") < of_code["rank"].transform("max")
    copied = of_code["load"].transform("min") == of_code["load"].transform("max")  # of the phase, not of each lug
    made[made] = several.to_numpy() & (of_code["lacks"].transform("any") | copied).to_numpy()
    return made


class Sorted:
    """Readings that have siblings, sorted by group: arrays of one length, groups contiguous."""

    def __init__(self, readings: pd.DataFrame, order: Ints, group_code: Ints, settings: Settings) -> None:
        self.settings = settings
        self.begins = np.flatnonzero(np.append(True, group_code[1:] != group_code[:-1]))
        sizes = np.diff(np.append(self.begins, len(order)))
        self.size = np.repeat(sizes, sizes)
        self.start = np.repeat(self.begins, sizes)
        self.place = np.arange(len(order)) - self.start
        get = {name: readings[name].to_numpy()[order] for name in ("unfit", "cover closed", "as_found_only")}
        self.temperature = floats(readings, "connection_c")[order]
        self.rise = floats(readings, "rise_ambient_found_k")[order]
        self.scale = floats(readings, "scale_fraction")[order]
        self.unfit, self.closed = get["unfit"], get["cover closed"]
        self.as_found_only = get["as_found_only"]
        fraction = floats(readings, "load_fraction")[order]
        self.known = ~np.isnan(fraction)
        current = floats(readings, "current_a")[order]
        in_amps = ~self._any(self.known & np.isnan(current))
        self.measure = np.where(in_amps, current, fraction)
        enough = ~self.known | (edge(fraction) >= settings.reference_load_min)
        self.fit = ~self.unfit & enough & ~np.isnan(self.scale)
        self.made_of = [readings[column].to_numpy()[order] for column in MADE_OF.values()]

    def unlike(self, reference: Ints) -> Bools:
        """Where the conductor of the reference is known to be another than that of the row."""
        pairs = [(value, value[reference]) for value in self.made_of]
        differ = np.logical_or.reduce([(own >= 0) & (its >= 0) & (own != its) for own, its in pairs])
        return (reference >= 0) & differ

    def _any(self, mask: Bools) -> Bools:
        """For each row whether the mask holds anywhere in its group."""
        return np.repeat(np.logical_or.reduceat(mask, self.begins), self.size[self.begins])

    def _largest(self, values: Floats) -> Floats:
        """For each row the largest value of its group, NaN ignored."""
        return np.repeat(np.fmax.reduceat(values, self.begins), self.size[self.begins])

    def others(self) -> object:
        """Pairs of positions (row, other), each row once with each other of its group."""
        for shift in range(1, int(self.size.max())):
            row = np.flatnonzero(self.size > shift)
            yield row, self.start[row] + (self.place[row] + shift) % self.size[row]

    def cold(self) -> tuple[Bools, Bools]:
        """The one sibling of a group that reads cold, and those beside it.

        Of three and more comparable siblings the lowest full-load rise is well below the next, the
        others agree, and it is short of the next by 2 K and more at its own load. It must be so at
        the lowest exponent too: at unequal loads the square law alone makes the heaviest-loaded of
        three healthy phases look cold.
        """
        comparable = self.fit & ~np.isnan(self.rise) & self.known
        largest = self._largest(np.where(comparable, self.measure, np.nan))
        near = edge(self.measure * self.settings.reference_load_factor) >= edge(largest)
        comparable &= near
        cold = np.ones(len(self.rise), dtype=bool)
        for exponent in (self.settings.exponent_low, self.settings.exponent):
            cold &= self._cold_at(comparable, exponent)
        return cold, self._any(cold) & ~cold

    def _cold_at(self, comparable: Bools, exponent: float) -> Bools:
        """`cold` at one exponent."""
        settings = self.settings
        scale = self.scale**-exponent
        rated = self.rise * scale
        comparable = comparable & np.isfinite(rated)
        rated = np.where(comparable, rated, np.inf)
        enough = np.add.reduceat(comparable.astype(np.int64), self.begins) >= 3
        first = np.minimum.reduceat(rated, self.begins)
        lowest = np.flatnonzero(rated == np.repeat(first, self.size[self.begins]))
        lowest = lowest[np.append(True, self.start[lowest][1:] != self.start[lowest][:-1])]
        others = rated.copy()
        others[lowest] = np.inf
        second = np.minimum.reduceat(others, self.begins)[enough]
        last = np.maximum.reduceat(np.where(comparable, rated, -np.inf), self.begins)[enough]
        first, lowest = first[enough], lowest[enough]
        short = (second - first) * self.scale[lowest] ** exponent
        is_cold = (
            (edge(first) < edge(settings.cold_ratio * second))
            & (edge(last) <= edge(settings.cold_agreement * second))
            & (edge(short) >= settings.cold_short_k)
        )
        cold = np.zeros(len(rated), dtype=bool)
        cold[lowest[is_cold]] = True
        return cold

    def reference(self, cold: Bools) -> tuple[Ints, Bools, Ints]:
        """Position of the sibling each row is compared with, and whether by temperature alone.

        By rise over air at full load; by temperature where there is no air temperature, or where a
        like-loaded sibling without one is cooler still. A reading of unknown load is compared with any sibling, as
        found, and any reading with a sibling of unknown load that is clearly cooler than its own. Last the coolest
        sibling at like load.
        """
        by_rise = self._lowest(cold, self.rise * self.scale**-self.settings.exponent, direct=False)
        by_temperature = self._lowest(cold, self.temperature, direct=True)
        heat = np.append(self.temperature, np.nan)  # position −1: none
        airless = np.append(np.isnan(self.rise), False)[by_temperature]
        cooler = airless & (edge(heat[by_temperature]) < edge(heat[by_rise]))
        direct = ((by_rise < 0) & (by_temperature >= 0)) | cooler
        chosen = np.where(direct, by_temperature, by_rise)
        if not self.known.all():
            of_unknown = self._lowest(cold, self.temperature, direct=True, of_unknown=True)
            own = np.where(chosen < 0, self.temperature, heat[chosen])  # a hotter one is no reference
            better = (of_unknown >= 0) & (edge(heat[of_unknown] + self.settings.hot_seen_k) <= edge(own))
            chosen, direct = np.where(better, of_unknown, chosen), direct | better
        return chosen, direct, by_temperature

    def _lowest(self, cold: Bools, value: Floats, *, direct: bool, of_unknown: bool = False) -> Ints:
        """Of the fit others at comparable load the one with the lowest value; ties by id."""
        settings = self.settings
        nothing_known = ~self._any(self.known)
        best = np.full(len(value), np.inf)
        chosen = np.full(len(value), -1, dtype=np.int64)
        for row, other in self.others():  # type: ignore[attr-defined]
            own, its = self.measure[row], self.measure[other]
            unknown = (np.isnan(own) & (direct | nothing_known[row])) | (of_unknown & np.isnan(its))
            low, high = np.minimum(own, its), np.maximum(own, its)
            near = loads_alike(own, its, settings.alike_load)
            if not direct:  # a reading rated as found only is compared at like loads only
                comparable = edge(low * settings.reference_load_factor) >= edge(high)
                near |= comparable & ~self.as_found_only[row]
            usable = self.fit[other] & ~cold[other] & (near | unknown) & ~np.isnan(value[other])
            usable &= ~np.isnan(value[row]) & (edge(value[other]) <= edge(best[row]))
            first = (edge(value[other]) < edge(best[row])) | (self.place[other] < self.place[chosen[row]])
            usable &= first
            best[row[usable]] = value[other[usable]]
            chosen[row[usable]] = other[usable]
        return chosen

    def cover_rise(self) -> Floats:
        """Rise of a closed cover over the coolest other closed cover of its group. [K]"""
        lowest = np.full(len(self.temperature), np.inf)
        for row, other in self.others():  # type: ignore[attr-defined]
            use = self.closed[row] & self.closed[other] & ~np.isnan(self.temperature[other])
            lowest[row[use]] = np.minimum(lowest[row[use]], self.temperature[other[use]])
        return np.where(np.isfinite(lowest), self.temperature - lowest, np.nan)
