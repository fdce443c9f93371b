"""Severity at full load: how far scaling may lift a rating; bases and exceedance; by hand.

Bands over similar: 1–3 K is 1, 4–15 K is 2, above 15 K is 4; over the air up to 10, 20, 40, above.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import pytest

from riskscope.analysis.steps.severity import next_band
from riskscope.settings import Settings
from riskscope.standards import severity as severity_tables
from tests.build import assess, phases, survey


def pair(hot: float, cool: float, load: float, settings: Settings | None = None, **common: Any) -> pd.Series:
    readings = phases(hot, cool, **{"ambient_c": 30.0, "load_pct": load, **common})
    return assess(readings, settings=settings).loc["A"]


def test_the_next_worse_severity() -> None:
    assert next_band(np.array([0.0, 1, 2, 3, 4])).tolist() == [1, 2, 3, 4, 4]


@pytest.mark.parametrize(
    ("hot", "load", "found", "rated", "low", "high"),
    [
        (50.0, 80, 2, 3, 2, 3),  # 15.6 K; low 12.1 K is 2, so at most 3
        (53.0, 80, 2, 4, 4, 4),  # 20.3 K; low 16.1 K is 4
        (43.0, 60, 1, 2, 2, 2),  # 8.3 K; low 4.0 K, 2
        (50.0, 100, 2, 2, 2, 2),  # 10 K
        (60.0, 100, 4, 4, 4, 4),  # 20 K
        (40.0, 80, 0, 0, 0, 0),
    ],
)  # fmt: skip
def test_scaling_lifts_at_most_one_band_above_what_was_seen_or_is_sure(
    hot: float, load: float, found: float, rated: float, low: float, high: float
) -> None:
    row = pair(hot, 40.0, load)
    assert row[["severity_as_found", "severity", "severity_low", "severity_high"]].tolist() == [found, rated, low, high]
    assert row["firm"] == (low == high)


@pytest.mark.parametrize(("hot", "rated"), [(41.0, 1), (41.6, 2)])
def test_a_difference_within_its_noise_is_what_was_seen(hot: float, rated: float) -> None:
    """At 40 %, 1 K is 6.25 K: within 1.96 · 3.845 = 7.5 K. 1.6 K is 10 K: above 7.6 K; its low end 1.7 K is 1."""
    assert pair(hot, 40.0, 40)["severity"] == rated


@pytest.mark.parametrize(("hot", "rated"), [(40.99, 0), (41.0, 2)])
def test_less_than_1_k_at_like_loads_is_not_scaled(hot: float, rated: float) -> None:
    """With a very good instrument 0.99 K at 40 % would be a sure 6 K: too little was seen."""
    fine = Settings(u_similar_k=0.1, u_joint_k=0.1)
    assert pair(hot, 40.0, 40, settings=fine)["s_similar"] == rated


@pytest.mark.parametrize(
    ("hot", "load", "rated"),
    [(50.0, 39, 3), (50.0, 20, 3), (44.5, 20, 2), (40.5, 10, 0), (60.0, 20, 4)],
    ids=["10 K at 39 %, low end 36.7 K", "10 K at 20 %, the same", "4.5 K, low end 14.0 K", "half a kelvin", "20 K"],
)
def test_at_low_load_one_band_above_what_was_seen_at_most(hot: float, load: float, rated: float) -> None:
    assert pair(hot, 40.0, load)["s_similar"] == rated


def test_at_low_load_the_low_end_by_the_factor_of_40_percent_is_what_counts() -> None:
    """10 K is 36.7 K at the low end: 4, but 2 was seen: 3. 4 K: 17.3 − 1.96 √(7.035 + 0.69) = 11.9, so 2 as seen."""
    assert pair(50.0, 40.0, 20)["s_similar"] == 3
    assert pair(44.0, 40.0, 39)["s_similar"] == 2


def test_at_unlike_low_loads_nothing_was_seen_and_the_low_end_counts() -> None:
    """20 K at 39 % beside 0.2 K at 20 %: 86.6 − 2.5 and more by n = 1.6, low end above 15 K. Also just above 40 %."""
    for load in (39.0, 40.0):
        readings = phases(50.0, 30.2, ambient_c=30.0).assign(load_pct=[load, 20.0])
        row = assess(readings).loc["A"]
        assert (row["seen"], row["s_similar"]) == (0, 4)


def test_at_unlike_loads_a_low_end_above_0_is_no_noise() -> None:
    """The smallest of the exponents' differences beside the uncertainty of another exponent hid a joint: 0.

    28.7 K at 40 % (0.15 of it not known) beside 1.9 K at 25 %: n = 1.6 gives 124.3 − 17.5 = 106.9 K, u(1.6) 31.1;
    n = 2 gives 179.4 − 30.4 = 149.0 K, u(2) √(2.71² + 6.93² + 9.75² + 53.8² + 9.1²) = 55.9, low end 39.3 K.
    """
    readings = phases(53.7, 26.9, ambient_c=25.0).assign(load_pct=[40.0, 25.0], load_source="estimated")
    row = assess(readings).loc["A"]
    assert row["low_k"] == pytest.approx(39.3, abs=0.1)
    assert row["s_similar"] == 4


def test_as_found_only_is_never_scaled() -> None:
    readings = phases(50.0, 40.0, ambient_c=30.0, load_pct=50).assign(load_steady_min=[5, 60])
    row = assess(readings).loc["A"]
    assert (row["s_similar"], row["rise_rated_k"]) == (2, 10.0)


@pytest.mark.parametrize(
    ("temperature", "load", "severity", "basis", "exceedance"),
    [(50.0, 80, 3, "similar", 15.625 / 15), (60.0, 100, 4, "similar", 20 / 15), (53.0, 120, 2, "similar", 13 / 15)],
)
def test_the_exceedance_is_over_the_lower_edge_of_the_worst_band(
    temperature: float, load: float, severity: float, basis: str, exceedance: float
) -> None:
    row = pair(temperature, 40.0, load)
    assert (row["severity"], row["governing_basis"]) == (severity, basis)
    assert row["exceedance"] == pytest.approx(exceedance)


@pytest.mark.parametrize(
    ("temperature", "air", "severity", "as_found", "exceedance"),
    [
        (40.0, 30.0, 1, 1, 10 / 40),
        (50.1, 30.0, 3, 3, 20.1 / 40),
        (70.0, 30.0, 3, 3, 1.0),
        (70.1, 30.0, 4, 4, 40.1 / 40),
    ],
)
def test_without_a_reference_the_air_rates_as_found(
    temperature: float, air: float, severity: float, as_found: float, exceedance: float
) -> None:
    """The table is printed for the load found. A limit of 120 °C keeps the limit out of it."""
    row = assess(
        survey({"connection_id": "A", "connection_c": temperature, "ambient_c": air, "load_pct": 100}, circuit=None),
        settings=Settings(limit_default_c=120.0),
    ).loc["A"]
    assert (row["severity"], row["severity_as_found"], row["governing_basis"]) == (severity, as_found, "ambient")
    assert row["exceedance"] == pytest.approx(exceedance)
    # u of a rise over the air is 1 K
    assert (row["rise_low_k"], row["rise_high_k"]) == pytest.approx(
        (temperature - air - 1.96, temperature - air + 1.96)
    )


def test_a_limit_alone_rates_what_is_over_it_and_nothing_else() -> None:
    """91 °C: (91 − 40) / (90 − 40) = 1.02 of the rise the limit permits. Below it: not rated."""
    over, below = (
        assess(survey({"connection_id": "A", "connection_c": t, "load_pct": 100}, circuit=None)).loc["A"]
        for t in (91.0, 89.0)
    )
    assert (over["severity"], over["governing_basis"], over["exceedance"]) == (4, "limit", pytest.approx(51 / 50))
    assert pd.isna(below["severity"])


def test_within_design_is_exactly_at_the_limit_too() -> None:
    """50 K over 30 °C air at full load is 4 by the air; 40 + 50 = 90 °C is within 90: 3."""
    even = assess(phases(80.0, 80.0, ambient_c=30.0, load_pct=100))
    assert even["severity"].tolist() == [3, 3]
    assert even["within_design"].all()
    more = assess(phases(80.1, 80.1, ambient_c=30.0, load_pct=100))
    assert more["severity"].tolist() == [4, 4]


def test_of_equal_severities_the_larger_exceedance_names_the_basis() -> None:
    """A: 41 K over its sibling (2.7 of 15 K) and 71 K over the air (1.8 of 40 K), 101 °C of 90 °C (1.2)."""
    row = assess(phases(101.0, 60.0, ambient_c=30.0, load_pct=100)).loc["A"]
    assert (row["severity"], row["governing_basis"]) == (4, "similar")
    assert row["exceedance"] == pytest.approx(41 / 15)
    assert row["rise_rated_k"] == pytest.approx(41.0)


def test_a_table_without_bands_over_the_air_leaves_that_to_the_limit() -> None:
    """MIL-STD-2194 prints bands over similar alone. 22.2 K at full load, at least 20.2: over 60 °C from 40; 3."""
    criteria = severity_tables.load("mil-std-2194")
    register = pd.DataFrame({"connection_id": ["A"], "limit_c": [60]})
    over, within = (
        assess(
            survey({"connection_id": "A", "connection_c": t, "ambient_c": 30.0, "load_pct": 100}, circuit=None),
            criteria=criteria,
            connections=register,
        ).loc["A"]
        for t in (52.2, 51.0)
    )
    assert (over["severity"], over["governing_basis"]) == (3, "limit")
    assert over["exceedance"] == pytest.approx(22.2 / 20)
    assert (over["rise_rated_k"], over["rise_low_k"]) == pytest.approx((22.2, 20.24))
    assert pd.isna(within["severity"])
    assert pd.isna(within["severity_as_found"])


@pytest.mark.parametrize(
    ("temperatures", "why"),
    [((75.0, 60.0), "hot"), ((72.0, 73.0, 55.0), "beside a cold sibling")],
    ids=["a hot joint", "beside a cold sibling"],
)
def test_within_design_acquits_no_hot_joint_and_none_beside_a_cold_one(
    temperatures: tuple[float, ...], why: str
) -> None:
    """45 K over the air is 4; 85 °C at full load is within 90. But (45 + 1) / (30 + 1) = 1.48: hot.

    42, 43 and 25 K: C is below 0.8 of the next and the others agree: cold, so A has no fair reference.
    """
    row = assess(phases(*temperatures, ambient_c=30.0, load_pct=100)).loc["A"]
    assert row[why]
    assert (row["severity"], row["urgency"], row["within_design"]) == (4, "now", False)
