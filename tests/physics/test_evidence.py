"""The evidence of siblings against numerical integration by `scipy` and the figures of the method."""

from __future__ import annotations

import dataclasses
import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import norm

from riskscope.physics import evidence as module
from riskscope.physics.evidence import Assumed, Read, log_odds, of_known_air, of_sets, of_unknown_air
from riskscope.units import Floats
from tests.examples import examples as tries

ASSUMED = Assumed()
NODES = of_known_air((1.6, 2.0), 1.0)


def read(rises: list[float], loads: list[float], u_rise: float = 0.5, u_load: float = 0.03) -> Read:
    """One set."""
    rise, load = np.array(rises)[:, np.newaxis], np.array(loads)[:, np.newaxis]
    return Read(rise, np.full(rise.shape, u_rise), load, np.full(rise.shape, u_load))


def likelihood(odds: Floats) -> Floats:
    return 1 / (1 + np.exp(-odds))


def said(rises: list[float], loads: list[float], priors: list[float], **assumed: float) -> list[float]:
    """Likelihood of each joint of one set whose air is known, u_s²/2 + u_joint² = 0.1875 K²."""
    of_set = read(rises, loads, math.sqrt(0.1875))
    odds = log_odds(of_set, np.array(priors)[:, np.newaxis], NODES, dataclasses.replace(ASSUMED, **assumed))
    return [float(p) for p in likelihood(odds)[:, 0]]


def integrated(x: list[float], v: list[float], prior: list[float], assumed: Assumed) -> list[float]:
    """The likelihood of each joint by numerical integration over the level: the rules of the method, term by term."""
    level, more = math.log(assumed.level_k), math.log(assumed.excess)
    share = 1 - assumed.one_fate
    bad, total = [0.0] * len(x), 0.0
    for states in itertools.product((False, True), repeat=len(x)):
        weight = math.prod(p if is_bad else 1 - p for p, is_bad in zip(prior, states, strict=True))

        def density(mu: float, states: tuple[bool, ...] = states) -> float:
            made = norm.pdf(mu, level, assumed.level_spread)
            for value, variance, is_bad in zip(x, v, states, strict=True):
                spread = math.sqrt(variance + is_bad * assumed.excess_spread**2)
                made *= norm.pdf(value, mu + is_bad * more, spread)
            return float(made)

        seen = share * weight * quad(density, level - 8, level + 8, points=[min(x), max(x)], limit=400)[0]
        total += seen
        bad = [b + seen * is_bad for b, is_bad in zip(bad, states, strict=True)]
    mean = sum(prior) / len(prior)
    for all_bad, weight in ((False, 1 - mean), (True, mean)):
        spread = math.hypot(assumed.level_spread, all_bad * assumed.excess_spread)

        def alike(mu: float, all_bad: bool = all_bad, spread: float = spread) -> float:
            each = math.prod(norm.pdf(value, mu, math.sqrt(s)) for value, s in zip(x, v, strict=True))
            return float(norm.pdf(mu, level + all_bad * more, spread) * each)

        seen = (1 - share) * weight * quad(alike, level - 8, level + 8, points=[min(x), max(x)], limit=400)[0]
        total += seen
        bad = [b + seen * all_bad for b in bad]
    return [b / total for b in bad]


@pytest.mark.parametrize(
    ("x", "v", "prior"),
    [
        ([3.2, 3.2, 4.4], [0.0225] * 3, [0.3] * 3),
        ([3.2, 3.3, 3.25], [0.01, 0.02, 0.04], [0.03, 0.3, 0.6]),
        ([4.6, 4.7], [0.01, 0.3], [0.3, 0.25]),
        ([4.3], [0.02], [0.3]),
        ([2.0, 3.1, 3.9, 4.0], [0.05, 0.01, 0.02, 0.02], [0.3, 0.05, 0.3, 0.95]),
    ],
)
def test_it_is_the_integral_over_the_level(x: list[float], v: list[float], prior: list[float]) -> None:
    """Source: `scipy.integrate.quad` of the densities of `scipy.stats.norm`."""
    shape = (len(x), 1, 1)
    odds = of_sets(
        np.array(x).reshape(shape), np.array(v).reshape(shape), np.array([prior]).T, np.zeros((1, 1)), ASSUMED
    )
    assert likelihood(odds)[:, 0] == pytest.approx(integrated(x, v, prior, ASSUMED), rel=1e-6)


def test_the_figures_of_the_method() -> None:
    """Three even joints of 40 K at 45 %, unrecorded: 0.06 without one fate, 0.73 with it; 41 K at 95 %: 0.10."""
    assert said([40.0] * 3, [0.45] * 3, [0.3] * 3) == pytest.approx([0.73] * 3, abs=0.005)
    assert said([40.0] * 3, [0.45] * 3, [0.3] * 3, one_fate=0.0) == pytest.approx([0.06] * 3, abs=0.01)
    assert said([41.0] * 3, [0.95] * 3, [0.3] * 3) == pytest.approx([0.10] * 3, abs=0.005)


def test_the_nodes_of_the_air_have_its_mean_variance_and_fourth_moment() -> None:
    """Of a normal error of 1 K: 0, 1 and 3, as three nodes of Gauss and Hermite have them."""
    weight = np.exp(NODES.log_weight[:, 0])
    shift = NODES.shift_k[:, 0]
    assert weight.sum() == pytest.approx(1)
    assert [float(weight @ shift**power) for power in (1, 2, 3, 4)] == pytest.approx([0, 1, 0, 3], abs=1e-12)
    assert sorted({*NODES.exponent}) == [1.6, 2.0]


@pytest.mark.parametrize("members", [1, 2, 3, 5, 8])
def test_counted_out_and_in_steps_are_equal(members: int, monkeypatch: pytest.MonkeyPatch) -> None:
    random = np.random.default_rng(members)
    rise, load = random.lognormal(2.8, 1.0, (members, 60)), random.uniform(0.1, 1.1, (members, 60))
    of_sets = Read(rise, np.full(rise.shape, 0.43), load, np.full(rise.shape, 0.03))
    prior = random.choice([0.03, 0.25, 0.3, 0.6, 0.95], rise.shape)
    counted = likelihood(log_odds(of_sets, prior, NODES, ASSUMED))
    monkeypatch.setattr(module, "MOST_COUNTED_OUT", 0)
    assert np.abs(likelihood(log_odds(of_sets, prior, NODES, ASSUMED)) - counted).max() < 1e-3


def test_a_set_of_a_hundred_is_taken_in_steps() -> None:
    """Ninety-nine at 10 K and one at 30 K: that one is bad, the others are not."""
    made = said([10.0] * 99 + [30.0], [0.6] * 100, [0.3] * 100)
    assert made[-1] > 0.99
    assert max(made[:-1]) < 0.1


@tries(60)
@given(st.lists(st.tuples(st.floats(0.5, 80), st.floats(0.1, 1.2), st.floats(0.02, 0.97)), min_size=2, max_size=5))
def test_the_order_of_the_siblings_says_nothing(joints: list[tuple[float, float, float]]) -> None:
    forth = said(*(list(column) for column in zip(*joints, strict=True)))
    back = said(*(list(column) for column in zip(*joints[::-1], strict=True)))
    assert forth == pytest.approx(back[::-1], rel=1e-9, abs=1e-12)


@tries(60)
@given(rise=st.floats(20, 60), more=st.floats(0.5, 40), load=st.floats(0.3, 1.0), prior=st.floats(0.03, 0.9))
def test_a_hotter_one_among_even_siblings_is_never_less_likely_bad(
    rise: float, more: float, load: float, prior: float
) -> None:
    steps = [said([rise + extra, rise, rise], [load] * 3, [prior] * 3)[0] for extra in (0, more, 2 * more)]
    assert steps == sorted(steps)


def test_numbers_far_out_are_no_fault() -> None:
    made = said([0.0, -3.0, 4000.0], [0.001, 1.5, 0.02], [1e-9, 0.5, 1 - 1e-9])
    assert all(0 <= p <= 1 for p in made)
    assert not any(math.isnan(p) for p in made)


def test_without_air_differences_speak_and_their_level_does_not() -> None:
    """Even ones say nothing of all of them; 10 K more is a bad joint; a few kelvin leave it open."""
    flat = dataclasses.replace(ASSUMED, level_spread=3.0)

    def of(differences: list[float]) -> Floats:
        of_set = read(differences, [0.5] * len(differences), math.sqrt(0.1875))
        nodes = of_unknown_air(of_set, (1.6, 2.0), ASSUMED)
        return likelihood(log_odds(of_set, np.full((len(differences), 1), 0.3), nodes, flat))[:, 0]

    assert np.ptp(of([0.0, 0.0, 0.0])) < 1e-9
    assert of([0.0, 0.0, 10.0])[2] > 0.95
    assert 0.3 < of([0.0, 0.0, 3.0])[2] < 0.95


def test_without_air_a_step_counts_by_the_density_of_the_differences() -> None:
    """Each other sibling by 1 over its rise in kelvin, 1 + the difference + that of the coolest."""
    of_set = read([0.0, 10.0], [1.0, 1.0])
    nodes = of_unknown_air(of_set, (2.0,), ASSUMED)
    shift = nodes.shift_k[:, 0]
    weight = np.polynomial.hermite_e.hermegauss(7)[1]
    assert np.exp(nodes.log_weight[:, 0]) == pytest.approx(weight / weight.sum() / (11.0 + shift))
    assert shift[3] == pytest.approx(24.0)
