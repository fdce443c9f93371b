"""Slopes of few readings: what the interval covers, by simulation, and exact probabilities by counting orders."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from riskscope.physics.slopes import mann_kendall, slope_interval, theil_sen
from riskscope.units import Floats

SERIES = 8000


def noise(random: np.random.Generator, kind: str, count: int) -> Floats:
    draws = {"normal": random.normal, "laplace": random.laplace, "uniform": random.uniform}
    return np.asarray(draws[kind](-1.0 if kind == "uniform" else 0.0, 1.0, (SERIES, count)))


@pytest.mark.parametrize("kind", ["normal", "laplace", "uniform"])
@pytest.mark.parametrize("count", [4, 6, 10])
@pytest.mark.parametrize("slope", [0.0, 2.5])
def test_the_interval_covers_the_slope_in_93_to_97_of_100(count: int, kind: str, slope: float) -> None:
    random = np.random.default_rng(count)
    times = np.sort(random.uniform(0, count, (SERIES, count)), axis=1)
    _, low, high = slope_interval(times, slope * times + noise(random, kind, count), np.zeros(SERIES))
    assert 0.93 <= ((low <= slope) & (slope <= high)).mean() <= 0.97


def test_sens_interval_alone_would_not() -> None:
    random = np.random.default_rng(4)
    _, low, high = theil_sen(np.tile(np.arange(4.0), (SERIES, 1)), noise(random, "normal", 4))
    assert ((low <= 0) & (high >= 0)).mean() < 0.93


def test_it_is_never_narrower_than_the_readings_make_it() -> None:
    """Readings in a line, each ± 0.5 at 0, 1, 2, 3: ± 1.96 · 0.5 / √5."""
    slope, low, high = slope_interval([[0.0, 1, 2, 3, np.nan]], [[1.0, 2, 3, 4, np.nan]], [0.5])
    assert slope[0] == pytest.approx(1.0)
    assert (low[0], high[0]) == pytest.approx((1 - 0.98 / np.sqrt(5), 1 + 0.98 / np.sqrt(5)), abs=1e-4)


def test_of_two_readings_there_is_no_slope() -> None:
    assert np.isnan(slope_interval([[0.0, 1.0]], [[1.0, 2.0]], [0.1])).all()


def counted(values: tuple[float, ...]) -> float:
    """The share of all orders of the values whose S is as far from 0."""

    def s(order: tuple[float, ...]) -> float:
        return sum(np.sign(b - a) for a, b in itertools.combinations(order, 2))

    far = [abs(s(order)) >= abs(s(values)) for order in itertools.permutations(values)]
    return sum(far) / len(far)


@pytest.mark.parametrize(
    "values",
    [
        (1, 2, 3, 4),
        (1, 2, 4, 3),
        (1, 1, 2, 3),
        (2, 2, 2, 2),
        (1, 1, 2, 2, 3),
        (3, 1, 2, 5, 4, 6),
        (1, 2, 2, 2, 3, 5, 4),
    ],
    ids=str,
)
def test_below_ten_readings_the_probability_is_exact(values: tuple[float, ...]) -> None:
    padded = [[*map(float, values), np.nan, np.nan]]
    assert float(mann_kendall(padded)[1][0]) == pytest.approx(counted(values))


def test_four_that_rise_are_no_rare_thing() -> None:
    """Two of 24 orders rise or fall throughout: p = 0.083, not the 0.09 of the normal curve nor below 0.05."""
    assert float(mann_kendall([[1.0, 2.0, 3.0, 4.0]])[1][0]) == pytest.approx(2 / 24)
