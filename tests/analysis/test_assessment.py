"""An assessment: found by name, restricted to sites, remembered once, its columns declared."""

from __future__ import annotations

import pandas as pd
import pytest

from riskscope.analysis.assess import assess
from riskscope.analysis.assessment import Assessment
from riskscope.errors import UnusableInput
from riskscope.intake.read import read_frames
from riskscope.results.story import story
from riskscope.results.tables import results
from riskscope.results.years import recall
from riskscope.schema.assessment import COLUMNS
from riskscope.words.render import Units
from tests.build import ON, good_record, phases, survey

HOT, WARM, COOL = 62.0, 36.0, 35.0


@pytest.fixture(scope="module")
def two_sites() -> Assessment:
    """A circuit on each of two sites; the second read first, so that places move when it is left out."""
    rows = [
        {"connection_id": f"{site}/{phase}", "phase": phase, "connection_c": heat, "site": name, "equipment": site}
        for site, name, heats in (("Y", "Yard", (COOL, WARM, HOT)), ("W", "Works", (HOT, COOL, WARM)))
        for phase, heat in zip("ABC", heats, strict=True)
    ]
    register = pd.DataFrame({"connection_id": ["Y/Z", "W/Z"], "site": ["Yard", "Works"], "equipment": ["Y", "W"]})
    inspections = pd.DataFrame({"equipment": ["Y", "W"], "survey_date": "2026-05-04", "result": "all seen"})
    readings = survey(*rows, ambient_c=30.0, load_pct=80)
    given = {"connections": register, "inspections": inspections, **good_record("W/A", "Y/C")}
    given["installs"] = given["installs"].assign(site=["Works", "Yard"])
    return assess(read_frames(on=ON, survey=readings, **given), on=ON)


def test_a_connection_is_found_whatever_its_case(two_sites: Assessment) -> None:
    assert two_sites.find("  w/a ") == "W/A"
    with pytest.raises(UnusableInput, match=r"no connection 'W/Q'.*Did you mean"):
        two_sites.find("W/Q")


@pytest.mark.parametrize(("site", "hot", "sibling"), [("Yard", "Y/C", "Y/A"), ("Works", "W/A", "W/B")])
def test_of_one_site_everything_is_that_site(two_sites: Assessment, site: str, hot: str, sibling: str) -> None:
    mine = two_sites.of([site])
    assert set(mine.connections["site"]) == set(mine.readings["site"]) == {site}
    whole = two_sites.connections.set_index("connection_id").loc[mine.connections["connection_id"]]
    assert mine.connections["severity"].tolist() == pytest.approx(whole["severity"].tolist(), nan_ok=True)
    assert set(mine.tables["survey"]["connection_id"]) <= set(mine.connections["connection_id"])
    assert set(results(mine, Units())["coverage"]["site"]) == {site}
    lines = dict(story(mine, hot, Units()))["What the siblings show"]
    assert [line.split(":")[0] for line in lines if "the reference" in line.split("(")[-1]] == [sibling]
    assert lines == dict(story(two_sites, hot, Units()))["What the siblings show"]


def test_of_both_sites_is_all_of_it(two_sites: Assessment) -> None:
    both = two_sites.of(["Works", "Yard"])
    pd.testing.assert_frame_equal(both.readings, two_sites.readings)
    pd.testing.assert_frame_equal(both.connections, two_sites.connections)


def test_of_a_site_there_is_not(two_sites: Assessment) -> None:
    with pytest.raises(UnusableInput, match=r"no site 'Yarn'.*Did you mean Yard"):
        two_sites.of(["Yarn"])


def test_what_is_remembered_is_made_once(two_sites: Assessment) -> None:
    made: list[int] = []
    for _ in range(2):
        assert two_sites.remember("a test", lambda: made.append(1) or len(made)) == 1
    assert made == [1]
    assert "a test" not in two_sites.of(["Yard"]).memo


def test_every_column_is_declared(two_sites: Assessment) -> None:
    declared = {column.name: column for column in COLUMNS}
    assert set(two_sites.connections.columns) <= set(declared)
    assert all(column.help for column in COLUMNS)


@pytest.mark.parametrize(("end", "unit"), [("_c", "°C"), ("_k", "K"), ("_nm", "N·m"), ("_a", "A")])
def test_a_unit_in_a_name_is_the_unit_declared(end: str, unit: str) -> None:
    named = [column for column in COLUMNS if column.name.endswith(end)]
    assert named
    assert [column.name for column in named if column.unit != unit] == []


def test_of_one_site_keeps_the_tool_that_its_records_name() -> None:
    """The record of Works was made with the tool of Yard, which was found out of tolerance."""
    tools = pd.DataFrame(
        {
            "tool_id": "T1",
            "site": ["Works", "Yard"],
            "calibrated_on": "2025-01-10",
            "found_out_of_tolerance_on": ["", "2026-03-01"],
        }
    )
    record = {"connection_id": "W1", "site": "Works", "work_date": "2025-06-01", "applied_torque": 20,
              "torque_unit": "N·m", "tool_id": "T1 @ Yard"}  # fmt: skip
    rows = [
        {"connection_id": name, "site": site, "survey_date": "2026-05-04", "connection_c": 40, "ambient_c": 30}
        for name, site in (("W1", "Works"), ("Y1", "Yard"))
    ]
    tables = read_frames(on=ON, survey=pd.DataFrame(rows), installs=pd.DataFrame([record]), tools=tools)
    made = assess(tables, on=ON)
    assert recall(made)["connection_id"].tolist() == recall(made.of(["Works"]))["connection_id"].tolist() == ["W1"]


def test_of_a_joint_read_before_and_after_its_work_only_one_reading_is_this_one() -> None:
    after = phases(48.0, 35.0, 34.0, survey_date="2026-05-20", survey_id="S", ambient_c=30.0, load_pct=80)
    before = phases(62.0, 35.0, 34.0, survey_date="2026-05-04", survey_id="S", ambient_c=30.0, load_pct=80)
    work = pd.DataFrame({"connection_id": ["A"], "work_date": ["2026-05-10"], "action": ["tightened"]})
    work["as_found"] = "loose"
    made = assess(read_frames(on=ON, survey=pd.concat([before, after]), findings=work), on=ON)
    lines = dict(story(made, "A", Units()))["What the siblings show"]
    said = {line.split(":")[0]: "this one" in line for line in lines if line.startswith("A")}
    assert said == {"A, 4 May 2026": True, "A, 20 May 2026": False}
