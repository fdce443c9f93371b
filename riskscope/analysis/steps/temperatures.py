"""True temperatures where the survey gives what that needs, and flags of what the optics hide."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from riskscope import standards
from riskscope.analysis.frames import Bools, codes, floats, is_any, texts
from riskscope.analysis.optics import OF_REFERENCE, OF_SIMILAR, OF_SURFACE
from riskscope.physics.radiometry import Sensitivity, sensitivity, smallest_target_mm, spot_mm, true_temperature
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
CORRECTED_BY = (
    "emissivity",
    "similar_emissivity",
    "surface",
    "window_transmission",
    "transmittance",
    "target_mm",
    "wind_ms",
    "cover",
)
RAISED = (
    "strong wind", "emissivity unknown", "emissivity below 0.60", "emissivity below 0.30", "small target", "wind",
    "through a window", "rise not corrected", "not explained", "reference emissivity below 0.60",
    "reference emissivity below 0.30",
)  # fmt: skip
KNOWN = (np.nan, 0.0, 0.0, 1.0)  # of a surface of which nothing is said
WRITES = ("connection_c", "similar_c", "read_c", "u_radiometric_k", "u_wind_k", *OF_SURFACE, *OF_SIMILAR, *RAISED)


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
            "u_radiometric_k": 0.0,
            "u_wind_k": 0.0,
            **{name: value for names in (OF_SURFACE, OF_SIMILAR) for name, value in zip(names, KNOWN, strict=True)},
        }
    true_e = _emissivity(readings)
    stated = _said_of_some(~np.isnan(true_e), readings)
    low = edge(true_e) < settings.emissivity_low
    hopeless = edge(true_e) < settings.emissivity_none
    window, passed = _transmission(readings)
    behind = is_any(readings, "cover", ("window",))
    corrected, fault, moves = _corrected(readings, floats(readings, "connection_c"), true_e, passed, settings)
    its_e = np.where(np.isnan(other_e := floats(readings, "similar_emissivity")), true_e, other_e)
    similar, _, its_moves = _corrected(readings, floats(readings, "similar_c"), its_e, passed, settings)
    similar = np.where(hopeless | fault, floats(readings, "similar_c"), similar)  # corrected alike, or not at all
    u_wind = np.zeros(len(read))
    wind = floats(readings, "wind_ms")
    outdoors = ~is_any(readings, "place", ("indoor",))
    if settings.wind_correction:
        corrected, similar, u_wind = _calmed(readings, corrected, similar, np.where(outdoors, wind, np.nan), settings)
    its_low, its_hopeless = (
        ~np.isnan(floats(readings, "similar_c")) & (edge(other_e) < edge_)
        for edge_ in (settings.emissivity_low, settings.emissivity_none)
    )
    rises_only = (
        np.isnan(read) & ~np.isnan(true_e) & (edge(np.abs(true_e - floats(readings, "camera_emissivity"))) > 0.01)
    )
    return {
        "connection_c": corrected,
        "similar_c": similar,
        "read_c": read,
        "u_radiometric_k": np.hypot(moves.u_k, u_wind),
        "u_wind_k": u_wind,
        **dict(zip(OF_SURFACE, (true_e, *moves), strict=True)),
        **dict(zip(OF_SIMILAR, (its_e, *its_moves), strict=True)),
        "strong wind": outdoors & (edge(wind) > settings.wind_strong_ms),
        "emissivity unknown": np.isnan(true_e) & stated,
        "emissivity below 0.60": low & ~hopeless,
        "emissivity below 0.30": hopeless,
        "small target": _small(readings, settings),
        "wind": outdoors & (edge(wind) > settings.wind_flag_ms),
        "through a window": behind & np.isnan(window),
        "rise not corrected": rises_only,
        "not explained": fault,
        **dict(zip(OF_REFERENCE, (its_low & ~its_hopeless, its_hopeless), strict=True)),
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
    readings: pd.DataFrame, read: Floats, true_e: Floats, passed: Floats, settings: Settings
) -> tuple[Floats, Bools, Sensitivity]:
    """True temperatures of surfaces, where nothing explains a reading, and how far they move with what is not sure of
    their emissivity (where it is known), of what they reflect, and of the reading."""
    camera, ambient = floats(readings, "camera_emissivity"), floats(readings, "ambient_c")
    reflected = floats(readings, "reflected_c")
    reflected = np.where(
        np.isnan(reflected), np.where(np.isnan(ambient), settings.reflected_default_c, ambient), reflected
    )
    set_reflected = floats(readings, "camera_reflected_c")
    set_reflected = np.where(np.isnan(set_reflected), reflected, set_reflected)
    medium = floats(readings, "atmosphere_c")
    medium = np.where(np.isnan(medium), reflected, medium)
    hopeless = edge(true_e) < settings.emissivity_none
    known = ~np.isnan(true_e) & ~hopeless
    camera = np.where(np.isnan(camera), np.where(known, true_e, 1.0), camera)
    use_e = np.where(known, true_e, camera)
    needs = (known & (use_e != camera)) | (passed < 1.0) | (known & (reflected != set_reflected))
    needs &= ~np.isnan(read) & ~hopeless
    none, sure = np.zeros(len(read), dtype=bool), Sensitivity(*(np.full(len(read), value) for value in KNOWN[1:]))
    seen = (needs | known) & ~np.isnan(read)
    if not seen.any():
        return read, none, sure
    optics: dict[str, Any] = {
        "camera_emissivity": camera,
        "reflected_c": reflected,
        "camera_reflected_c": set_reflected,
        "transmission": passed,
        "medium_c": medium,
    }
    corrected, fault = true_temperature(read, emissivity=use_e, **optics)
    bad = needs & ((fault > 0) | (corrected < COLDEST_C) | (corrected > HOTTEST_C))
    moves = sensitivity(
        read, emissivity=use_e, u_emissivity=settings.u_emissivity, u_reflected_k=settings.u_reflected_k, **optics
    )
    use = seen & ~bad & ~np.isnan(moves.by_emissivity_k + moves.by_reflected_k + moves.by_reading)
    of_emissivity = np.where(known, moves.by_emissivity_k, 0.0)
    told = (of_emissivity, np.where(known, moves.by_reflected_k, 0.0), moves.by_reading)
    return (
        np.where(needs & ~bad, corrected, read),
        bad,
        Sensitivity(*(np.where(use, values, plain) for values, plain in zip(told, KNOWN[1:], strict=True))),
    )


def _calmed(
    readings: pd.DataFrame, corrected: Floats, similar: Floats, wind: Floats, settings: Settings
) -> tuple[Floats, Floats, Floats]:
    """As in still air: rises over the air times a factor, at most 1.5; half of what it adds is not sure.

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
    return corrected + gain, similar + np.where(np.isnan(other), 0.0, other), gain / 2


def _small(readings: pd.DataFrame, settings: Settings) -> Any:
    """Targets smaller than the instrument can measure, where both are known."""
    target = floats(readings, "target_mm")
    distance = floats(readings, "distance_m")
    pixels = smallest_target_mm(floats(readings, "ifov_mrad"), distance, settings.target_pixels)
    spot = spot_mm(distance, floats(readings, "spot_ratio"))
    return (edge(target) < edge(pixels)) | (edge(target) < edge(spot))
