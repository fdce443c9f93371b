"""Likelihood: priors, factors and their product, by hand."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from riskscope.analysis.likelihood import Prior

BASE = {
    "likelihood_state": "unrecorded",
    "reference": "sibling",
    "low_k": 5.0,
    "resistance_ratio": 1.0,
    "pattern": "even",
    "found_tight_since": False,
    "reference load not compared": False,
    "severity_before_work": np.nan,
    "ratable": True,
}


def likelihood(**row: object) -> float:
    return float(Prior().probability(pd.DataFrame([{**BASE, **row}]))[0])


def from_odds(odds: float) -> float:
    return odds / (1 + odds)


@pytest.mark.parametrize(
    ("state", "prior"),
    [("found loose", 0.95), ("under-torqued", 0.60), ("unrecorded", 0.30), ("doubtful", 0.25),
     ("over-torqued", 0.05), ("verified", 0.03)],
)  # fmt: skip
def test_without_a_reference_the_record_speaks_alone(state: str, prior: float) -> None:
    assert likelihood(likelihood_state=state, reference=None) == pytest.approx(prior)


@pytest.mark.parametrize(
    ("row", "factor"),
    [
        ({"low_k": -1.0}, 0.3),
        ({"low_k": 0.0, "resistance_ratio": 2.0}, 0.3),
        ({"low_k": 0.1, "resistance_ratio": 2.0}, 0.3 * 64),
        ({"resistance_ratio": 2.0}, 0.3 * 64),
        ({"resistance_ratio": 5.0}, 50.0),
        ({"resistance_ratio": 0.5}, 0.2),
        ({"resistance_ratio": float("nan")}, 1.0),
        ({"resistance_ratio": float("nan"), "pattern": "one joint hot"}, 0.3 * 1.4**6),
        ({"low_k": -1.0, "pattern": "all hot beyond load"}, 1.8),
        ({"low_k": -1.0, "found_tight_since": True}, 0.06),
        ({"resistance_ratio": 2.0, "severity_before_work": 4.0}, 1.0),
        ({"low_k": -1.0, "reference load not compared": True}, 1.0),
    ],
)
def test_factor_of_the_siblings(row: dict[str, object], factor: float) -> None:
    assert likelihood(**row) == pytest.approx(from_odds(0.3 / 0.7 * factor))


def test_never_falls_with_a_larger_ratio_or_a_worse_state() -> None:
    ratios = [likelihood(resistance_ratio=r) for r in (0.5, 1.0, 1.4, 2.0, 3.0, 9.0)]
    assert ratios == sorted(ratios)
    order = ["verified", "over-torqued", "doubtful", "unrecorded", "under-torqued", "found loose"]
    states = [likelihood(likelihood_state=s) for s in order]
    assert states == sorted(states)
