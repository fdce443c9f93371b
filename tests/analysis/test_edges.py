"""Cases on the very edge of a rule, or where only the order of two rules decides.

Each once went unnoticed when the rule was changed on purpose; `tests/long/mutants` changes them again.
"""

from __future__ import annotations

import datetime as dt

import pandas as pd
import pytest

from riskscope.analysis.assess import assess as assess_tables
from riskscope.analysis.years import recall
from riskscope.analysis.years.due import due
from riskscope.intake.read import read_frames
from riskscope.settings import Settings
from tests.build import ON, assess, good_record, phases, survey


def pair(hot_c: float, load: float, cool_c: float, other_load: float) -> pd.DataFrame:
    return survey(
        {"connection_id": "A", "phase": "A", "connection_c": hot_c, "load_pct": load},
        {"connection_id": "B", "phase": "B", "connection_c": cool_c, "load_pct": other_load},
        ambient_c=25.0,
    )


def test_4_at_full_load_but_3_as_found_is_not_now() -> None:
    """40 K over air is 3 and there is no like-loaded sibling. B's 5 K at 60 % is 13.9 K at full load:
    26.1 K over it; u² = 0.43² + (2.78 · 0.43)² + 1.78² + (2 · 40 · 0.03)² + (2 · 13.9 · 0.03)², so the
    low end is 26.1 − 1.96 · 3.35 = 19.5 K: surely above 15 K, 4 at full load.
    """
    row = assess(pair(65.0, 100, 30.0, 60)).loc["A"]
    assert (row["severity_as_found"], row["severity"]) == (3, 4)
    assert row["low_k"] == pytest.approx(19.5, abs=0.1)
    assert row["urgency"] == "soon"


@pytest.mark.parametrize("order", [["C", "B", "A"], ["B", "A", "C"]], ids=" ".join)
def test_of_equally_cool_siblings_the_first_by_id_is_the_reference(order: list[str]) -> None:
    readings = phases(50.0, 40.0, 40.0, ambient_c=30.0, load_pct=80).set_index("connection_id", drop=False)
    found = assess(readings.loc[order])
    assert found.iloc[int(found.loc["A", "sibling"])]["connection_id"] == "B"


@pytest.mark.parametrize(("temperature", "action"), [(80.0, "remake"), (79.9, "retighten")], ids=["40 K", "39.9 K"])
def test_remake_from_40_k_over_similar(temperature: float, action: str) -> None:
    row = assess(phases(temperature, 40.0, 40.0, ambient_c=25.0, load_pct=100)).loc["A"]
    assert (row["action"], row["over_limit_now"]) == (action, False)


def test_a_limit_is_held_against_air_above_40() -> None:
    """45 °C air, 30 K at 80 %: 45 + 30 / 0.64 = 91.9 °C at full load, over 90; from 40 °C it would be 86.9."""
    row = assess(phases(75.0, 75.0, ambient_c=45.0, load_pct=80)).loc["A"]
    assert row["projected_c"] == pytest.approx(91.875)
    assert row["margin_k"] == pytest.approx(-1.875)
    assert row["may exceed its limit at full load"]


@pytest.mark.parametrize(("similar", "hotter"), [(51.21, True), (51.19, False)])
def test_a_surveyors_reference_that_is_hotter_than_its_uncertainty(similar: float, hotter: bool) -> None:
    """u of the difference √(0.5² + 2 · 0.25²) = 0.612 K; 1.96 times that is 1.20 K."""
    readings = survey(
        {"connection_id": "A", "connection_c": 50.0, "similar_c": similar, "ambient_c": 30.0, "load_pct": 100},
        circuit=None,
    )
    row = assess(readings).loc["A"]
    assert row["reference is hotter"] == hotter
    # 20 K over the air is 2; it counts beside a reference that is no fair one
    assert row["severity_as_found"] == (2 if hotter else 0)


@pytest.mark.parametrize(("earlier", "urgency"), [(45.0, "soon"), (44.9, "next outage")])
def test_another_reading_5_k_hotter_is_kept_soon(earlier: float, urgency: str) -> None:
    rows = [
        {"connection_id": "A", "survey_time": time, "connection_c": t}
        for time, t in (("09:00", earlier), ("14:00", 40.0))
    ]
    row = assess(survey(*rows, ambient_c=29.0, load_pct=100)).loc["A"]
    assert row["another reading was hotter"] == (urgency == "soon")
    assert row["urgency"] == urgency


@pytest.mark.parametrize(("read_on", "is_due"), [("2025-06-01", True), ("2025-06-02", False)])
def test_due_on_the_day_itself(read_on: str, is_due: bool) -> None:
    readings = phases(40.0, 40.0, ambient_c=30.0, load_pct=80).assign(survey_date=read_on)
    tables = read_frames(on=ON, survey=readings)
    listed = due(assess_tables(tables, on=ON).connections, tables, Settings(), ON)
    assert listed["due"].tolist() == (["past its interval"] * 2 if is_due else [])
    if is_due:
        assert set(listed["due_on"]) == {pd.Timestamp("2026-06-01")}


@pytest.mark.parametrize(
    ("rows", "state", "reasons"),
    [
        ([{"applied_torque": 25.0, "tool_id": ""}], "over-torqued", "above required; tool not recorded"),
        (
            [{"applied_torque": 15.0, "tool_id": ""}],
            "under-torqued",
            "below required; lbf·ft for N·m?; tool not recorded",
        ),
        ([{"applied_torque": 25.0}, {"applied_torque": 16.0}], "under-torqued", "below required; above required"),
        ([{"applied_torque": 25.0}, {"tool_id": ""}], "over-torqued", "above required; tool not recorded"),
        ([{"applied_torque": 16.0}, {"applied_torque": None}], "unrecorded", "no torque value; below required"),
        (
            [{"applied_torque": 16.0}, {"applied_torque": 177.0}],
            "doubtful",
            ("likely unit mix-up; below required; above required; outside the tool's range"),
        ),
    ],
    ids=[
        "over and doubtful",
        "under and doubtful",
        "over and under",
        "over, and one doubtful",
        "under, and one without",
        "under, and one in other units",
    ],
)
def test_the_worse_state_of_a_record_and_of_its_fasteners(
    rows: list[dict[str, object]], state: str, reasons: str
) -> None:
    """20 N·m required, tolerance 10 %; 177 is 20 N·m in lbf·in (8.851 times)."""
    base = good_record("A")
    base["installs"] = pd.concat([base["installs"].assign(fastener_no=str(n), **row) for n, row in enumerate(rows)])
    found = assess(phases(40.0, 40.0, ambient_c=30.0, load_pct=80), **base).loc["A"]
    assert found["install_state"] == state
    assert set(found["install_reasons"].split("; ")) == set(reasons.split("; "))


def test_a_calibration_on_the_day_a_tool_failed_is_no_good_one() -> None:
    """Calibrated in March 2024; found out of tolerance when calibrated in March 2025: all between is in doubt."""
    tools = pd.DataFrame(
        {
            "tool_id": ["T5", "T5"],
            "calibrated_on": ["2024-03-01", "2025-03-10"],
            "found_out_of_tolerance_on": ["", "2025-03-10"],
        }
    )
    [(_, good, bad)] = recall.out_of_tolerance(read_frames(on=ON, tools=tools))
    assert (good, bad) == (dt.date(2024, 3, 1), dt.date(2025, 3, 10))


def test_fasteners_of_several_connections_stay_apart() -> None:
    """A: under-torqued, and one with a broken mark; B: both over-torqued. Neither has a reason of the other's."""
    base = good_record("A", "A", "B", "B")
    installs = base["installs"].assign(
        fastener_no=["1", "2", "1", "2"], applied_torque=[16.0, 20.0, 25.0, 26.0], witness_mark=["", "broken", "", ""]
    )
    found = assess(phases(40.0, 40.0, ambient_c=30.0, load_pct=80), installs=installs, tools=base["tools"])
    assert found["install_state"].tolist() == ["under-torqued", "over-torqued"]
    assert found["install_reasons"].tolist() == ["below required; witness mark broken", "above required"]
