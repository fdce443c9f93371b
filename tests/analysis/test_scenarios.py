"""Literal scenarios: rows in, what must come out, and why. Expected values are by hand."""

from __future__ import annotations

from typing import Any

import pandas as pd
import pytest

from tests.build import assess, good_record, phases, survey

# name: (survey, other tables, connection -> what it must show, why)
Scenario = tuple[pd.DataFrame, dict[str, pd.DataFrame], dict[str, dict[str, Any]], str]


def single(**row: Any) -> pd.DataFrame:
    return survey({"connection_id": "A", **row}, circuit=None)


def finding(connection: str, day: str, as_found: str, action: str, **more: Any) -> dict[str, pd.DataFrame]:
    return {
        "findings": pd.DataFrame(
            [{"connection_id": connection, "work_date": day, "as_found": as_found, "action": action, **more}]
        )
    }


NEUTRAL = pd.concat(
    [
        phases(45.0, 45.0, 45.0, load_pct=80),
        survey({"connection_id": "N", "phase": "N", "connection_c": 31.0}, load_pct=80),
    ]
)
BODY = survey(
    {"connection_id": "body", "phase": "A", "point": "device body", "connection_c": 58.0},
    {"connection_id": "lug", "phase": "A", "point": "termination", "connection_c": 41.0},
    {"connection_id": "lug B", "phase": "B", "point": "termination", "connection_c": 41.0},
    ambient_c=30.0,
    load_pct=80,
)

SCENARIOS: dict[str, Scenario] = {
    "one hot at 30 % load": (
        phases(62.0, 35.0, 34.0, ambient_c=30.0, load_pct=30),
        {},
        {
            "A": {
                "severity_as_found": 4,
                "severity": 4,
                "pattern": "one joint hot",
                "urgency": "now",
                "action": "retighten",
                "rise_ambient_found_k": 32,
                "rise_similar_found_k": 28,
            }
        },
        "28 K over the coolest of three is above 15 K as found; no record",
    ),
    "coolest of the three": (
        phases(62.0, 35.0, 34.0, ambient_c=30.0, load_pct=30),
        {},
        {"C": {"severity_as_found": 0, "pattern": "even", "rise_ambient_found_k": 4}},
        "4 K over air as found; the similar basis rules",
    ),
    "all hot beyond load": (
        phases(75.0, 75.0, 75.0, ambient_c=30.0, load_pct=50),
        good_record(*"ABC"),
        {
            "A": {
                "severity": 4,
                "severity_as_found": 4,
                "pattern": "all hot beyond load",
                "action": "remake",
                "urgency": "now",
            }
        },
        "45 K over air at half load: the load does not explain it, so never check load",
    ),
    "phases even, neutral apart": (
        NEUTRAL,
        good_record(*"ABCN"),
        {"A": {"severity": 0, "pattern": "even", "action": "none"}, "N": {"reference": None, "severity": None}},
        "a neutral is no reference for a phase, whatever its load cell says",
    ),
    "healthy phases at 90 and 45 %": (
        survey(
            {"connection_id": "A", "phase": "A", "connection_c": 30 + 30 * 0.9**1.6, "load_pct": 90},
            {"connection_id": "B", "phase": "B", "connection_c": 30 + 30 * 0.45**1.6, "load_pct": 45},
            {"connection_id": "C", "phase": "C", "connection_c": 30 + 30 * 0.45**1.6, "load_pct": 45},
            ambient_c=30.0,
        ),
        {},
        {
            "A": {"pattern": "load imbalance", "severity": 0, "action": "balance load"},
            "B": {"pattern": "even", "severity": 0},
            "C": {"pattern": "even"},
        },
        "equal at full load by exponent 1.6; by the square law alone A would read cold and B hot",
    ),
    "1 K over air at 10 %": (
        single(connection_c=31.0, ambient_c=30.0, load_pct=10),
        {},
        {"A": {"severity": 1, "severity_as_found": 1}},
        "the ambient table speaks of the load found",
    ),
    "1.5 K over a sibling at 10 %": (
        phases(31.5, 30.0, load_pct=10),
        {},
        {"A": {"severity": 1}},
        "seen 1; scaled to 40 % load at its low end, at most one band more: at most 2",
    ),
    "breaker body beside its lug": (
        BODY,
        {},
        {
            "body": {"reference": None, "pattern": "no reference", "severity": 3, "action": "check load"},
            "lug": {"pattern": "all warm, load explains it", "severity": 0},
        },
        "a device body is compared with no lug; 28 K over air is 3; it has no screw",
    ),
    "cover closed": (
        phases(33.0, 31.5, 31.4, ambient_c=30.0, load_pct=60, cover="closed"),
        good_record(*"ABC"),
        {
            "A": {"severity": None, "action": "inspect", "urgency": "soon", "resurvey": True},
            "C": {"severity": None, "urgency": "next survey"},
        },
        "not seen, not rated; a cover 1.6 K over its like is to be opened soon",
    ),
    "found loose after the survey": (
        phases(40.0, 40.0, 40.0, ambient_c=30.0, load_pct=70),
        good_record(*"ABC") | finding("A", "2026-05-20", "loose", "none"),
        {"A": {"install_state": "verified", "record_now": "found loose", "action": "retighten", "urgency": "soon"}},
        "found loose and untouched",
    ),
    "work after the survey": (
        phases(60.0, 41.0, 41.0, ambient_c=30.0, load_pct=80),
        good_record(*"ABC") | finding("A", "2026-05-20", "discoloured", "remade"),
        {
            "A": {
                "severity": 4,
                "action": "remake",
                "resurvey": True,
                "urgency": "now",
                "record_now": "unrecorded",
                "work_state": "repair in doubt",
            }
        },
        "remade without a torque: as before the work",
    ),
    "work on the day of the survey": (
        phases(52.0, 40.0, 40.0, ambient_c=30.0, load_pct=70),
        good_record(*"ABC") | finding("A", "2026-05-04", "loose", "tightened"),
        {
            "A": {
                "severity_as_found": 2,
                "severity": 4,
                "resurvey": True,
                "action": "remake",
                "install_state": "verified",
                "record_now": "unrecorded",
            }
        },
        "order unknown: the rating stands by the record before the day, and it is surveyed again",
    ),
    "20 K over similar at 120 %": (
        single(connection_c=54.0, similar_c=34.0, ambient_c=24.0, load_pct=120),
        {},
        {"A": {"severity": 4, "severity_as_found": 4, "urgency": "now", "overload": True, "action": "retighten"}},
        "above full load the larger of found and scaled counts: 20 K, not 13.9",
    ),
    "48.1 less 33.1": (
        single(connection_c=48.1, similar_c=33.1, load_pct=100),
        {},
        {"A": {"severity": 2, "severity_as_found": 2}},
        "15 K ends band 2, inclusive",
    ),
    "over its limit": (
        phases(91.0, 62.0, 61.0, ambient_c=32.0, load_pct=85),
        good_record(*"ABC"),
        {"A": {"severity": 4, "urgency": "now", "action": "remake", "governing_basis": "similar"}},
        "91 °C over 90 °C: heat-damaged parts, torque alone is not offered",
    ),
    "over its limit, nothing beside it": (
        single(connection_c=91.0, load_pct=85),
        {},
        {"A": {"severity": 4, "urgency": "now", "action": "remake", "governing_basis": "limit"}},
        "a limit needs no reference",
    ),
    "no load": (
        single(connection_c=30.5, ambient_c=30.0, load_pct=0),
        good_record("A"),
        {"A": {"severity": None, "action": "re-survey", "resurvey": True, "urgency": "next survey"}},
        "a joint without current shows nothing; not rated is not 0",
    ),
    "warm at no load": (
        single(connection_c=34.0, ambient_c=30.0, load_pct=0),
        good_record("A"),
        {"A": {"severity": None, "action": "check circuit", "resurvey": True}},
        "4 K over air without load: there is current, or heat from elsewhere",
    ),
    "verified and hot": (
        phases(58.0, 44.0, 43.8, ambient_c=30.0, load_pct=90),
        good_record(*"ABC"),
        {"A": {"severity_as_found": 2, "severity": 3, "action": "remake", "urgency": "soon"}},
        "17.5 K at full load, low end below 15 K: one band above what was seen; the torque is right",
    ),
    "one cold": (
        phases(70.0, 68.0, 35.0, ambient_c=30.0, load_pct=100),
        {},
        {
            "C": {"pattern": "one cold", "action": "check circuit", "resurvey": True},
            "A": {"severity": 3, "action": "retighten", "resurvey": True, "urgency": "soon"},
            "B": {"severity": 3, "resurvey": True},
        },
        "the cold one is checked, the others keep what the air says: 40 and 38 K are 3",
    ),
    "load not recorded": (
        phases(60.0, 40.0, 40.0),
        {},
        {"A": {"severity": 4, "firm": False, "pattern": "one joint hot"}},
        "as found among like parts whose load nobody wrote down: a lower bound, never firm",
    ),
    "not steady": (
        phases(45.0, 40.0, 40.0, ambient_c=30.0, load_pct=50, load_steady_min=10),
        good_record(*"ABC"),
        {"A": {"reference": None, "severity": 2, "firm": False, "resurvey": True, "action": "check load"}},
        "unsteady siblings are no reference; 15 K over air as found is 2; record good",
    ),
    "reference at another load": (
        single(connection_c=50.0, similar_c=40.0, load_a=80, similar_load_a=40, rated_a=100),
        {},
        {"A": {"severity": None, "reference at another load": True, "reference": None}},
        "50 and 40 °C at 80 and 40 A without the air temperature cannot be compared",
    ),
    "neutral without its load": (
        survey({"connection_id": "N", "phase": "N", "connection_c": 31.0, "ambient_c": 30.0}),
        good_record("N"),
        {"N": {"action": "check load"}},
        "measure neutral and harmonic current",
    ),
    "crimped and hot": (
        phases(55.0, 42.0, 42.0, ambient_c=30.0, load_pct=80),
        {"connections": pd.DataFrame([{"connection_id": "A", "termination_kind": "crimped"}])},
        {"A": {"severity": 4, "severity_as_found": 2, "action": "remake", "action_changed": True}},
        "20.3 K at full load, low end 16.1 K; a crimp is not tightened",
    ),
    "fuse clip and hot": (
        phases(55.0, 42.0, 42.0, ambient_c=30.0, load_pct=80, point="fuse clip"),
        {},
        {"A": {"severity": 4, "action": "inspect"}},
        "a clip is inspected or replaced",
    ),
    "found damaged": (
        phases(40.0, 40.0, 40.0, ambient_c=30.0, load_pct=70),
        good_record(*"ABC") | finding("A", "2026-05-20", "damaged", "tightened"),
        {"A": {"action": "remake", "urgency": "now"}},
        "tightening does not mend a damaged part",
    ),
    "motor with unlike phases": (
        survey(
            {"connection_id": "A", "phase": "A", "connection_c": 54.3, "load_pct": 90},
            {"connection_id": "B", "phase": "B", "connection_c": 40.0, "load_pct": 58},
            ambient_c=30.0,
            device="motor starter",
        ),
        good_record("A", "B"),
        {"A": {"pattern": "load imbalance", "action": "check circuit"}},
        "24.3 and 10 K are both 30 K at full load; a motor's imbalance is its circuit's",
    ),
}


@pytest.mark.parametrize("name", SCENARIOS)
def test_scenario(name: str) -> None:
    readings, tables, expected, why = SCENARIOS[name]
    found = assess(readings, **tables)
    for connection, values in expected.items():
        row = found.loc[connection]
        for column, value in values.items():
            shown = row[column]
            if value is None:
                assert pd.isna(shown), f"{connection} {column}: {shown}; {why}"
            elif isinstance(value, str | bool):
                assert shown == value, f"{connection} {column}: {shown}; {why}"
            else:
                assert shown == pytest.approx(value, abs=1e-9), f"{connection} {column}; {why}"


def test_scaling_lifts_at_most_to_2_at_ten_percent() -> None:
    found = assess(phases(31.5, 30.0, load_pct=10))
    assert found.loc["A", "severity_high"] <= 2


def test_all_warm_explained_by_load_is_a_load_question() -> None:
    """64 °C on all three at full load and 30 °C air: 34 K is 3 by air, 74 °C is within 90 °C."""
    found = assess(phases(64.0, 64.0, 64.0, ambient_c=30.0, load_pct=100), **good_record(*"ABC"))
    assert found["pattern"].tolist() == ["all warm, load explains it"] * 3
    assert found["action"].tolist() == ["check load"] * 3


def test_large_rise_over_air_within_design_is_3() -> None:
    """45 K over air at full load is 4 as found; 85 °C at 40 °C air is within 90 °C: 3, said so."""
    found = assess(phases(75.0, 75.0, 75.0, ambient_c=30.0, load_pct=100), **good_record(*"ABC"))
    row = found.loc["A"]
    assert (row["severity_as_found"], row["severity"], row["urgency"]) == (4, 3, "soon")
    assert row["within_design"]
    assert row["action"] == "check load"


def test_firm_is_never_said_of_an_unfit_reading() -> None:
    unfit = assess(phases(45.0, 40.0, ambient_c=30.0, load_pct=80, load_steady_min=5))
    fit = assess(phases(40.0, 40.0, ambient_c=30.0, load_pct=80, load_steady_min=60))
    assert not unfit["firm"].any()
    assert fit["firm"].all()


def test_not_read_this_time_stands_and_says_so() -> None:
    old = phases(40.0, 40.0, ambient_c=30.0, load_pct=80).assign(survey_date="2025-05-01")
    new = phases(41.0, ambient_c=30.0, load_pct=80)
    found = assess(pd.concat([old, new]))
    assert found["not read this time"].to_dict() == {"A": False, "B": True}
    assert found.loc["B", "quality_flags"] == "not read this time"
    assert found.loc["A", "connection_c"] == 41.0


@pytest.mark.parametrize(
    ("readings", "counts"),
    [
        ([("09:00", 50.0), ("14:00", 45.0)], 45.0),
        ([("14:00", 45.0), ("", 50.0)], 50.0),
        ([("", 45.0), ("", 50.0), ("", 47.0)], 50.0),
    ],
    ids=["the later", "a time is missing: the hotter", "no times: the hottest"],
)
def test_which_of_several_readings_counts(readings: list[tuple[str, float]], counts: float) -> None:
    rows = [{"connection_id": "A", "survey_time": time, "connection_c": t} for time, t in readings]
    found = assess(survey(*rows, ambient_c=30.0, load_pct=80))
    assert found.loc["A", "connection_c"] == counts
    assert found.loc["A", "other_readings"] == len(readings) - 1
