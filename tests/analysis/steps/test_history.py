"""A fallen rise without work is no cure: what earlier readings say beside the latest."""

from __future__ import annotations

import pandas as pd
import pytest

from riskscope.settings import Settings
from tests.build import assess, phases, survey


def years(
    earlier: float, now: float, work: str | None, days: tuple[str, str] = ("2025-05-04", "2026-05-04")
) -> pd.Series:
    """A beside B at 40 °C at full load, twice; A perhaps remade on a day between."""
    readings = pd.concat(
        [
            phases(t, 40.0, ambient_c=30.0, load_pct=100).assign(survey_date=day)
            for t, day in zip((earlier, now), days, strict=True)
        ]
    )
    findings = (
        {}
        if work is None
        else {
            "findings": pd.DataFrame(
                [{"connection_id": "A", "work_date": work, "as_found": "discoloured", "action": "remade"}]
            )
        }
    )
    return assess(readings, **findings).loc["A"]


@pytest.mark.parametrize(
    ("earlier", "now", "work", "flagged"),
    [
        (60.0, 42.0, None, True), (60.0, 50.0, None, False), (50.0, 42.0, None, False), (60.0, 61.0, None, False),
        (60.0, 42.0, "2025-10-01", False), (60.0, 42.0, "2025-05-04", False), (60.0, 42.0, "2025-05-03", True),
        (60.0, 42.0, "2026-05-20", False),
    ],
    ids=["4, now 1", "4, now 2", "2, now 1", "4, and 4 still", "remade since", "remade on the day it was read",
         "remade the day before", "remade after the last reading"],
)  # fmt: skip
def test_a_rating_that_fell_without_work(earlier: float, now: float, work: str | None, flagged: bool) -> None:
    row = years(earlier, now, work)
    assert row["hotter before, no work since"] == flagged
    if flagged:
        assert row["urgency"] == "soon"
        assert "hotter before" in row["resurvey_reason"]


def test_a_3_that_fell_counts_too() -> None:
    """14 K at 90 % is 17.3 K at full load, not for sure above 15 K: 3."""
    readings = pd.concat(
        [
            phases(54.0, 40.0, ambient_c=30.0, load_pct=90).assign(survey_date="2025-05-04"),
            phases(41.0, 40.0, ambient_c=30.0, load_pct=90),
        ]
    )
    assert assess(readings).loc["A", "hotter before, no work since"]


def test_not_rated_now_is_no_cure_either() -> None:
    readings = pd.concat(
        [
            phases(60.0, 40.0, ambient_c=30.0, load_pct=100).assign(survey_date="2025-05-04"),
            phases(42.0, 40.0, ambient_c=30.0, load_pct=0),
        ]
    )
    row = assess(readings).loc["A"]
    assert (row["severity"], row["urgency"], row["connection_c"]) == (4, "now", 60.0)
    assert row["after_date"] == pd.Timestamp("2026-05-04")
    assert "a later reading is worse evidence" in row["resurvey_reason"]


def test_a_4_that_is_a_3_now_is_a_4_still() -> None:
    """35 K at full load is 4; 10 K at 80 % is 15.6 K at full load, not for sure above 15 K: 3, and hot still."""
    readings = pd.concat(
        [
            phases(75.0, 40.0, ambient_c=30.0, load_pct=100).assign(survey_date="2025-05-04"),
            phases(50.0, 40.0, ambient_c=30.0, load_pct=80),
        ]
    )
    row = assess(readings).loc["A"]
    assert (row["severity"], row["urgency"], row["after_why"]) == (4, "now", "still hot, or no cooler")
    assert row["resurvey_reason"] == "a later reading is worse evidence"


def twice(counted: float, other: float, **settings: float) -> pd.Series:
    """A read twice in one survey, rated alike: by its time the second counts."""
    rows = [
        {"connection_id": "A", "connection_c": other, "survey_time": "09:00"},
        {"connection_id": "A", "connection_c": counted, "survey_time": "10:00"},
    ]
    readings = survey(*rows, ambient_c=34.0, load_pct=80)
    return assess(readings, settings=Settings(**settings)).loc["A"]


def test_another_reading_hotter_by_5_k_is_said_though_the_numbers_round_badly() -> None:
    """64.1 − 59.1 is a hair under 5 in binary."""
    assert 64.1 - 59.1 < 5.0
    assert twice(59.1, 64.1)["another reading was hotter"]
    assert not twice(59.2, 64.1)["another reading was hotter"]


def test_how_much_hotter_and_which_severity_are_settings() -> None:
    assert twice(59.1, 62.1, history_hotter_k=3.0)["another reading was hotter"]
    readings = pd.concat(
        [
            phases(50.0, 40.0, ambient_c=30.0, load_pct=100).assign(survey_date="2025-05-04"),
            phases(42.0, 40.0, ambient_c=30.0, load_pct=100),
        ]
    )
    assert not assess(readings).loc["A", "hotter before, no work since"], "a 2 that fell to 1"
    assert assess(readings, settings=Settings(history_severity=2)).loc["A", "hotter before, no work since"]
