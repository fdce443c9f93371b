"""A name is unique within its site: the same name on two sites is two things, and no row is given to the wrong one."""

from __future__ import annotations

import pandas as pd
import pytest

from riskscope.analysis.assess import assess
from riskscope.analysis.assessment import Assessment
from riskscope.errors import UnusableInput
from riskscope.intake.combine import combine
from riskscope.intake.files import FileContent
from riskscope.intake.options import Limits, ReadOptions
from riskscope.intake.read import check_file, read_frames
from riskscope.planning import plan as planning
from riskscope.planning.settings import Planning
from riskscope.results.story import story
from riskscope.results.tables import results
from riskscope.results.years import recall
from riskscope.schema.tables import Tables
from riskscope.words.render import Units
from tests.build import ON

HOT, COOL = 62.0, 35.0


def survey(*sites: str | None, hot: str | None = None) -> pd.DataFrame:
    """Circuit F1 of board MSB, phases A to C, on each site; phase A is hot on one."""
    rows = [
        {
            "site": site,
            "connection_id": f"MSB/F1/{phase}",
            "equipment": "MSB",
            "circuit": "F1",
            "phase": phase,
            "connection_c": HOT if (phase, site) == ("A", hot) else COOL,
            "survey_date": "2026-05-04",
            "ambient_c": 30.0,
            "load_pct": 80,
        }
        for site in sites
        for phase in "ABC"
    ]
    return pd.DataFrame(rows).dropna(axis=1, how="all")


def installs(*rows: tuple[str, str | None]) -> pd.DataFrame:
    """Torque records of connections, on a site where one is said."""
    made = [
        {
            "connection_id": name,
            "site": site,
            "work_date": "2025-03-01",
            "required_torque": 20,
            "applied_torque": 20,
            "torque_unit": "N·m",
            "tool_id": "T1",
        }
        for name, site in rows
    ]
    return pd.DataFrame(made).dropna(axis=1, how="all")


TOOLS = pd.DataFrame(
    [{"tool_id": "T1", "range_min": 5, "range_max": 50, "torque_unit": "N·m", "calibrated_on": "2025-01-10"}]
)


def read(**tables: pd.DataFrame) -> Tables:
    return read_frames(on=ON, **tables)


def assessed(**tables: pd.DataFrame) -> Assessment:
    return assess(read(**tables), on=ON)


def by_id(assessment: Assessment, column: str) -> dict[str, object]:
    return dict(zip(assessment.connections["connection_id"], assessment.connections[column], strict=True))


def refused(tables: Tables) -> list[tuple[str, int, str]]:
    rows = tables.refused[tables.refused["kind"] == "rejected"]
    return list(zip(rows["table"], rows["line"].tolist(), rows["reason"], strict=True))


def test_two_sites_with_the_same_ids_stay_apart() -> None:
    both = assessed(survey=survey("Works", "Yard", hot="Yard"))
    assert len(both.connections) == 6
    severity = by_id(both, "severity")
    assert severity["MSB/F1/A @ Yard"] == 4
    assert severity["MSB/F1/A @ Works"] == 0
    assert set(both.connections["equipment"]) == {"MSB @ Works", "MSB @ Yard"}
    lines = dict(story(both, "MSB/F1/A @ Yard", Units()))["What the siblings show"]
    assert sum("@ Yard:" in line for line in lines) == 3
    assert not [line for line in lines if "Works" in line]


@pytest.mark.parametrize("site", ["Works", "Yard"])
def test_each_site_is_rated_as_if_it_stood_alone(site: str) -> None:
    alone = assessed(survey=survey(site, hot="Yard"))
    both = assessed(survey=survey("Works", "Yard", hot="Yard")).of([site])
    columns = ["severity", "severity_as_found", "exceedance", "pattern", "action", "urgency", "likelihood_loose"]
    pd.testing.assert_frame_equal(both.connections[columns], alone.connections[columns])
    assert both.connections["connection_id"].str.removesuffix(f" @ {site}").tolist() == list(
        alone.connections["connection_id"]
    )


def test_a_name_on_one_site_stays_as_it_is() -> None:
    yard = survey("Yard").assign(connection_id=lambda rows: "Y-" + rows["connection_id"], equipment="YB")
    tables = read(survey=pd.concat([survey("Works"), yard]))
    assert not tables["survey"]["connection_id"].str.contains(" @ ").any()
    assert not [note for note in tables.notes if "several sites" in note.text]


def test_it_is_said_which_names_stand_on_several_sites() -> None:
    notes = [note.text for note in read(survey=survey("Works", "Yard")).notes if "several sites" in note.text]
    assert len(notes) == 2
    assert notes[0] == (
        "the same connection_id stands on several sites and is told apart as NAME @ SITE: "
        "MSB/F1/A on Works and Yard; MSB/F1/B on Works and Yard; MSB/F1/C on Works and Yard"
    )


def test_a_record_goes_to_the_connection_of_its_site() -> None:
    records = installs(("MSB/F1/A", "Works"), ("MSB/F1/B @ yard", None))
    state = by_id(assessed(survey=survey("Works", "Yard"), installs=records, tools=TOOLS), "install_state")
    verified = [name for name, word in state.items() if word == "verified"]
    assert sorted(verified) == ["MSB/F1/A @ Works", "MSB/F1/B @ Yard"]


def test_a_record_that_could_be_of_either_is_of_neither() -> None:
    records = installs(("MSB/F1/A", "Works"), ("MSB/F1/B", None))
    made = assessed(survey=survey("Works", "Yard"), installs=records, tools=TOOLS)
    state = by_id(made, "install_state")
    assert {name: word for name, word in state.items() if name.startswith("MSB/F1/B")} == {
        "MSB/F1/B @ Works": "unrecorded",
        "MSB/F1/B @ Yard": "unrecorded",
        "MSB/F1/B @ ? (installs)": "verified",
    }
    [note] = [note for note in made.tables.notes if note.kind == "warning"]
    assert str(note) == (
        "column site: 1 rows of installs (installs) do not say on which site they are (Works, Yard), and are kept "
        "apart: give the site, or write NAME @ SITE"
    )
    assert made.tables.counts["installs"]["accepted"] == len(made.tables["installs"]) == 2


def test_a_row_whose_id_and_site_contradict_each_other_is_of_neither() -> None:
    records = installs(("MSB/F1/A @ Works", "Yard"))
    made = assessed(survey=survey("Works", "Yard"), installs=records, tools=TOOLS)
    state = by_id(made, "install_state")
    assert [state[f"MSB/F1/A @ {site}"] for site in ("Works", "Yard", "? (installs)")] == [
        "unrecorded",
        "unrecorded",
        "verified",
    ]
    assert [note.text for note in made.tables.notes if "says another" in note.text] == [
        "the column site says another, taken for neither: connection_id 'MSB/F1/A @ Works'"
    ]


def test_with_one_site_a_name_as_it_was_shown_is_the_name() -> None:
    """A findings sheet printed while there were two sites, filled in after one was taken back."""
    records = installs(("MSB/F1/A @ WORKS", None))
    made = assessed(survey=survey("Works"), installs=records, tools=TOOLS)
    assert by_id(made, "install_state")["MSB/F1/A"] == "verified"
    assert len(made.connections) == 3


def test_a_name_that_only_looks_like_one_with_a_site_stays() -> None:
    tables = read(survey=survey("Works").assign(connection_id=["A @ night", "B @ night", "C"]))
    assert tables["survey"]["connection_id"].tolist() == ["A @ night", "B @ night", "C"]


def test_a_reading_without_a_site_belongs_to_the_site_of_its_board() -> None:
    boards = pd.DataFrame({"equipment": ["MSB", "YB"], "site": ["Works", "Yard"]})
    here = survey(None).assign(equipment="MSB")
    there = survey("Yard").assign(equipment="YB", survey_date="2026-05-05")
    made = assessed(survey=pd.concat([here, there]), equipment=boards)
    assert set(made.connections["connection_id"]) == {f"MSB/F1/{p} @ {s}" for p in "ABC" for s in ("Works", "Yard")}


def test_a_register_that_has_it_on_a_board_of_another_site_speaks_of_another_joint() -> None:
    """Its criticality, its limit, its kind are not those of the joint that was read."""
    boards = pd.DataFrame({"equipment": ["MSB", "YB"], "site": ["Works", "Yard"]})
    register = pd.DataFrame({"connection_id": ["MSB/F1/A"], "equipment": ["YB"], "criticality": [5]})
    made = assessed(survey=survey(None), connections=register, equipment=boards)
    assert len(made.connections) == 4
    assert by_id(made, "criticality")["MSB/F1/A @ Works"] == 3
    assert by_id(made, "surveyed")["MSB/F1/A @ Yard"] is False


def test_registers_of_two_sites_do_not_refuse_each_other() -> None:
    register = pd.DataFrame(
        {"connection_id": "MSB/F1/A", "site": ["Works", "Yard"], "criticality": [5, 1], "equipment": "MSB"}
    )
    boards = pd.DataFrame({"equipment": "MSB", "site": ["Works", "Yard"], "isolated_by": ["TX", "MSB"]})
    made = assessed(survey=survey("Works", "Yard"), connections=register, equipment=boards)
    criticality = by_id(made, "criticality")
    assert (criticality["MSB/F1/A @ Works"], criticality["MSB/F1/A @ Yard"]) == (5, 1)
    assert made.tables.counts["connections"]["rejected"] == made.tables.counts["equipment"]["rejected"] == 0
    assert made.tables["equipment"]["isolated_by"].tolist() == ["TX", "MSB @ Yard"]


def test_two_rows_about_one_connection_of_one_site_are_still_two_truths() -> None:
    register = pd.DataFrame({"connection_id": ["A", "a"], "site": ["Works", "works"], "criticality": [5, 1]})
    [(table, line, reason)] = refused(read(survey=survey("Works"), connections=register))
    assert (table, line) == ("connections", 3)
    assert "is already" in reason


@pytest.mark.parametrize("sites", [[None, "Works"], ["Works", None]], ids=["the first says none", "the second"])
def test_a_row_without_a_site_is_the_same_where_there_is_one_site(sites: list[str | None]) -> None:
    register = pd.DataFrame({"connection_id": "A", "site": sites, "criticality": [5, 1]})
    assert len(refused(read(survey=survey("Works"), connections=register))) == 1


def test_tools_that_travel_serve_both_sites() -> None:
    records = installs(("MSB/F1/A", "Works"), ("MSB/F1/A", "Yard"))
    state = by_id(assessed(survey=survey("Works", "Yard"), installs=records, tools=TOOLS), "install_state")
    assert [state[f"MSB/F1/A @ {site}"] for site in ("Works", "Yard")] == ["verified", "verified"]


def test_tools_of_one_name_on_two_sites_are_two() -> None:
    tools = pd.concat([TOOLS.assign(site="Works"), TOOLS.assign(site="Yard", calibrated_on="2020-01-10")])
    records = installs(("MSB/F1/A", "Works"), ("MSB/F1/A", "Yard"))
    state = by_id(assessed(survey=survey("Works", "Yard"), installs=records, tools=tools), "install_state")
    assert [state[f"MSB/F1/A @ {site}"] for site in ("Works", "Yard")] == ["verified", "doubtful"]


def test_results_and_coverage_hold_both() -> None:
    made = results(assessed(survey=survey("Works", "Yard", hot="Yard")), Units())
    assert made["coverage"][["site", "equipment", "connections"]].to_numpy().tolist() == [
        ["Works", "MSB @ Works", 3],
        ["Yard", "MSB @ Yard", 3],
    ]
    assert made["ranking"]["connection_id"].iloc[0] == "MSB/F1/A @ Yard"


def test_a_bare_name_on_two_sites_is_asked_back() -> None:
    both = assessed(survey=survey("Works", "Yard"))
    assert both.find("msb/f1/a @ yard") == "MSB/F1/A @ Yard"
    with pytest.raises(UnusableInput, match="several sites: MSB/F1/A @ Works, MSB/F1/A @ Yard"):
        both.find("MSB/F1/A")


def test_a_reading_without_a_site_is_not_given_to_the_only_site_that_has_its_name() -> None:
    """The cool reading could be of Yard: the hot joint of Works stays what it is."""
    later = survey(None).assign(survey_date="2026-05-11", connection_c=COOL)
    outage = pd.DataFrame([{"outage_id": "J", "start": "2026-07-01", "hours": 8, "equipment": "YB", "site": "Yard"}])
    tables = read(survey=pd.concat([survey("Works", hot="Works"), later]), outages=outage)
    severity = by_id(assess(tables, on=ON), "severity")
    assert (severity["MSB/F1/A @ Works"], severity["MSB/F1/A @ ? (survey)"]) == (4, 0)
    assert not refused(tables)


@pytest.mark.parametrize(("registered", "settled"), [(["Works"], False), (["Works", "Yard"], True)])
def test_a_register_settles_a_reading_only_where_it_leaves_out_no_site(registered: list[str], settled: bool) -> None:
    names = ["MSB/F1/A", "Y9"][: len(registered)]
    register = pd.DataFrame({"connection_id": names, "site": registered})
    elsewhere = survey("Yard").assign(connection_id=["Y9", "Y8", "Y7"], equipment="YB")
    tables = read(survey=pd.concat([survey(None)[:1], elsewhere]), connections=register)
    assert ("MSB/F1/A" in set(tables["survey"]["connection_id"])) == settled


def test_a_register_settles_nothing_that_a_survey_has_on_another_site() -> None:
    boards = pd.DataFrame({"equipment": ["MSB", "YB"], "site": ["Works", "Yard"]})
    later = survey(None).assign(survey_date="2026-05-11")
    tables = read(survey=pd.concat([survey("Works", "Yard", hot="Works"), later]), equipment=boards)
    severity = by_id(assess(tables, on=ON), "severity")
    assert severity["MSB/F1/A @ Works"] == 4
    assert len(severity) == 9


def test_a_tool_of_one_site_verifies_nothing_on_another() -> None:
    """Its name on a record of the other site is a tool nobody has listed there."""
    records = installs(("MSB/F1/A", "Works"), ("MSB/F1/A", "Yard"))
    made = assessed(survey=survey("Works", "Yard"), installs=records, tools=TOOLS.assign(site="Works"))
    assert by_id(made, "install_state")["MSB/F1/A @ Works"] == "verified"
    assert by_id(made, "install_state")["MSB/F1/A @ Yard"] == "doubtful"


def test_a_record_names_the_tool_of_the_site_of_its_connection() -> None:
    tools = pd.concat([TOOLS.assign(site="Works", tool_state="failed"), TOOLS.assign(site="Yard")])
    yard = survey("Yard").assign(connection_id=["Y1", "Y2", "Y3"], equipment="YB")
    tables = read(survey=pd.concat([survey("Works"), yard]), installs=installs(("MSB/F1/A", "Works")), tools=tools)
    assert tables["installs"]["tool_id"].tolist() == ["T1 @ Works"]
    made = assess(tables, on=ON)
    assert recall(made, "T1 @ Works")["connection_id"].tolist() == ["MSB/F1/A"]
    with pytest.raises(UnusableInput, match="several sites: T1 @ Works, T1 @ Yard"):
        recall(made, "T1")


def test_tools_that_are_listed_nowhere_are_no_error() -> None:
    made = assessed(survey=survey("Works", "Yard"), installs=installs(("MSB/F1/A", "Works"), ("MSB/F1/B", "Yard")))
    assert by_id(made, "install_state")["MSB/F1/A @ Works"] == "doubtful"


def test_a_refused_row_is_shown_with_its_own_cells_though_files_share_a_name() -> None:
    """Line 3 is in both files: what is refused stands in the second."""
    texts = [f"connection_id,criticality\n{first},1\nB,{level}\n" for first, level in (("A", 4), ("C", 5))]
    contents = [FileContent("list.csv", text.encode(), ReadOptions(table="connections")) for text in texts]
    sheets = [sheet for content in contents for sheet in check_file(content, on=ON, limits=Limits()).sheets]
    rows = combine(sheets, [], [], 30).refused.query("kind == 'rejected'")
    assert rows["line"].tolist() == [3]
    assert rows["cells"].tolist() == ['["B", "5"]']


def test_the_longest_site_that_ends_a_name_is_meant() -> None:
    records = installs(("MSB/F1/A @ Yard @ North", None), ("MSB/F1/A @ north", None))
    tables = read(survey=survey("Yard @ North", "North"), installs=records)
    assert tables["installs"]["connection_id"].tolist() == ["MSB/F1/A @ Yard @ North", "MSB/F1/A @ North"]
    assert tables["installs"]["site"].tolist() == ["Yard @ North", "North"]


def test_outages_of_one_name_on_two_sites_are_two() -> None:
    """Each has its own beginning, and its crews do not cross from one site to the other."""
    begins = {"Works": "2026-08-01", "Yard": "2026-08-15"}
    rows = [
        {"outage_id": "Aug", "site": site, "equipment": "MSB", "hours": 8, "crews": 1, "start": start}
        for site, start in begins.items()
    ]
    outages = pd.DataFrame(rows)
    made = assessed(survey=survey("Works", "Yard", hot="Yard").assign(termination_kind="screw"), outages=outages)
    work = planning.make(made, Planning()).work
    assert set(zip(work["outage_id"], work["board"], strict=True)) == {("Aug @ Yard", "MSB @ Yard")}
    assert set(made.tables["outages"]["outage_id"]) == {"Aug @ Works", "Aug @ Yard"}


def yard_only() -> pd.DataFrame:
    return survey("Yard").assign(connection_id=["Y1", "Y2", "Y3"], equipment="YB")


@pytest.mark.parametrize("unsaid_first", [True, False])
def test_a_calibration_without_a_site_verifies_nothing_of_a_tool_that_is_listed_on_one(unsaid_first: bool) -> None:
    """T1 of Works is out of its calibration; the good one may be the T1 of Yard."""
    rows = [TOOLS, TOOLS.assign(site="Works", calibrated_on="2020-01-10")]
    tools = pd.concat(rows if unsaid_first else rows[::-1], ignore_index=True)
    tables = read(
        survey=pd.concat([survey("Works"), yard_only()]), installs=installs(("MSB/F1/A", "Works")), tools=tools
    )
    assert sorted(tables["tools"]["tool_id"]) == ["T1 @ ? (tools)", "T1 @ Works"]
    assert by_id(assess(tables, on=ON), "install_state")["MSB/F1/A"] == "doubtful"


def test_calibrations_of_one_tool_without_sites_are_of_one_tool() -> None:
    tools = pd.concat([TOOLS, TOOLS.assign(calibrated_on="2020-01-10")])
    tables = read(
        survey=pd.concat([survey("Works"), yard_only()]), installs=installs(("MSB/F1/A", "Works")), tools=tools
    )
    assert not refused(tables)
    assert by_id(assess(tables, on=ON), "install_state")["MSB/F1/A"] == "verified"


def test_an_unread_connection_has_the_site_of_its_board_or_of_its_record() -> None:
    boards = pd.DataFrame({"equipment": ["MSB", "YB"], "site": ["Works", "Yard"]})
    register = pd.DataFrame({"connection_id": ["N1"], "equipment": ["YB"]})
    findings = pd.DataFrame(
        {"connection_id": ["N2"], "site": ["Yard"], "work_date": "2026-03-01", "as_found": "loose", "action": "none"}
    )
    survey_ = pd.concat([survey("Works"), yard_only()])
    made = assessed(survey=survey_, connections=register, equipment=boards, findings=findings)
    assert by_id(made, "site")["N1"] == by_id(made, "site")["N2"] == "Yard"
    assert not {"N1", "N2"} & set(made.of(["Works"]).connections["connection_id"])
    assert {"N1", "N2"} <= set(made.of(["Yard"]).connections["connection_id"])
    unread = results(made, Units())["not_surveyed"]
    assert unread[["site", "connection_id"]].to_numpy().tolist() == [["Yard", "N1"], ["Yard", "N2"]]


def test_readings_without_a_site_beside_others_of_the_only_one_are_said_and_are_of_it() -> None:
    made = assessed(survey=pd.concat([survey("Works")[:2], survey(None)[2:]]))
    assert set(made.readings["site"]) == {"Works"}
    assert len(set(made.readings["survey_id"])) == 1
    [note] = [note for note in made.tables.notes if "say its site" in note.text]
    assert note.text == "1 reading does not say its site; taken to be of Works, the only one named"


def test_a_reading_without_a_site_is_not_one_of_a_joint_that_is_read_on_a_site() -> None:
    """Nobody names Works, where it is hot: the cool reading of Yard must not stand for it."""
    later = survey("Yard").assign(survey_date="2026-05-11")
    hot = survey(None).assign(connection_c=[98.0, 35.0, 35.0])
    severity = by_id(assessed(survey=pd.concat([hot, later])), "severity")
    assert (severity["MSB/F1/A @ ? (survey)"], severity["MSB/F1/A @ Yard"]) == (4, 0)


@pytest.mark.parametrize("table", ["connections", "equipment"])
def test_a_register_settles_the_newest_readings_of_the_only_site(table: str) -> None:
    """Last year's file says the site, this year's does not: it is hot now."""
    registers = {
        "connections": pd.DataFrame({"connection_id": [f"MSB/F1/{p}" for p in "ABC"], "site": "Yard"}),
        "equipment": pd.DataFrame({"equipment": ["MSB"], "site": ["Yard"]}),
    }
    now = survey(None).assign(survey_date="2026-05-11", connection_c=[98.0, 35.0, 35.0])
    made = assessed(survey=pd.concat([survey("Yard"), now]), **{table: registers[table]})
    assert by_id(made, "severity") == {"MSB/F1/A": 4, "MSB/F1/B": 0, "MSB/F1/C": 0}


def test_a_register_of_some_joints_of_the_only_site_parts_no_siblings() -> None:
    made = assessed(
        survey=survey(None).assign(connection_c=[62.0, 41.0, 41.0]),
        connections=rows("connection_id,site", "MSB/F1/A,Works", "MSB/F1/B,"),
    )
    assert by_id(made, "severity")["MSB/F1/A"] == 4
    assert set(made.readings["site"]) == {"Works"}
    assert by_id(made, "pattern")["MSB/F1/A"] == "one joint hot"


def test_where_a_tool_lies_is_no_site_that_a_register_leaves_out() -> None:
    register = pd.DataFrame({"connection_id": [f"MSB/F1/{p}" for p in "ABC"], "site": "Works"})
    made = assessed(survey=survey(None), connections=register, tools=TOOLS.assign(site="Central store"))
    assert set(by_id(made, "site").values()) == {"Works"}


def test_a_tool_out_of_tolerance_without_a_site_may_be_that_of_each_site() -> None:
    bad = TOOLS.assign(calibrated_on="2026-03-01", found_out_of_tolerance_on="2026-03-01")
    records = installs(("MSB/F1/A", "Works"))
    made = assessed(
        survey=pd.concat([survey("Works"), yard_only()]),
        installs=records,
        tools=pd.concat([TOOLS.assign(site="Works"), bad]),
    )
    assert by_id(made, "install_state")["MSB/F1/A"] == "doubtful"
    assert recall(made)["connection_id"].tolist() == ["MSB/F1/A"]


def test_a_survey_without_a_site_is_that_of_each_of_its_sites() -> None:
    surveys = rows("survey_id,instrument", "IR26,imager")
    tables = read(survey=survey("Works", "Yard").assign(survey_id="IR26"), surveys=surveys)
    assert {"IR26 @ Works", "IR26 @ Yard"} <= set(tables["surveys"]["survey_id"])
    assert not refused(tables)


def test_a_name_that_ends_in_its_site_is_taken_for_both_and_that_is_said() -> None:
    tables = read(survey=survey("Works").assign(connection_id=["A", "A @ Works", "C"]))
    assert tables["survey"]["connection_id"].tolist() == ["A", "A", "C"]
    assert [n.text for n in tables.notes if "name and its site" in n.text] == [
        "taken for a name and its site: connection_id 'A @ Works'"
    ]


def test_a_record_of_a_joint_that_nothing_else_has_on_its_site_is_doubted() -> None:
    records = installs(("MSB/F1/A", "Yard"))
    tables = read(survey=pd.concat([survey("Works"), yard_only()]), installs=records)
    [note] = [note for note in tables.notes if note.kind == "warning" and "record only" in note.text]
    assert note.text.endswith("is the site right? MSB/F1/A @ Yard")
    both = read(survey=survey("Works", "Yard"), installs=records)
    assert not [note for note in both.notes if "record only" in note.text]


def test_spellings_of_two_sites_are_not_said_to_be_one_connection() -> None:
    yard = survey("Yard").assign(connection_id=lambda rows: rows["connection_id"].str.lower())
    tables = read(survey=pd.concat([survey("Works"), yard]))
    assert len(set(tables["survey"]["connection_id"])) == 6
    assert not [note for note in tables.notes if "taken for one" in note.text]
    assert [note for note in tables.notes if "'msb/f1/a' and 'MSB/F1/A' spelled 'MSB/F1/A'" in note.text]


def rows(head: str, *lines: str) -> pd.DataFrame:
    """A small table as text."""
    return pd.DataFrame([line.split(",") for line in lines], columns=head.split(","))


READ = "connection_id,site,equipment,survey_date,connection_c,ambient_c,load_pct"
BOARDS = rows("equipment,site", "WB,Works", "YB,Yard")


def test_a_site_whose_name_changes_length_without_case_cuts_no_name() -> None:
    tables = read(survey=rows(READ, "C12 @ Gießerei,,,2026-05-12,98,30,60", "C1,GIESSEREI,,2026-05-13,32,30,60"))
    assert tables["survey"]["connection_id"].tolist() == ["C12", "C1"]


def test_work_of_one_site_is_not_planned_into_the_outage_of_the_same_board_of_another() -> None:
    """Its site is in the register only; the outage states its own."""
    register = rows("connection_id,site,termination_kind", "C1,Works,screw", "Y9,Yard,screw")
    outage = rows("outage_id,start,hours,equipment,site", "O1,2026-07-01,8,MSB,Yard")
    survey_ = rows(READ, "C1,,MSB,2026-05-12,62,30,60", "Y9,,YB,2026-05-12,32,30,60")
    made = assessed(survey=survey_, connections=register, outages=outage)
    assert by_id(made, "equipment")["C1"] == "MSB @ Works"
    assert planning.make(made, Planning()).work.empty


def test_a_record_stated_on_one_site_is_not_that_of_a_joint_whose_board_is_on_another() -> None:
    survey_ = rows(READ, "C1,,WB,2026-05-12,62,30,60", "Y9,,YB,2026-05-12,32,30,60")
    made = assessed(survey=survey_, equipment=BOARDS, installs=installs(("C1", "Yard")), tools=TOOLS)
    state = by_id(made, "install_state")
    assert (state["C1 @ Works"], state["C1 @ Yard"]) == ("unrecorded", "verified")


def test_a_limit_of_a_board_of_one_site_is_not_that_of_a_joint_read_on_another() -> None:
    survey_ = rows(READ, "C1,Works,,2026-05-12,100,30,60", "Y9,Yard,,2026-05-12,32,30,60")
    register = rows("connection_id,equipment,limit_c", "C1,YB,150", "W2,WB,90")
    made = assessed(survey=survey_, equipment=BOARDS, connections=register)
    assert by_id(made, "limit_c")["C1 @ Works"] != 150
    assert by_id(made, "site")["C1 @ Yard"] == "Yard"


def test_a_register_row_that_does_not_say_its_site_sets_no_limit() -> None:
    survey_ = rows(READ, "C1,Works,,2026-05-12,100,30,60", "Y9,Yard,,2026-05-12,32,30,60")
    made = assessed(survey=survey_, connections=rows("connection_id,limit_c", "C1,150"))
    assert by_id(made, "limit_c")["C1 @ Works"] != 150


def test_an_inspection_that_does_not_say_its_site_has_seen_no_board() -> None:
    survey_ = rows(READ, "C1,Works,MSB,2026-05-12,62,30,60", "Y9,Yard,YB,2026-05-12,32,30,60")
    seen = rows("equipment,survey_date,result", "MSB,2026-05-20,all seen")
    made = results(assessed(survey=survey_, inspections=seen), Units())["coverage"]
    assert made["inspected_on"].isna().all()


def test_a_reading_whose_connection_and_board_are_registered_on_two_sites_is_of_neither() -> None:
    """X is hot on Works; the cool reading says board B, which is at the depot."""
    register = rows("connection_id,site,equipment", "X,Works,A", "Z,Depot,B")
    survey_ = rows(READ, "X,Works,A,2026-05-12,95,30,60", "X,,B,2026-05-20,35,30,60")
    tables = read(survey=survey_, connections=register, equipment=rows("equipment,site", "A,Works", "B,Depot"))
    severity = by_id(assess(tables, on=ON), "severity")
    assert (severity["X @ Works"], severity["X @ ? (survey)"]) == (4, 1)
    assert [note.text for note in tables.notes if note.text.endswith("taken for neither")] == [
        "1 readings of a connection that is registered on one site, of a board that is on another: taken for neither"
    ]


def test_ids_built_from_a_board_typed_with_its_site_are_those_of_the_register() -> None:
    head = "Panel,Circuit,Date,Air temp (°C),A temp (°C),B temp (°C),site"
    wide = rows(head, "MSB @ Works,F1,14 May 2026,82.0,84,84,", "MSB,F1,14 May 2026,39,41,41,Yard")
    register = rows("connection_id,site,limit_c", "MSB/F1/A,Works,70", "MSB/F1/B,Works,70", "MSB/F1/A,Yard,90")
    made = assessed(survey=wide, connections=register)
    severity = by_id(made, "severity")
    assert (severity["MSB/F1/A @ Works"], severity["MSB/F1/B @ Works"]) == (4, 4)
    assert not [name for name in severity if name.startswith("MSB @")]


def test_a_name_with_a_site_that_nothing_else_names_is_not_of_the_only_one() -> None:
    """It is planned into no outage of Yard."""
    survey_ = rows(READ, "C1 @ Works,,MSB,2026-05-12,62,30,60", "C1,Yard,MSB,2026-05-12,32,30,60")
    outage = rows("outage_id,start,hours,equipment,site", "O1,2026-07-01,8,MSB,Yard")
    made = assessed(survey=survey_.assign(termination_kind="screw"), outages=outage)
    assert by_id(made, "equipment")["C1 @ Works"] == "MSB @ ? (survey)"
    assert "C1 @ Works" not in set(planning.make(made, Planning()).work["connection_id"])


def test_ids_that_hold_the_sign_and_mean_no_site_stay_hot() -> None:
    names = ["F1 @ MSB A", "F1 @ MSB B", "F1 @ MSB C"]
    for register in ({}, {"connections": pd.DataFrame({"connection_id": names, "site": "Works"})}):
        made = assessed(survey=survey(None).assign(connection_id=names, connection_c=[62.0, 41.0, 41.0]), **register)
        assert by_id(made, "severity")["F1 @ MSB A"] == 4


def test_a_name_shown_as_of_no_known_site_is_typed_back() -> None:
    records = installs(("msb/f1/a @ ? (survey)", None))
    later = survey(None).assign(survey_date="2026-05-11")
    made = assessed(survey=pd.concat([survey("Works", "Yard"), later]), installs=records, tools=TOOLS)
    assert by_id(made, "install_state")["MSB/F1/A @ ? (survey)"] == "verified"
    assert len(made.connections) == 9


@pytest.mark.parametrize("typed", ["T1 @ Works", "t1 @ works"])
@pytest.mark.parametrize("listed", ["Works", ""])
def test_a_tool_typed_with_its_site_is_the_one_that_is_listed(typed: str, listed: str) -> None:
    tools = TOOLS.assign(site=listed, found_out_of_tolerance_on="2026-03-01")
    records = installs(("MSB/F1/A", "Works")).assign(tool_id=typed)
    made = assessed(survey=pd.concat([survey("Works"), yard_only()]), installs=records, tools=tools)
    assert recall(made)["connection_id"].tolist() == ["MSB/F1/A"]


def test_a_tool_typed_with_another_site_stays_another_tool() -> None:
    records = installs(("MSB/F1/A", "Works")).assign(tool_id="T1 @ Yard")
    tools = TOOLS.assign(site="Works")
    made = assessed(survey=pd.concat([survey("Works"), yard_only()]), installs=records, tools=tools)
    assert by_id(made, "install_state")["MSB/F1/A"] == "doubtful"


def test_an_isolation_point_typed_with_its_site_is_the_board() -> None:
    boards = rows("equipment,site,isolated_by", "MSB,Works,TX", "SUB,Works,MSB @ Works", "YB,Yard,YB")
    tables = read(survey=survey("Works"), equipment=boards)
    assert tables["equipment"]["isolated_by"].tolist() == ["TX", "MSB", "YB"]


def test_the_readings_a_register_settles_are_counted_in_a_note() -> None:
    boards = rows("equipment,site", "MSB,Works", "YB,Yard")
    elsewhere = survey("Yard").assign(connection_id=["Y9", "Y8", "Y7"], equipment="YB")
    tables = read(survey=pd.concat([survey(None), elsewhere]), equipment=boards)
    assert [note.count for note in tables.notes if "in the register" in note.text] == [3]
    assert set(tables["survey"]["site"]) == {"Works", "Yard"}


def test_a_site_is_one_however_its_accent_is_written() -> None:
    """One letter, or a letter and its accent, as some file systems and tables write it: they look alike."""
    survey_ = rows(READ, "Küche/F1/A,Zürich,MSB,2026-05-12,65,55,90")
    register = rows("connection_id,site,limit_c", "Ku\u0308che/F1/A,Zu\u0308rich,60")
    made = assessed(survey=survey_, connections=register)
    assert by_id(made, "severity") == {"Küche/F1/A": 4}


def test_where_a_tool_lies_unsettles_no_reading_of_two_registered_sites() -> None:
    boards = pd.DataFrame({"equipment": ["MSB", "YB"], "site": ["Works", "Yard"]})
    readings = pd.concat([survey(None), yard_only()])
    tables = read(survey=readings, equipment=boards, tools=TOOLS.assign(site="Central store"))
    assert set(tables["survey"]["site"]) == {"Works", "Yard"}


def test_rows_of_two_files_without_a_site_are_not_joined_with_each_other() -> None:
    """One may be of Works, the other of Yard: a record verifies nothing, work clears nothing, a limit loosens none."""
    named = rows(READ, "A,Works,,2026-05-01,35,30,80", "B,Yard,,2026-05-01,35,30,80", "X,,,2026-05-01,95,60,80")
    work = rows("connection_id,work_date,as_found,action", "X,2026-05-10,loose,remade")
    register = rows("connection_id,limit_c", "X,200")
    made = assessed(survey=named, findings=work, connections=register, installs=installs(("X", None)), tools=TOOLS)
    assert by_id(made, "severity")["X @ ? (survey)"] == 4
    assert by_id(made, "urgency")["X @ ? (survey)"] == "now"
    assert by_id(made, "install_state")["X @ ? (survey)"] == "unrecorded"


def test_a_record_without_a_site_clears_no_joint_whose_name_is_kept_apart() -> None:
    survey_ = rows(READ, "X,Works,,2026-05-01,130,30,80", "X,,,2026-05-02,35,30,80")
    work = rows("connection_id,work_date,as_found,action", "X,2026-05-10,loose,remade")
    made = assessed(survey=survey_, findings=work)
    assert by_id(made, "urgency")["X @ Works"] == "now"


def test_a_list_of_surveys_says_the_site_of_their_readings() -> None:
    readings = [
        {"connection_id": "X", "survey_id": name, "survey_date": day, "connection_c": heat, "ambient_c": 30}
        for name, day, heat in (("S1", "2026-04-01", 130), ("S2", "2026-05-01", 35))
    ]
    made = assessed(survey=pd.DataFrame(readings), surveys=rows("survey_id,site", "S1,Works", "S2,Yard"))
    assert by_id(made, "severity") == {"X @ Works": 4, "X @ Yard": 1}


def test_a_register_that_has_a_name_on_no_site_too_settles_nothing_of_it() -> None:
    register = rows("connection_id,site,criticality", "X,Works,3", "B,Yard,3", "X,,5")
    readings = rows(READ, "X,Works,,2025-05-01,130,30,80", "X,,,2026-05-01,35,30,80", "B,Yard,,2026-05-01,35,30,80")
    made = assessed(survey=readings, connections=register)
    assert by_id(made, "severity")["X @ Works"] == 4
    assert not refused(made.tables)


def test_a_record_of_no_known_site_is_recalled_with_each_tool_of_its_name() -> None:
    named = rows(READ, "A,Works,,2026-05-01,35,30,80", "B,Yard,,2026-05-01,35,30,80")
    bad = TOOLS.assign(site="Works", found_out_of_tolerance_on="2026-03-01")
    made = assessed(survey=named, installs=installs(("X", None)), tools=bad)
    assert recall(made)["connection_id"].tolist() == ["X"]
    assert recall(made, "T1 @ Works")["connection_id"].tolist() == ["X"]


def combined(*files: tuple[str, str, pd.DataFrame]) -> Assessment:
    """Files of these names and tables, put together."""
    contents = [FileContent(name, f.to_csv(index=False).encode(), ReadOptions(table=table)) for name, table, f in files]
    sheets = [sheet for content in contents for sheet in check_file(content, on=ON, limits=Limits()).sheets]
    return assess(combine(sheets, [], [], 30), on=ON)


def test_files_of_one_name_without_a_site_are_two_files() -> None:
    """june.csv of one folder and june.csv of another."""
    hot, cool = (rows(READ, f"M/A,,,{day},{heat},30,80") for day, heat in (("2026-05-02", 95), ("2026-05-12", 31)))
    sited = rows(READ, "M/A,Works,,2026-05-12,31,30,80", "M/A,Yard,,2026-05-12,31,30,80")
    made = combined(("june.csv", "survey", hot), ("june.csv", "survey", cool), ("c.csv", "survey", sited))
    assert by_id(made, "severity")["M/A @ ? (june.csv)"] == 4
    assert by_id(made, "severity")["M/A @ ? (june.csv, 2)"] == 1
    work = rows("connection_id,work_date,as_found,action", "M/A,2026-05-20,loose,tightened")
    made = combined(("june.csv", "survey", hot), ("june.csv", "findings", work), ("c.csv", "survey", sited))
    assert by_id(made, "urgency")["M/A @ ? (june.csv)"] == "now"


@pytest.mark.parametrize("word", ["?", "??", "unknown", "TBC", ""])
def test_a_word_that_says_that_the_site_is_not_known_is_no_site(word: str) -> None:
    files = [rows(READ, f"M/A,{word},,{day},{heat},30,80") for day, heat in (("2026-05-02", 95), ("2026-05-12", 31))]
    sited = rows(READ, "M/A,Works,,2026-05-12,31,30,80", "M/A,Yard,,2026-05-12,31,30,80")
    made = combined(("a.csv", "survey", files[0]), ("b.csv", "survey", files[1]), ("c.csv", "survey", sited))
    assert by_id(made, "severity")["M/A @ ? (a.csv)"] == 4
    assert set(made.connections["site"].dropna()) == {"Works", "Yard"}


@pytest.mark.parametrize("bad_first", [True, False])
@pytest.mark.parametrize("sites", [("Works", ""), ("", ""), ("Works", "Works")])
def test_a_tool_out_of_tolerance_is_so_whichever_row_of_its_calibration_says_it(
    sites: tuple[str, str], bad_first: bool
) -> None:
    good = TOOLS.assign(site=sites[0])
    bad = TOOLS.assign(site=sites[1], found_out_of_tolerance_on="2026-03-01")
    lists = [("bad.csv", "tools", bad), ("good.csv", "tools", good)]
    survey_ = pd.concat([survey("Works"), yard_only()])
    files = [("s.csv", "survey", survey_), ("i.csv", "installs", installs(("MSB/F1/A", "Works")))]
    made = combined(*files, *(lists if bad_first else lists[::-1]))
    assert by_id(made, "install_state")["MSB/F1/A"] == "doubtful"
    assert recall(made)["connection_id"].tolist() == ["MSB/F1/A"]


def test_a_joint_kept_apart_keeps_what_the_register_says_of_it() -> None:
    """One reading of another site, perhaps a slip, must not take its limit and its siblings from the others."""
    register = rows(
        "connection_id,site,equipment,circuit,phase,limit_c",
        *(f"M/{phase},Works,M,F1,{phase},{limit}" for phase, limit in zip("ABC", (60, 90, 90), strict=True)),
    )
    readings = rows("connection_id,survey_date,connection_c,load_pct", *(f"M/{p},2026-05-12,70,80" for p in "A"))
    for phase, heat in (("B", 41), ("C", 41)):
        readings.loc[len(readings)] = [f"M/{phase}", "2026-05-12", str(heat), "80"]
    slip = rows(READ, "Z,Wroks,,2026-05-12,31,30,80")
    alone = combined(("may.csv", "survey", readings), ("r.csv", "connections", register))
    made = combined(("may.csv", "survey", readings), ("r.csv", "connections", register), ("x.csv", "survey", slip))
    hot = "M/A @ ? (may.csv)"
    for column in ("severity", "urgency", "action", "pattern", "limit_c"):
        assert by_id(made, column)[hot] == by_id(alone, column)["M/A"], column
    assert by_id(made, "urgency")[hot] == "now"


def test_of_two_registered_limits_the_lower_holds_for_a_joint_kept_apart() -> None:
    register = rows("connection_id,site,limit_c,criticality", "X,Works,80,5", "X,Yard,60,2")
    readings = rows(READ, "X,,,2026-05-01,75,60,80", "A,Works,,2026-05-01,35,30,80")
    made = assessed(survey=readings, connections=register)
    assert by_id(made, "limit_c")["X @ ? (survey)"] == 60
    assert by_id(made, "criticality")["X @ ? (survey)"] == 5
    assert by_id(made, "severity")["X @ ? (survey)"] == 4


def test_the_register_of_another_site_loosens_nothing_of_a_joint_kept_apart() -> None:
    """95 °C is over the default of 90 °C, and under the 200 °C that a register has for the X of Works."""
    register = rows("connection_id,site,limit_c,criticality", "X,Works,200,1")
    readings = rows(READ, "X,,,2026-05-01,95,60,80", "A,Works,,2026-05-01,35,30,80", "B,Yard,,2026-05-01,35,30,80")
    made = assessed(survey=readings, connections=register)
    hot = "X @ ? (survey)"
    assert (by_id(made, "limit_c")[hot], by_id(made, "criticality")[hot]) == (90, 3)
    assert by_id(made, "limit_from")[hot] == (
        "our default: its site is not known, and the limit a register has is higher"
    )
    assert by_id(made, "urgency")[hot] == "now"


def test_the_bare_sign_is_a_site_of_its_file() -> None:
    """Typed in two files it is two."""
    files = [rows(READ, f"M/A @ ?,,,{day},{heat},30,80") for day, heat in (("2026-05-02", 95), ("2026-05-12", 31))]
    sited = rows(READ, "M/A,Works,,2026-05-12,31,30,80", "M/A,Yard,,2026-05-12,31,30,80")
    made = combined(("a.csv", "survey", files[0]), ("b.csv", "survey", files[1]), ("c.csv", "survey", sited))
    assert by_id(made, "severity")["M/A @ ? (a.csv)"] == 4
    assert by_id(made, "severity")["M/A @ ? (b.csv)"] == 1
