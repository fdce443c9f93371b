"""The state of a torque record: every rule of the method, by literal rows."""

from __future__ import annotations

import datetime as dt
import math
from typing import Any

import pandas as pd
import pytest

from tests.analysis.proof_cases import asks, assessed, read, tighten
from tests.build import ON, assess, phases

TOOLS = [
    {"tool_id": "T1", "range_min": 5, "range_max": 50, "torque_unit": "N·m", "calibrated_on": "2024-01-10"},
    {"tool_id": "T1", "range_min": 5, "range_max": 50, "torque_unit": "N·m", "calibrated_on": "2025-01-10"},
    {"tool_id": "BAD", "range_max": 100, "torque_unit": "N·m", "calibrated_on": "2024-03-01",
     "calibration_due": "2026-03-01"},
    {"tool_id": "BAD", "range_max": 100, "torque_unit": "N·m", "calibrated_on": "2025-04-01",
     "found_out_of_tolerance_on": "2025-04-01"},
]  # fmt: skip
GOOD = {"connection_id": "A", "work_date": "2025-03-01", "required_torque": "20",
        "applied_torque": "20", "torque_unit": "N·m", "tool_id": "T1"}  # fmt: skip


def state(*installs: dict[str, Any], findings: list[dict[str, Any]] | None = None, on: dt.date = ON) -> pd.Series:
    tables = {"tools": pd.DataFrame(TOOLS)}
    if installs:
        tables["installs"] = pd.DataFrame([{**GOOD, **row} for row in installs])
    if findings:
        tables["findings"] = pd.DataFrame([{"connection_id": "A", **row} for row in findings])
    return assess(phases(40.0, 40.0, 40.0, ambient_c=30.0, load_pct=70), on=on, **tables).loc["A"]


STATES: list[tuple[dict[str, Any], str, str]] = [
    ({}, "verified", ""),
    ({"applied_torque": "18.0"}, "verified", ""),
    ({"applied_torque": "17.9"}, "under-torqued", "below required"),
    ({"applied_torque": "22.0"}, "verified", ""),
    ({"applied_torque": "22.1"}, "over-torqued", "above required"),
    ({"applied_torque": "18.9", "tolerance_pct": "5"}, "under-torqued", "below required"),
    ({"applied_torque": "23", "tolerance_pct": "20"}, "verified", ""),
    ({"required_torque": "18-24", "applied_torque": "23.9"}, "verified", ""),
    ({"required_torque": "18-24", "applied_torque": "26.5"}, "over-torqued", "above required"),
    ({"required_torque": "18-24", "applied_torque": "16"}, "under-torqued", "below required"),
    ({"applied_torque": ""}, "unrecorded", "no torque value"),
    ({"method": "by feel"}, "unrecorded", "tightened by feel"),
    ({"method": "shear head", "applied_torque": "", "tool_id": ""}, "verified", ""),
    (
        {"required_torque": "31", "applied_torque": "274"},
        "doubtful",
        "likely unit mix-up; above required; outside the tool's range",
    ),
    (
        {"required_torque": "20", "applied_torque": "240"},
        "doubtful",
        "likely unit mix-up; above required; outside the tool's range",
    ),
    ({"required_torque": "20", "applied_torque": "27.1"}, "over-torqued", "above required; lbf·ft for N·m?"),
    ({"required_torque": "20", "applied_torque": "14.75"}, "under-torqued", "below required; lbf·ft for N·m?"),
    ({"tool_id": ""}, "doubtful", "tool not recorded"),
    ({"tool_id": "T9"}, "doubtful", "tool not in the tool list"),
    ({"work_date": "2023-12-31"}, "doubtful", "no calibration covering that day"),
    ({"work_date": "2026-03-01"}, "doubtful", "no calibration covering that day"),
    ({"tool_id": "BAD", "work_date": "2024-03-01"}, "verified", ""),
    ({"tool_id": "BAD", "work_date": "2024-03-02"}, "doubtful", "tool later found out of tolerance"),
    ({"tool_id": "BAD", "work_date": "2025-04-01"}, "doubtful", "tool later found out of tolerance"),
    ({"tool_id": "BAD", "work_date": "2025-04-02"}, "verified", ""),
    (
        {"tool_id": "BAD", "work_date": "2025-05-02", "required_torque": "19", "applied_torque": "19"},
        "doubtful",
        "outside the tool's range",
    ),
    ({"required_torque": "51", "applied_torque": "51"}, "doubtful", "outside the tool's range"),
    ({"required_torque": ""}, "doubtful", "required torque unknown"),
    ({"witness_mark": "broken"}, "doubtful", "witness mark broken"),
    ({"fastener": "recessed hex", "drive_size": "1/4"}, "verified", ""),
    ({"fastener": "recessed hex", "drive_size": "9/16"}, "doubtful", "required torque unlike the published table"),
    ({"fastener": "recessed hex", "drive_size": "9/16", "required_source": "label"}, "verified", ""),
]


@pytest.fixture(scope="module")
def judged() -> pd.DataFrame:
    """Each record of STATES at a joint of its own, of one site."""
    names = [f"F{number}-A" for number in range(len(STATES))]
    circuits = [
        phases(40.0, 40.0, 40.0, ambient_c=30.0, load_pct=70, circuit=name[:-2]).assign(
            connection_id=lambda rows: rows["circuit"] + "-" + rows["phase"]
        )
        for name in names
    ]
    installs = [{**GOOD, **row, "connection_id": name} for name, (row, *_) in zip(names, STATES, strict=True)]
    return assess(pd.concat(circuits), tools=pd.DataFrame(TOOLS), installs=pd.DataFrame(installs)).loc[names]


@pytest.mark.parametrize("place", range(len(STATES)), ids=lambda place: str(STATES[place][0])[:60])
def test_state_of_one_record(place: int, judged: pd.DataFrame) -> None:
    """20–100 % of capacity is the range where no minimum is marked; a year where no due date is."""
    _, *expected = STATES[place]
    assert judged.iloc[place][["install_state", "install_reasons"]].tolist() == expected


def test_no_record() -> None:
    found = state()
    assert (found["install_state"], found["install_reasons"]) == ("unrecorded", "no tightening on record")


def test_the_worst_fastener_of_a_day_counts_and_all_reasons_are_kept() -> None:
    found = state({"fastener_no": "1", "witness_mark": "broken"}, {"fastener_no": "2", "applied_torque": "16"})
    assert found["install_state"] == "under-torqued"
    assert found["install_reasons"] == "below required; witness mark broken"
    assert found["applied_nm"] == 16.0


def test_the_latest_tightening_up_to_the_survey_counts() -> None:
    found = state({"work_date": "2024-02-01", "applied_torque": "10"}, {"work_date": "2025-03-01"})
    assert found["install_state"] == "verified"


def test_a_tightening_after_the_survey_is_not_the_record_of_the_reading() -> None:
    found = state({"applied_torque": "10"}, {"work_date": "2026-05-20"})
    assert (found["install_state"], found["record_now"]) == ("under-torqued", "doubtful")
    assert (found["record_now_reasons"], found["action"]) == ("no calibration covering that day", "check torque")


def test_required_torque_falls_back_to_the_published_table_and_says_so() -> None:
    """Recessed hex, 5/16 in across flats: 275 lbf·in (Annex I, table I.3) = 31.07 N·m."""
    found = state({"required_torque": "", "applied_torque": "31", "fastener": "hex key", "drive_size": "5/16"})
    assert found["install_state"] == "verified"
    assert found["required_from"] == "published table"
    assert found["required_nm"] == pytest.approx(275 * 0.1129848290276167)


@pytest.mark.parametrize(
    ("findings", "expected"),
    [
        ([{"work_date": "2025-06-01", "as_found": "loose", "action": "none"}], "found loose"),
        ([{"work_date": "2025-06-01", "as_found": "loose", "action": "tightened"}], "unrecorded"),
        ([{"work_date": "2025-06-01", "as_found": "loose", "action": "tightened",
           "as_left_torque": "20", "torque_unit": "N·m", "tool_id": "T1"}], "verified"),
        ([{"work_date": "2025-06-01", "as_found": "loose", "action": "tightened",
           "as_left_torque": "15", "torque_unit": "N·m", "tool_id": "T1"}], "under-torqued"),
        ([{"work_date": "2025-06-01", "as_found": "loose", "action": "none"},
          {"work_date": "2025-07-01", "as_found": "loose", "action": "tightened",
           "as_left_torque": "20", "torque_unit": "N·m", "tool_id": "T1"}], "verified"),
        ([{"work_date": "2025-01-01", "as_found": "loose", "action": "none"}], "verified"),
    ],
    ids=["loose, left", "tightened, no torque written", "left at 20 N·m", "left at 15 N·m",
         "left loose, tightened later", "loose before the record"],
)  # fmt: skip
def test_findings(findings: list[dict[str, Any]], expected: str) -> None:
    assert state({}, findings=findings)["install_state"] == expected


def test_found_tight_lowers_the_likelihood() -> None:
    """Prior 0.30, odds 0.4286 × 0.2 (found tight) × what the reading says."""
    found = state(findings=[{"work_date": "2025-06-01", "as_found": "tight", "action": "none"}])
    odds = 0.3 / 0.7 * 0.2 * math.exp(found["evidence"])
    assert found["likelihood_loose"] == pytest.approx(odds / (1 + odds))


LOWER = {"work_date": "2025-04-01", "required_torque": "10", "applied_torque": "10"}
LESS = "requires less than another record"


@pytest.mark.parametrize(
    ("earlier", "later", "expected", "reason"),
    [
        ({}, LOWER, "doubtful", LESS),
        ({}, {**LOWER, "required_source": "label"}, "verified", ""),
        ({"required_source": "manual"}, {**LOWER, "required_source": "label"}, "doubtful", LESS),
        ({}, {**LOWER, "required_torque": "18", "applied_torque": "18"}, "verified", ""),
        ({}, {**LOWER, "required_torque": "17.9", "applied_torque": "17.9"}, "doubtful", LESS),
        ({}, {**LOWER, "required_torque": "10-21", "applied_torque": "20"}, "verified", ""),
        ({}, {**LOWER, "required_torque": "10-21"}, "doubtful", LESS),
        ({}, {**LOWER, "required_torque": "30", "applied_torque": "30"}, "verified", ""),
        ({"work_date": "2025-04-02", "required_torque": "20"}, LOWER, "verified", ""),
    ],
    ids=["lower", "the maker's", "both the maker's", "within 10 %", "just beyond",
         "a range that holds it", "a range, and less applied", "higher",
         "the lower was the earlier"],
)  # fmt: skip
def test_a_required_torque_below_an_earlier_one(
    earlier: dict[str, Any], later: dict[str, Any], expected: str, reason: str
) -> None:
    found = state(earlier, later)
    assert (found["install_state"], found["install_reasons"]) == (expected, reason)


@pytest.mark.parametrize(
    ("left_at", "expected"), [("10", ("under-torqued", "below required")), ("20", ("verified", ""))]
)
def test_what_is_left_without_a_required_torque_is_held_against_the_largest_that_stands(
    left_at: str, expected: tuple[str, str]
) -> None:
    """A record after the first, of 20 N·m, requires 10."""
    left = {"work_date": "2025-06-01", "as_found": "loose", "action": "tightened", "torque_unit": "N·m"}
    found = state({}, LOWER, findings=[{**left, "as_left_torque": left_at, "tool_id": "T1"}])
    assert (found["install_state"], found["install_reasons"]) == expected


@pytest.mark.parametrize("device", ["A", "B"])
def test_a_new_device_has_a_required_torque_of_its_own(device: str) -> None:
    replaced = {"connection_id": device, "work_date": "2025-03-15", "as_found": "damaged", "action": "replaced"}
    readings = phases(40.0, 40.0, 40.0, ambient_c=30.0, load_pct=70).assign(device="Q1")
    installs = pd.DataFrame([GOOD, {**GOOD, **LOWER}])
    tables = {"installs": installs, "tools": pd.DataFrame(TOOLS), "findings": pd.DataFrame([replaced])}
    assert assess(readings, **tables).loc["A", "install_reasons"] == ""


@pytest.mark.parametrize(
    ("later", "expected"),
    [
        (["1", "2", "3", "4"], "verified"),
        (["2"], "doubtful"),
        (["1", "2", "4"], "doubtful"),
        ([""], "verified"),
        (["1", "2", "3", "4", "5"], "verified"),
    ],
    ids=lambda value: " ".join(value) or "not numbered" if isinstance(value, list) else "",
)
def test_a_fastener_tightened_alone_does_not_stand_for_the_others(later: list[str], expected: str) -> None:
    """A row without a number is of the joint as a whole."""
    first = [{"fastener_no": number, "applied_torque": "10"} for number in "1234"]
    found = state(*first, *({"fastener_no": number, "work_date": "2025-04-01"} for number in later))
    assert found["install_state"] == expected
    assert found["install_reasons"] == ("" if expected == "verified" else "not every fastener tightened")


def test_a_torque_found_on_an_installed_joint_is_no_tightening() -> None:
    found = state(
        findings=[
            {
                "work_date": "2025-06-01",
                "as_found": "tight",
                "action": "none",
                "as_found_torque": "12",
                "torque_unit": "N·m",
            }
        ]
    )
    assert found["install_state"] == "unrecorded"


def test_later_rows_than_the_day_of_assessment_are_not_used() -> None:
    found = state({"work_date": "2026-05-20"}, on=dt.date(2026, 5, 19))
    assert found["install_state"] == "unrecorded"
    assert found["action"] == "check torque"


def test_a_required_torque_of_a_table_is_held_against_the_published_one() -> None:
    """Only the maker's label or manual may differ from the table as much as 20 N·m for a 9/16 in hex."""
    row = {"fastener": "recessed hex", "drive_size": "9/16", "required_source": "table"}
    found = state(row)
    assert (found["install_state"], found["install_reasons"]) == (
        "doubtful",
        "required torque unlike the published table",
    )


def test_work_on_the_day_of_which_one_piece_has_no_time_is_of_unknown_order() -> None:
    installs = pd.DataFrame(
        [
            {**GOOD, "work_date": "2026-05-04", "work_time": time, "fastener_no": n}
            for n, time in enumerate(("09:00", ""))
        ]
    )
    readings = phases(40.0, 40.0, 40.0, ambient_c=30.0, load_pct=70).assign(survey_time="10:00")
    row = assess(readings, installs=installs, tools=pd.DataFrame(TOOLS)).loc["A"]
    assert row["worked_same_day"]
    assert row["resurvey_reason"] == "worked on the day of the survey, order unknown"


def test_a_tightening_without_a_torque_repairs_nothing() -> None:
    """25 K over its siblings is 4."""
    findings = pd.DataFrame(
        [
            {"connection_id": "A", "work_date": day, "as_found": "tight", "action": done}
            for day, done in (("2024-01-10", "remade"), ("2026-05-10", "tightened"))
        ]
    )
    row = assess(phases(75.0, 50.0, 50.0, ambient_c=30.0, load_pct=100), findings=findings).loc["A"]
    assert (row["severity"], row["urgency"], row["work_state"]) == (4, "now", "repair in doubt")


def test_found_tight_counts_for_nothing_once_found_loose() -> None:
    findings = [
        {"work_date": f"2025-0{month}-01", "as_found": found, "action": "none"}
        for month, found in ((6, "loose"), (7, "tight"))
    ]
    found = state(findings=findings)
    assert found["found_loose"]
    assert not found["found_tight_since"]


def test_what_is_required_where_a_later_record_asks_less_is_the_larger() -> None:
    found = state({}, LOWER)
    assert (found["required_nm"], found["required_from"]) == (20.0, "another record of it")


def test_a_look_that_asks_less_than_the_record_tells_the_crew_no_less() -> None:
    look = {"work_date": "2025-06-01", "as_found": "tight", "action": "none", "torque_unit": "N·m"}
    found = state({"applied_torque": ""}, findings=[{**look, "required_torque": "10"}])
    assert (found["required_nm"], found["required_from"]) == (20.0, "record")


def test_a_torque_without_a_requirement_after_a_look_that_asks_less_is_held_against_the_record() -> None:
    of_day = {"as_found": "tight", "torque_unit": "N·m", "tool_id": "T1"}
    look = {**of_day, "work_date": "2025-06-01", "action": "none", "required_torque": "10"}
    left = {**of_day, "work_date": "2025-06-02", "action": "tightened", "as_left_torque": "10"}
    found = state({}, findings=[look, left])
    assert (found["install_state"], found["install_reasons"]) == ("under-torqued", "below required")
    assert (found["required_nm"], found["required_from"]) == (20.0, "another record of it")


def test_what_is_found_to_be_required_after_the_reading_is_of_the_record_now():
    """Tightened to 25 of 25 N·m, hot on 4 May; on 10 May somebody reads 40 on its label. By hand from the method."""
    joint = assessed({"": [tighten("2026-02-01"), read("2026-05-04", 62.0), asks("2026-05-10", "40")]}).iloc[0]
    assert (joint["install_state"], joint["record_now"]) == ("verified", "doubtful")
    assert (joint["required_nm"], joint["required_from"]) == (40.0, "another record of it")
