"""Theil–Sen and Mann–Kendall against ``scipy.stats.theilslopes`` and ``pymannkendall``."""

from __future__ import annotations

import numpy as np
import pymannkendall
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import theilslopes

from riskscope.physics.slopes import mann_kendall, theil_sen
from tests.examples import examples

series = st.lists(
    st.tuples(st.integers(0, 400), st.integers(-20, 20)), min_size=3, max_size=12, unique_by=lambda pair: pair[0]
)
many = st.lists(
    st.tuples(st.integers(0, 400), st.integers(-20, 20)), min_size=10, max_size=16, unique_by=lambda pair: pair[0]
)


@examples(100)
@given(pairs=series, pad=st.integers(0, 4))
def test_slope_and_interval_equal_the_library(pairs: list[tuple[int, int]], pad: int) -> None:
    times, values = (np.array(v, dtype=float) for v in zip(*sorted(pairs), strict=True))
    padding = np.full(pad, np.nan)
    ours = [float(v[0]) for v in theil_sen([np.append(times, padding)], [np.append(values, padding)])]
    theirs = theilslopes(values, times)
    assert ours == pytest.approx([theirs.slope, theirs.low_slope, theirs.high_slope])


@examples(100)
@given(pairs=many, pad=st.integers(0, 4))
def test_from_ten_readings_the_trend_test_equals_the_library(pairs: list[tuple[int, int]], pad: int) -> None:
    values = np.array([value for _, value in sorted(pairs)], dtype=float)
    s, p = mann_kendall([np.append(values, np.full(pad, np.nan))])
    theirs = pymannkendall.original_test(values)
    assert (float(s[0]), float(p[0])) == pytest.approx((theirs.s, theirs.p))


def test_many_series_at_once_equal_one_by_one() -> None:
    random = np.random.default_rng(2)
    times = np.sort(random.uniform(0, 10, (50, 8)), axis=1)
    values = random.normal(0, 1, (50, 8))
    together = np.array(theil_sen(times, values))
    apart = np.array([[v[0] for v in theil_sen([t], [x])] for t, x in zip(times, values, strict=True)]).T
    assert together == pytest.approx(apart)


@pytest.mark.parametrize("series", [[[1.0]], [[1.0], [2.0]], [[]], [[np.nan]]], ids=str)
def test_series_of_one_reading_have_no_slope(series: list[list[float]]) -> None:
    """A first survey: every series has one reading."""
    assert np.isnan(np.array(theil_sen(series, series))).all()
    s, p = mann_kendall(series)
    assert (s == 0).all()
    assert (p == 1).all()


def test_a_single_reading_has_no_slope() -> None:
    slope, low, high = theil_sen([[1.0, np.nan]], [[2.0, np.nan]])
    assert np.isnan([slope[0], low[0], high[0]]).all()


def test_slope_of_the_cloud_seeding_example() -> None:
    """Hollander and Wolfe, Nonparametric Statistical Methods, 2nd ed., examples 9.1 and 9.2.

    The double ratios of five years of cloud seeding: C = -6 and a slope of -0.056. Data and
    answers are cited from memory; the ten slopes were worked again by hand.
    """
    years, ratios = [[1.0, 2.0, 3.0, 4.0, 5.0]], [[1.26, 1.27, 1.12, 1.16, 1.03]]
    slope, _, _ = theil_sen(years, ratios)
    assert float(slope[0]) == pytest.approx(-0.056, abs=0.0005)
    s, _ = mann_kendall(ratios)
    assert float(s[0]) == -6


def test_the_four_measurements_of_gilbert() -> None:
    """Gilbert, Statistical Methods for Environmental Pollution Monitoring (1987), section 16.4.1.

    10, 15, 14, 20: S = 4. Cited from memory; the six signs were counted again by hand.
    """
    s, _ = mann_kendall([[10.0, 15.0, 14.0, 20.0]])
    assert float(s[0]) == 4
