"""What to do: every rule alone, every two rules together, every kind of point, every urgency.

The order is typed by hand, not taken from the code: what damages or endangers first, then the joint,
then the load, then the record.
"""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np
import pandas as pd
import pytest

from riskscope.analysis.assess import OF_WALK
from riskscope.analysis.frames import with_columns
from riskscope.analysis.proof.visits import settled, visits
from riskscope.analysis.records.kinds import torque_applies
from riskscope.analysis.steps.actions import actions
from riskscope.analysis.steps.urgency import urgency
from riskscope.analysis.steps.work_states import work_states
from riskscope.settings import Settings
from tests.build import ON, assess, good_record, phases

HOT, ALL_HOT, WARM = "one joint hot", "all hot beyond load", "all warm, load explains it"
ALONE = {"reference": None}
NOBODY = visits(settled({}), pd.Series([], dtype="str"), ON)
BASE = (
    assess(phases(40.0, 40.0, ambient_c=30.0, load_pct=80), **good_record("A", "B")).loc[["A"]].reset_index(drop=True)
)

# Rule: what makes it hold on a healthy, verified connection; the action. In order.
RULES: dict[str, tuple[dict[str, Any], str]] = {
    "damaged": ({"found_damaged": True}, "remake"),
    "found loose": ({"found_loose": True}, "retighten"),
    "hot over limit": ({"pattern": HOT, "over_limit_now": True}, "remake"),
    "hot rise": ({"pattern": HOT, "rise_similar_found_k": 40.0}, "remake"),
    "hot verified": ({"pattern": HOT, "install_state": "verified", "severity": 2.0}, "remake"),
    "hot verified, mild": ({"pattern": HOT, "install_state": "verified"}, "monitor"),
    "hot over-torqued": ({"pattern": HOT, "install_state": "over-torqued", "severity": 2.0}, "remake"),
    "hot over-torqued, mild": ({"pattern": HOT, "install_state": "over-torqued"}, "monitor"),
    "hot": ({"pattern": HOT, "install_state": "doubtful", "severity": 2.0}, "retighten"),
    "hot, mild": ({"pattern": HOT, "install_state": "unrecorded"}, "check torque"),
    "alone over limit": ({**ALONE, "severity": 4.0, "over_limit_now": True}, "remake"),
    "alone rise": ({"beside a cold sibling": True, "severity": 4.0, "rise_similar_found_k": 40.0}, "remake"),
    "neutral": ({"phase": "N", "severity": 2.0}, "check load"),
    "warm earth": ({"phase": "PE", "severity": 2.0}, "check circuit"),
    "alone verified": ({**ALONE, "install_state": "verified", "severity": 2.0}, "check load"),
    "alone over-torqued": ({**ALONE, "install_state": "over-torqued", "severity": 2.0}, "remake"),
    "alone": ({**ALONE, "install_state": "under-torqued", "severity": 2.0}, "retighten"),
    "hot cover": ({"cover closed": True, "cover_rise_k": 1.0}, "inspect"),
    "overload": ({"overload": True}, "check load"),
    "warm unloaded": ({"not loaded": True, "rise_ambient_found_k": 3.0}, "check circuit"),
    "lost phase": ({"lost phase": True}, "check circuit"),
    "cold": ({"pattern": "one cold"}, "check circuit"),
    "all warm": ({"pattern": WARM, "s_limit": 3.0}, "check load"),
    "motor imbalance": ({"pattern": "load imbalance", "device": "Motor starter"}, "check circuit"),
    "imbalance": ({"pattern": "load imbalance"}, "balance load"),
    "investigate": ({"severity": 2.0}, "investigate"),
    "under-torqued": ({"install_state": "under-torqued"}, "check torque"),
    "doubtful": ({"install_state": "doubtful"}, "check torque"),
    "over-torqued": ({"install_state": "over-torqued"}, "inspect"),
    "unrecorded": ({"install_state": "unrecorded"}, "check torque"),
    "watch": ({"severity": 1.0}, "monitor"),
    "not rated": ({"severity": np.nan}, "re-survey"),
    "none": ({}, "none"),
}


def told(**columns: Any) -> dict[str, Any]:
    """What `actions` says of the healthy connection with these columns instead."""
    return {name: pd.Series(values).iloc[0] for name, values in actions(instead(columns), Settings()).items()}  # type: ignore[call-overload]


def instead(columns: dict[str, Any]) -> pd.DataFrame:
    columns.setdefault("severity_as_found", columns.get("severity", 0.0))
    columns.setdefault("record_now", columns.get("install_state", "verified"))
    frame = BASE.assign(**{name: [value] for name, value in columns.items()})
    made = urgency(frame, Settings())
    made["torque applies"] = torque_applies(frame)
    return frame.assign(**{name: made[name] for name in made if name not in columns})


ON_DAYS = ("attested_on", "cool_on", "cool_like_on", "hot_on", "refuted_before_on")


@pytest.mark.parametrize("rule", RULES)
def test_each_rule_alone(rule: str) -> None:
    columns, action = RULES[rule]
    made = told(**columns)
    assert (made["rule"], made["action"]) == (rule, action)


def together() -> list[tuple[str, str]]:
    """Pairs of rules that can hold of one connection, the earlier first."""
    return [
        (first, second)
        for first, second in itertools.combinations(RULES, 2)
        if all(RULES[first][0].get(name, value) == value for name, value in RULES[second][0].items())
    ]


REMAKES = ("hot over limit", "hot rise", "hot verified", "hot over-torqued", "alone over limit", "alone rise")
MILD = {f"{rule}, mild": rule for rule in ("hot verified", "hot over-torqued", "hot")}


def counts(first: str, second: str) -> str:
    """The rule that counts of two that hold: the first, unless the second makes it worse than the first says."""
    added = RULES[second][0]
    if first == "found loose" and second in REMAKES:
        return second  # what is to be remade is not tightened, found loose or not
    if first in ("hot rise", *MILD) and "over_limit_now" in added:
        return "hot over limit"
    if first in MILD and "rise_similar_found_k" in added:
        return "hot rise"
    return MILD[first] if first in MILD and added.get("severity", 0.0) >= 2 else first


@pytest.mark.parametrize(("first", "second"), together())
def test_of_two_rules_the_first_counts(first: str, second: str) -> None:
    made, rule = told(**{**RULES[second][0], **RULES[first][0]}), counts(first, second)
    assert (made["rule"], made["action"]) == (rule, RULES[rule][1])


@pytest.mark.parametrize(
    ("columns", "rule"),
    [
        ({"pattern": HOT, "over_limit_now": True, "install_state": "verified", "severity": 1.0}, "hot over limit"),
        ({"pattern": ALL_HOT, "severity": 2.0, "install_state": "verified"}, "hot verified"),
        ({"pattern": HOT, "rise_similar_found_k": 39.999, "install_state": "unrecorded", "severity": 4.0}, "hot"),
        ({"pattern": HOT, "install_state": "under-torqued", "severity": 2.0, "overload": True}, "hot"),
        ({"pattern": HOT, "install_state": "unrecorded", "severity": 1.0, "overload": True}, "hot, mild"),
        ({"found_damaged": True, "found_loose": True}, "damaged"),
        ({"phase": "N", "severity": 4.0, "reference": None, "over_limit_now": True}, "alone over limit"),
        ({"phase": "N", "severity": 4.0, "reference": None, "rise_similar_found_k": 40.0}, "alone rise"),
        ({"phase": "N", "severity": 2.0, "reference": None, "install_state": "unrecorded"}, "neutral"),
        ({"phase": "PE", "severity": 2.0, "reference": None, "install_state": "unrecorded"}, "warm earth"),
        ({**ALONE, "severity": 2.0, "install_state": "unrecorded", "overload": True}, "alone"),
        ({**ALONE, "severity": 1.0, "install_state": "unrecorded"}, "unrecorded"),
        ({"cover closed": True, "cover_rise_k": 0.999, "severity": np.nan}, "not rated"),
        ({"cover closed": True, "rise_surveyor_k": 1.0, "severity": np.nan}, "hot cover"),
        ({"cover closed": True, "over_limit_now": True, "severity": np.nan}, "hot cover"),
        ({"cover_rise_k": 5.0}, "none"),
        ({"not loaded": True, "rise_ambient_found_k": 2.999, "severity": np.nan}, "not rated"),
        ({"not loaded": True, "over_limit_now": True, "severity": np.nan}, "warm unloaded"),
        ({"overload": True, "pattern": "one cold"}, "overload"),
        ({"pattern": WARM, "s_ambient": 3.0}, "all warm"),
        ({"pattern": WARM, "s_ambient": 2.0, "s_limit": 2.0}, "none"),
        ({"pattern": "load imbalance", "circuit": "Pump motor 3"}, "motor imbalance"),
        ({"pattern": "load imbalance", "equipment": "MOTOR-4"}, "motor imbalance"),
        ({"pattern": "load imbalance", "device": "Motorised valve"}, "imbalance"),
        ({"severity": 2.0, "install_state": "under-torqued"}, "investigate"),
        ({"severity": 1.0, "install_state": "unrecorded"}, "unrecorded"),
        ({"severity": np.nan, "install_state": "doubtful"}, "doubtful"),
        ({"install_state": "unrecorded", "termination_kind": "spring"}, "none"),
        ({"install_state": "unrecorded", "point": "fuse clip"}, "none"),
        ({"install_state": "unrecorded", "termination_kind": "compression"}, "none"),
        ({"install_state": "unrecorded", "point": "device body"}, "none"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_rules_in_company(columns: dict[str, Any], rule: str) -> None:
    assert told(**columns)["rule"] == rule


@pytest.mark.parametrize(
    ("neutral_a", "set_code", "rule"),
    [(31.0, 0, "neutral"), (30.0, 0, "none"), (31.0, -1, "none")],
    ids=["more than the largest phase", "as much", "of no set"],
)
def test_a_neutral_with_more_current_than_a_phase(neutral_a: float, set_code: int, rule: str) -> None:
    rows = pd.concat([BASE] * 3, ignore_index=True).assign(
        phase=["A", "B", "N"], set_code=[0, 0, set_code], current_a=[30.0, 25.0, neutral_a], severity=0.0
    )
    assert actions(rows, Settings())["rule"].iloc[2] == rule  # type: ignore[attr-defined]


def test_a_neutral_whose_load_nobody_knows() -> None:
    assert told(phase="N", **{"load unknown": True})["rule"] == "neutral"
    assert told(phase="N", surveyed=False, **{"load unknown": True})["rule"] == "none"


RETIGHTEN = {"pattern": HOT, "install_state": "unrecorded", "severity": 2.0}
REMAKE = {"pattern": HOT, "install_state": "verified", "severity": 2.0}
BURNT = {"pattern": HOT, "over_limit_now": True, "severity": 4.0}
CHECK = {"install_state": "doubtful"}
LOOSE = {"found_loose": True}


@pytest.mark.parametrize(
    ("kind", "actions_"),
    [
        ({}, ("retighten", "remake", "remake", "check torque", "retighten")),
        ({"termination_kind": "screw"}, ("retighten", "remake", "remake", "check torque", "retighten")),
        ({"termination_kind": "compression"}, ("remake", "remake", "remake", "inspect", "remake")),
        ({"termination_kind": "shear bolt"}, ("remake", "remake", "remake", "inspect", "remake")),
        ({"retighten_allowed": "no"}, ("remake", "remake", "remake", "inspect", "remake")),
        ({"termination_kind": "spring"}, ("inspect",) * 5),
        ({"termination_kind": "plug-in"}, ("inspect",) * 5),
        ({"point": "fuse clip"}, ("inspect", "inspect", "inspect", "inspect", "retighten")),
        ({"point": "stab"}, ("inspect", "inspect", "inspect", "inspect", "retighten")),
        ({"point": "contact"}, ("inspect", "inspect", "inspect", "inspect", "retighten")),
        ({"point": "conductor"}, ("inspect", "inspect", "inspect", "inspect", "retighten")),
        ({"point": "device body"}, ("check load", "check load", "inspect", "check load", "retighten")),
        (
            {"point": "device body", "termination_kind": "spring"},
            ("check load", "check load", "inspect", "check load", "inspect"),
        ),
        ({"termination_kind": "spring", "retighten_allowed": "no"}, ("inspect",) * 5),
        ({"point": "bus joint"}, ("retighten", "remake", "remake", "check torque", "retighten")),
    ],
    ids=lambda value: " ".join(value.values()) if isinstance(value, dict) else "",
)
def test_the_kind_of_point_decides_what_hands_do(kind: dict[str, str], actions_: tuple[str, ...]) -> None:
    cases = (RETIGHTEN, REMAKE, BURNT, CHECK, LOOSE)
    usual = ("retighten", "remake", "remake", "check torque", "retighten")
    made = [told(**case, **kind) for case in cases]
    assert tuple(one["action"] for one in made) == actions_
    assert [one["action_changed"] for one in made] == [
        got != wanted for got, wanted in zip(actions_, usual, strict=True)
    ]


@pytest.mark.parametrize("damage", [{"found_damaged": True}, {"rise_similar_found_k": 40.0, "pattern": HOT},
                                    {**ALONE, "severity": 4.0, "over_limit_now": True},
                                    {**ALONE, "severity": 4.0, "rise_similar_found_k": 40.0}])  # fmt: skip
def test_a_device_body_with_damage_is_opened(damage: dict[str, Any]) -> None:
    assert told(point="device body", **damage)["action"] == "inspect"


@pytest.mark.parametrize(
    ("columns", "urgency"),
    [
        ({"severity": 4.0, "severity_as_found": 4.0}, "now"),
        ({"severity": 4.0, "severity_as_found": 3.0}, "soon"),
        ({"severity": 3.0, "severity_as_found": 4.0}, "soon"),
        ({"severity": 3.0}, "soon"),
        ({"severity": 2.0}, "next outage"),
        ({"severity": 1.0}, "next survey"),
        ({"severity": 0.0}, "next survey"),
        ({"over_limit_now": True}, "now"),
        ({"found_damaged": True}, "now"),
        ({"found_loose": True}, "soon"),
        ({"lost phase": True}, "next outage"),
        ({"overload": True}, "soon"),
        ({"cover closed": True, "cover_rise_k": 1.0}, "soon"),
        ({"cover closed": True, "cover_rise_k": 0.999, "severity": np.nan}, "next survey"),
        ({"cover closed": True, "cover_rise_k": 0.0, "rise_ambient_found_k": 20.0, "severity": np.nan}, "now"),
        ({"cover closed": True, "cover_rise_k": 0.0, "rise_ambient_found_k": 19.999, "severity": 0.0}, "next survey"),
        ({"hotter before, no work since": True}, "soon"),
        ({"another reading was hotter": True}, "soon"),
        ({"severity": np.nan, "rise_ambient_found_k": 20.0}, "soon"),
        ({"severity": np.nan, "rise_ambient_found_k": 19.999}, "next survey"),
        ({"severity": 0.0, "rise_ambient_found_k": 25.0}, "next survey"),
        ({"install_state": "unrecorded"}, "next outage"),
        ({"install_state": "over-torqued"}, "next outage"),
        ({"pattern": "load imbalance"}, "next outage"),
    ],
    ids=lambda value: " ".join(f"{name} {one}" for name, one in value.items()) if isinstance(value, dict) else "",
)
def test_urgency(columns: dict[str, Any], urgency: str) -> None:
    assert told(**columns)["urgency"] == urgency


@pytest.mark.parametrize(
    ("columns", "reasons"),
    [
        ({}, ""),
        ({"worked_same_day": True}, "worked on the day of the survey, order unknown"),
        ({"low load": True, "severity": 2.0, "pattern": HOT}, "low load"),
        ({"low load": True, "severity": 3.0, "pattern": HOT}, ""),
        ({"wind": True, "severity": 2.0, "pattern": HOT}, "optics"),
        ({"wind": True, "severity": 3.0, "pattern": HOT}, ""),
        ({"not loaded": True, "severity": np.nan}, "not loaded"),
        ({"cover closed": True, "severity": np.nan}, "cover closed"),
        ({"unsteady": True, "severity": 4.0, "pattern": HOT}, "not steady"),
        ({"severity": np.nan}, "no reference"),
        ({"reads cold": True}, "a sibling reads cold"),
        ({"beside a cold sibling": True}, "a sibling reads cold"),
        ({"hotter before, no work since": True}, "hotter before"),
        ({"another reading was hotter": True}, "hotter before"),
        ({"severity": 2.0}, "to settle the cause"),
        ({"surveyed": False, "severity": np.nan}, "not surveyed"),
        ({"low load": True, "unsteady": True, "reads cold": True}, "low load; not steady; a sibling reads cold"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_why_to_survey_again(columns: dict[str, Any], reasons: str) -> None:
    frame = instead(columns)
    frame = with_columns(frame, {**dict.fromkeys(OF_WALK, False), **dict.fromkeys(ON_DAYS, pd.NaT)})
    frame = with_columns(frame, {"refuted_before_time": np.nan, **actions(frame, Settings())})
    made = with_columns(frame, work_states(frame, settled({}), NOBODY, Settings(), ON)).iloc[0]
    assert made["resurvey_reason"] == reasons
    assert made["resurvey"] == bool(reasons)


def test_a_surveyors_rise_of_a_closed_cover_goes_before_the_siblings() -> None:
    """34 °C beside its like at 32.5: 1.5 K, to be opened, though another cover is as warm."""
    made = told(**{"cover closed": True, "rise_surveyor_k": 1.5, "cover_rise_k": 0.0, "severity": np.nan})
    assert (made["action"], made["urgency"]) == ("inspect", "soon")


def test_without_load_but_over_its_limit_the_circuit_is_checked() -> None:
    row = assess(phases(95.0, 30.0, load_pct=0)).loc["A"]
    assert (row["action"], row["urgency"]) == ("check circuit", "now")
