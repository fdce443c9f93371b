"""Physics: shapes, signs, limits, refusals."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from riskscope.errors import OutOfRange
from riskscope.physics import load, uncertainty
from riskscope.physics.uncertainty import Loaded

fractions = st.floats(0.05, 2.0)
rises = st.floats(-5.0, 100.0)


@given(rise=rises, fraction=fractions, n=st.floats(1.6, 2.0))
def test_full_load_and_back(rise: float, fraction: float, n: float) -> None:
    there = load.rise_at_full_load(rise, fraction, n)
    assert load.rise_at_load(there, fraction, n) == pytest.approx(rise, abs=1e-9)


@given(small=rises, step=st.floats(0.0, 50.0), fraction=fractions)
def test_monotone_in_the_rise(small: float, step: float, fraction: float) -> None:
    assert load.rise_at_full_load(small + step, fraction) >= load.rise_at_full_load(small, fraction)


@pytest.mark.parametrize(
    ("values", "expected"),
    [([3.0, 2.0, 5.0], 2.0), ([-3.0, -2.0, -5.0], -2.0), ([-1.0, 2.0, 3.0], 0.0), ([0.0, 1.0, 2.0], 0.0)],
)
def test_smallest_in_size(values: list[float], expected: float) -> None:
    assert load.smallest_in_size(np.array(values)[:, None]).tolist() == [expected]


def test_smallest_in_size_of_nothing_is_nothing() -> None:
    assert np.isnan(load.smallest_in_size(np.full((3, 1), np.nan))).all()


def test_ratio_of_joints_at_unlike_loads() -> None:
    """(19 + 1) / 0.25 over (4 + 1) / 1 = 16."""
    assert load.resistance_ratio(19.0, 0.5, 4.0, 1.0) == pytest.approx(16.0)


def test_ratio_far_below_ambient_is_none() -> None:
    assert np.isnan(load.resistance_ratio(5.0, 0.5, -1.5, 0.5))


@pytest.mark.parametrize("fraction", [0.0, -0.2])
@pytest.mark.parametrize(
    "work",
    [
        lambda p: load.rise_at_full_load(1.0, p),
        lambda p: load.difference_at_full_load(1.0, p, 1.0, 1.0),
        lambda p: uncertainty.u_single(1.0, p, 1.0, 0.03),
        lambda p: uncertainty.u_siblings(Loaded(1.0, p, 0.03), Loaded(1.0, 1.0, 0.03), False, 0.6, 1.0),
    ],
    ids=["rise", "difference", "u_single", "u_siblings"],
)
def test_no_load_is_refused(work: object, fraction: float) -> None:
    with pytest.raises(OutOfRange, match="must be above 0"):
        work(fraction)  # type: ignore[operator]


@given(rise=rises, fraction=fractions)
def test_uncertainty_grows_as_load_falls(rise: float, fraction: float) -> None:
    lower = fraction * 0.9
    u = [uncertainty.u_single(load.rise_at_full_load(rise, p), p, 0.6, 0.03) for p in (fraction, lower)]
    assert u[1] >= u[0]


def test_shared_load_cancels_between_equal_rises() -> None:
    args = (Loaded(20.0, 1.0, 0.15), Loaded(20.0, 1.0, 0.15))
    shared = uncertainty.u_siblings(*args, True, 0.6, 1.0)
    apart = uncertainty.u_siblings(*args, False, 0.6, 1.0)
    assert shared == pytest.approx(0.6)
    assert apart > 5
