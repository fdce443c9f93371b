"""A refused row under merged cells is of the joint that the rows above it say, of no other and of none too few."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pandas as pd
import pytest

from riskscope.analysis.assess import assess
from riskscope.analysis.proof import refused
from riskscope.analysis.proof.whose import whose
from riskscope.intake.files import Source
from riskscope.intake.options import ReadOptions
from riskscope.intake.read import read_files

ON = dt.date(2026, 6, 1)
LONG = "Board,Circuit,Phase,Connection,Date,Temp (°C),Air (°C),Load %\n"
FIRST = "MSB,F1,A,MSB/F1/A,2026-01-12,95,25,60\nMSB,F2,A,MSB/F2/A,2026-01-12,95,25,60\n"
COOL = "MSB,F2,A,MSB/F2/A,2026-04-12,30,25,60\nMSB,F1,A,MSB/F1/A,2026-04-12,30,25,60\n"
FINDINGS = "connection_id,work_date,as_found,action\n"
REMADE = "MSB/F1/A,2026-02-01,damaged,remade\nMSB/F2/A,2026-02-01,damaged,remade\n"
INSTALLS = "connection_id,work_date,required_torque,applied_torque,torque_unit,tool_id,required_source\n"
RIGHT = "MSB/F1/A,2026-02-01,20,20,N·m,T1,label\nMSB/F2/A,2026-02-01,20,20,N·m,T1,label\n"
TOOLS = "tool_id,range_min,range_max,torque_unit,calibrated_on\nT1,5,50,N·m,2025-10-01\n"
FILES = {"survey": LONG + FIRST + COOL, "findings": FINDINGS + REMADE, "installs": INSTALLS + RIGHT, "tools": TOOLS}


def made_of(folder: Path, **more: str) -> pd.DataFrame:
    for name, text in (FILES | more).items():
        (folder / f"{name}.csv").write_text(text, "utf-8")
    sources = [Source(path, ReadOptions(day_first=False)) for path in sorted(folder.glob("*.csv"))]
    return assess(read_files(sources, on=ON), on=ON).connections.set_index("connection_id")


def states(folder: Path, **more: str) -> tuple[str, str]:
    made = made_of(folder, **more)["work_state"]
    return made["MSB/F1/A"], made["MSB/F2/A"]


def test_both_are_proved_without_such_a_row(tmp_path: Path) -> None:
    assert states(tmp_path) == ("proved", "proved")


def test_it_is_of_the_place_that_it_says_itself_on_the_board_above_it(tmp_path: Path) -> None:
    assert states(tmp_path, survey=LONG + FIRST + COOL + ",F2,A,,2026-04-12,95,25,60\n") == ("proved", "awaiting proof")


def test_it_is_of_the_rejected_row_above_it(tmp_path: Path) -> None:
    above = 'MSB/F1/A,2026-02-01,20,20,N·m,T1,label\nMSB/F2/A,2026-01-05,20,"20,,0",N·m,T1,label\n'
    rows = INSTALLS + RIGHT + above + ",2026-05-20,20,8,N·m,T1,label\n"
    assert states(tmp_path, installs=rows) == ("proved", "cool, record in doubt")


def test_it_may_be_of_the_joint_that_a_line_between_names(tmp_path: Path) -> None:
    rows = FINDINGS + REMADE + "MSB/F1/A,2026-02-01,damaged,remade\nMSB/F2/A,,,\n,2026-05-20,loose,none\n"
    assert states(tmp_path, findings=rows)[1] == "cool, record in doubt"


def test_it_is_of_the_phase_that_it_says(tmp_path: Path) -> None:
    """In a wide sheet: the circuit is merged over two days."""
    head = "Panel,Circuit,Date,Air (°C),A temp (°C),B temp (°C),C temp (°C),Load A (A),Load B (A),Load C (A)\n"
    wide = head + "Q,F9,2026-04-12,25,30,30,30,60,60,60\n,,2026-05-12,25,95,31,30,60,60,60\n"
    made = made_of(tmp_path, survey_wide=wide)["refused_on"]
    assert [str(made[f"Q/F9/{phase}"])[:10] for phase in "ABC"] == ["2026-05-12"] * 3
    tables = read_files([Source(tmp_path / "survey_wide.csv", ReadOptions(day_first=False))], on=ON)
    said = whose(refused.may_be_hottest(tables.refused), tables, tables.refused)
    phase = tables.refused.loc[said["row"], "phase"]
    assert said["connection_id"].tolist() == [f"Q/F9/{its}" for its in phase]


@pytest.mark.parametrize("phase", ["B", "b"])
def test_an_id_that_ends_in_the_phase_above_is_that_of_its_own_phase(tmp_path: Path, phase: str) -> None:
    head = "Connection,Phase,Date,Temp (°C),Air (°C),Load %\n"
    rows = "".join(f"MSB/{c},{p},2026-04-12,30,25,60\n" for c in ("F1", "F2") for p in "ABC")
    under = f"MSB/F2,A,2026-05-12,30,25,60\n,{phase},2026-05-12,95,25,60\n"
    made = made_of(tmp_path, survey=head + rows + under)["refused_on"]
    assert str(made["MSB/F2/B"])[:10] == "2026-05-12"
    assert made[["MSB/F1/B", "MSB/F2/C"]].isna().all()


def test_it_is_of_its_own_file_though_two_have_one_name(tmp_path: Path) -> None:
    """The loose one stands in the file of 2026, under a joint that has another line in that of 2025."""
    files = {
        "a/findings.csv": FINDINGS + REMADE + "MSB/F2/A,2026-02-02,tight,none\n,2026-05-20,loose,none\n",
        "b/findings.csv": FINDINGS + "MSB/F1/A,2025-05-02,tight,none\n" * 3,
        **{f"{name}.csv": text for name, text in FILES.items() if name != "findings"},
    }
    paths = []
    for name, text in files.items():
        paths.append(tmp_path / name)
        paths[-1].parent.mkdir(exist_ok=True)
        paths[-1].write_text(text, "utf-8")
    for order in (paths, paths[::-1]):
        tables = read_files([Source(path, ReadOptions(day_first=False)) for path in order], on=ON)
        made = assess(tables, on=ON).connections.set_index("connection_id")["work_state"]
        assert (made["MSB/F1/A"], made["MSB/F2/A"]) == ("proved", "cool, record in doubt")
        assert {"a/findings.csv"} == set(tables.refused["file"][tables.refused["kind"] == "rejected"])


@pytest.mark.parametrize(
    "line", ["Checked by,J. Smith,,\n", "Page 2 of 3,2026-05-20,,\n", "Connection,Work date,As-found,Action taken\n"]
)
def test_a_line_of_text_among_the_ids_hides_no_joint(tmp_path: Path, line: str) -> None:
    rows = FINDINGS + REMADE + line + ",2026-05-20,loose,none\n"
    assert states(tmp_path, findings=rows)[1] == "cool, record in doubt"


@pytest.mark.parametrize("comment", ["3", "T-2", ""])
def test_a_tool_row_without_an_id_is_of_the_tool_above_it_too(tmp_path: Path, comment: str) -> None:
    head = "tool_id,range_min,range_max,torque_unit,calibrated_on,as_found_in_tolerance,comment\n"
    rows = "T1,5,50,N·m,2025-10-01,yes,\n"
    under = f",5,50,N·m,2026-05-01,no,{comment}\n"
    more = "T2,5,50,N·m,2025-10-01,yes,\n3,5,50,N·m,2025-10-01,yes,\n"
    assert states(tmp_path, tools=head + rows + under + more) == ("cool, record in doubt", "cool, record in doubt")


MARKS = ("〃", '"' * 4, "ditto", "as above", "same", "^", "-do-", "”", "(Same)", "Dito.")
RARER = ("–”–", "—〃—", "“ ”", "( ” )", "do", "like above", "- as before -")


@pytest.mark.parametrize("mark", [*MARKS, *RARER])
def test_a_sign_for_what_stands_above_is_no_name(tmp_path: Path, mark: str) -> None:
    findings = FINDINGS + REMADE + f"{mark},2026-05-20,loose,none\n"
    assert states(tmp_path, findings=findings) == ("proved", "cool, record in doubt")
    made = made_of(tmp_path, findings=FINDINGS + REMADE, survey=LONG + FIRST + COOL + f"{mark},,,{mark},,95,25,60\n")
    assert set(made.index) == {"MSB/F1/A", "MSB/F2/A"}
    assert made["work_state"]["MSB/F1/A"] == "awaiting proof"


def test_a_tool_row_under_such_a_sign_is_of_the_tool_above_it(tmp_path: Path) -> None:
    head = "tool_id,range_min,range_max,torque_unit,calibrated_on,as_found_in_tolerance\n"
    rows = "T1,5,50,N·m,2025-10-01,yes\nditto,5,50,N·m,2026-05-01,no\n"
    assert states(tmp_path, tools=head + rows) == ("cool, record in doubt", "cool, record in doubt")


BELOW = {
    "findings": FINDINGS + REMADE + "work_date,connection_id,as_found,action\n2026-05-20,MSB/F1/A,loose,none\n",
    "installs": INSTALLS
    + RIGHT
    + "work_date,connection_id,applied_torque,required_torque,torque_unit,tool_id,required_source\n"
    + "2026-05-20,MSB/F1/A,8,20,N·m,T1,label\n",
    "survey": LONG
    + FIRST
    + COOL
    + "Date,Connection,Temp (°C),Air (°C),Load %,Board,Circuit,Phase\n2026-04-12,MSB/F1/A,95,25,60,MSB,F1,A\n",
}


@pytest.mark.parametrize("table", list(BELOW))
def test_below_a_header_of_other_columns_it_is_of_the_joint_that_its_own_header_says(
    tmp_path: Path, table: str
) -> None:
    state = "awaiting proof" if table == "survey" else "cool, record in doubt"
    assert states(tmp_path, **{table: BELOW[table]}) == (state, "proved")


def test_a_second_header_in_another_unit_is_one_with_four_columns(tmp_path: Path) -> None:
    head = "Connection,Date,Temp (°{0}),Air (°{0})\n"
    survey = head.format("F") + "MSB/F2/A,2026-01-12,86,77\n" + head.format("C") + "MSB/F1/A,2026-04-12,97,25\n"
    made = made_of(tmp_path, survey=survey)
    assert made["connection_c"]["MSB/F2/A"] == 30.0
    assert str(made["refused_on"]["MSB/F1/A"])[:10] == "2026-04-12"
    assert set(made.index) == {"MSB/F1/A", "MSB/F2/A"}


def _first(column: int, text: str) -> str:
    """Lines with this column before the others."""
    cells = [line.split(",") for line in text.splitlines()]
    return "".join(",".join([row[column], *row[:column], *row[column + 1 :]]) + "\n" for row in cells)


@pytest.mark.parametrize(
    ("table", "text", "lone", "state"),
    [
        ("survey", _first(5, LONG + FIRST + COOL), "95", "awaiting proof"),
        ("survey", _first(5, LONG + FIRST + COOL), "OL", "awaiting proof"),
        ("survey", _first(5, LONG + FIRST + COOL), "> 250", "awaiting proof"),
        ("survey", _first(5, LONG + FIRST + COOL), "over range", "awaiting proof"),
        ("survey", _first(5, LONG + FIRST + COOL), "+95 °C", "awaiting proof"),
        ("survey", _first(5, LONG + FIRST + COOL), "95 degC", "awaiting proof"),
        ("survey", _first(5, LONG + FIRST + COOL), "95 - 97 hot", "awaiting proof"),
        ("installs", _first(3, INSTALLS + RIGHT), "8", "cool, record in doubt"),
        ("findings", _first(2, FINDINGS + REMADE), "loose", "cool, record in doubt"),
    ],
)
def test_a_lone_value_in_the_first_column_is_no_line_of_text(
    tmp_path: Path, table: str, text: str, lone: str, state: str
) -> None:
    commas = "," * text.splitlines()[0].count(",")
    last = 0 if table == "survey" else 1
    assert states(tmp_path, **{table: f"{text}{lone}{commas}\n"})[last] == state


@pytest.mark.parametrize("line", ["Checked by J. Smith", "1 of 3", "2 pages", "Overview", "<end>"])
def test_a_lone_remark_in_the_first_column_is_a_line_of_text(tmp_path: Path, line: str) -> None:
    text = _first(5, LONG + FIRST + COOL) + line + "," * 7 + "\n"
    assert states(tmp_path, survey=text) == ("proved", "proved")


@pytest.mark.parametrize("heat", ["OL", ">250", "96", "O/L", "OL °C", ">30"])
def test_what_is_off_the_scale_beside_a_word_for_a_total_is_no_total(tmp_path: Path, heat: str) -> None:
    """And that word is no board."""
    survey = LONG + FIRST + COOL + f"Max,,,,,{heat},,\n"
    assert states(tmp_path, survey=survey)[0] == "awaiting proof"


def test_a_circuit_that_is_called_total_is_a_place(tmp_path: Path) -> None:
    row = "MSB,Total,A,{},2026-04-12,{},25,60\n"
    survey = LONG + FIRST + row.format("Q1", 30) + COOL + row.format("", "OL")
    made = made_of(tmp_path, survey=survey)["refused_on"]
    assert [str(made[name])[:10] for name in ("Q1", "MSB/F1/A", "MSB/F2/A")] == ["2026-04-12", "NaT", "NaT"]


ID_FIRST = "Connection,Date,Temp (°C),Air (°C),Load %\n" + "".join(
    f"MSB/{circuit}/A,{rest}\n" for rest in ("2026-01-12,95,25,60", "2026-04-12,30,25,60") for circuit in ("F1", "F2")
)


@pytest.mark.parametrize(
    "below",
    [
        "Connection,Date,Delta T,Air (°C),Load %\nMSB/F1/A,2026-04-12,70,25,60\n",
        "Connection,Date,Air (°C),Load %,Whatever\nMSB/F1/A,2026-04-12,25,60,95\n",
        "Connection,Date,,Air (°F),Load %\nMSB/F1/A,2026-04-12,203,77,60\n",
        "Connection,Date,,Temp (°C),Load %\nMSB/F1/A,2026-04-12,95,,60\n",
        "Connection,Date,,Load %,Spot\nMSB/F1/A,2026-04-12,,60,95\n",
        "No,Connection,Date,Temp (°C),Air (°C)\n1,MSB/F1/A,2026-04-12,95,25\n",
        "Date,Connection,Temp (°C),Air (°C),Gubbins\n2026-04-12,MSB/F1/A,95,25,x\n",
        "Neighbour,Connection,Date,Temp (°C),Air (°C)\nMSB/F2/A,MSB/F1/A,2026-04-12,95,25\n",
    ],
)
def test_below_a_header_that_is_not_all_understood_a_row_is_of_the_joint_that_it_says(
    tmp_path: Path, below: str
) -> None:
    assert states(tmp_path, survey=ID_FIRST + below) == ("awaiting proof", "proved")


def test_below_a_second_header_of_a_wide_sheet_each_phase_is_refused_by_name(tmp_path: Path) -> None:
    head = "Board,Circuit,Date,Air (°{0}),A temp (°{0}),B temp (°{0}),Load A %,Load B %\n"
    wide = head.format("F") + "MSB,F1,2026-04-12,77,86,86,60,60\n"
    wide += head.format("C") + "MSB,F3,2026-04-12,25,140,31,60,60\n"
    made = made_of(tmp_path, survey_wide=wide)["refused_on"]
    assert [str(made[f"MSB/F3/{phase}"])[:10] for phase in "AB"] == ["2026-04-12"] * 2


def test_a_page_header_without_units_is_a_repeated_one(tmp_path: Path) -> None:
    assert states(tmp_path, survey=ID_FIRST + "Connection,Date,Temp,Air,Load %\n") == ("proved", "proved")
    more = "Connection,Date,Temp,Air,Load %\nMSB/F3/A,2026-04-12,31,25,60\n"
    assert made_of(tmp_path, survey=ID_FIRST + more)["connection_c"]["MSB/F3/A"] == 31.0


@pytest.mark.parametrize("unit", ["°{}", "({})", "[°{}]"])
def test_a_second_header_in_another_unit_is_seen_wherever_its_names_stand(tmp_path: Path, unit: str) -> None:
    head = f"Temp {unit},Air {unit},Connection,Date\n"
    survey = head.format("F", "F") + "86,77,MSB/F2/A,2026-01-12\n"
    survey += head.format("C", "C") + "95,25,MSB/F1/A,2026-04-12\n"
    assert str(made_of(tmp_path, survey=survey)["refused_on"]["MSB/F1/A"])[:10] == "2026-04-12"


def test_a_part_of_a_built_id_that_stands_above_is_no_name(tmp_path: Path) -> None:
    survey = "Board,Circuit,Phase,Date,Temp (°C),Air (°C),Load %\nMSB,F1,A,2026-04-12,30,25,60\n"
    made = made_of(tmp_path, survey=survey + "MSB,ditto,A,2026-04-12,95,25,60\n")["refused_on"]
    assert str(made["MSB/F1/A"])[:10] == "2026-04-12"
    assert set(made.index) == {"MSB/F1/A", "MSB/F2/A"}


def test_a_site_that_stands_above_refuses_no_temperature(tmp_path: Path) -> None:
    survey = "Site," + LONG + "Same,MSB,F3,A,MSB/F3/A,2026-04-12,95,25,60\n"
    made = made_of(tmp_path, survey=survey)
    assert made["connection_c"]["MSB/F3/A"] == 95.0
    assert made["site"].isna().all()


def test_of_a_built_id_a_row_below_another_header_is_at_the_place_that_says(tmp_path: Path) -> None:
    survey = "Board,Circuit,Phase,Date,Temp (°C),Air (°C),Load %\nMSB,F1,A,2026-01-12,95,25,60\n"
    survey += "MSB,F1,A,2026-04-12,30,25,60\nMSB,F2,A,2026-04-12,30,25,60\n"
    survey += "Date,Board,Circuit,Phase,Temp (°C),Air (°C),Load %\n2026-04-12,MSB,F1,A,95,25,60\n"
    made = made_of(tmp_path, survey=survey)["refused_on"]
    assert [str(made[name])[:10] for name in ("MSB/F1/A", "MSB/F2/A")] == ["2026-04-12", "NaT"]
    assert set(made.index) == {"MSB/F1/A", "MSB/F2/A"}


@pytest.mark.parametrize("row", ["MSB,F1,A,Max,2026-04-12,OL,25,60", "Max,F1,A,,2026-04-12,OL,25,60"])
def test_a_word_for_a_total_is_no_id_and_no_board(tmp_path: Path, row: str) -> None:
    survey = LONG + FIRST + "MSB,F1,A,MSB/F1/A,2026-04-12,30,25,60\nMSB,F2,A,MSB/F2/A,2026-04-12,30,25,60\n"
    made = made_of(tmp_path, survey=survey + row + "\n")["work_state"]
    assert made["MSB/F1/A"] == "awaiting proof"
    assert set(made.index) == {"MSB/F1/A", "MSB/F2/A"}


def test_a_site_that_stands_above_refuses_a_record_of_work(tmp_path: Path) -> None:
    findings = "site," + FINDINGS + "".join(f"P,{row}\n" for row in REMADE.splitlines())
    survey = "Site," + LONG + "".join(f"P,{row}\n" for row in (FIRST + COOL).splitlines())
    more = {"survey": survey, "findings": findings + "ditto,MSB/F1/A,2026-05-20,loose,none\n"}
    assert states(tmp_path, **more) == ("cool, record in doubt", "proved")
