"""The rated difference and its interval, worked by hand for single pairs.

Of one image u = √(0.5² + 2 · 0.25²) = 0.6124 K; 1.96 u = 1.2002 K. Loads measured: 3 % each; equal
loads are one reading.
"""

from __future__ import annotations

from typing import Any

import pandas as pd
import pytest

from riskscope.settings import Settings
from tests.build import assess, survey


def pair(a: tuple[float, float], b: tuple[float, float], **common: Any) -> pd.Series:
    """A beside B: (temperature, load in percent); the air is at 30 °C."""
    return assess(
        survey(
            *(
                {"connection_id": p, "phase": p, "connection_c": t, "load_pct": load}
                for p, (t, load) in zip("AB", (a, b), strict=True)
            ),
            **{"ambient_c": 30.0, **common},
        )
    ).loc["A"]


def surveyor(**row: Any) -> pd.Series:
    base = {"connection_id": "A", "connection_c": 50.0, "similar_c": 40.0, "ambient_c": 30.0}
    return assess(survey({**base, **row}, circuit=None)).loc["A"]


def test_siblings_at_like_loads() -> None:
    """10 K at 80 %: D = 14.29 (n = 1.6), 15.63 (n = 2).

    u² = 2 (0.8⁻ⁿ · 0.433)² + (n D 0.03)²: 1.112² and 1.340². Low 14.29 − 1.96 · 1.112 = 12.11;
    high 15.63 + 1.96 · 1.340 = 18.25. Ratio (20 + 1) / (10 + 1) = 1.909.
    """
    row = pair((50.0, 80), (40.0, 80))
    assert row["rise_similar_found_k"] == 10.0
    assert row["rise_similar_full_k"] == pytest.approx(15.625)
    assert row["low_k"] == pytest.approx(12.11, abs=0.01)
    assert row["rise_high_k"] == pytest.approx(18.25, abs=0.01)
    assert row["resistance_ratio"] == pytest.approx(21 / 11)
    # shared load: u of the ratio's logarithm² = (0.433/21)² + (0.433/11)² + (1/21 − 1/11)² = 0.06208²
    assert row["ratio_low"] == pytest.approx(1.909 / 1.1294, abs=0.003)
    assert row["ratio_high"] == pytest.approx(1.909 * 1.1294, abs=0.003)


def test_the_low_end_at_like_loads_is_not_below_what_was_found() -> None:
    """At full load, read in two images: u = √(1.6² + 0.125) = 1.639; 10 − 1.96 · 1.639 = 6.79.

    With the load's 0.6 K the plain low end would be 10 − 1.96 · 1.745 = 6.58.
    """
    row = pair((50.0, 100), (40.0, 100), one_image="no")
    assert row["low_k"] == pytest.approx(6.788, abs=0.002)
    assert row["rise_high_k"] == pytest.approx(13.42, abs=0.01)


def test_above_full_load_the_difference_found_counts() -> None:
    """20 K at 120 %: 13.9 K by the square law. Found low 20 − 1.2 and high 20 + 1.2 bound the interval."""
    row = pair((54.0, 120), (34.0, 120), ambient_c=24.0)
    assert row["rise_similar_full_k"] == pytest.approx(13.889, abs=0.001)
    assert row["rise_rated_k"] == 20.0
    assert row["rise_high_k"] == pytest.approx(21.2, abs=0.001)
    # n = 2: 13.889 − 1.96 √(2 (0.6944 · 0.433)² + (2 · 13.889 · 0.03)²) = 13.889 − 1.96 · 0.936
    assert row["low_k"] == pytest.approx(12.05, abs=0.01)


def test_at_unlike_loads_the_smallest_difference_counts() -> None:
    """26.1 K at n = 2 (40 − 5 / 0.36), 27.5 (n = 1.8), 28.7 (n = 1.6): the smallest."""
    row = pair((70.0, 100), (35.0, 60))
    assert row["rise_similar_rated_k"] == pytest.approx(40 - 5 / 0.36)


def test_at_unlike_loads_differences_of_two_signs_are_none() -> None:
    """26.3 K at 90 % and 8.4 K at 45 %: +1.0 K by n = 1.6, −9.0 K by n = 2."""
    row = pair((56.3, 90), (38.4, 45))
    assert row["rise_similar_rated_k"] == 0.0


def test_at_low_load_the_low_end_by_the_factor_of_40_percent_is_rated() -> None:
    """10 K at 20 %, as if at 40 % by n = 1.6: 43.31 − 1.96 √(2 (4.3315 · 0.433)² + (1.6 · 43.31 · 0.03)²) = 36.71.

    High end by n = 2: 62.5 + 1.96 √(2 (6.25 · 0.433)² + (2 · 62.5 · 0.03)²) = 73.00. A limit of 400 °C is far away.
    """
    register = pd.DataFrame({"connection_id": ["A", "B"], "limit_c": [400.0, 400.0]})
    row = pair((35.0, 20), (25.0, 20), ambient_c=24.0, connections=register)
    assert row["rise_rated_k"] == pytest.approx(36.71, abs=0.01)
    assert row["rise_low_k"] == pytest.approx(36.71, abs=0.01)
    assert row["rise_high_k"] == pytest.approx(73.00, abs=0.01)


def test_at_low_load_a_small_rise_is_not_rated_below_what_was_found() -> None:
    """2 K at 39 % by n = 1.6: 8.663 − 1.96 √(2 (4.3315 · 0.433)² + (1.6 · 8.663 · 0.03)²) = 3.40.

    1 K, its load estimated: 4.3315 − 1.96 √(7.035 + (1.6 · 4.3315 · 0.15)²) is below 0, and found 1 − 1.2 too: −0.2.
    """
    assert pair((32.0, 39), (30.0, 39))["rise_rated_k"] == pytest.approx(3.40, abs=0.01)
    poor = pair((41.0, 39), (40.0, 39), load_source="estimated")
    assert poor["rise_low_k"] == pytest.approx(-0.2, abs=0.005)


def test_the_surveyors_reference_at_its_own_load() -> None:
    """Both to full load by their own current: 20 K at 80 % less 10 K at 40 %: −14.7 (n = 1.6) to −31.3 (n = 2)."""
    row = surveyor(load_a=80, similar_load_a=40, rated_a=100)
    assert (row["reference"], row["alike"]) == ("surveyor", False)
    assert row["rise_similar_rated_k"] == pytest.approx(20 * 0.8**-1.6 - 10 * 0.4**-1.6)
    assert row["rise_similar_full_k"] == pytest.approx(31.25 - 62.5)


@pytest.mark.parametrize(
    ("row", "reference", "elsewhere"),
    [
        ({"load_a": 80, "similar_load_a": 72, "rated_a": 100}, "surveyor", False),
        ({"load_a": 80, "similar_load_a": 71.9, "rated_a": 100, "ambient_c": None}, None, True),
        ({"load_a": 80, "similar_load_a": 0, "rated_a": 100}, None, True),
        ({"load_pct": 80}, "surveyor", False),
        ({"load_pct": 0}, None, False),
    ],
    ids=["alike", "unlike without the air", "without load", "load not compared", "not loaded"],
)
def test_when_the_surveyors_reference_counts(row: dict[str, Any], reference: str | None, elsewhere: bool) -> None:
    found = surveyor(**row)
    assert found["reference"] == reference or (reference is None and pd.isna(found["reference"]))
    assert found["reference at another load"] == elsewhere


@pytest.mark.parametrize(("similar", "disagree"), [(42.3, True), (42.25, False)])
def test_the_surveyors_and_the_siblings_reference_may_disagree(similar: float, disagree: bool) -> None:
    """10 K over the sibling; 7.7 or 7.75 K over the surveyor's.

    u 0.857 (sibling) and √(0.375 + (2 · 7.7 · 0.03)²) = 0.767 (surveyor's): 1.96 √(0.857² + 0.767²) = 2.25 K.
    """
    readings = survey(
        {"connection_id": "A", "phase": "A", "connection_c": 50.0, "similar_c": similar},
        {"connection_id": "B", "phase": "B", "connection_c": 40.0},
        load_pct=100,
        ambient_c=30.0,
    )
    row = assess(readings).loc["A"]
    assert row["reference disagrees with siblings"] == disagree
    assert row["rise_similar_found_k"] == 50.0 - similar, "the surveyor's goes before"


def test_the_coverage_is_a_setting() -> None:
    readings = survey(
        {"connection_id": "A", "phase": "A", "connection_c": 50.0},
        {"connection_id": "B", "phase": "B", "connection_c": 40.0},
        load_pct=100,
        ambient_c=30.0,
    )
    wide = assess(readings, settings=Settings(coverage=3.0)).loc["A"]
    assert wide["rise_high_k"] == pytest.approx(10 + 3 * 0.857, abs=0.005)


def test_loads_read_separately_and_one_shared_load_are_not_equally_sure() -> None:
    """The surveyor's at its own load, 30 K at 80 % and 20 K at 70 %: D(2) = 46.88 − 40.82 = 6.06.

    u² = (1.5625 · 0.433)² + (2.0408 · 0.433)² + (0.478)² + (2 · 46.88 · 0.03)² + (2 · 40.82 · 0.03)² = 3.92²;
    of one shared load the last two would be (2 · 6.06 · 0.03)².
    """
    row = surveyor(connection_c=60.0, similar_c=50.0, load_a=80, similar_load_a=70, rated_a=100)
    assert row["rise_similar_full_k"] == pytest.approx(6.06, abs=0.01)
    assert row["rise_high_k"] - row["rise_similar_full_k"] == pytest.approx(1.96 * 3.92, abs=0.03)
