"""What an infrared instrument takes for a temperature, and the temperature behind it.

In-band radiance is Planck's law integrated over the instrument's band; one table of it, made once a
band, serves both directions. Constants: CODATA 2018, exact since 2019.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from riskscope.units import Floats

C1L = 1.191042972397188e8  # 2 h c², W µm⁴ m⁻² sr⁻¹
C2 = 14387.768775039337  # h c / k, µm K
ZERO_C = 273.15
BAND_UM = (7.5, 14.0)
COLDEST_C, HOTTEST_C, STEP_C = -150.0, 2000.0, 0.25
NODES = 48  # Gauss–Legendre points over the band: error below 1e-9

FAULTS = ("", "emissivity outside 0 to 1", "transmission outside 0 to 1", "no temperature explains the reading",
          "temperature outside the table")  # fmt: skip


def planck(wavelength_um: ArrayLike, temperature_c: ArrayLike) -> Floats:
    """Spectral radiance of a black body.

    Parameters
    ----------
    wavelength_um : array-like
        [µm]
    temperature_c : array-like
        [°C]

    Returns
    -------
    ndarray
        [W m⁻² sr⁻¹ µm⁻¹]
    """
    wave = np.asarray(wavelength_um, dtype=float)
    kelvin = np.asarray(temperature_c, dtype=float) + ZERO_C
    return np.asarray(C1L / wave**5 / np.expm1(C2 / (wave * kelvin)))


def in_band(temperature_c: ArrayLike, band_um: tuple[float, float] = BAND_UM) -> Floats:
    """Radiance of a black body over a band, by Gauss–Legendre quadrature.

    Parameters
    ----------
    temperature_c : array-like, shape (n,)
        [°C]
    band_um : (float, float)
        Lower and upper end. [µm]

    Returns
    -------
    ndarray, shape (n,)
        [W m⁻² sr⁻¹]
    """
    nodes, weights = np.polynomial.legendre.leggauss(NODES)
    low, high = band_um
    wave = (high - low) / 2 * nodes + (high + low) / 2
    values = planck(wave, np.asarray(temperature_c, dtype=float)[..., None])
    return np.asarray((high - low) / 2 * (values @ weights))


@lru_cache(maxsize=8)
def _table(band_um: tuple[float, float]) -> tuple[Floats, Floats]:
    """Temperatures and their in-band radiance, close enough for 0.01 K between them. [°C, W m⁻² sr⁻¹]"""
    temperatures = np.arange(COLDEST_C, HOTTEST_C + STEP_C, STEP_C)
    return temperatures, in_band(temperatures, band_um)


def signal(temperature_c: ArrayLike, band_um: tuple[float, float] | None = BAND_UM) -> Floats:
    """Signal W of a black body: in-band radiance from the table, or T⁴ where `band_um` is None.

    NaN flows through; a temperature outside the table gives NaN.
    """
    temperature_c = np.asarray(temperature_c, dtype=float)
    if band_um is None:
        return (temperature_c + ZERO_C) ** 4
    temperatures, values = _table(band_um)
    interpolated = np.interp(temperature_c, temperatures, values, left=np.nan, right=np.nan)
    return np.asarray(np.where(np.isnan(temperature_c), np.nan, interpolated))


def temperature(value: ArrayLike, band_um: tuple[float, float] | None = BAND_UM) -> Floats:
    """Temperature of a black body that gives a signal; NaN where none does. [°C]"""
    value = np.asarray(value, dtype=float)
    if band_um is None:
        with np.errstate(invalid="ignore"):
            return np.asarray(np.where(value > 0, value, np.nan) ** 0.25 - ZERO_C)
    temperatures, values = _table(band_um)
    interpolated = np.interp(value, values, temperatures, left=np.nan, right=np.nan)
    return np.asarray(np.where(np.isnan(value), np.nan, interpolated))


def true_temperature(
    read_c: ArrayLike,
    *,
    emissivity: ArrayLike,
    camera_emissivity: ArrayLike = 1.0,
    reflected_c: ArrayLike = 20.0,
    camera_reflected_c: ArrayLike | None = None,
    transmission: ArrayLike = 1.0,
    medium_c: ArrayLike = 20.0,
    band_um: tuple[float, float] | None = BAND_UM,
) -> tuple[Floats, NDArray[np.int8]]:
    """Temperature of a surface from what an instrument read with other settings.

    W(T) = [ε_cam W(T_read) + (1 − ε_cam) W(T_refl,cam) − (1 − ε) W(T_refl)] / ε; a window or the air
    of transmission τ < 1, not in the instrument's settings, is taken off first:
    W = (W_measured − (1 − τ) W(T_medium)) / τ. A standard of radiometric thermography, e.g. Vollmer
    and Möllmann, Infrared Thermal Imaging, chapter 2.

    Parameters
    ----------
    read_c : array-like, shape (n,)
        What the instrument showed. [°C]
    emissivity, camera_emissivity : array-like
        True one, and the one set. [-]
    reflected_c, camera_reflected_c : array-like
        Reflected temperature, and the one set (by default the same). [°C]
    transmission : array-like
        Of the window or the air. [-]
    medium_c : array-like
        Temperature of the window or the air. [°C]

    Returns
    -------
    ndarray, shape (n,)
        NaN only with a fault, or where `read_c` is NaN. [°C]
    ndarray of int, shape (n,)
        Index into `FAULTS`; 0 where there is none.
    """
    if camera_reflected_c is None:
        camera_reflected_c = reflected_c
    arrays = np.broadcast_arrays(
        *(
            np.asarray(value, dtype=float)
            for value in (
                read_c,
                emissivity,
                camera_emissivity,
                reflected_c,
                camera_reflected_c,
                transmission,
                medium_c,
            )
        )
    )
    read, true_e, set_e, reflected, set_reflected, passed, medium = arrays
    fault = np.zeros(read.shape, dtype=np.int8)
    with np.errstate(invalid="ignore", divide="ignore"):
        fault[~((true_e > 0) & (true_e <= 1) & (set_e > 0) & (set_e <= 1))] = 1
        fault[(fault == 0) & ~((passed > 0) & (passed <= 1))] = 2
        measured = set_e * signal(read, band_um) + (1 - set_e) * signal(set_reflected, band_um)
        through = (measured - (1 - passed) * signal(medium, band_um)) / passed
        surface = (through - (1 - true_e) * signal(reflected, band_um)) / true_e
        interpolated = temperature(surface, band_um)
    given = ~np.isnan(read)
    fault[(fault == 0) & given & np.isnan(surface)] = 4
    fault[(fault == 0) & given & np.isnan(interpolated)] = 3
    interpolated = np.where(fault > 0, np.nan, interpolated)
    fault[~given] = 0
    same = given & (fault == 0) & (true_e == set_e) & (reflected == set_reflected) & (passed == 1.0)
    return np.where(same, read, interpolated), fault


class Sensitivity(NamedTuple):
    """How far a true temperature moves with what it is made of, each an array of one length.

    Attributes
    ----------
    by_emissivity_k, by_reflected_k : ndarray
        By one standard uncertainty of the emissivity, and of the reflected temperature, with their signs. [K]
    by_reading : ndarray
        By a kelvin of the reading. [K/K]
    """

    by_emissivity_k: Floats
    by_reflected_k: Floats
    by_reading: Floats

    @property
    def u_k(self) -> Floats:
        """Standard uncertainty from emissivity and reflection. [K]"""
        return np.asarray(np.hypot(self.by_emissivity_k, self.by_reflected_k))


def sensitivity(
    read_c: ArrayLike,
    *,
    emissivity: ArrayLike,
    reflected_c: ArrayLike,
    u_emissivity: float = 0.05,
    u_reflected_k: float = 3.0,
    **settings: ArrayLike,
) -> Sensitivity:
    """How far a true temperature moves with its emissivity, its reflected temperature and its reading.

    Derivatives by central differences (JCGM 100, 5.1.3, note 2).

    Parameters
    ----------
    as `true_temperature`
    u_emissivity : float
        [-]
    u_reflected_k : float
        [K]
    """
    read, e = np.asarray(read_c, dtype=float), np.asarray(emissivity, dtype=float)
    reflected = np.asarray(reflected_c, dtype=float)
    step = np.minimum(0.01, np.minimum(e, 1 - e) / 2 + 1e-4)
    up, down = np.minimum(e + step, 1.0), e - step
    rest: dict[str, Any] = {"camera_reflected_c": reflected, **settings}

    def at(read_: Floats, emissivity_: Floats, reflected_: Floats) -> Floats:
        return true_temperature(read_, emissivity=emissivity_, reflected_c=reflected_, **rest)[0]

    by_e = (at(read, up, reflected) - at(read, down, reflected)) / (up - down)
    by_reflected = at(read, e, reflected + 0.5) - at(read, e, reflected - 0.5)
    by_reading = at(read + 0.5, e, reflected) - at(read - 0.5, e, reflected)
    return Sensitivity(by_e * u_emissivity, by_reflected * u_reflected_k, by_reading)


def u_between(this: tuple[Floats, Floats], other: tuple[Floats, Floats], same_emissivity: NDArray[np.bool_]) -> Floats:
    """Standard uncertainty of the difference of two true temperatures from emissivity and reflection.

    Of one emissivity, what is not known of it moves both alike; of two, each its own. What they reflect is one.

    Parameters
    ----------
    this, other : (ndarray, ndarray), shape (n,) each
        ``by_emissivity_k`` and ``by_reflected_k`` of the two; see `Sensitivity`. [K]
    same_emissivity : ndarray of bool, shape (n,)

    Returns
    -------
    ndarray, shape (n,)
        [K]
    """
    from_emissivity = np.where(same_emissivity, np.abs(this[0] - other[0]), np.hypot(this[0], other[0]))
    return np.asarray(np.hypot(from_emissivity, this[1] - other[1]))


def smallest_target_mm(ifov_mrad: ArrayLike, distance_m: ArrayLike, pixels: float = 3.0) -> Floats:
    """Smallest target that is measured, not only seen: so many pixels across. [mm]

    Common practice of makers: 3 × 3 pixels; cited from memory.
    """
    return np.asarray(ifov_mrad, dtype=float) * np.asarray(distance_m, dtype=float) * pixels


def spot_mm(distance_m: ArrayLike, spot_ratio: ArrayLike) -> Floats:
    """Diameter of the spot an instrument of a distance-to-spot ratio looks at. [mm]"""
    return np.asarray(distance_m, dtype=float) * 1000.0 / np.asarray(spot_ratio, dtype=float)
