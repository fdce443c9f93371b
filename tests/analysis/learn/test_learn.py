"""Learning from findings: posteriors, the model, when it may speak."""

from __future__ import annotations

import datetime as dt
import itertools

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import settings as tries
from hypothesis import strategies as st
from scipy.stats import beta

import riskscope
from riskscope.analysis.learn import model
from riskscope.analysis.learn.examples import examples
from riskscope.analysis.learn.posterior import ORDER, Posterior, State, monotone, posterior, states
from riskscope.settings import Settings
from riskscope.standards import severity
from tests.build import survey

PRIOR = {
    "verified": 0.03,
    "over-torqued": 0.05,
    "doubtful": 0.25,
    "unrecorded": 0.30,
    "under-torqued": 0.60,
    "found loose": 0.95,
}


def frame(seed: int, count: int, law: bool) -> pd.DataFrame:
    """Invented findings: by a known law, or noise of another base rate."""
    random = np.random.default_rng(seed)
    state = random.choice(ORDER, count, p=[0.4, 0.05, 0.15, 0.25, 0.1, 0.05])
    ratio = np.exp(random.normal(0.15, 0.35, count))
    exceedance = np.clip(random.gamma(1.0, 0.5, count), 0, 10)
    made = pd.DataFrame({
        "connection_id": [f"C{n}" for n in range(count)], "equipment": [f"B{n}" for n in random.integers(0, 40, count)],
        "install_state": state, "log_ratio": np.log(np.clip(ratio, 0.2, 20)), "one_joint_hot": (ratio > 1.4).astype(float),
        "all_hot": 0.0, "exceedance": exceedance,
        "reasons": random.integers(0, 3, count).astype(float), "trend": random.normal(0, 1, count), "years_since_work": random.uniform(0, 12, count),
        "aluminium": (random.random(count) < 0.3).astype(float),
    })  # fmt: skip
    made["prior"] = made["install_state"].map(PRIOR)
    made["factor"] = np.clip(0.3 * ratio**6, 0.2, 50)
    place = (
        made["install_state"].map({name: n for n, name in enumerate(ORDER)}).to_numpy(dtype=float)
    )
    logit = (
        -2.8
        + 0.75 * place
        + 1.6 * made["log_ratio"]
        + 0.5 * exceedance
        + 0.06 * made["years_since_work"]
        + 0.4 * made["aluminium"]
    )
    p = 1 / (1 + np.exp(-logit)) if law else np.full(count, 0.4)
    return made.assign(loose=random.random(count) < p)


def test_without_sibling_evidence_it_is_the_beta_binomial() -> None:
    loose = np.array([True] * 7 + [False] * 5)
    mean, low, high = posterior(0.3, loose, np.ones(12))
    exact = beta(10 * 0.3 + 7, 10 * 0.7 + 5)
    assert mean == pytest.approx(exact.mean(), abs=1e-3)
    assert (low, high) == pytest.approx(tuple(exact.ppf([0.025, 0.975])), abs=3e-3)


def test_evidence_of_the_siblings_is_not_counted_twice() -> None:
    loose = np.array([True] * 10)
    assert posterior(0.3, loose, np.full(10, 20.0))[0] < posterior(0.3, loose, np.ones(10))[0]


def test_no_finding_leaves_the_assumed_prior() -> None:
    empty = frame(1, 20, law=True).head(0)
    for state in states(empty, Settings()):
        assert state.mean == pytest.approx(state.prior, abs=2e-3)


@tries(max_examples=60, deadline=None)
@given(
    means=st.lists(st.floats(0.01, 0.99), min_size=6, max_size=6),
    counts=st.lists(st.integers(0, 50), min_size=6, max_size=6),
)
def test_a_worse_record_is_never_less_likely_loose(means: list[float], counts: list[int]) -> None:
    found = [
        State(name, mean, count, 0, mean, 0.0, 1.0)
        for name, mean, count in zip(ORDER, means, counts, strict=True)
    ]
    values = list(monotone(found).values())
    assert all(a <= b + 1e-12 for a, b in itertools.pairwise(values))


def test_the_posterior_speaks_as_a_likelihood() -> None:
    made = riskscope.assess(riskscope.read_frames(on=dt.date(2026, 6, 1), survey=survey(
        *({"connection_id": p, "phase": p, "connection_c": t, "ambient_c": 30.0, "load_pct": 80}
          for p, t in (("A", 60.0), ("B", 41.0), ("C", 41.0))))), on=dt.date(2026, 6, 1),
        likelihood=Posterior(dict.fromkeys(ORDER, 0.5), 12))  # fmt: skip
    by = made.set_index("connection_id")["likelihood_loose"]
    assert by["A"] > 0.5 > by["B"]


def test_calibration_on_held_out_findings_of_a_known_law() -> None:
    """2,000 invented findings, 20 seeds: the mean calibration slope lies within 0.9 to 1.1."""
    from sklearn.linear_model import LogisticRegression

    slopes = []
    for seed in range(20):
        train, test = frame(seed, 2000, law=True), frame(1000 + seed, 2000, law=True)
        p = np.clip(
            model.estimator().fit(train, train["loose"]).predict_proba(test)[:, 1], 1e-6, 1 - 1e-6
        )
        again = LogisticRegression(C=1e6).fit(np.log(p / (1 - p))[:, None], test["loose"])
        slopes.append(float(again.coef_[0, 0]))
    assert 0.9 <= np.mean(slopes) <= 1.1


def test_noise_is_hardly_ever_adopted() -> None:
    """200 seeded sets of findings that are noise of another base rate: adopted in at most 5 %."""
    adopted = sum(model.judge(frame(seed, 120, law=False)).adopted for seed in range(200))
    assert adopted <= 10


def test_a_law_the_prior_does_not_know_is_adopted() -> None:
    verdict = model.judge(frame(3, 2000, law=True))
    assert verdict.adopted, verdict.why
    assert verdict.brier_model < verdict.brier_prior
    assert verdict.reliability["findings"].sum() == 2000


@pytest.mark.parametrize(
    ("count", "words"),
    [(30, "too few findings: 30"), (120, "too few findings: 120")],
    ids=["few", "one kind"],
)
def test_too_few_findings_say_so(count: int, words: str) -> None:
    made = frame(5, count, law=True)
    if count > 50:
        made["loose"] = False
    verdict = model.judge(made)
    assert not verdict.adopted
    assert words in verdict.why


def test_likelihood_never_falls_with_a_worse_record_or_a_larger_ratio() -> None:
    train = frame(3, 2000, law=True)
    fitted = model.judge(train).model
    base = train.head(1)
    rows = pd.concat([base.assign(install_state=state) for state in ORDER])
    assert (np.diff(fitted.predict_proba(rows)[:, 1]) >= -1e-12).all()
    ratios = pd.concat([base.assign(log_ratio=value) for value in np.linspace(-1, 3, 9)])
    assert (np.diff(fitted.predict_proba(ratios)[:, 1]) >= -1e-12).all()


def test_examples_know_only_what_was_known_the_day_before() -> None:
    rows = survey(
        *({"connection_id": p, "phase": p, "connection_c": t, "ambient_c": 30.0, "load_pct": 80}
          for p, t in (("A", 60.0), ("B", 41.0), ("C", 41.0)))
    )  # fmt: skip
    later = rows.assign(survey_date="2026-05-20", connection_c=[95.0, 41.0, 41.0])
    findings = pd.DataFrame([
        {"connection_id": "A", "work_date": "2026-05-10", "as_found": "loose", "action": "tightened"},
        {"connection_id": "B", "work_date": "2026-05-10", "as_found": "tight", "action": "none"},
        {"connection_id": "C", "work_date": "2026-05-10", "as_found": "not checked", "action": "none"},
        {"connection_id": "D", "work_date": "2026-05-10", "as_found": "tight", "action": "none"},
    ])  # fmt: skip
    tables = riskscope.read_frames(
        on=dt.date(2026, 6, 1), survey=pd.concat([rows, later]), findings=findings
    )
    made = examples(tables, Settings(), severity.load()).set_index("connection_id")
    assert made["loose"].to_dict() == {"A": True, "B": False}
    assert made.loc["A", "install_state"] == "unrecorded"
    # 20 K and 11 K over the air at like load: (30 + 1) / (11 + 1) at the smaller exponent
    assert 2.0 < np.exp(made.loc["A", "log_ratio"]) < 3.0
