"""Trends, effects of work, recall and what is due, by literal rows."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pandas as pd
import pytest

import riskscope
from riskscope.analysis import over_time
from riskscope.analysis.due import due
from riskscope.settings import Settings
from riskscope.standards import severity
from tests.build import phases

ON = dt.date(2026, 6, 1)
SETTINGS, CRITERIA = Settings(), severity.load()


def years(*hot: float, **common: Any) -> pd.DataFrame:
    """A survey a year, from 2022, of three phases at full load: A at these temperatures, B and C at 40."""
    return pd.concat([
        phases(t, 40.0, 40.0, ambient_c=30.0, load_pct=100, **common).assign(survey_date=f"{2022 + n}-05-01")
        for n, t in enumerate(hot)
    ])  # fmt: skip


def read(survey: pd.DataFrame, **tables: pd.DataFrame) -> Any:
    return riskscope.read_frames(on=ON, survey=survey, **tables)


def readings(tables: Any) -> pd.DataFrame:
    return riskscope.assess_readings(tables, on=ON, settings=SETTINGS, criteria=CRITERIA)


def trends(tables: Any) -> pd.DataFrame:
    work = over_time.works(tables, ON)
    return over_time.trends(readings(tables), work, CRITERIA, ON).set_index("connection_id")


def finding(
    day: str, as_found: str = "loose", action: str = "tightened", **more: Any
) -> pd.DataFrame:
    return pd.DataFrame(
        [{"connection_id": "A", "work_date": day, "as_found": as_found, "action": action, **more}]
    )


def test_slope_and_the_day_of_the_next_band() -> None:
    """4, 6, 8, 10 K over similar: 2 K a year; from 10 K to 15 K takes two years and a half."""
    row = trends(read(years(44.0, 46.0, 48.0, 50.0))).loc["A"]
    assert row["slope_k_per_year"] == pytest.approx(2.0, rel=0.01)
    assert (row["surveys"], row["next_band_k"]) == (4, 15.0)
    wait = (row["next_band_earliest"] - pd.Timestamp("2025-05-01")).days / 365.25
    assert wait == pytest.approx(2.5, abs=0.02)
    assert row["next_band_latest"] >= row["next_band_earliest"]


def test_two_surveys_give_no_slope() -> None:
    row = trends(read(years(44.0, 46.0))).loc["A"]
    assert row["surveys"] == 2
    assert pd.isna(row["slope_k_per_year"])


def test_work_begins_a_new_series() -> None:
    tables = read(years(44.0, 48.0, 52.0, 42.0, 43.0), findings=finding("2024-10-01"))
    row = trends(tables).loc["A"]
    assert (row["surveys"], row["first_date"]) == (2, pd.Timestamp("2025-05-01"))
    assert row["since"] == pd.Timestamp("2024-10-01")
    assert trends(tables).loc["B", "surveys"] == 5


@pytest.mark.parametrize(
    ("after", "effect"),
    [(40.2, "cured"), (44.5, "improved"), (52.0, "not cured"), (None, "not re-surveyed")],
)
def test_what_work_has_done(after: float | None, effect: str) -> None:
    """12 K over similar before: severity 2. After: 0.2 K, 4.5 K (still 2), 12 K, or nothing read."""
    hot = [52.0] if after is None else [52.0, after]
    tables = read(years(*hot), findings=finding("2022-10-01"))
    effects = over_time.work_effects(readings(tables), over_time.works(tables, ON), SETTINGS)
    [row] = effects.to_dict("records")
    assert (row["connection_id"], row["before_severity"], row["effect"]) == ("A", 2, effect)


def test_a_reading_after_the_next_work_speaks_of_that_work() -> None:
    findings = pd.concat([finding("2022-10-01"), finding("2022-12-01", action="remade")])
    tables = read(years(52.0, 40.0), findings=findings)
    effects = over_time.work_effects(readings(tables), over_time.works(tables, ON), SETTINGS)
    assert effects["effect"].tolist() == ["not re-surveyed", "cured"]


def test_work_on_a_healthy_joint_is_not_listed() -> None:
    tables = read(years(40.0, 40.0), findings=finding("2022-10-01"))
    assert over_time.work_effects(readings(tables), over_time.works(tables, ON), SETTINGS).empty


INSTALLS = pd.DataFrame([
    {"connection_id": "A", "work_date": "2024-03-01", "applied_torque": 20, "torque_unit": "N·m", "tool_id": "T5"},
    {"connection_id": "B", "work_date": "2024-09-01", "applied_torque": 20, "torque_unit": "N·m", "tool_id": "t5"},
    {"connection_id": "C", "work_date": "2025-04-01", "applied_torque": 20, "torque_unit": "N·m", "tool_id": "T5"},
    {"connection_id": "A", "work_date": "2024-08-01", "applied_torque": 20, "torque_unit": "N·m", "tool_id": "T5"},
    {"connection_id": "A", "work_date": "2025-08-01", "applied_torque": 20, "torque_unit": "N·m", "tool_id": "T6"},
])  # fmt: skip
TOOLS = pd.DataFrame([
    {"tool_id": "T5", "calibrated_on": "2024-03-01"},
    {"tool_id": "T5", "calibrated_on": "2025-03-10", "found_out_of_tolerance_on": "2025-03-10"},
])  # fmt: skip


def test_recall_is_what_was_tightened_after_the_last_good_date_worst_first() -> None:
    tables = read(years(52.0), installs=INSTALLS, tools=TOOLS)
    [(tool, good, bad)] = over_time.out_of_tolerance(tables)
    assert (tool, good, bad) == ("T5", dt.date(2024, 3, 1), dt.date(2025, 3, 10))
    found = riskscope.assess(tables, on=ON)
    listed = over_time.recall(found, tables, tool, good, bad)
    assert listed["connection_id"].tolist() == ["A", "B"]
    assert listed["work_date"].dt.strftime("%Y-%m-%d").tolist() == ["2024-08-01", "2024-09-01"]
    assert listed["reworked"].tolist() == [True, False]


def due_rows(survey: pd.DataFrame, **tables: pd.DataFrame) -> dict[str, str]:
    given = read(survey, **tables)
    frame = due(riskscope.assess(given, on=ON), given, SETTINGS, ON)
    return dict(zip(frame["connection_id"], frame["due"], strict=True))


RECENT = phases(40.0, 40.0, 40.0, ambient_c=30.0, load_pct=80, equipment="B1").assign(
    survey_date="2025-11-01"
)


def test_read_within_its_interval_is_not_due() -> None:
    assert due_rows(RECENT) == {}


def test_never_surveyed_unless_its_board_was_seen_whole() -> None:
    register = pd.DataFrame({"connection_id": ["Z", "Y"], "equipment": ["B1", "B2"]})
    seen = pd.DataFrame(
        {"equipment": ["B1"], "survey_date": ["2026-05-01"], "result": ["all seen"]}
    )
    assert due_rows(RECENT, connections=register) == {"Z": "never surveyed", "Y": "never surveyed"}
    assert due_rows(RECENT, connections=register, inspections=seen) == {"Y": "never surveyed"}


@pytest.mark.parametrize(
    ("condition", "due_"), [(1, {}), (3, dict.fromkeys("ABC", "past its interval"))]
)
def test_poor_equipment_is_due_after_six_months(condition: int, due_: dict[str, str]) -> None:
    """Read on 1 November 2025; on 1 June 2026 seven months have passed."""
    equipment = pd.DataFrame({"equipment": ["B1"], "equipment_condition": [condition]})
    assert due_rows(RECENT, equipment=equipment) == due_


def test_open_finding_until_deferred_and_again_when_that_runs_out() -> None:
    hot = phases(70.0, 40.0, 40.0, ambient_c=30.0, load_pct=80).assign(survey_date="2026-05-01")

    def deferred(until: str) -> pd.DataFrame:
        return finding(
            "2026-05-10", "not checked", "none", deferred_by="P. Lowe", deferred_until=until
        )

    assert due_rows(hot) == {"A": "open finding"}
    assert due_rows(hot, findings=deferred("2026-09-01")) == {}
    assert due_rows(hot, findings=deferred("2026-05-20")) == {"A": "open finding; deferral run out"}


def test_route_order_and_age() -> None:
    hot = phases(70.0, 40.0, 40.0, ambient_c=30.0, load_pct=80, equipment="B2").assign(
        survey_date="2026-05-01"
    )
    other = hot.assign(equipment="B1", connection_id=["D", "E", "F"])
    given = read(pd.concat([hot, other]))
    frame = due(riskscope.assess(given, on=ON), given, SETTINGS, ON)
    assert frame["connection_id"].tolist() == ["D", "A"]
    assert frame["age_days"].tolist() == [31, 31]
