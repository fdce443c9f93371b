"""Random pairs of surfaces seen by one camera: our uncertainty of their difference, and that of Monte Carlo."""

from __future__ import annotations

import numpy as np

from riskscope.physics import radiometry as r
from riskscope.physics.uncertainty import u_of_difference
from riskscope.units import Floats

DRAWS = 20_000
U_EMISSIVITY, U_REFLECTED_K, U_SIMILAR_K, U_JOINT_K, CAMERA = 0.05, 3.0, 0.5, 0.25, 0.95


def pairs_of_surfaces(count: int, same_emissivity: bool) -> tuple[Floats, Floats]:
    """Standard uncertainties by first order and by draws (JCGM 101) of the difference of two true temperatures. [K]

    Readings of 30 to 110 °C, emissivities of 0.5 to 0.95 beside a camera set to 0.95, up to 40 °C reflected,
    10 K and more below the cooler surface: of surfaces as cold as what they reflect the emissivity says nothing.
    Below, ± 0.05 is so large a share of the emissivity that first order says too little; from 0.60 down a reading is
    never firm.
    """
    random = np.random.default_rng(7 + same_emissivity)
    read = random.uniform(30, 110, (2, count))
    emissivity = random.uniform(0.5, 0.95, (2, count))
    emissivity[1] = emissivity[0] if same_emissivity else emissivity[1]
    reflected = np.fmin(random.uniform(10, 40, count), read.min(axis=0) - 10)
    moves = [
        r.sensitivity(T, emissivity=e, reflected_c=reflected, camera_emissivity=CAMERA, camera_reflected_c=reflected)
        for T, e in zip(read, emissivity, strict=True)
    ]
    optical = r.u_between(moves[0][:2], moves[1][:2], np.full(count, same_emissivity))
    noise = np.sqrt(U_SIMILAR_K**2 / 2 * (moves[0].by_reading ** 2 + moves[1].by_reading ** 2))
    ours = np.hypot(u_of_difference(noise, U_JOINT_K), optical)
    return ours, np.array(
        [_drawn(random, *of_pair, same_emissivity) for of_pair in zip(read.T, emissivity.T, reflected, strict=True)]
    )


def _drawn(random: np.random.Generator, read: Floats, emissivity: Floats, reflected: float, same: bool) -> float:
    """Standard deviation of the difference over draws, by the equation of radiometric thermography itself."""
    seen = CAMERA * r.signal(read + random.normal(0, U_SIMILAR_K / np.sqrt(2), (DRAWS, 2)))
    seen += (1 - CAMERA) * r.signal(reflected)
    error = random.normal(0, U_EMISSIVITY, (DRAWS, 2))
    of_surface = emissivity + (error[:, :1] if same else error)
    around = r.signal(reflected + random.normal(0, U_REFLECTED_K, (DRAWS, 1)))
    true_c = r.temperature((seen - (1 - of_surface) * around) / of_surface) + random.normal(0, U_JOINT_K, (DRAWS, 2))
    return float(np.nanstd(true_c[:, 0] - true_c[:, 1]))
