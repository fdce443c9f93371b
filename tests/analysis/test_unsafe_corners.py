"""Corners where a plain reading of the rules would hide something hot. Each names what it must not do."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import pytest

from tests.build import assess, good_record, phases, survey


def rows(*readings: tuple[str, float, float], **common: Any) -> pd.DataFrame:
    """(phase, temperature, load) in one group."""
    return survey(
        *({"connection_id": p, "phase": p, "connection_c": t, "load_pct": load} for p, t, load in readings),
        **{"group": "g", **common},
    )


def finding(day: str, as_found: str, action: str, connection: str = "A", **more: Any) -> pd.DataFrame:
    return pd.DataFrame(
        [{"connection_id": connection, "work_date": day, "as_found": as_found, "action": action, **more}]
    )


def test_a_sibling_without_air_temperature_is_still_seen() -> None:
    """38, 37.5 and 22 °C at full load, the air missing for the cool one: 16 K is 4 as found."""
    readings = rows(("A", 38.0, 100), ("B", 37.5, 100), ("C", 22.0, 100), ambient_c=20.0)
    readings.loc[2, "ambient_c"] = np.nan
    found = assess(readings)
    assert found.loc["A", ["severity", "severity_as_found", "urgency"]].tolist() == [4, 4, "now"]
    assert found.loc["B", "severity"] == 4


def test_an_unsteady_reading_keeps_its_like_loaded_sibling() -> None:
    readings = rows(("A", 38.0, 50), ("B", 22.0, 50), ("C", 20.2, 30), ambient_c=20.0)
    readings["load_steady_min"] = [10, 60, 60]
    row = assess(readings).loc["A"]
    assert (row["severity_as_found"], row["pattern"], row["urgency"]) == (4, "one joint hot", "now")


@pytest.mark.parametrize(
    ("temperatures", "finding_", "action"),
    [((25.0, 25.0), "damaged", "inspect"), ((95.0, 40.0), None, "inspect"), ((40.0, 30.0), None, "check load")],
    ids=["damaged", "over its limit", "warm"],
)
def test_a_device_body_with_damage_is_opened(
    temperatures: tuple[float, float], finding_: str | None, action: str
) -> None:
    readings = rows(*zip("AB", temperatures, (50, 50), strict=True), ambient_c=20.0, point="device body")
    more = {"findings": finding("2026-05-10", finding_, "none")} if finding_ else {}
    assert assess(readings, **more).loc["A", "action"] == action


@pytest.mark.parametrize("kind", ["compression", "shear bolt", "spring"])
def test_a_bad_record_of_what_is_no_screw_is_not_passed_over(kind: str) -> None:
    record = good_record("A", applied_torque=10.0, termination_kind=kind)
    found = assess(rows(("A", 21.0, 50), ("B", 21.0, 50), ambient_c=20.0), **record)
    assert found.loc["A", "install_state"] == "under-torqued"
    assert found.loc["A", "action"] == "inspect"


def test_a_spring_terminal_hot_but_mild_is_inspected() -> None:
    record = {"connections": pd.DataFrame([{"connection_id": "A", "termination_kind": "spring"}])}
    found = assess(rows(("A", 23.0, 30), ("B", 21.0, 30), ambient_c=20.0), **record)
    assert found.loc["A", ["pattern", "action"]].tolist() == ["one joint hot", "inspect"]


def test_work_without_a_torque_is_not_forgotten_when_more_work_follows_the_survey() -> None:
    tables = good_record("A")
    tables["installs"] = pd.concat([tables["installs"], tables["installs"].assign(work_date="2026-05-20")])
    tables["findings"] = finding("2026-01-10", "tight", "remade")
    found = assess(rows(("A", 30.0, 50), ("B", 30.0, 50), ambient_c=20.0), **tables)
    assert found.loc["A", "install_reasons"] == "worked on since without a torque record"


def test_required_torque_is_never_taken_from_a_later_record() -> None:
    tables = good_record("A", required_torque=np.nan)
    later = tables["installs"].assign(work_date="2026-05-20", required_torque=40.0, applied_torque=40.0)
    tables["installs"] = pd.concat([tables["installs"], later])
    found = assess(rows(("A", 30.0, 50), ("B", 30.0, 50), ambient_c=20.0), **tables)
    assert found.loc["A", ["install_state", "install_reasons"]].tolist() == ["doubtful", "required torque unknown"]
    assert found.loc["A", ["required_nm", "required_from"]].tolist() == [40.0, "record"], "as it is known now"


def test_required_torque_of_an_earlier_record_says_so() -> None:
    tables = good_record("A", work_date="2025-02-01")
    later = tables["installs"].assign(work_date="2025-03-01", required_torque=np.nan)
    tables["installs"] = pd.concat([tables["installs"], later])
    found = assess(rows(("A", 30.0, 50), ("B", 30.0, 50), ambient_c=20.0), **tables)
    assert found.loc["A", ["install_state", "required_from"]].tolist() == ["verified", "another record of it"]


def test_overload_stays_soon_after_work_on_the_joint() -> None:
    tables = good_record("A", work_date="2026-05-20")
    found = assess(rows(("A", 30.0, 130), ("B", 30.0, 130), ambient_c=20.0), **tables)
    assert found.loc["A", ["action", "urgency"]].tolist() == ["check load", "soon"]


def test_a_tools_range_is_the_narrowest_on_record() -> None:
    tables = good_record("A", required_torque=60, applied_torque=60)
    tools = tables["tools"]
    tables["tools"] = pd.concat([tools, tools.assign(calibrated_on="2026-01-01", range_max=80)])
    found = assess(rows(("A", 30.0, 50), ("B", 30.0, 50), ambient_c=20.0), **tables)
    assert found.loc["A", "install_reasons"] == "outside the tool's range"


def test_a_shear_head_needs_no_tool() -> None:
    found = assess(
        rows(("A", 30.0, 50), ("B", 30.0, 50), ambient_c=20.0), **good_record("A", method="shear head", tool_id="")
    )
    assert found.loc["A", "install_state"] == "verified"


def test_a_little_overload_does_not_hide_a_hot_joint_at_unlike_loads() -> None:
    """60 °C at 100 or 105 % beside 62 at 145 or 150 %: hot either way."""
    at_load = assess(rows(("A", 60.0, 100), ("B", 62.0, 145), ambient_c=20.0))
    over = assess(rows(("A", 60.0, 105), ("B", 62.0, 150), ambient_c=20.0))
    assert at_load.loc["A", "pattern"] == over.loc["A", "pattern"] == "one joint hot"


def test_a_burnt_neutral_is_remade_not_only_measured() -> None:
    readings = rows(("A", 30.0, 60), ("B", 30.0, 60), ("N", 120.0, 60), ambient_c=20.0)
    assert assess(readings).loc["N", ["action", "urgency"]].tolist() == ["remake", "now"]


def test_a_poorly_known_load_does_not_clear_a_joint_over_its_limit() -> None:
    """37 K at 99 % cannot be less at full load: 77 °C in 40 °C air is over 60 °C, however poor the load."""
    register = pd.DataFrame({"connection_id": ["A", "B"], "limit_c": 60.0})
    for source in ("measured", "estimated"):
        readings = rows(("A", 57.0, 99), ("B", 57.0, 99), ambient_c=20.0, load_source=source)
        assert assess(readings, connections=register).loc["A", "severity"] == 3


@pytest.mark.parametrize("work", ["tightened", "remade"])
def test_a_4_that_was_worked_on_is_read_again_soon(work: str) -> None:
    """Two in five joints that were only tightened stay hot."""
    readings = rows(("A", 60.0, 90), ("B", 40.0, 90), ambient_c=20.0)
    tables = good_record("A", work_date="2025-06-01", applied_torque=10)
    tables["tools"]["calibrated_on"] = "2026-01-10"
    left = finding("2026-05-10", "tight", work).assign(as_left_torque=20, torque_unit="N·m", tool_id="T1")
    found = assess(readings, findings=left, **tables)
    assert found.loc["A", ["action", "urgency", "severity_before_work"]].tolist() == ["re-survey", "soon", 4]


def test_found_loose_is_a_joint_whatever_the_camera_looked_at() -> None:
    found = assess(rows(("A", 25.0, 50), point="device body"), findings=finding("2026-05-10", "loose", "none"))
    assert found.loc["A", "action"] == "retighten"


def test_a_cover_over_the_limit_is_opened() -> None:
    found = assess(rows(("A", 95.0, 50), ambient_c=20.0, cover="closed"))
    assert found.loc["A", ["action", "urgency"]].tolist() == ["inspect", "now"]
    assert pd.isna(found.loc["A", "severity"])


def test_no_sibling_is_passed_over_as_cold_where_no_load_is_known() -> None:
    readings = phases(38.0, 37.5, 22.0, ambient_c=20.0)
    assert assess(readings).loc["A", "severity_as_found"] == 4


def test_a_reference_whose_load_could_not_be_compared_is_said() -> None:
    readings = survey(
        {"connection_id": "A", "connection_c": 40, "similar_c": 38, "similar_load_a": 20, "load_pct": 100}
    )
    assert assess(readings).loc["A", "quality_flags"] == "reference load not compared"


def test_found_loose_on_the_day_of_the_work_is_doubted() -> None:
    found = assess(
        rows(("A", 25.0, 50), ("B", 25.0, 50), ambient_c=20.0),
        **good_record("A"),
        findings=finding("2025-03-01", "loose", "none"),
    )
    assert found.loc["A", "install_state"] == "doubtful"
    assert found.loc["A", "install_reasons"] == "found loose on the day of the work, perhaps after it"


def test_a_warm_earth_carries_current() -> None:
    readings = survey({"connection_id": "PE", "phase": "PE", "connection_c": 45.0, "ambient_c": 20.0})
    assert assess(readings).loc["PE", "action"] == "check circuit"


@pytest.mark.parametrize(
    "loads", [(np.nan, np.nan, 65), (65, np.nan, np.nan), (np.nan, 65, 65), (65, 65, np.nan), (np.nan,) * 3]
)
@pytest.mark.parametrize("air", [20.0, np.nan])
def test_a_load_that_is_known_of_some_only_makes_nothing_look_better(loads: tuple[float, ...], air: float) -> None:
    """A 58 °C, C 25 °C as found: 33 K is 4, whatever is known of the load of either."""
    readings = rows(("A", 58.0, loads[0]), ("B", 25.5, loads[1]), ("C", 25.0, loads[2]), ambient_c=air)
    row = assess(readings).loc["A"]
    assert (row["severity_as_found"], row["pattern"], row["urgency"]) == (4, "one joint hot", "now")


def test_two_of_unknown_load_beside_a_cool_one_are_also_judged_by_the_air() -> None:
    """A and B alike at 58 °C, 38 K over the air, C lightly loaded: neither is even because of the other."""
    found = assess(rows(("A", 58.0, np.nan), ("B", 58.0, np.nan), ("C", 57.5, 65), ambient_c=20.0))
    said = found.loc["A", ["severity", "governing_basis", "pattern", "action"]].tolist()
    assert said == [3, "ambient", "no reference", "retighten"]
    assert "reference load not compared" in found.loc["A", "quality_flags"]


def test_all_hot_beyond_load_is_not_called_imbalance() -> None:
    readings = rows(("A", 60.0, 40), ("B", 34.0, 20), ("C", 35.0, 20), ambient_c=20.0)
    assert assess(readings)["pattern"].tolist() == ["all hot beyond load"] * 3


def test_found_tight_before_found_loose_acquits_nothing() -> None:
    findings = pd.concat([finding("2026-01-10", "tight", "none"), finding("2026-05-10", "loose", "none")])
    found = assess(rows(("A", 30.0, 50), ambient_c=20.0), findings=findings)
    assert found.loc["A", "likelihood_loose"] == pytest.approx(0.95)


def test_a_lighter_loaded_sibling_does_not_hide_a_like_loaded_one() -> None:
    """A 60 and B 40 °C at full load: 20 K is 4 as found, whatever C does at 55 %."""
    two = assess(rows(("A", 60.0, 100), ("B", 40.0, 100), ambient_c=20.0)).loc["A"]
    three = assess(rows(("A", 60.0, 100), ("B", 40.0, 100), ("C", 26.0, 55), ambient_c=20.0)).loc["A"]
    assert (two["severity"], two["urgency"]) == (three["severity"], three["urgency"]) == (4, "now")


def test_an_unsteady_reading_over_its_limit_at_full_load_is_3() -> None:
    """38 K found at 95 % is the least it can be: 78 °C in 40 °C air, less 2 K, is over 65 °C."""
    readings = rows(("A", 58.0, 95), ("B", 58.0, 95), ambient_c=20.0)
    readings["load_steady_min"] = [10, 60]
    register = pd.DataFrame({"connection_id": ["A", "B"], "limit_c": 65.0})
    assert assess(readings, connections=register)["severity"].tolist() == [3, 3]


def test_a_rise_at_low_load_is_never_rated_below_what_was_found() -> None:
    readings = rows(("A", 60.0, 30), ("B", 43.0, 30), ambient_c=20.0, load_source="estimated")
    row = assess(readings).loc["A"]
    assert row["severity"] == 4
    assert row["exceedance"] > 1


def test_a_cool_unsteady_sibling_speaks_against_all_hot() -> None:
    readings = rows(("A", 65.0, 50), ("B", 65.0, 50), ("C", 21.0, 50), ambient_c=20.0)
    readings["load_steady_min"] = [60, 60, 10]
    assert assess(readings).loc["A", "pattern"] == "even"


def test_a_cooler_sibling_of_unknown_load_is_not_passed_over() -> None:
    """A and B 55 °C, C 35 of unknown load: 20 K is 4, whether the load of A and B is known or not."""
    for loads in ((80, 80), (80, np.nan), (np.nan, np.nan)):
        readings = rows(("A", 55.0, loads[0]), ("B", 55.0, loads[1]), ("C", 35.0, np.nan), ambient_c=20.0)
        assert assess(readings).loc["A", ["severity_as_found", "urgency"]].tolist() == [4, "now"], loads


def test_a_hotter_sibling_of_unknown_load_is_no_reference() -> None:
    """A 70 °C at 60 %, B 91 of unknown load, C 36 at 80 %, no air: not rated, and that is not 0."""
    row = assess(rows(("A", 70.0, 60), ("B", 91.0, np.nan), ("C", 36.0, 80))).loc["A"]
    assert pd.isna(row["reference"])
    assert pd.isna(row["severity"])


def test_a_sibling_of_unknown_load_acquits_nothing() -> None:
    """Even beside one of unknown load, and cool: it is not low, and the air alone could not say so."""
    found = assess(rows(("A", 30.0, 65), ("B", 30.0, np.nan), ambient_c=20.0))
    assert found.loc["A", "likelihood_loose"] > 0.10
    assert found.loc["A", "cannot_tell"] == "no siblings"


@pytest.mark.parametrize("time", ["", None], ids=["none", "of the first only"])
def test_siblings_that_are_read_again_take_no_joint_out_of_its_set(time: str | None) -> None:
    """A 80 °C beside B 45 and C 34; B and C again, their covers closed. Which pass A is of is not known: 46 K count."""
    first = rows(("A", 80.0, 80), ("B", 45.0, 80), ("C", 34.0, 80)).assign(survey_time="" if time == "" else "09:00")
    again = rows(("B", 77.0, 80), ("C", 78.0, 80)).assign(cover="closed", survey_time="")
    row = assess(pd.concat([first, again], ignore_index=True)).loc["A"]
    assert (row["severity_as_found"], row["action"], row["urgency"]) == (4, "remake", "now")
    assert row["rise_similar_found_k"] == pytest.approx(46.0)


def test_of_one_reading_beside_two_of_a_sibling_the_larger_rise_is_told() -> None:
    """A 62 beside B at 35 and again at 44 °C, no times: 27 K over the cooler."""
    readings = rows(("A", 62.0, 80), ("B", 35.0, 80), ("B", 44.0, 80))
    assert assess(readings).loc["A", "rise_similar_found_k"] == pytest.approx(27.0)


def again(*readings: tuple[str, float, str], **common: Any) -> pd.DataFrame:
    """(phase, temperature, time) at 80 % load in one survey."""
    made = rows(*((p, t, 80) for p, t, _ in readings), **common)
    return made.assign(survey_time=[time for _, _, time in readings])


@pytest.mark.parametrize(
    ("readings", "common"),
    [
        ([("A", 62.0, ""), ("B", 35.0, ""), ("B", 55.0, ""), ("A", 36.0, "")], {}),
        ([("A", 62.0, "09:00"), ("B", 35.0, "09:00"), ("B", 60.0, "09:00")], {}),
        ([("C", 46.0, "09:00"), ("B", 22.0, "09:00"), ("B", 45.0, "09:00")], {"ambient_c": 20.0}),
        ([("B", 22.0, "09:00"), ("B", 45.0, "09:00"), ("C", 45.0, "09:00")], {"ambient_c": 20.0}),
    ],
    ids=["no times, read cool too", "one time for all", "hotter", "another order of rows"],
)
def test_which_pass_a_reading_is_of_takes_nothing_back(
    readings: list[tuple[str, float, str]], common: dict[str, Any]
) -> None:
    """Each is 23 K and more over a reading of its sibling at the same load."""
    found = assess(again(*readings, **common))
    hot = "C" if "C" in found.index else "A"
    assert found.loc[hot, ["severity_as_found", "urgency"]].tolist() == [4, "now"]


@pytest.mark.parametrize("bad", [{"cover": "closed"}, {"load_steady_min": 5}], ids=["closed", "unsteady"])
@pytest.mark.parametrize("air", [20.0, np.nan])
def test_a_sibling_that_was_first_read_unfit_is_still_compared_with(bad: dict[str, Any], air: float) -> None:
    """B at 22 °C, ten minutes after a look at its cover: A at 70 °C is 48 K over it."""
    readings = again(("A", 70.0, "09:00"), ("B", 24.0, "09:05"), ("B", 22.0, "09:10"), ambient_c=air)
    for name, value in bad.items():
        readings[name] = [pd.NA, value, pd.NA]
    row = assess(readings).loc["A"]
    assert (row["action"], row["urgency"]) == ("remake", "now")


def test_two_passes_at_two_known_loads_are_no_two_joints() -> None:
    """All three warm at 80 %, cool at 20 %, no times: at loads so far apart none is compared across."""
    readings = rows(*((p, t, load) for load, t in ((80, 62.0), (20, 35.0)) for p in "ABC"))
    assert assess(readings)["severity"].fillna(0).max() == 0


def test_a_survey_of_several_days_hides_no_joint_behind_a_later_reading_of_its_sibling() -> None:
    """A 70 °C ten minutes after B at 35; B again the next day at 66: 35 K count."""
    readings = again(("A", 36.0, "09:00"), ("B", 35.0, "09:00"), ("A", 70.0, "09:10"), ("B", 66.0, "09:00"))
    readings = readings.assign(survey_date=["2026-05-04", "2026-05-11", "2026-05-11", "2026-05-12"], survey_id="S")
    row = assess(readings).loc["A"]
    assert row["rise_similar_found_k"] == pytest.approx(35.0)
