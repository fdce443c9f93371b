"""The temperature limit, where it comes from, and when it rates; by hand."""

from __future__ import annotations

from typing import Any

import pandas as pd
import pytest

from tests.build import assess, phases


def limited(temperature: float, load: float, limit: Any = 60, air: float = 30.0, **register: Any) -> pd.Series:
    row = {
        "connection_id": ["A", "B"],
        "limit_c": [limit, limit],
        **{name: [value] * 2 for name, value in register.items()},
    }
    return assess(phases(temperature, temperature, ambient_c=air, load_pct=load), connections=pd.DataFrame(row)).loc[
        "A"
    ]


@pytest.mark.parametrize(
    ("limit", "name", "value", "source"),
    [
        (75, "", 75.0, "register"),
        (75, "ul489", 75.0, "register"),
        ("", "ul489", 90.0, "UL 489 (ul489)"),
        ("", "", 90.0, "our default, none on record"),
        ("", "nec-75", 90.0, "chooses ampacity"),
        ("", "c37.20.2-bare", 70.0, "c37.20.2-bare"),
        ("", "iec61439-terminal", 90.0, "known from memory only"),
        ("", "tin foil", 90.0, "no class tin foil in the table"),
    ],
)
def test_where_a_limit_comes_from(limit: Any, name: str, value: float, source: str) -> None:
    row = limited(40.0, 80, limit, limit_class=name)
    assert row["limit_c"] == value
    assert source in row["limit_from"]


@pytest.mark.parametrize(("temperature", "over"), [(60.0, False), (60.1, True)])
def test_over_the_limit_now_is_above_it(temperature: float, over: bool) -> None:
    row = limited(temperature, 100)
    assert row["over_limit_now"] == over
    assert (row["s_limit"] == 4) == over


def test_at_full_load_from_40_degrees_of_air() -> None:
    """20 K at 80 %: 31.25 K at full load; 40 + 31.25 = 71.25 °C, 11.25 over 60."""
    row = limited(50.0, 80)
    assert row["rise_ambient_full_k"] == pytest.approx(31.25)
    assert row["projected_c"] == pytest.approx(71.25)
    assert row["margin_k"] == pytest.approx(-11.25)


def test_above_full_load_the_rise_found_counts() -> None:
    """40 K at 120 % is 27.8 K by the square law; it is 40 K already."""
    assert limited(70.0, 120, limit=90)["projected_c"] == pytest.approx(80.0)


@pytest.mark.parametrize(
    ("rise", "load", "s_limit", "may"),
    [(15.0, 40.0, 3, False), (15.0, 39.9, 3, False), (15.0, 20.0, 3, False),
     (8.0, 40.0, 3, False), (8.0, 39.9, 2, False), (8.0, 20.0, 2, False),
     (5.0, 40.0, 0, True), (5.0, 39.9, 0, True), (5.0, 20.0, 0, True)],
)  # fmt: skip
def test_below_40_percent_the_limit_is_held_against_the_factor_of_40_percent(
    rise: float, load: float, s_limit: float, may: bool
) -> None:
    """0.40^−1.6 = 4.3315. 15 K: 65.0 − 1.96 √((4.3315 · 3)² + (1.6 · 65.0 · 0.03)²) = 38.8, 78.8 °C: over 60.

    8 K: 34.7 less 25.7 is 49.0 °C; with 1 K of the air in place of 3 less 9.1, 65.6 °C. 5 K: 21.7 less 8.7, 52.9 °C.
    """
    row = limited(30.0 + rise, load)
    assert row["s_limit"] == s_limit
    assert row["may exceed its limit at full load"] == may


def test_39_k_on_all_three_phases_at_39_percent_is_not_healthy() -> None:
    """168.9 K by the factor of 40 %, low end 168.9 − 1.96 √(12.99² + 8.11²) = 138.9: 178.9 °C against 90."""
    row = assess(phases(69.0, 69.0, 69.0, ambient_c=30.0, load_pct=39)).loc["B"]
    assert (row["severity"], row["urgency"], row["governing_basis"]) == (3, "soon", "limit")
    assert row["rise_rated_k"] == pytest.approx(138.9, abs=0.05)
    assert row["exceedance"] == pytest.approx(138.9 / 50, abs=0.001)


def test_only_the_central_value_over_the_limit_is_a_flag() -> None:
    """14 K at 80 %: 21.9 K at full load, 61.9 °C; low end 20.0 − 1.96 · 1.72 = 16.6 K: 56.6 °C is within 60."""
    row = limited(44.0, 80)
    assert row["s_limit"] == 0
    assert row["may exceed its limit at full load"]


def test_exactly_at_its_limit_at_full_load_is_within_it() -> None:
    """20 K at full load and 40 °C air: 60 °C is not over 60."""
    row = limited(50.0, 100)
    assert row["projected_c"] == 60.0
    assert not row["may exceed its limit at full load"]
    assert row["s_limit"] == 0


def test_the_low_end_of_a_full_load_rise_is_at_least_what_was_found() -> None:
    """22.2 K at full load, load estimated (15 %): 22.2 − 1.96 · 6.7 = 9 K; found, 22.2 − 1.96 = 20.24 K at least."""
    row = limited(52.2, 100)
    poor = assess(
        phases(52.2, 52.2, ambient_c=30.0, load_pct=100, load_source="estimated"),
        connections=pd.DataFrame({"connection_id": ["A", "B"], "limit_c": [60, 60]}),
    ).loc["A"]
    assert (row["s_limit"], poor["s_limit"]) == (3, 3)
    assert limited(51.9, 100)["s_limit"] == 0, "21.9 − 1.96 = 19.94 K: within 60 from 40 °C"


def test_what_the_limit_permits_is_counted_from_air_above_40() -> None:
    """50 °C air: 40 K to a limit of 90 °C. 28 K at 70 %: 49.5 K at n = 1.6, low end 49.5 − 1.96 · 2.96 = 43.7 K."""
    found = assess(phases(78.0, 78.0, ambient_c=50.0, load_pct=70))
    assert found["pattern"].tolist() == ["all hot beyond load"] * 2
    assert found["action"].tolist() == ["retighten"] * 2
