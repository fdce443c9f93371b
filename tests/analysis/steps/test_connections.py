"""One row for each connection known: its latest reading, what the register says, what was not read."""

from __future__ import annotations

import datetime as dt

import pandas as pd
import pytest

from riskscope.analysis.assess import assess as assess_tables
from riskscope.analysis.learn.examples import features
from riskscope.intake.read import read_frames
from riskscope.settings import Settings
from tests.build import ON, assess, good_record, phases, survey


def test_every_connection_of_register_records_and_findings_has_a_row() -> None:
    found = assess(
        phases(40.0, 40.0, ambient_c=30.0, load_pct=80),
        connections=pd.DataFrame({"connection_id": ["R"]}),
        **good_record("I"),
        findings=pd.DataFrame(
            [{"connection_id": "F", "work_date": "2026-05-10", "as_found": "tight", "action": "none"}]
        ),
    )
    assert found["surveyed"].to_dict() == {"A": True, "B": True, "R": False, "I": False, "F": False}
    unread = found.loc[["R", "I", "F"]]
    assert unread["pattern"].tolist() == ["no reference"] * 3
    assert unread["quality_flags"].tolist() == ["", "", ""]
    assert unread["severity"].isna().all()
    assert unread["resurvey_reason"].tolist() == ["not surveyed"] * 3
    assert unread["action"].tolist() == ["check torque", "re-survey", "check torque"]


def test_of_two_readings_on_one_day_the_later_time_then_the_hotter_stands() -> None:
    rows = survey(
        {"connection_id": "A", "survey_id": "S1", "survey_time": "09:00", "connection_c": 60.0},
        {"connection_id": "A", "survey_id": "S2", "survey_time": "14:00", "connection_c": 50.0},
        {"connection_id": "B", "survey_id": "S1", "connection_c": 60.0},
        {"connection_id": "B", "survey_id": "S2", "connection_c": 50.0},
        circuit=None,
    )
    assert assess(rows)["connection_c"].to_dict() == {"A": 50.0, "B": 60.0}


def test_what_is_missing_from_the_latest_survey_of_its_own_site_is_flagged() -> None:
    """North was surveyed on 4 and 5 May in one survey: who was read on the 4th was read. South a year ago."""
    rows = survey(
        {"connection_id": "N1", "site": "North", "survey_id": "N26", "survey_date": "2026-05-04"},
        {"connection_id": "N2", "site": "North", "survey_id": "N26", "survey_date": "2026-05-05"},
        {"connection_id": "N3", "site": "North", "survey_id": "N25", "survey_date": "2025-05-05"},
        {"connection_id": "S1", "site": "South", "survey_id": "S25", "survey_date": "2025-05-04"},
        connection_c=40.0,
        ambient_c=30.0,
        load_pct=80,
        circuit=None,
    )
    assert assess(rows)["not read this time"].to_dict() == {"N1": False, "N2": False, "N3": True, "S1": False}


@pytest.mark.parametrize(
    ("register", "record", "kind"),
    [("crimped", "screw", "compression"), ("", "spring", "spring"), ("", "", None)],
    ids=["register first", "else the record", "neither"],
)
def test_the_kind_of_termination(register: str, record: str, kind: str | None) -> None:
    tables = good_record("A", termination_kind=record)
    found = assess(
        phases(40.0, 40.0, ambient_c=30.0, load_pct=80),
        connections=pd.DataFrame({"connection_id": ["A"], "termination_kind": [register]}),
        **tables,
    )
    assert found.loc["A", "termination_kind"] == kind or (kind is None and pd.isna(found.loc["A", "termination_kind"]))


def test_criticality_is_3_where_nobody_said() -> None:
    register = pd.DataFrame({"connection_id": ["A", "B"], "criticality": [5, ""]})
    found = assess(phases(40.0, 40.0, 40.0, ambient_c=30.0, load_pct=80), connections=register)
    assert found["criticality"].to_dict() == {"A": 5.0, "B": 3.0, "C": 3.0}


@pytest.mark.parametrize("newest_first", [True, False])
def test_the_kind_of_termination_is_that_of_the_latest_record(newest_first: bool) -> None:
    """A crimp of 2020 that was made a bolt in 2025 is tightened, whatever the order of the list."""
    records = [
        {"connection_id": "B", "work_date": "2025-03-01", "termination_kind": "bolt"},
        {"connection_id": "B", "work_date": "2020-03-01", "termination_kind": "crimp"},
    ]
    rows = pd.DataFrame(records if newest_first else records[::-1])
    found = assess(phases(40.0, 40.0, ambient_c=30.0, load_pct=80), installs=rows)
    assert found["termination_kind"]["B"] == "bolt"
    assert found["action"]["B"] == "check torque"


def test_a_record_after_the_day_of_the_assessment_says_nothing_yet() -> None:
    later = pd.DataFrame(
        [
            {"connection_id": "B", "work_date": "2026-05-30", "termination_kind": "crimp"},
            {"connection_id": "N", "work_date": "2026-05-30", "termination_kind": "crimp"},
        ]
    )
    tables = read_frames(on=ON, survey=phases(40.0, 40.0, ambient_c=30.0, load_pct=80), installs=later)
    found = assess_tables(tables, on=dt.date(2026, 5, 20)).connections.set_index("connection_id")
    assert set(found.index) == {"A", "B"}
    assert found["termination_kind"].isna().all()
    assert set(assess_tables(tables, on=ON).connections["connection_id"]) == {"A", "B", "N"}


def test_what_a_joint_is_made_of_comes_from_the_register_else_from_its_latest_record() -> None:
    register = pd.DataFrame([{"connection_id": "A", "conductor_material": "copper"}])
    records = pd.DataFrame(
        [
            {
                "connection_id": "A",
                "work_date": "2025-03-01",
                "conductor_material": "aluminium",
                "conductor_size": "70",
            },
            {
                "connection_id": "B",
                "work_date": "2025-03-01",
                "conductor_material": "aluminium",
                "conductor_size": "95",
            },
            {"connection_id": "B", "work_date": "2024-03-01", "conductor_material": "copper", "conductor_size": "50"},
        ]
    )
    found = assess(phases(40.0, 40.0, ambient_c=30.0, load_pct=80), connections=register, installs=records)
    assert found["conductor_material"].to_dict() == {"A": "copper", "B": "aluminium"}
    assert found["conductor_size"].to_dict() == {"A": "70", "B": "95"}
    assert features(found, ON, Settings())["aluminium"].tolist() == [0.0, 1.0]
