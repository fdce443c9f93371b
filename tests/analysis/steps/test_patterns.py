"""What the siblings show; each limit from both sides, by hand."""

from __future__ import annotations

from typing import Any

import pandas as pd
import pytest

from riskscope.settings import Settings
from tests.build import assess, phases, survey


def shown(*temperatures: float, settings: Settings | None = None, **common: Any) -> list[str]:
    readings = phases(*temperatures, **{"ambient_c": 30.0, "load_pct": 100, **common})
    return assess(readings, settings=settings)["pattern"].tolist()


@pytest.mark.parametrize(
    ("hot_c", "cool_c", "load", "hot"),
    [
        (34.0, 31.79, 100, True), (34.0, 31.8, 100, False), (43.0, 39.0, 100, True), (42.99, 39.0, 100, False),
        (32.5, 31.0, 41, True), (32.49, 31.0, 41, False),
    ],
    ids=["low end 1.01 K", "low end 0.9998 K", "ratio 14/10", "ratio 13.99/10", "1.5 K found", "1.49 K found"],
)  # fmt: skip
def test_one_joint_hot_at_the_edges_of_its_defaults(hot_c: float, cool_c: float, load: float, hot: bool) -> None:
    """At full load the low end is what was found less 1.2002 K: 2.21 gives 1.0098, 2.20 gives 0.9998, not above 1.

    1.5 K at 41 % is 6.2 K at n = 1.6, low end 6.2 − 1.96 · 2.57 = 1.2 K; ratio 3.5 / 2 = 1.75.
    """
    found = assess(phases(hot_c, cool_c, ambient_c=30.0, load_pct=load)).loc["A"]
    assert found["hot"] == hot
    assert (found["pattern"] == "one joint hot") == hot


@pytest.mark.parametrize(("ratio", "hot"), [(1.5, True), (1.501, False)])
def test_the_ratio_from_which_a_joint_is_hot(ratio: float, hot: bool) -> None:
    """(14 + 1) / (9 + 1) = 1.5; 5 K over its sibling."""
    assert (shown(44.0, 39.0, settings=Settings(hot_ratio=ratio))[0] == "one joint hot") == hot


@pytest.mark.parametrize(("low_k", "hot"), [(3.7, True), (3.9, False)])
def test_the_low_end_above_which_a_joint_is_hot(low_k: float, hot: bool) -> None:
    """5 K at full load: 5 − 1.2002 = 3.7998."""
    assert (shown(44.0, 39.0, settings=Settings(hot_low_k=low_k))[0] == "one joint hot") == hot


@pytest.mark.parametrize(("seen_k", "hot"), [(5.0, True), (5.001, False)])
def test_the_rise_as_found_from_which_a_joint_is_hot(seen_k: float, hot: bool) -> None:
    assert (shown(44.0, 39.0, settings=Settings(hot_seen_k=seen_k))[0] == "one joint hot") == hot


def imbalance(a_c: float) -> pd.Series:
    """A at 90 %, B and C at 45 %: 8.4 K, as healthy joints of exponent 1.6 show."""
    return assess(
        survey(
            {"connection_id": "A", "phase": "A", "connection_c": a_c, "load_pct": 90},
            {"connection_id": "B", "phase": "B", "connection_c": 38.4, "load_pct": 45},
            {"connection_id": "C", "phase": "C", "connection_c": 38.4, "load_pct": 45},
            ambient_c=30.0,
        )
    ).loc["A"]


def test_load_imbalance_is_a_difference_that_loads_explain() -> None:
    """25.3 K beside 8.4 K as found: 16.9 K is 2 and more; at full load even by exponent 1.6."""
    row = imbalance(55.3)
    assert (row["pattern"], row["hot"], row["severity"]) == ("load imbalance", False, 0)


def test_more_than_the_loads_explain_is_a_hot_joint() -> None:
    """56 K beside 8.4 K: (57 / 9.4) / 2² = 1.52 times the resistance by n = 2, more by 1.6."""
    assert imbalance(86.0)["pattern"] == "one joint hot"


def test_a_small_difference_at_unlike_loads_is_even() -> None:
    """3.6 K beside 2.0 K as found is 1: too little to speak of an imbalance."""
    row = assess(
        survey(
            {"connection_id": "A", "phase": "A", "connection_c": 33.6, "load_pct": 90},
            {"connection_id": "B", "phase": "B", "connection_c": 32.0, "load_pct": 60},
            ambient_c=30.0,
        )
    ).loc["A"]
    assert row["pattern"] == "even"


@pytest.mark.parametrize(
    ("temperatures", "pattern"),
    [((41.0, 41.0, 41.0), "all warm, load explains it"), ((40.0, 40.0, 40.0), "even"), ((41.0, 41.0, 40.0), "even")],
    ids=["11 K, 2 on the ambient table", "10 K, 1", "one of them is not"],
)
def test_all_warm_is_from_2_over_the_air(temperatures: tuple[float, ...], pattern: str) -> None:
    """Printed 1–10 K: 1; 11–20 K: 2; above 10 K is the next band. Within 50 K at full load."""
    assert shown(*temperatures)[0] == pattern


@pytest.mark.parametrize(
    ("limit", "pattern"),
    [(65.0, "all warm, load explains it"), (63.04, "all warm, load explains it"), (63.03, "all hot beyond load")],
)
def test_all_hot_beyond_load_is_above_what_the_limit_permits(limit: float, pattern: str) -> None:
    """25 K at full load, its low end 25 − 1.96 = 23.04 K; from 40 °C air the limit permits so much."""
    readings = phases(55.0, 55.0, 55.0, ambient_c=30.0, load_pct=100)
    register = pd.DataFrame({"connection_id": ["A", "B", "C"], "limit_c": limit})
    assert assess(readings, connections=register)["pattern"].tolist() == [pattern] * 3


def test_a_joint_alone_makes_no_pattern_of_all() -> None:
    assert shown(80.0) == ["no reference"]


def test_a_sibling_without_load_does_not_speak_for_the_others() -> None:
    """A and B at 88 °C and 70 %: beyond what the limit permits. C carries nothing and is cool: no witness."""
    readings = phases(88.0, 88.0, 31.0, ambient_c=30.0, load_pct=70)
    readings["load_pct"] = [70, 70, 0]
    row = assess(readings).loc["A"]
    assert (row["pattern"], row["action"]) == ("all hot beyond load", "retighten")


def test_all_hot_beyond_load_is_soon_whatever_its_severity() -> None:
    """11.5 K at 12 %: low end 342 − 68 K by its own load. By the factor of 40 % it is within its limit: severity 0."""
    found = assess(phases(41.5, 41.5, 41.5, ambient_c=30.0, load_pct=12))
    assert found["pattern"].tolist() == ["all hot beyond load"] * 3
    assert found["severity"].tolist() == [0, 0, 0]
    assert found["urgency"].tolist() == ["soon"] * 3
