"""Severity: as found by the published bands, and at full load by our square-law step."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.analysis.frames import floats
from riskscope.analysis.optics import OF_REFERENCE
from riskscope.settings import Settings
from riskscope.standards.severity import Criteria
from riskscope.units import Floats, edge

NEVER_FIRM = ("unfit", "load unknown", "rise not corrected", *OF_REFERENCE)
READS = ("reference", "alike", "rise_alike_k", "rise_similar_found_k", "rise_similar_rated_k", "rise_similar_light_k",
         "rise_similar_light_high_k", "low_k", "low_end_k", "rise_similar_light_low_k",
         "high_k", "u_similar_full_k", "load_fraction",
         "as_found_only", "rise_ambient_found_k", "hot", "beside a cold sibling", "reference is hotter", "reads cold",
         "reference load not compared", "reference of another conductor",
         "beside its other wire", "projected_c", "limit_c", "over_limit_now",
         "over_limit_low", "nearly over its limit", "ratable", "unfit", "load unknown",
         "rise not corrected", "reference emissivity below 0.60", "reference emissivity below 0.30", "connection_c",
         "ambient_low_k", "ambient_high_k", "permitted_rise_k", "limit_rise_k", "limit_low_k",
         "limit_high_k")  # fmt: skip
OF_ANOTHER = ("reference of another conductor", "beside its other wire")
WRITES = ("severity", "severity_as_found", "severity_low", "severity_high", "firm", "s_similar",
          "s_ambient", "s_limit", "within_design", "governing_basis", "exceedance", "rise_rated_k",
          "rise_low_k", "rise_high_k", "seen")  # fmt: skip


def severity(readings: pd.DataFrame, criteria: Criteria, settings: Settings) -> dict[str, object]:
    """Severity of each reading on three bases, and the worst of them.

    NaN where a reading is not rated; that is not 0. `criteria` are printed for the load found:
    scaling lifts a rating by the similar basis at most one band above what was seen or is sure.

    Reads
        `READS`
    Writes
        `WRITES`
    """
    bands = _Bands(readings, criteria, settings)
    rated = bands.similar(bands.rated, bands.light_low)
    s_ambient, within_design, counts_ambient = bands.ambient(floats(readings, "rise_ambient_found_k"))
    s_limit = bands.limit()
    severity_ = bands.worst(rated, s_ambient, counts_ambient, s_limit)
    low = bands.worst(
        bands.similar(bands.low_end, bands.light_low_end),
        bands.ambient(floats(readings, "ambient_low_k"))[0],
        counts_ambient,
        s_limit,
    )
    high = bands.worst(
        bands.similar(bands.high, bands.light_high),
        bands.ambient(floats(readings, "ambient_high_k"))[0],
        counts_ambient,
        s_limit,
    )
    unfit = np.logical_or.reduce([readings[name].to_numpy(dtype=bool) for name in NEVER_FIRM])
    governing = bands.governing(severity_, rated, s_ambient, counts_ambient, s_limit)
    return {
        "severity": severity_,
        "severity_as_found": bands.as_found(),
        "severity_low": low,
        "severity_high": high,
        "firm": (low == high) & ~unfit & ~np.isnan(severity_),
        "s_similar": rated,
        "s_ambient": s_ambient,
        "s_limit": s_limit,
        "within_design": within_design,
        "seen": np.where(bands.has_similar, bands.seen, np.nan),
        **governing,
    }


def next_band(severity: Floats) -> Floats:
    """The next worse severity: 0→1→2→3→4→4."""
    return np.minimum(severity + 1, 4.0)


class _Bands:
    """The quantities of all readings that the three bases share."""

    def __init__(self, readings: pd.DataFrame, criteria: Criteria, settings: Settings) -> None:
        self.criteria, self.settings, self.readings = criteria, settings, readings
        self.ratable = readings["ratable"].to_numpy()
        self.found = floats(readings, "rise_similar_found_k")
        self.alike = readings["alike"].to_numpy()
        fraction = floats(readings, "load_fraction")
        self.light = edge(fraction) < settings.low_load
        self.as_found_only = readings["as_found_only"].to_numpy()
        rated = floats(readings, "rise_similar_rated_k")
        self.rated = np.where((fraction > 1) & self.alike, np.fmax(rated, self.found), rated)
        self.low, self.high = floats(readings, "low_k"), floats(readings, "high_k")
        self.low_end = floats(readings, "low_end_k")
        self.u_full = floats(readings, "u_similar_full_k")
        self.light_low = floats(readings, "rise_similar_light_k")
        self.light_high = floats(readings, "rise_similar_light_high_k")
        self.light_low_end = floats(readings, "rise_similar_light_low_k")
        self.has_similar = readings["reference"].notna().to_numpy() & criteria.has("similar") & self.ratable
        # at unlike loads what is seen is the rise over the coolest sibling at like load, if any
        seen_k = np.where(self.alike, self.found, floats(readings, "rise_alike_k"))
        self.sees = self.has_similar & ~np.isnan(seen_k)
        self.seen = np.where(self.sees, criteria.severity("similar", seen_k), 0.0)
        flags = ("beside a cold sibling", "reference is hotter", "reference load not compared", *OF_ANOTHER)
        self.unfair = np.logical_or.reduce([readings[name].to_numpy(dtype=bool) for name in flags])
        self.rise_ambient = floats(readings, "rise_ambient_found_k")
        self.band_ambient = np.where(self.ratable, criteria.severity("ambient", self.rise_ambient), np.nan)

    def similar(self, rise: Floats, rise_light: Floats) -> Floats:
        """Severity on the similar basis of a full-load rise, or below 40 % load of one by the factor of 40 %.

        There a rating goes one band above what was seen; of unlike loads, of which nothing was seen, to the low end.
        """
        band, seen = self.criteria.severity, self.seen
        sure = next_band(np.fmax(seen, band("similar", self.low)))
        scaled = np.fmax(seen, np.fmin(band("similar", rise), sure))
        noise = edge(rise) <= edge(self.settings.coverage * self.u_full)
        noise &= self.alike | (edge(self.low) <= 0)  # the smallest of several exponents beside the spread of another
        small = self.alike & (edge(self.found) < self.settings.small_rise_k)
        full = np.where(noise | small | self.as_found_only, seen, scaled)
        most = np.fmax(next_band(seen), np.where(self.alike, 0.0, band("similar", self.light_low)))
        light = np.fmax(seen, np.fmin(band("similar", rise_light), most))
        light = np.where(self.as_found_only, seen, light)
        return np.where(self.has_similar, np.where(self.light, light, full), np.nan)

    def ambient(self, rise: Floats) -> tuple[Floats, np.ndarray, np.ndarray]:
        """Severity on the ambient basis as found; where it is within design; where it counts."""
        s = np.where(self.ratable, self.criteria.severity("ambient", rise), np.nan)
        cool = edge(floats(self.readings, "projected_c")) <= edge(floats(self.readings, "limit_c"))
        beside = self.has_similar & ~self.readings["hot"].to_numpy() & ~self.unfair
        within_design = (s == 4) & beside & cool
        counts = ~np.isnan(s) & (~self.has_similar | (self.band_ambient == 4) | self.unfair)
        return np.where(within_design, 3.0, s), within_design, counts

    def limit(self) -> Floats:
        """Severity on the limit basis: 4 over the limit now, 3 at full load for sure, 2 nearly so at low load."""
        now, later, nearly = (
            self.readings[name].to_numpy() for name in ("over_limit_now", "over_limit_low", "nearly over its limit")
        )
        s = np.select([now, later, nearly], [4.0, 3.0, 2.0], 0.0)
        known = now | later | nearly | ~np.isnan(floats(self.readings, "projected_c"))
        return np.where(self.ratable & known, s, np.nan)

    def worst(self, similar: Floats, ambient: Floats, counts: np.ndarray, limit: Floats) -> Floats:
        """The worst of the bases that count; a limit alone rates only what is over it."""
        limit = np.where(self._rests_on_limit(similar, ambient, counts) & ~(limit > 0), np.nan, limit)
        return np.fmax(np.fmax(similar, np.where(counts, ambient, np.nan)), limit)

    @staticmethod
    def _rests_on_limit(similar: Floats, ambient: Floats, counts: np.ndarray) -> np.ndarray:
        return np.isnan(similar) & (np.isnan(ambient) | ~counts)

    def as_found(self) -> Floats:
        """What the published tables themselves say of the reading."""
        similar = np.where(self.sees, self.seen, np.nan)
        counts = np.isnan(similar) | (self.band_ambient == 4) | self.unfair
        return np.fmax(similar, np.where(counts, self.band_ambient, np.nan))

    def governing(
        self, severity: Floats, similar: Floats, ambient: Floats, counts: np.ndarray, limit: Floats
    ) -> dict[str, object]:
        """The basis that gives the severity, its exceedance and the rise it rated, with interval."""
        readings, settings = self.readings, self.settings
        light = self.light & ~self.as_found_only
        rated = np.where(light, self.light_low, self.rated)
        low = np.where(light, self.light_low_end, self.low_end)
        high = np.where(light, self.light_high, self.high)
        limit_c = floats(readings, "limit_c")
        design = settings.design_ambient_c
        air = limit_c - floats(readings, "permitted_rise_k")
        hottest = np.fmax(air + floats(readings, "limit_rise_k"), floats(readings, "connection_c"))
        over = np.stack(
            [
                np.where(similar == severity, rated / self.criteria.worst_from_k("similar"), -np.inf),
                np.where(
                    counts & (ambient == severity), self.rise_ambient / self.criteria.worst_from_k("ambient"), -np.inf
                ),
                np.where((limit == severity) & (limit > 0), (hottest - design) / (limit_c - design), -np.inf),
            ]
        )
        over = np.where(np.isnan(over), -np.inf, over)
        basis = over.argmax(axis=0)
        exists = ~np.isnan(severity) & np.isfinite(over.max(axis=0))
        names = np.array(["similar", "ambient", "limit"], dtype=object)[basis]
        return {
            "governing_basis": pd.Series(names, dtype="str").where(exists),
            "exceedance": np.where(exists, over.max(axis=0), np.nan),
            "rise_rated_k": np.where(
                exists, np.choose(basis, [rated, self.rise_ambient, floats(readings, "limit_rise_k")]), np.nan
            ),
            "rise_low_k": np.where(
                exists,
                np.choose(basis, [low, floats(readings, "ambient_low_k"), floats(readings, "limit_low_k")]),
                np.nan,
            ),
            "rise_high_k": np.where(
                exists,
                np.choose(basis, [high, floats(readings, "ambient_high_k"), floats(readings, "limit_high_k")]),
                np.nan,
            ),
        }
