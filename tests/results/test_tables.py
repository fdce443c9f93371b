"""The result tables: their columns, their round trip, their safety."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pandas as pd
import pytest

from riskscope.analysis.assess import assess as assess_tables
from riskscope.errors import UnusableInput
from riskscope.intake.read import read_frames
from riskscope.results import tables as results
from riskscope.results.tables import Results
from riskscope.schema import results as schema
from riskscope.words.render import Units
from tests.build import ON, good_record, phases, survey


def made(readings: pd.DataFrame, **tables: pd.DataFrame) -> Results:
    return results.results(assess_tables(read_frames(on=ON, survey=readings, **tables), on=ON), Units())


@pytest.fixture(scope="module")
def some() -> Results:
    register = pd.DataFrame({"connection_id": ["A", "B", "C", "Z"], "site": "Here", "equipment": "B1"})
    return made(phases(62.0, 35.0, 34.0, ambient_c=30.0, load_pct=30), connections=register, **good_record("A"))


@pytest.mark.parametrize("name", schema.TABLES)
def test_columns_are_those_of_the_schema(name: str, some: Results) -> None:
    assert list(some[name].columns) == [column.name for column in schema.TABLES[name].columns]


def test_written_and_read_back_without_loss(some: Results, tmp_path: Path) -> None:
    results.write(some, tmp_path / "out")
    back = results.read(tmp_path / "out")
    assert back.summary == some.summary
    for name, frame in some.tables.items():
        pd.testing.assert_frame_equal(back[name], frame, check_dtype=False)


def test_nothing_is_left_behind_and_other_files_stay(some: Results, tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("mine", "utf-8")
    results.write(some, tmp_path)
    names = {path.name for path in tmp_path.iterdir()}
    assert names == {f"{name}.csv" for name in schema.TABLES} | {"summary.json", "mine.txt"}


def test_not_rated_rows_are_empty_not_zero(tmp_path: Path) -> None:
    out = made(survey({"connection_id": "A", "connection_c": 40.0, "load_pct": 0}))
    results.write(out, tmp_path)
    row = pd.read_csv(tmp_path / "ranking.csv", dtype=str, keep_default_na=False).iloc[0]
    assert (row["rank"], row["severity"], row["severity_label"]) == ("", "", "not rated")
    assert out.summary["bands"]["not rated"] == 1


OVER = "over its temperature limit at full load"
LIMIT = "limit of 90.0 °C (our default, none on record)"


@pytest.mark.parametrize(
    ("celsius", "load", "label", "heat"),
    [
        (45.0, 20, f"perhaps {OVER}", "15.0 K over the air at 20 % load: at full load perhaps over its "),
        (69.0, 39, OVER, "39.0 K over the air at 39 % load: at full load over its "),
        (69.0, 60, OVER, "over 140 °C at full load against a "),
        (59.0, 65, OVER, "108.6 °C at full load against a "),
    ],
)
def test_what_the_limit_says_of_phases_that_are_even(celsius: float, load: int, label: str, heat: str) -> None:
    """15 K at 20 %: 65.0 − 9.1 K is over 50 K, − 26.2 K is not. 29 K at 65 %: 68.6 K and 40 °C."""
    row = made(phases(celsius, celsius, ambient_c=30.0, load_pct=load))["ranking"].iloc[0]
    assert row["governing_basis"] == "limit"
    assert row["severity_label"] == label
    assert row["reason"].startswith(heat + LIMIT)


def test_nothing_that_is_rated_is_said_to_be_not_rated() -> None:
    rises, at = (0.3, 2.0, 8.0, 15.0, 25.0, 45.0), (5, 12, 20, 39, 40, 55, 80, 100, 130)
    sets = [
        phases(30.0 + rise + more, 30.0 + rise, ambient_c=30.0, load_pct=load).assign(
            circuit=f"F{rise}-{more}-{load}", connection_id=[f"{rise}-{more}-{load}-{p}" for p in "AB"]
        )
        for rise in rises
        for more in (0.0, 2.0, 12.0, 30.0)
        for load in at
    ]
    ranking = made(pd.concat(sets))["ranking"]
    assert len(ranking) == 2 * len(sets)
    assert not (ranking["severity_label"] == "not rated").any()


def test_a_rejected_finding_is_named_until_somebody_dismisses_it() -> None:
    """What was found cannot be taken over, as nobody wrote what was done: it may say "burnt"."""
    findings = pd.DataFrame([{"connection_id": "A", "work_date": "2026-05-10", "as_found": "burnt", "action": ""}])
    read = read_frames(on=ON, survey=phases(35.0, 35.0, 34.0, ambient_c=30.0, load_pct=80), findings=findings)
    said = results.left_out(assess_tables(read, on=ON))
    assert said == "Not in this list: 1 finding rejected, perhaps of a loose or damaged joint (A)."
    read.refused["dismissed_by"] = "P. Lowe"
    assert results.left_out(assess_tables(read, on=ON)) == "Not in this list: 1 finding rejected."


BAD_RECORD = {"work_date": "2026-05-10", "required_torque": 25, "torque_unit": "N·m", "applied_torque": "2 5 1"}
NAMELESS_RECORD = BAD_RECORD | {"connection_id": None, "applied_torque": 5}
BAD_TOOL = {"tool_id": None, "calibrated_on": "2026-05-01", "found_in_tolerance": "no"}
BAD_NOTICE = {"told_on": "2026-05-10", "told": "R. Fenwick", "by": "", "made_safe": "lifted"}
BAD_DEFERRAL = {"decided_on": "2026-05-10", "deferred_by": "P", "until": "soon", "reason": "no part"}
BAD_RENAMING = {"was_id": "B", "renamed_on": "soon", "renamed_by": "P", "reason": "moved"}


@pytest.mark.parametrize(
    ("table", "row", "said"),
    [
        ("installs", BAD_RECORD, "1 torque record rejected, perhaps of work not done right (A)"),
        ("installs", NAMELESS_RECORD, "1 torque record rejected, perhaps of work not done right (installs line 2)"),
        ("tools", BAD_TOOL, "1 row of a tool rejected, perhaps of one out of tolerance (tools line 2)"),
        ("connections", {"limit_c": 70, "criticality": "high"},
         "1 row of the register rejected, perhaps with a lower limit or more at stake (A)"),
        ("notices", BAD_NOTICE, "1 notice rejected, perhaps of what is made safe no longer (A)"),
        ("deferrals", BAD_DEFERRAL, "1 deferral rejected, perhaps withdrawn (A)"),
        ("renamings", BAD_RENAMING, "1 other row rejected"),
    ],
)  # fmt: skip
def test_what_a_rejected_row_may_say_is_named_until_somebody_dismisses_it(table: str, row: dict, said: str) -> None:
    frames = {
        "survey": phases(35.0, 35.0, 34.0, ambient_c=30.0, load_pct=80),
        table: pd.DataFrame([{"connection_id": "A", **row}]),
    }
    read = read_frames(on=ON, **frames)
    assert results.left_out(assess_tables(read, on=ON)) == f"Not in this list: {said}."
    read.refused["dismissed_by"] = "P. Lowe"
    assert results.left_out(assess_tables(read, on=ON)) == f"Not in this list: {said.split(', perhaps')[0]}."


def test_a_rejected_row_that_says_the_site_is_named_as_its_joint_is_here() -> None:
    """The sheets to fill in say the site; where there is one the joints are called without it."""
    bad = pd.DataFrame([{"connection_id": "A", "site": "Works"}, {"connection_id": "A", "site": None}]).assign(
        **BAD_RECORD
    )
    survey_ = phases(35.0, 35.0, 34.0, ambient_c=30.0, load_pct=80)
    said = results.left_out(assess_tables(read_frames(on=ON, survey=survey_, installs=bad), on=ON))
    assert said == "Not in this list: 2 torque records rejected, perhaps of work not done right (A)."


def test_what_nobody_says_the_circuit_of_is_named_beside_what_has_siblings() -> None:
    """A stands in no register: at 62 °C beside 35 and 34 it would be rated 4."""
    readings = phases(62.0, 35.0, 34.0, ambient_c=30.0, load_pct=80).drop(columns="circuit")
    register = pd.DataFrame({"connection_id": ["B", "C"], "circuit": "F1", "phase": ["B", "C"]})
    read = read_frames(on=ON, survey=readings, connections=register)
    said = results.left_out(assess_tables(read, on=ON))
    assert said == "Not in this list: 1 connection compared with no sibling, as its board or circuit is not known (A)."
    alone = read_frames(on=ON, survey=readings)
    assert results.left_out(assess_tables(alone, on=ON)) == ""


@pytest.mark.parametrize(("refused_day", "is_said"), [("2026-05-04", True), ("", True), ("2026-05-03", False)])
@pytest.mark.parametrize("by", ["place", "id", "device"])
def test_what_is_alone_because_its_siblings_were_rejected_is_named(refused_day: str, is_said: bool, by: str) -> None:
    """A at 62 °C would be rated 4 beside B at 35, of which somebody typed "3S"."""
    where = {"equipment": "MCC-1", "device" if by == "device" else "circuit": "F 1"}
    hot = {"connection_id": "A", "phase": "A", "survey_date": "2026-05-04", "connection_c": "62", **where}
    bad = {"phase": "B", "survey_date": refused_day, "connection_c": "3S"}
    bad |= {"connection_id": "B"} if by == "id" else where
    register = pd.DataFrame([{"connection_id": "B", "phase": "B", **where}])
    readings = survey(hot, bad, ambient_c=30.0, load_pct=80, circuit=None)
    read = read_frames(on=ON, survey=readings, connections=register)
    said = results.left_out(assess_tables(read, on=ON))
    assert ("1 connection compared with no sibling, as a reading of its circuit was rejected (A)" in said) == is_said


def test_what_nobody_says_the_board_of_is_named_beside_what_has_one() -> None:
    """Merged over a circuit the board stands in its first row only: A, in the second, is compared with nothing."""
    rows = survey(
        {"connection_id": "B", "phase": "B", "connection_c": 35.0, "equipment": "MCC-1"},
        {"connection_id": "A", "phase": "A", "connection_c": 62.0, "equipment": None},
        {"connection_id": "C", "phase": "C", "connection_c": 34.0, "equipment": "MCC-1"},
        ambient_c=30.0,
        load_pct=80,
    )
    said = results.left_out(assess_tables(read_frames(on=ON, survey=rows), on=ON))
    assert said == "Not in this list: 1 connection compared with no sibling, as its board or circuit is not known (A)."
    nobody = read_frames(on=ON, survey=rows.drop(columns="equipment").iloc[[1]])
    assert results.left_out(assess_tables(nobody, on=ON)) == ""


def test_readings_of_a_later_day_are_named_the_hottest_first() -> None:
    """A day after that of the assessment is accepted, as clocks differ; it is not assessed yet, and not hidden."""
    rows = phases(35.0, 36.0, 91.0, ambient_c=30.0, load_pct=80)
    rows["survey_date"] = ["2026-06-01", "2026-06-02", "2026-06-02"]
    late = assess_tables(read_frames(on=ON, survey=rows), on=ON)
    assert results.left_out(late) == "Not in this list: 2 readings of later days, not assessed yet (C, B)."


@pytest.mark.parametrize("name", ["=1+1", "+A", "-B", "@c", '=HYPERLINK("x")'])
def test_text_a_spreadsheet_would_run_is_neutralised_and_reads_back(name: str, tmp_path: Path) -> None:
    out = made(survey({"connection_id": name, "connection_c": 40.0, "ambient_c": 30.0, "load_pct": 80}))
    results.write(out, tmp_path)
    cell = pd.read_csv(tmp_path / "ranking.csv", dtype=str)["connection_id"].iloc[0]
    assert cell == "'" + name
    assert results.read(tmp_path)["ranking"]["connection_id"].iloc[0] == name


def test_not_surveyed_lists_the_register(some: Results) -> None:
    assert some["not_surveyed"]["connection_id"].tolist() == ["Z"]
    assert some.summary["not_surveyed"] == 1


def test_torque_in_both_units(some: Results) -> None:
    """20 N·m is 177.0 lbf·in by the exact factor 0.1129848290276167."""
    row = some["retighten_first"].set_index("connection_id").loc["A"]
    assert row["required_nm"] == 20.0
    assert row["required_lbf_in"] == pytest.approx(20 / 0.1129848290276167)


def test_coverage_counts_by_equipment() -> None:
    register = pd.DataFrame({"connection_id": ["A", "B", "C", "Z"], "site": "Here", "equipment": "B1"})
    looked = pd.DataFrame({"equipment": ["B1"], "survey_date": ["2026-05-04"], "result": ["partly"]})
    out = made(
        phases(62.0, 35.0, 34.0, ambient_c=30.0, load_pct=60),
        connections=register,
        inspections=looked,
        **good_record("A"),
    )
    [row] = out["coverage"].to_dict("records")
    assert (row["connections"], row["surveyed"], row["rated"], row["verified"], row["unrecorded"]) == (4, 3, 3, 1, 3)
    assert (row["inspected_on"], row["inspection_result"]) == (pd.Timestamp("2026-05-04"), "partly")


def test_summary_states_what_made_it(some: Results) -> None:
    assert some.summary["as_of"] == ON.isoformat()
    assert some.summary["criteria"]["title"] == "ANSI/NETA table 100.18"
    assert some.summary["settings"]["exponent"] == 2.0
    assert some.summary["now"] == ["A"]
    assert some.summary["tables"]["survey"]["accepted"] == 3


def test_a_folder_without_results_is_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(UnusableInput, match="holds no results"):
        results.read(tmp_path)


def test_dates_are_written_as_iso(some: Results, tmp_path: Path) -> None:
    results.write(some, tmp_path)
    cells = pd.read_csv(tmp_path / "ranking.csv", dtype=str)["survey_date"]
    assert {dt.date.fromisoformat(cell) for cell in cells} == {dt.date(2026, 5, 4)}
