"""Likelihood: the assumed priors, and what the surveys add to their odds."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest

from riskscope.analysis.likelihood import Prior

BASE = {"likelihood_state": "unrecorded", "found_tight_since": False, "evidence": np.nan}


def likelihood(**row: object) -> float:
    return float(Prior().probability(pd.DataFrame([{**BASE, **row}]))[0])


def from_odds(odds: float) -> float:
    return odds / (1 + odds)


@pytest.mark.parametrize(
    ("state", "prior"),
    [("found loose", 0.95), ("under-torqued", 0.60), ("unrecorded", 0.30), ("doubtful", 0.25),
     ("over-torqued", 0.05), ("verified", 0.03)],
)  # fmt: skip
def test_without_evidence_the_record_speaks_alone(state: str, prior: float) -> None:
    assert likelihood(likelihood_state=state) == pytest.approx(prior)


@pytest.mark.parametrize(
    ("row", "factor"),
    [
        ({"evidence": math.log(20)}, 20.0),
        ({"evidence": -2.0}, math.exp(-2.0)),
        ({"found_tight_since": True}, 0.2),
        ({"evidence": math.log(20), "found_tight_since": True}, 4.0),
    ],
)
def test_factor_on_the_odds(row: dict[str, object], factor: float) -> None:
    assert likelihood(**row) == pytest.approx(from_odds(0.3 / 0.7 * factor))


@pytest.mark.parametrize(("evidence", "end"), [(1e4, 1.0), (-1e4, 0.0)])
def test_evidence_beyond_all_measure_is_no_fault(evidence: float, end: float) -> None:
    assert likelihood(evidence=evidence) == pytest.approx(end, abs=1e-9)


def test_never_falls_with_more_evidence_or_a_worse_state() -> None:
    values = [likelihood(evidence=e) for e in (-3.0, -1.0, 0.0, 1.0, 3.0, 9.0)]
    assert values == sorted(values)
    order = ["verified", "over-torqued", "doubtful", "unrecorded", "under-torqued", "found loose"]
    states = [likelihood(likelihood_state=s) for s in order]
    assert states == sorted(states)
