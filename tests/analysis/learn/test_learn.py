"""Learning from findings: posteriors, the model, when it may speak."""

from __future__ import annotations

import datetime as dt
import itertools

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import beta

from riskscope.analysis.assess import assess as assess_tables
from riskscope.analysis.learn import model
from riskscope.analysis.learn.examples import before, examples, features
from riskscope.analysis.learn.posterior import ORDER, OfHotJoints, Posterior, State, monotone, posterior, states
from riskscope.intake.read import read_frames
from riskscope.schema.tables import Tables, refused
from riskscope.settings import Settings
from riskscope.standards import severity
from tests.build import survey
from tests.examples import examples as tries

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
    made = pd.DataFrame(
        {
            "connection_id": [f"C{n}" for n in range(count)],
            "equipment": [f"B{n}" for n in random.integers(0, 40, count)],
            "install_state": state,
            "evidence": np.log(np.clip(0.3 * ratio**6, 0.2, 50)),
            "hot": ratio > 1.4,
            "one_joint_hot": (ratio > 1.4).astype(float),
            "all_hot": 0.0,
            "exceedance": exceedance,
            "reasons": random.integers(0, 3, count).astype(float),
            "trend": random.normal(0, 1, count),
            "years_since_work": random.uniform(0, 12, count),
            "aluminium": (random.random(count) < 0.3).astype(float),
        }
    )
    made["prior"] = made["install_state"].map(PRIOR)
    made["factor"] = np.clip(0.3 * ratio**6, 0.2, 50)
    place = made["install_state"].map({name: n for n, name in enumerate(ORDER)}).to_numpy(dtype=float)
    logit = (
        -2.8
        + 0.75 * place
        + 1.6 * np.log(ratio)
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
    assert (low, high) == pytest.approx(tuple(exact.ppf([0.025, 0.975])), abs=2e-3)


def test_evidence_of_the_siblings_is_not_counted_twice() -> None:
    loose = np.array([True] * 10)
    assert posterior(0.3, loose, np.full(10, 20.0))[0] < posterior(0.3, loose, np.ones(10))[0]


def test_no_finding_leaves_the_assumed_prior() -> None:
    empty = frame(1, 20, law=True).head(0)
    for state in states(empty, Settings()):
        assert state.mean == pytest.approx(state.prior, abs=2e-3)


@tries(60)
@given(
    means=st.lists(st.floats(0.01, 0.99), min_size=6, max_size=6),
    counts=st.lists(st.integers(0, 50), min_size=6, max_size=6),
)
def test_a_worse_record_is_never_less_likely_loose(means: list[float], counts: list[int]) -> None:
    found = [
        State(name, mean, count, 0, mean, 0.0, 1.0) for name, mean, count in zip(ORDER, means, counts, strict=True)
    ]
    values = list(monotone(found).values())
    assert all(a <= b + 1e-12 for a, b in itertools.pairwise(values))


def test_the_posterior_speaks_as_a_likelihood() -> None:
    made = assess_tables(
        read_frames(
            on=dt.date(2026, 6, 1),
            survey=survey(
                *(
                    {"connection_id": p, "phase": p, "connection_c": t, "ambient_c": 30.0, "load_pct": 80}
                    for p, t in (("A", 60.0), ("B", 41.0), ("C", 41.0))
                )
            ),
        ),
        on=dt.date(2026, 6, 1),
        likelihood=Posterior(dict.fromkeys(ORDER, 0.5), 12),
    )
    by = made.connections.set_index("connection_id")["likelihood_loose"]
    assert by["A"] > 0.5 > by["B"]


def test_calibration_on_held_out_findings_of_a_known_law() -> None:
    """2,000 invented findings, 20 seeds: the mean calibration slope lies within 0.9 to 1.1."""
    from sklearn.linear_model import LogisticRegression

    slopes = []
    for seed in range(20):
        train, test = frame(seed, 2000, law=True), frame(1000 + seed, 2000, law=True)
        fitted = model.fit(train, train["loose"].to_numpy(dtype=float))
        p = np.clip(fitted.probability(test), 1e-6, 1 - 1e-6)
        again = LogisticRegression(C=1e6).fit(np.log(p / (1 - p))[:, None], test["loose"])
        slopes.append(float(again.coef_[0, 0]))
    assert 0.9 <= np.mean(slopes) <= 1.1


def adopted_of_noise(sets: int) -> int:
    """Of so many seeded sets of findings that are noise of another base rate, how many a model was adopted on."""
    return sum(model.judge(frame(seed, 120, law=False)).adopted for seed in range(sets))


@pytest.mark.long
def test_noise_is_hardly_ever_adopted() -> None:
    """Of 20 sets at most 5 %; of 200 in tests/long."""
    assert adopted_of_noise(20) <= 1


def test_a_law_the_prior_does_not_know_is_adopted() -> None:
    verdict = model.judge(frame(3, 2000, law=True))
    assert verdict.adopted, verdict.why
    assert verdict.brier_model < verdict.brier_prior
    assert verdict.reliability["findings"].sum() == 2000


@pytest.mark.parametrize(
    ("count", "words"), [(30, "too few findings: 30"), (120, "too few findings: 120")], ids=["few", "one kind"]
)
def test_too_few_findings_say_so(count: int, words: str) -> None:
    made = frame(5, count, law=True)
    if count > 50:
        made["loose"] = False
    verdict = model.judge(made)
    assert not verdict.adopted
    assert words in verdict.why


def test_likelihood_never_falls_with_a_worse_record_or_more_evidence() -> None:
    train = frame(3, 2000, law=True)
    fitted = model.judge(train).model
    base = train.head(1)
    rows = pd.concat([base.assign(install_state=state, prior=PRIOR[state]) for state in ORDER])
    assert (np.diff(fitted.probability(rows)) >= -1e-12).all()
    ratios = pd.concat([base.assign(evidence=value, factor=np.exp(value)) for value in np.linspace(-3, 6, 9)])
    assert (np.diff(fitted.probability(ratios)) >= -1e-12).all()


def test_examples_know_only_what_was_known_the_day_before() -> None:
    rows = survey(
        *(
            {"connection_id": p, "phase": p, "connection_c": t, "ambient_c": 30.0, "load_pct": 80}
            for p, t in (("A", 60.0), ("B", 41.0), ("C", 41.0))
        )
    )
    later = rows.assign(survey_date="2026-05-20", connection_c=[95.0, 41.0, 41.0])
    findings = pd.DataFrame(
        [
            {"connection_id": "A", "work_date": "2026-05-10", "as_found": "loose", "action": "tightened"},
            {"connection_id": "B", "work_date": "2026-05-10", "as_found": "tight", "action": "none"},
            {"connection_id": "C", "work_date": "2026-05-10", "as_found": "not checked", "action": "none"},
            {"connection_id": "D", "work_date": "2026-05-10", "as_found": "tight", "action": "none"},
        ]
    )
    tables = read_frames(on=dt.date(2026, 6, 1), survey=pd.concat([rows, later]), findings=findings)
    made = examples(tables, Settings(), severity.load()).set_index("connection_id")
    assert made["loose"].to_dict() == {"A": True, "B": False}
    assert made.loc["A", "install_state"] == "unrecorded"
    # 20 K and 11 K over the air at like load: (30 + 1) / (11 + 1) at the smaller exponent
    assert made.loc["A", "evidence"] > 3.0


def test_the_posterior_of_a_state_and_its_siblings() -> None:
    """Without evidence the likelihood is that of the state; found tight since it has a fifth of its odds."""
    row = {"likelihood_state": "doubtful", "found_tight_since": False, "evidence": np.nan}
    rows = pd.DataFrame([row, {**row, "evidence": np.log(19.2)}, {**row, "found_tight_since": True}])
    speaks = Posterior({**dict.fromkeys(ORDER, 0.9), "doubtful": 0.2}, 12)
    odds = 0.25 * 19.2
    assert speaks.probability(rows) == pytest.approx([0.2, odds / (1 + odds), 0.05 / 1.05])
    assert speaks.name == "priors with 12 findings"


def test_states_that_came_out_in_the_wrong_order_are_pooled_by_their_weights() -> None:
    """0.5 of 10 + 10 and 0.2 of 10 + 30 are pooled to (0.5 · 20 + 0.2 · 40) / 60 = 0.3; equal ones stay."""
    means, counts = [0.1, 0.1, 0.5, 0.2, 0.6, 0.9], [0, 0, 10, 30, 0, 0]
    found = [State(name, mean, n, 0, mean, 0.0, 1.0) for name, mean, n in zip(ORDER, means, counts, strict=True)]
    assert list(monotone(found).values()) == pytest.approx([0.1, 0.1, 0.3, 0.3, 0.6, 0.9])


def test_three_states_in_the_wrong_order_become_one() -> None:
    """0.6, 0.4 and 0.2, each of weight 10: 0.4 for all."""
    means = [0.6, 0.4, 0.2, 0.7, 0.8, 0.9]
    found = [State(name, mean, 0, 0, mean, 0.0, 1.0) for name, mean in zip(ORDER, means, strict=True)]
    assert list(monotone(found).values()) == pytest.approx([0.4, 0.4, 0.4, 0.7, 0.8, 0.9])


def known(**columns: object) -> pd.DataFrame:
    """One row of an assessment, as far as features read it."""
    base = {
        "connection_id": "A",
        "equipment": "B1",
        "likelihood_state": "doubtful",
        "install_reasons": "",
        "pattern": "even",
        "exceedance": 0.4,
        "severity": 1.0,
        "evidence": 2.0,
        "found_tight_since": False,
        "last_work_date": pd.NaT,
    }
    return pd.DataFrame([{**base, **columns}])


@pytest.mark.parametrize(
    ("columns", "feature", "value"),
    [
        ({}, "prior", 0.25),
        ({}, "factor", np.exp(2.0)),
        ({}, "evidence", 2.0),
        ({"evidence": np.nan}, "evidence", 0.0),
        ({"evidence": 40.0}, "evidence", 10.0),
        ({}, "hot", False),
        ({"severity": 2.0}, "hot", True),
        ({"pattern": "all hot beyond load"}, "hot", True),
        ({}, "exceedance", 0.4),
        ({"exceedance": 14.0}, "exceedance", 10.0),
        ({"exceedance": np.nan}, "exceedance", 0.0),
        ({"pattern": "one joint hot"}, "one_joint_hot", 1.0),
        ({"pattern": "all hot beyond load"}, "all_hot", 1.0),
        ({"pattern": "all hot beyond load"}, "one_joint_hot", 0.0),
        ({}, "reasons", 0.0),
        ({"install_reasons": "a"}, "reasons", 1.0),
        ({"install_reasons": "a; b; c"}, "reasons", 3.0),
        ({"conductor_material": "AL"}, "aluminium", 1.0),
        ({"conductor_material": "copper"}, "aluminium", 0.0),
        ({"last_work_date": pd.Timestamp("2024-06-01")}, "years_since_work", 730 / 365.25),
        ({"last_work_date": pd.Timestamp("1980-06-01")}, "years_since_work", 40.0),
        ({}, "years_since_work", 0.0),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_what_a_model_sees(columns: dict[str, object], feature: str, value: float) -> None:
    made = features(known(**columns), dt.date(2026, 6, 1), Settings())
    assert made[feature].iloc[0] == pytest.approx(value)


@pytest.mark.parametrize(("slope", "seen"), [(2.5, 2.5), (30.0, 10.0), (-30.0, -10.0)])
def test_a_trend_is_seen_within_10_k_a_year(slope: float, seen: float) -> None:
    made = features(known(), dt.date(2026, 6, 1), Settings(), pd.Series({"A": slope}))
    assert made["trend"].iloc[0] == seen
    assert features(known(), dt.date(2026, 6, 1), Settings())["trend"].iloc[0] == 0.0


def test_a_weight_never_has_the_sign_the_trade_knows_to_be_wrong() -> None:
    """Findings of a law in which a larger exceedance means a tighter joint: its weight is 0, not below."""
    made = frame(3, 2000, law=True)
    logit = 2.0 - 3.0 * made["exceedance"]
    made["loose"] = np.random.default_rng(1).random(2000) < 1 / (1 + np.exp(-logit))
    assert model.judge(made).coefficients["exceedance"] == 0.0


def test_the_power_of_the_evidence_is_learned_where_cool_joints_were_opened_and_never_below_0() -> None:
    """Of joints that are loose whatever their siblings say the evidence loses its power; of hot ones alone it stays."""
    made = frame(3, 3000, law=True)
    made["loose"] = np.random.default_rng(2).random(3000) < 0.4
    fitted = model.judge(made).model
    at = model.NAMES.index(model.POWER)
    assert -1.0 <= fitted.weights[at] / fitted.spread[at] < -0.85
    assert model.judge(made.assign(hot=True)).model.weights[at] == 0.0


def aluminium(seed: int, signal: bool, count: int = 120) -> pd.DataFrame:
    """Findings of unrecorded joints on 24 boards, half of them aluminium: loose 4 % and 40 %, or 22 % of both."""
    random = np.random.default_rng(seed)
    of_aluminium = random.random(count) < 0.5
    chance = np.where(of_aluminium, 0.40, 0.04) if signal else np.full(count, 0.22)
    made = frame(seed, count, law=False).assign(
        install_state="unrecorded", evidence=0.0, one_joint_hot=0.0, hot=False, exceedance=0.0, reasons=1.0, trend=0.0
    )
    return made.assign(
        prior=0.30,
        factor=1.0,
        aluminium=of_aluminium.astype(float),
        loose=random.random(count) < chance,
        equipment=[f"B{n % 24}" for n in range(count)],
    )


def adopted_of_aluminium(sets: int, signal: bool) -> int:
    return sum(model.judge(aluminium(seed, signal)).adopted for seed in range(sets))


def test_a_real_signal_is_found_at_120_findings() -> None:
    """Of 20 sets at least 17; of 100 in tests/long."""
    assert adopted_of_aluminium(20, signal=True) >= 17


@pytest.mark.parametrize(
    ("count", "loose", "enough"), [(50, 10, True), (49, 10, False), (50, 9, False), (50, 40, True), (50, 41, False)]
)
def test_how_many_findings_it_takes(count: int, loose: int, enough: bool) -> None:
    made = frame(5, count, law=True).assign(loose=np.arange(count) < loose)
    assert ("too few findings" in model.judge(made).why) != enough


def test_findings_of_one_board_test_nothing() -> None:
    assert "all findings are of one board" in model.judge(frame(5, 200, law=True).assign(equipment="B1")).why


def test_the_error_of_a_gain_is_the_larger_of_both() -> None:
    """Two boards of two findings: 1, 1 and 0, 0. Over findings √(1/3) / 2 = 0.289; over boards, one draw each,
    √(((2 − 1)² + (0 − 1)²) · 2 / 1) / 4 = 0.5.
    """
    boards = pd.Series(["a", "a", "b", "b"])
    assert model._grouped_error(np.array([1.0, 1.0, 0.0, 0.0]), boards) == pytest.approx(0.5)
    # mixed within boards: nothing between them, so the plain one
    assert model._grouped_error(np.array([1.0, 0.0, 1.0, 0.0]), boards) == pytest.approx(np.sqrt(1 / 3) / 2)


def test_what_raises_a_likelihood_most_comes_first() -> None:
    train = frame(3, 2000, law=True)
    fitted = model.judge(train).model
    base = train.head(1).assign(
        install_state="verified", exceedance=0.0, evidence=0.0, one_joint_hot=0.0, aluminium=0.0, years_since_work=0.0
    )
    hot = base.assign(exceedance=9.0)
    words = model.causes(fitted, pd.concat([hot, base]), most=2)
    assert words[0][0] == "exceedance"
    assert len(words[0]) <= 2
    assert "exceedance" not in words[1]


def test_the_assumed_likelihood_of_examples() -> None:
    """Odds 0.25 / 0.75 · 19.2 = 6.4: 6.4 / 7.4."""
    rows = pd.DataFrame({"prior": [0.25, 0.03], "factor": [19.2, 1e-9]})
    assert model.assumed(rows) == pytest.approx([6.4 / 7.4, 1e-4])


@pytest.mark.parametrize(
    ("column", "day", "kept"),
    [("survey_date", "2026-05-09", True), ("survey_date", "2026-05-10", False), ("survey_date", None, True)],
    ids=["the day before", "the day after", "without a day"],
)
def test_what_was_known_on_a_day(column: str, day: str | None, kept: bool) -> None:
    rows = pd.DataFrame({"connection_id": ["A"], column: [pd.Timestamp(day)]})
    register = pd.DataFrame({"connection_id": ["A"]})
    made = before(Tables({"survey": rows, "connections": register}, refused([])), dt.date(2026, 5, 9))
    assert ("survey" in made) == kept
    assert "connections" in made


def test_the_model_is_the_bounded_ridge_it_says_with_the_likelihood_as_offset() -> None:
    """½ |w|² + 0.3 Σ log(1 + exp(−y (o + x w + b))), minimised again by scipy within the bounds."""
    from scipy.optimize import minimize

    made = frame(3, 200, law=True)
    x = model.matrix(made)
    spread = x.std(axis=0)
    x = (x - x.mean(axis=0)) / np.where(spread > 0, spread, 1.0)
    y = np.where(made["loose"], 1.0, -1.0)
    odds = made["prior"] / (1 - made["prior"]) * made["factor"]
    offset = np.log(np.clip(odds / (1 + odds), 1e-4, 1 - 1e-4) / (1 - np.clip(odds / (1 + odds), 1e-4, 1 - 1e-4)))

    def loss(w: np.ndarray) -> float:
        return float(0.5 * w[:-1] @ w[:-1] + 0.3 * np.logaddexp(0.0, -y * (offset + x @ w[:-1] + w[-1])).sum())

    free = (None, None)
    logit = {state: np.log(p / (1 - p)) for state, p in PRIOR.items()}
    steps = [logit[worse] - logit[better] for better, worse in itertools.pairwise(ORDER)]
    least = {**dict.fromkeys(model.NEVER_NEGATIVE, 0.0), **dict(zip(model.STEPS, steps, strict=True)), "evidence": 1.0}
    width = np.where(spread > 0, spread, 1.0)
    bounds = [(-least[n] * w, None) if n in least else free for n, w in zip(model.NAMES, width, strict=True)]
    again = minimize(
        loss, np.full(x.shape[1] + 1, 0.1), method="SLSQP", bounds=[*bounds, free], options={"ftol": 1e-12}
    )
    fitted = model.fit(made, made["loose"].to_numpy(dtype=float))
    assert fitted.weights == pytest.approx(again.x[:-1], abs=2e-3)
    assert fitted.intercept == pytest.approx(again.x[-1], abs=2e-3)


def test_what_hot_joints_teach_is_not_said_of_the_others() -> None:
    rows = pd.DataFrame(
        {
            "likelihood_state": "doubtful",
            "found_tight_since": False,
            "evidence": np.nan,
            "severity": [3.0, 0.0],
            "pattern": ["one joint hot", "even"],
        }
    )
    speaks = OfHotJoints(Posterior({**dict.fromkeys(ORDER, 0.9), "doubtful": 0.7}, 12))
    assert speaks.probability(rows) == pytest.approx([0.7, 0.25])
    assert "for joints that read hot" in speaks.name
