"""Radiometry against computed vectors, ``scipy.constants`` and ``scipy.integrate``."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants, integrate

from riskscope.physics import radiometry as r
from tests.examples import examples
from tests.published.surfaces import pairs_of_surfaces

VECTORS = pd.read_csv(Path(__file__).parent / "radiometry_vectors.csv", comment="#")
# In-band radiance 7.5-14 um, W m^-2 sr^-1: computed, checked twice.
RADIANCE = {0: 37.53, 20: 53.16, 30: 62.28, 50: 83.21, 80: 121.48, 100: 151.58, 150: 242.48, 200: 354.37}


@pytest.mark.parametrize("row", list(VECTORS.itertuples(index=False)), ids=str)
def test_the_seven_vectors(row: pd.Series) -> None:
    for band, expected in ((None, row.true_c_grey), (r.BAND_UM, row.true_c_planck)):
        found, fault = r.true_temperature(
            row.read_c, emissivity=row.emissivity, reflected_c=row.reflected_c, band_um=band
        )
        assert fault == 0
        assert float(found) == pytest.approx(expected, abs=0.005 if expected != 101.1 else 0.05)


@pytest.mark.parametrize(("celsius", "radiance"), RADIANCE.items())
def test_in_band_radiance(celsius: int, radiance: float) -> None:
    assert float(r.in_band(celsius)) == pytest.approx(radiance, abs=0.0051)


def test_constants_are_those_of_codata() -> None:
    assert pytest.approx(2 * constants.h * constants.c**2 * 1e24, rel=1e-12) == r.C1L
    assert pytest.approx(constants.h * constants.c / constants.k * 1e6, rel=1e-12) == r.C2
    assert constants.zero_Celsius == r.ZERO_C


@pytest.mark.parametrize("celsius", [-40.0, 0.0, 62.5, 300.0, 1000.0])
def test_the_integral_is_that_of_a_library(celsius: float) -> None:
    exact, _ = integrate.quad(lambda wave: float(r.planck(wave, celsius)), *r.BAND_UM, epsabs=0, epsrel=1e-12)
    assert float(r.in_band(celsius)) == pytest.approx(exact, rel=1e-9)


def test_all_of_planck_is_stefan_boltzmann() -> None:
    exact, _ = integrate.quad(lambda wave: float(r.planck(wave, 100.0)), 0.3, 2000.0, limit=500)
    assert exact == pytest.approx(constants.sigma * 373.15**4 / np.pi, rel=1e-4)


def test_the_table_is_close_enough_from_minus_40_to_1000() -> None:
    celsius = np.linspace(-40.0, 1000.0, 9973)
    assert np.abs(r.temperature(r.in_band(celsius)) - celsius).max() < 0.01


@examples(100)
@given(
    true=st.floats(-20, 600),
    emissivity=st.floats(0.1, 1.0),
    reflected=st.floats(-10, 60),
    camera=st.floats(0.5, 1.0),
    passed=st.floats(0.4, 1.0),
    grey=st.booleans(),
)
def test_there_and_back(
    true: float, emissivity: float, reflected: float, camera: float, passed: float, grey: bool
) -> None:
    """What an instrument would read of a known surface gives the surface's temperature again."""
    band = None if grey else r.BAND_UM
    surface = emissivity * r.signal(true, band) + (1 - emissivity) * r.signal(reflected, band)
    measured = passed * surface + (1 - passed) * r.signal(22.0, band)
    shown = r.temperature((measured - (1 - camera) * r.signal(reflected, band)) / camera, band)
    if np.isnan(shown):
        return
    found, fault = r.true_temperature(
        shown,
        emissivity=emissivity,
        camera_emissivity=camera,
        reflected_c=reflected,
        transmission=passed,
        medium_c=22.0,
        band_um=band,
    )
    assert fault == 0
    assert float(found) == pytest.approx(true, abs=0.01)


def test_two_lugs_of_one_emissivity() -> None:
    """60 and 58 °C read at 0.95, both really 0.60, reflected 25 °C: 2.8 K apart, not 18.7."""
    both, _ = r.true_temperature([60.0, 58.0], emissivity=0.60, camera_emissivity=0.95, reflected_c=25.0)
    assert float(both[0] - both[1]) == pytest.approx(2.8, abs=0.05)
    one, _ = r.true_temperature(60.0, emissivity=0.60, camera_emissivity=0.95, reflected_c=25.0)
    assert float(one) - 58.0 == pytest.approx(18.7, abs=0.6)


def test_what_a_window_hides() -> None:
    """A window of 0.5 at 20 °C before a body of 80 °C: the reading is far lower, the correction exact."""
    seen = r.temperature(0.5 * r.in_band(80.0) + 0.5 * r.in_band(20.0))
    assert float(seen) < 55.0
    found, _ = r.true_temperature(seen, emissivity=1.0, transmission=0.5, medium_c=20.0)
    assert float(found) == pytest.approx(80.0, abs=0.01)


@pytest.mark.parametrize(
    ("arguments", "fault"),
    [
        ({"emissivity": 0.0}, "emissivity outside 0 to 1"),
        ({"emissivity": 1.2}, "emissivity outside 0 to 1"),
        ({"emissivity": float("nan")}, "emissivity outside 0 to 1"),
        ({"emissivity": 0.9, "transmission": 0.0}, "transmission outside 0 to 1"),
        ({"emissivity": 0.1, "reflected_c": 90.0}, "no temperature explains the reading"),
    ],
    ids=["zero", "above one", "missing", "no transmission", "reflection alone"],
)
def test_faults_are_told_and_never_silent(arguments: dict[str, float], fault: str) -> None:
    found, code = r.true_temperature(40.0, **arguments)
    assert np.isnan(found)
    assert r.FAULTS[int(code)] == fault


def test_a_missing_reading_is_no_fault() -> None:
    found, code = r.true_temperature([np.nan, 50.0], emissivity=0.9)
    assert np.isnan(found[0])
    assert code.tolist() == [0, 0]


def test_uncertainty_grows_as_emissivity_falls() -> None:
    u = r.sensitivity(np.full(4, 60.0), emissivity=np.array([0.95, 0.8, 0.6, 0.3]), reflected_c=np.full(4, 25.0)).u_k
    assert (np.diff(u) > 0).all()
    assert u[3] > 5 * u[0]


@pytest.mark.parametrize("same", [True, False], ids=["one emissivity", "two"])
def test_the_uncertainty_of_a_difference_is_that_of_monte_carlo(same: bool) -> None:
    """JCGM 101: draws of emissivity, reflected temperature, readings and joints. tests/long has 2,000 pairs."""
    ours, drawn = pairs_of_surfaces(150, same)
    assert np.abs(ours / drawn - 1).max() < 0.07


def test_spot_and_pixel_examples() -> None:
    """1.3 mrad at 2 m, 3 pixels: 7.8 mm. 60:1 at 3 m: a spot of 50 mm. Makers' arithmetic, from memory."""
    assert float(r.smallest_target_mm(1.3, 2.0)) == pytest.approx(7.8)
    assert float(r.spot_mm(3.0, 60.0)) == pytest.approx(50.0)
