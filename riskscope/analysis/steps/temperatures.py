"""True temperatures where the survey gives what that needs, and flags of what the optics hide."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from riskscope import standards
from riskscope.analysis.frames import Bools, codes, floats, is_any, texts
from riskscope.physics.radiometry import sensitivity, smallest_target_mm, spot_mm, true_temperature
from riskscope.settings import Settings
from riskscope.standards import emissivity as surfaces
from riskscope.units import Floats, edge

READS = (
    "connection_c", "similar_c", "ambient_c", "rise_similar_k", "rise_ambient_k", "emissivity", "surface",
    "camera_emissivity", "similar_emissivity", "reflected_c", "camera_reflected_c", "window_transmission",
    "transmittance", "atmosphere_c", "cover", "distance_m", "target_mm", "spot_ratio", "ifov_mrad", "wind_ms", "place",
    "source_file",
)  # fmt: skip
COLDEST_C, HOTTEST_C = (-60.0, 1500.0)  # what a survey may hold: beyond it a correction explains nothing
CORRECTED_BY = ("emissivity", "surface", "window_transmission", "transmittance", "target_mm", "wind_ms", "cover")
RAISED = (
    "strong wind", "emissivity unknown", "emissivity below 0.60", "emissivity below 0.30", "small target", "wind",
    "through a window", "rise not corrected", "not explained",
)  # fmt: skip
WRITES = ("connection_c", "similar_c", "read_c", "emissivity_used", "u_radiometric_k", *RAISED)


def temperatures(readings: pd.DataFrame, settings: Settings) -> dict[str, object]:
    """The connection's and the similar component's true temperatures, corrected alike, and the optical flags.

    Corrected where the true emissivity (a number, else the surface's) and the one the instrument was
    set to are both known and differ, and behind a window or air of known transmission. Below an
    emissivity of 0.30 nothing is corrected: such a surface is not measurable this way.

    Reads
        `READS`
    Writes
        `WRITES`
    """
    none = np.zeros(len(readings), dtype=bool)
    flags = dict.fromkeys(RAISED, none)  # where nothing is corrected, none of them is raised
    read = floats(readings, "connection_c")
    if not any(name in readings for name in CORRECTED_BY):
        similar = floats(readings, "similar_c")
        return {
            **flags,
            "connection_c": read,
            "similar_c": similar,
            "read_c": read,
            "emissivity_used": np.nan,
            "u_radiometric_k": 0.0,
        }
    true_e = _emissivity(readings)
    stated = _said_of_some(~np.isnan(true_e), readings)
    low = edge(true_e) < settings.emissivity_low
    hopeless = edge(true_e) < settings.emissivity_none
    window, passed = _transmission(readings)
    behind = is_any(readings, "cover", ("window",))
    corrected, similar, u, fault = _corrected(readings, true_e, passed, hopeless, settings)
    wind = floats(readings, "wind_ms")
    outdoors = ~is_any(readings, "place", ("indoor",))
    if settings.wind_correction:
        corrected, similar, u = _calmed(readings, corrected, similar, u, np.where(outdoors, wind, np.nan), settings)
    rises_only = (
        np.isnan(read) & ~np.isnan(true_e) & (edge(np.abs(true_e - floats(readings, "camera_emissivity"))) > 0.01)
    )
    return {
        "connection_c": corrected,
        "similar_c": similar,
        "read_c": read,
        "emissivity_used": true_e,
        "u_radiometric_k": u,
        "strong wind": outdoors & (edge(wind) > settings.wind_strong_ms),
        "emissivity unknown": np.isnan(true_e) & stated,
        "emissivity below 0.60": low & ~hopeless,
        "emissivity below 0.30": hopeless,
        "small target": _small(readings, settings),
        "wind": outdoors & (edge(wind) > settings.wind_flag_ms),
        "through a window": behind & np.isnan(window),
        "rise not corrected": rises_only,
        "not explained": fault,
    }


def _emissivity(readings: pd.DataFrame) -> Floats:
    """The number of the row, else the middle of what is printed for its surface. [-]"""
    number = floats(readings, "emissivity")
    if "surface" not in readings:
        return number
    named = texts(readings, "surface")
    middles = {}
    for words in named.dropna().unique():
        surface = surfaces.find(str(words))
        middles[words] = np.nan if surface is None else surface.middle
    return np.where(np.isnan(number), named.map(middles).to_numpy(dtype=float), number)


def _transmission(readings: pd.DataFrame) -> tuple[Floats, Floats]:
    """Of the window alone, and of window and air together; 1 where not given. [-]"""
    window, air = floats(readings, "window_transmission"), floats(readings, "transmittance")
    return window, np.where(np.isnan(window), 1.0, window) * np.where(np.isnan(air), 1.0, air)


def _said_of_some(known: Bools, readings: pd.DataFrame) -> Bools:
    """Readings of files that say something of some of their rows: a column that nobody filled in says nothing."""
    if known.all() or not known.any():
        return known
    return pd.Series(known).groupby(codes(readings["source_file"])).transform("any").to_numpy(dtype=bool)


def _corrected(
    readings: pd.DataFrame, true_e: Floats, passed: Floats, hopeless: Any, settings: Settings
) -> tuple[Floats, Floats, Floats, Any]:
    """Connection, similar component, standard uncertainty of their difference, and where nothing explains a reading."""
    read, similar = floats(readings, "connection_c"), floats(readings, "similar_c")
    camera = floats(readings, "camera_emissivity")
    ambient = floats(readings, "ambient_c")
    reflected = floats(readings, "reflected_c")
    reflected = np.where(
        np.isnan(reflected), np.where(np.isnan(ambient), settings.reflected_default_c, ambient), reflected
    )
    set_reflected = floats(readings, "camera_reflected_c")
    set_reflected = np.where(np.isnan(set_reflected), reflected, set_reflected)
    medium = floats(readings, "atmosphere_c")
    medium = np.where(np.isnan(medium), reflected, medium)
    known = ~np.isnan(true_e) & ~hopeless
    camera = np.where(np.isnan(camera), np.where(known, true_e, 1.0), camera)
    use_e = np.where(known, true_e, camera)
    needs = (known & (use_e != camera)) | (passed < 1.0) | (known & (reflected != set_reflected))
    needs &= ~np.isnan(read) & ~hopeless
    u = np.zeros(len(read))
    if not needs.any() and not known.any():
        return read, similar, u, np.zeros(len(read), dtype=bool)
    optics: dict[str, Any] = {
        "camera_emissivity": camera,
        "reflected_c": reflected,
        "camera_reflected_c": set_reflected,
        "transmission": passed,
        "medium_c": medium,
    }
    corrected, fault = true_temperature(read, emissivity=use_e, **optics)
    bad = needs & ((fault > 0) | (corrected < COLDEST_C) | (corrected > HOTTEST_C))
    other_e = floats(readings, "similar_emissivity")
    other, other_fault = true_temperature(similar, emissivity=np.where(np.isnan(other_e), use_e, other_e), **optics)
    good = needs & ~bad
    spread = sensitivity(
        read, emissivity=use_e, u_emissivity=settings.u_emissivity, u_reflected_k=settings.u_reflected_k, **optics
    )
    u = np.where(good, np.nan_to_num(spread), 0.0)
    return (
        np.where(good, corrected, read),
        np.where(good & (other_fault == 0) & ~np.isnan(similar), other, similar),
        u,
        bad,
    )


def _calmed(
    readings: pd.DataFrame, corrected: Floats, similar: Floats, u: Floats, wind: Floats, settings: Settings
) -> tuple[Floats, Floats, Floats]:
    """As in still air: rises over the air times a factor, at most 1.5; the uncertainty grows by half of it.

    The factors are from memory; strong wind is not corrected, it is rated as found only.
    """
    speed, known = (
        np.array([float(row[name]) for row in standards.read("wind_factor")]) for name in ("wind_ms", "factor")
    )
    factor = np.minimum(np.interp(wind, speed, known), settings.wind_factor_max)
    factor = np.where(np.isnan(wind) | (edge(wind) > settings.wind_strong_ms), 1.0, factor)
    air = floats(readings, "ambient_c")
    gain = (corrected - air) * (factor - 1.0)
    gain = np.where(np.isnan(gain) | (gain < 0), 0.0, gain)
    other = (similar - air) * (factor - 1.0)
    return corrected + gain, similar + np.where(np.isnan(other), 0.0, other), np.hypot(u, gain / 2)


def _small(readings: pd.DataFrame, settings: Settings) -> Any:
    """Targets smaller than the instrument can measure, where both are known."""
    target = floats(readings, "target_mm")
    distance = floats(readings, "distance_m")
    pixels = smallest_target_mm(floats(readings, "ifov_mrad"), distance, settings.target_pixels)
    spot = spot_mm(distance, floats(readings, "spot_ratio"))
    return (edge(target) < edge(pixels)) | (edge(target) < edge(spot))
