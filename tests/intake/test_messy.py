"""The ways people keep files, numbered M1, M2 …: one hand-made file each in messy/.

For each: the lines accepted, the lines rejected with a word of their reason, the lines set aside,
what is said, and values that must come out. Expected by hand.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from riskscope.errors import Ambiguous, UnusableInput
from riskscope.intake.files import Source
from riskscope.intake.options import ReadOptions
from riskscope.intake.read import read_files
from riskscope.schema.tables import Tables

MESSY = Path(__file__).parent / "messy"
ON = dt.date(2026, 6, 1)


@dataclass
class Expected:
    accepted: list[int]
    rejected: dict[int, str] = field(default_factory=dict)
    aside: list[int] = field(default_factory=list)
    says: list[str] = field(default_factory=list)
    values: dict[str, list[Any]] = field(default_factory=dict)
    table: str = "survey"
    read_options: dict[str, Any] = field(default_factory=dict)


WAYS: dict[str, Expected] = {
    "M01_byte_order_mark.csv": Expected([2], aside=[1], values={"connection_c": [40.5]}),
    "M02_semicolons_and_decimal_commas.csv": Expected(
        [2, 3], aside=[1], says=["decimal comma"], values={"connection_c": [40.5, 1040.5]}
    ),
    "M03_utf16.tsv": Expected([2], aside=[1], values={"connection_id": ["Sammelschiene Süd"]}),
    "M04_latin1.csv": Expected([2], aside=[1], values={"connection_id": ["Süd 1"], "connection_c": [40.5]}),
    "M05_thousands_separators.csv": Expected(
        [2, 3], aside=[1], values={"load_a": [1250, 1250], "rated_a": [2500, 2500]}
    ),
    "M06_blank_lines.csv": Expected([3, 6], aside=[1], values={"connection_id": ["A", "B"]}),
    "M07_repeated_headers.csv": Expected([2, 4], aside=[1, 3, 5]),
    "M08_title_rows.csv": Expected([5], aside=[1, 2, 4]),
    "M09_totals_below.csv": Expected([2, 3], aside=[1, 4, 5], values={"connection_id": ["A", "Total"]}),
    "M35_second_header.csv": Expected([2, 6], {4: "below line 3"}, [1, 3, 5], values={"connection_c": [41.0, 42.0]}),
    "M36_another_sign.csv": Expected([2], {3: "the whole line stands in one cell"}, [1, 4]),
    "M37_maximum_above_all.csv": Expected([2, 3], {4: "no connection_id"}, [1, 5]),
    "M38_cell_without_header.csv": Expected([2], {3: "no survey_date"}, [1, 4]),
    "M39_short_table_above.csv": Expected([6], aside=[1, 2, 3, 5], says=["look like data"]),
    "M40_days_perhaps_swapped.csv": Expected([2, 3], aside=[1], says=["a spreadsheet may have swapped day and month"]),
    "M41_page_headers.csv": Expected([2, 4, 6], aside=[1, 3, 5]),
    "M42_maximum_as_an_id.csv": Expected([2], {3: "no survey_date"}, [1, 4]),
    "M43_second_header_in_another_unit.csv": Expected([2], {4: "below line 3"}, [1, 3]),
    "M44_second_header_over_other_units.csv": Expected([2], {5: "below line 4"}, [1, 3, 4]),
    "M45_second_header_below_a_sentence.csv": Expected([2], {3: "is not a date", 5: "below line 4"}, [1, 4]),
    "M46_page_headers_over_their_units.csv": Expected(
        [3, 6], aside=[1, 2, 4, 5], values={"connection_c": [30.0, 35.0]}
    ),
    "M47_ditto_in_a_group.csv": Expected(
        [2], {3: "stands for the cell above: write that out; it may be the hottest", 4: "it may be the hottest"}, [1]
    ),
    "M48_phases_under_one_heading.csv": Expected(
        [], {2: "it may be the hottest", 3: "no header above “95”, beside other values: name that column"}, [1]
    ),
    "M49_findings_side_by_side.csv": Expected(
        [3, 4], {2: "no header above “loose”"}, [1], table="findings", says=["its cells are kept with their rows"]
    ),
    "M51_words_for_nobody.csv": Expected(
        [2],
        {
            3: "no told",
            4: "told “nobody” says nothing: write who, or why",
            5: "told “?” says nothing",
            6: "no by",
            7: "told “ditto” says nothing",
        },
        [1],
        table="notices",
    ),
    "M53_words_off_the_scale.csv": Expected(
        [5],
        dict.fromkeys((2, 3, 4), "is off the instrument's scale: it may be the hottest") | {6: "no survey_date"},
        [1],
    ),
    "M54_bounds_of_a_torque.csv": Expected(
        [], {2: "is a bound, not the number that was read: write that", 3: "is a bound, not"}, [1], table="installs"
    ),
    "M55_put_off_by_nobody.csv": Expected(
        [2, 3, 4, 5],
        aside=[1],
        table="findings",
        says=["put off, but nobody says who or why (deferred_by, comment): taken as not put off (lines 3, 4, 5)"],
        values={"deferred_by": ["P. Lowe", "P. Lowe", None, "P. Lowe"]},
    ),
    "M56_ditto_at_an_isolation_point.csv": Expected(
        [2, 4], {3: "isolated_by “ditto” stands for the cell above: write that out"}, [1], table="connections"
    ),
    "M52_other_units_in_a_line.csv": Expected([2], {4: "below line 3"}, [1, 3]),
    "M57_units_below_the_header.csv": Expected(
        [3],
        {6: "below line 5"},
        [1, 2, 4, 5],
        says=["units read from line 2, below the header"],
        values={"connection_c": [95.0]},
    ),
    "M58_units_of_torques_below_the_header.csv": Expected(
        [3], aside=[1, 2], table="installs", values={"required_low_nm": [25.0], "applied_nm": [25 * 0.112984829027616]}
    ),
    "M59_a_sentence_of_the_same_unit.csv": Expected([2, 5], aside=[1, 3, 4]),
    "M60_no_header_above_readings.csv": Expected(
        [3, 4], {2: "no header above “OL”", 5: "no header above “95 °C”"}, [1], says=["column 4 has no header"]
    ),
    "M61_no_phase_between_two.csv": Expected([], {2: "no header above “120”"}, [1]),
    "M62_headers_that_are_signs.csv": Expected([], {2: "no header above “95”"}, [1]),
    "M63_days_below_another_header.csv": Expected(
        [2, 3], {5: "it may be the hottest: read it again (F2)", 6: "read it again (F9)"}, [1, 4]
    ),
    "M64_two_findings_of_a_joint.csv": Expected(
        [4], {2: "no header above “very loose”", 3: "no header above “loose.”"}, [1], table="findings"
    ),
    "M65_signs_in_words_for_nobody.csv": Expected(
        [6], {2: "no told", 3: "says nothing", 4: "says nothing", 5: "says nothing"}, [1], table="notices"
    ),
    "M66_units_of_a_line_and_a_sentence.csv": Expected(
        [3], {6: "below line 5"}, [1, 2, 4, 5], values={"connection_c": [40.0]}
    ),
    "M67_units_beside_signs.csv": Expected([2], {4: "below line 3"}, [1, 3]),
    "M69_rows_are_numbered.csv": Expected([2, 3, 4], aside=[1]),
    "M70_a_sign_as_an_id.csv": Expected([2], {3: "is no name: write that out"}, [1]),
    "M71_a_sentence_of_no_unit.csv": Expected([2, 5], {3: "is not a date"}, [1, 4]),
    "M72_units_said_in_words.csv": Expected([2], {3: "is not a date", 5: "below line 4"}, [1, 4]),
    "M73_temperatures_of_phases.csv": Expected(
        [2, 2, 2], aside=[1], values={"phase": ["A", "B", "C"], "connection_c": [95.0, 31.0, 32.0]}
    ),
    "M75_a_number_before_the_temperature.csv": Expected([2, 3, 4], aside=[1]),
    "M76_digital_outputs.csv": Expected([2, 3], {4: "stands for the cell above"}, [1]),
    "M77_a_sentence_of_another_unit.csv": Expected([2], {3: "is not a date", 4: "below line 3"}, [1]),
    "M78_a_value_in_a_sentence.csv": Expected([2, 4], {3: "is not a date"}, [1]),
    "M79_a_sentence_above_page_headers.csv": Expected(
        [2, 9], {7: "below line 3, which says other columns or units"}, [1, 3, 4, 5, 6, 8]
    ),
    "M80_rises_in_another_unit.csv": Expected(
        [3], aside=[1, 2], values={"connection_c": [40.0], "rise_similar_k": [5.0]}
    ),
    "M81_readings_that_rise_by_one.csv": Expected([], {2: "no header above “94”", 3: "no header above “95”"}, [1]),
    "M82_people_still_to_come.csv": Expected(
        [6], dict.fromkeys((2, 3, 4, 5), "says nothing: write who, or why"), [1], table="notices"
    ),
    "M83_a_sentence_in_the_first_column.csv": Expected([2], {4: "below line 3"}, [1, 3]),
    "M84_a_comment_of_a_record.csv": Expected([2, 3], aside=[1], table="connections"),
    "M85_a_day_in_a_sentence.csv": Expected([2], {4: "below line 3"}, [1, 3]),
    "M87_a_sentence_over_four_cells.csv": Expected([2], {3: "no connection_id", 4: "below line 3"}, [1]),
    "M86_rises_in_a_sentence.csv": Expected([2, 4], aside=[1, 3]),
    "M10_words_for_nothing.csv": Expected(
        [2], {3: "no temperature of the connection and no rise"}, [1], values={"load_pct": [None]}
    ),
    "M11_over_range.csv": Expected([3], {2: "off the instrument's scale"}, [1]),
    "M12_bounds.csv": Expected([], {2: "is a bound", 3: "is a bound", 4: "is a bound"}, [1]),
    "M14_day_order_settled.csv": Expected(
        [2, 3, 4, 5],
        aside=[1],
        says=["day first"],
        values={
            "survey_date": ["2026-02-01", "2026-02-13", "2026-03-04", "2026-03-05"],
            "survey_time": [None, None, None, 14 * 60 + 30],
        },
    ),
    "M15_day_numbers.csv": Expected(
        [2, 3],
        aside=[1],
        says=["day numbers"],
        values={"survey_date": ["2026-05-04", "2026-05-04"], "survey_time": [None, 720]},
    ),
    "M16_spaces_and_case_in_ids.csv": Expected(
        [2, 3, 4], aside=[1], says=["'mcc 1-a' and 'MCC 1-A' taken for one"], values={"connection_id": ["MCC 1-A"] * 3}
    ),
    "M17_duplicate_readings.csv": Expected([2, 3, 4], aside=[1]),
    "M18_phases.csv": Expected(
        [2, 3, 4, 5, 6, 7, 8],
        aside=[1],
        says=["phase “Q” is not one of A, B, C"],
        values={"phase": ["A", "L2", "R", "3", "N", "PE", None], "extra: phase": [None] * 6 + ["Q"]},
    ),
    "M19_load_as_fraction.csv": Expected(
        [2, 3], aside=[1], says=["fractions of full load: no value is above 1.5"], values={"load_pct": [85, 120]}
    ),
    "M20_load_as_percent.csv": Expected([2, 3], aside=[1], values={"load_pct": [85, 0]}),
    "M24_units_in_headers.csv": Expected(
        [2], aside=[1], values={"connection_c": [40.5], "ambient_c": [30.0], "load_pct": [50], "distance_m": [3.048]}
    ),
    "M25_units_in_cells.csv": Expected(
        [2, 3],
        aside=[1],
        table="installs",
        values={
            "required_low_nm": [300 * 0.1129848290276167, 25 * 1.3558179483314004],
            "applied_nm": [33.9, 25 * 1.3558179483314004],
        },
    ),
    "M26_wide_sheet.csv": Expected(
        [2, 2, 2, 3],
        {3: "phase L2: connection temp (°C) “OL”"},
        [1, 4, 4, 4],
        says=["wide sheet", "built as equipment/circuit/phase"],
        values={
            "connection_id": ["P1/F1/L1", "P1/F1/L2", "P1/F1/L3", "P1/F2/L1"],
            "connection_c": [62, 35, 34, 40],
            "load_pct": [30, 30, 30, 50],
            "comment": ["third from left"] * 3 + [None],
        },
    ),
    "M27_ids_built.csv": Expected(
        [2, 3], aside=[1], says=["built as equipment/circuit/phase"], values={"connection_id": ["P1/F1/A", "P1/F1/B"]}
    ),
    "M28_unknown_columns.csv": Expected(
        [2],
        aside=[1],
        says=["'Humidity' is kept with the row, not used"],
        values={"extra: Humidity": ["45 %"], "extra: Photo ref": ["IMG-7"]},
    ),
    "M29_tabs.tsv": Expected([2], aside=[1], values={"connection_id": ["A, the first"]}),
    "M30_quoted_line_breaks.csv": Expected(
        [2], {4: "must be at most 1500 °C"}, [1], values={"comment": ["first line\nsecond line, with a comma"]}
    ),
    "M31_ragged_rows.csv": Expected([2], {3: "more cells than the header"}, [1], values={"load_pct": [None]}),
    "M32_torque_ranges.csv": Expected(
        [2, 3],
        {4: "ends below where it begins"},
        [1],
        table="installs",
        values={"required_low_nm": [30, 30], "required_high_nm": [40, 40]},
    ),
    "M33_headers_of_their_own.csv": Expected(
        [2],
        aside=[1],
        values={"connection_id": ["A"], "connection_c": [40.5], "ambient_c": [30], "load_pct": [50]},
        read_options={
            "temperature_unit": "C",
            "mapping": {
                "Asset": "connection_id",
                "Spot 1": "connection_c",
                "spot 2": "ambient_c",
                "When": "survey_date",
                "Percent": "load_pct",
            },
        },
    ),
    "M34_impossible_values.csv": Expected(
        [],
        {
            2: "at most 1500 °C",
            3: "at least -60 °C",
            4: "at most 300 %",
            5: "emissivity “1.2” must be at most 1",
            6: "at most 60 m/s",
            7: "is in the future",
        },
        [1],
    ),
}
ASKS: dict[str, tuple[str, dict[str, Any], dict[str, list[Any]]]] = {
    "M13_day_order_open.csv": (
        "--day-first or --month-first", {"day_first": True}, {"survey_date": ["2026-02-01", "2026-02-03"]}),
    "M50_day_order_of_another_header.csv": (
        "--day-first or --month-first", {"day_first": True}, {"survey_date": ["2026-03-04"]}),
    "M74_phases_without_a_unit.csv": (
        "--temperature-unit C, F or K", {"temperature_unit": "°C"}, {"connection_c": [95, 31, 32]}),
    "M21_load_mixed.csv": ("--load percent or --load fraction", {"load": "percent"}, {"load_pct": [0.85, 85]}),
    "M22_load_between.csv": ("--load percent or --load fraction", {"load": "fraction"}, {"load_pct": [170, 240]}),
    "M23_bare_delta_t.csv": (
        "--delta-basis similar or --delta-basis ambient", {"delta_basis": "similar"}, {"rise_similar_k": [12]}),
}  # fmt: skip


def read(name: str, table: str, read_options: dict[str, Any]) -> Tables:
    return read_files([Source(MESSY / name, ReadOptions(table=table, **read_options))], on=ON)


def values(column: pd.Series) -> list[Any]:
    if column.dtype.kind == "M":
        return column.dt.strftime("%Y-%m-%d").tolist()
    return [None if pd.isna(value) else value for value in column]


@pytest.mark.parametrize("name", WAYS)
def test_way(name: str) -> None:
    expected = WAYS[name]
    intake = read(name, expected.table, expected.read_options)
    frame, refused = intake[expected.table], intake.refused
    rejected = refused[refused["kind"] == "rejected"]
    assert frame["source_line"].tolist() == expected.accepted
    assert rejected["line"].tolist() == list(expected.rejected)
    for reason, words in zip(rejected["reason"], expected.rejected.values(), strict=True):
        assert words in reason
    assert refused.loc[refused["kind"] == "set aside", "line"].tolist() == expected.aside
    said = " ".join(str(note) for note in intake.notes)
    for words in expected.says:
        assert words in said
    for column, wanted in expected.values.items():
        found = values(frame[column])
        if isinstance(next((w for w in wanted if w is not None), None), int | float):
            assert found == [None if w is None else pytest.approx(w, rel=1e-9) for w in wanted]
        else:
            assert found == wanted


@pytest.mark.parametrize("name", ASKS)
def test_way_that_asks(name: str) -> None:
    """Each message says what to type; typing it settles the file."""
    words, read_options, wanted = ASKS[name]
    with pytest.raises(Ambiguous) as caught:
        read(name, "survey", {})
    assert words in str(caught.value)
    intake = read(name, "survey", read_options)
    for column, expected in wanted.items():
        found = values(intake["survey"][column])
        assert found == expected or found == pytest.approx(expected)


def test_every_messy_file_is_a_way() -> None:
    assert {path.name for path in MESSY.iterdir()} == set(WAYS) | set(ASKS) | {WIDE}


WIDE = "M68_wide_sheet_over_other_units.csv"


def test_a_line_of_other_units_in_a_wide_sheet() -> None:
    tables = read(WIDE, "survey", {})
    rejected = tables.refused[tables.refused["kind"] == "rejected"]
    assert tables["survey"]["source_line"].tolist() == [2, 2, 2]
    assert rejected["line"].tolist() == [4, 4, 4]
    assert rejected["reason"].str.contains("below line 3").all()


def test_a_comment_over_several_lines_is_a_comment(tmp_path: Path) -> None:
    path = tmp_path / "survey.csv"
    comment = '"Lug loose.\nPhotos 12, 13, 14.\nFound on 20 May, 14:30."'
    path.write_text(f"Connection,Date,Temp (°C),Air (°C),Load %,Comment\nA,2026-05-12,40,30,60,{comment}\n", "utf-8")
    assert read_files([Source(path)], on=ON)["survey"]["source_line"].tolist() == [2]


def test_a_quotation_mark_that_stands_alone_swallows_no_row(tmp_path: Path) -> None:
    path = tmp_path / "survey.csv"
    rows = 'A,2026-05-12,40,loose\nB,2026-05-12,35,"\nC,2026-05-12,95,"\nD,2026-05-12,41,ok\n'
    path.write_text("Connection,Date,Temp (°C),Comment\n" + rows, "utf-8")
    with pytest.raises(UnusableInput, match="looks like a row of its own"):
        read_files([Source(path)], on=ON)


@pytest.mark.parametrize(
    ("title", "rows"),
    [
        ("Infrared survey,Works,12 May 2026,P. Lowe,camera 7,air 20 °C,dry,sheet 3\nConnection,Date,Temp (°C),Load %",
         'A,2026-05-12,36,80\n",2026-05-12,95,80\n",2026-05-12,35,80\n'),
        ("Connection,Date,Temp (°C)", 'A,2026-05-12,60\n",2026-05-12,95\n",2026-05-12,35\n'),
        ("Connection,Date,Temp (°C),Comment", 'A,2026-05-12,60,"\nB,2026-05-12,95,"\nC,2026-05-12,35,\n'),
        ("Infrared survey,Works,12 May 2026,P. Lowe,camera 7,air 20 °C\nConnection,Date,Temp (°C),Load %,Comment",
         'A,2026-05-12,36,80,"loose?\nB,2026-05-12,95,80,burnt"\nC,2026-05-12,35,80,\n'),
    ],
)  # fmt: skip
def test_a_quotation_mark_swallows_no_row_below_a_wide_title_or_of_few_cells(
    title: str, rows: str, tmp_path: Path
) -> None:
    path = tmp_path / "survey.csv"
    path.write_text(f"{title}\n{rows}", "utf-8")
    with pytest.raises(UnusableInput, match="looks like a row of its own"):
        read_files([Source(path)], on=ON)


@pytest.mark.parametrize(("said", "accepted"), [("°C", [2, 4]), ("°F", [2])])
def test_a_sentence_is_held_against_the_unit_that_is_stated(said: str, accepted: list[int], tmp_path: Path) -> None:
    path = tmp_path / "survey.csv"
    rows = f"A,F1,A,2026-05-12,35,20,80\nMCC-2 (temperatures in {said}),,,,,,\nB,F2,A,2026-05-12,52,30,80\n"
    path.write_text(f"Board,circuit,phase,survey_date,Temp,Ambient,load_pct\n{rows}", "utf-8")
    read_options = ReadOptions(temperature_unit="C")
    assert read_files([Source(path, read_options)], on=ON)["survey"]["source_line"].tolist() == accepted


@pytest.mark.parametrize(
    ("who", "is_named"),
    [
        ("pending approval by P. Lowe", False),
        ("awaiting P. Lowe", False),
        ("TBC P. Lowe", False),
        ("(not yet approved)", False),
        ("yet to be agreed", False),
        ("will be told tomorrow", False),
        ("Will Fenwick", True),
        ("Still, J.", True),
    ],
)
def test_who_retired_it_is_somebody(who: str, is_named: bool, tmp_path: Path) -> None:
    path = tmp_path / "connections.csv"
    path.write_text(f'connection_id,retired_on,retired_by\nA,2026-05-12,"{who}"\n', "utf-8")
    assert read_files([Source(path)], on=ON)["connections"]["retired_by"].notna().tolist() == [is_named]


def test_prose_over_two_lines_is_a_comment(tmp_path: Path) -> None:
    path = tmp_path / "findings.csv"
    comments = '"Retorqued, checked, ok\nNext check May 12, 2027, tell Bob, 25, 25, 25 Nm"', '"\nloose, tightened\n"'
    rows = "".join(f"{name},2026-05-12,loose,tightened,{text}\n" for name, text in zip("AB", comments, strict=True))
    path.write_text(f"Connection,Work date,As found,Action,Comment\n{rows}", "utf-8")
    assert read_files([Source(path)], on=ON)["findings"]["source_line"].tolist() == [2, 4]


def test_built_ids_that_are_not_distinct_are_asked_about(tmp_path: Path) -> None:
    path = tmp_path / "survey.csv"
    path.write_text("Panel,Circuit,Date,Temp (°C)\nP1,F1,2026-05-04,40\nP1,F1,2026-05-04,50\n", "utf-8")
    with pytest.raises(UnusableInput, match="would all be 'P1/F1'"):
        read_files([Source(path)], on=ON)


def test_wide_sheet_with_ids_of_devices(tmp_path: Path) -> None:
    path = tmp_path / "survey.csv"
    path.write_text("Tag,Date,A °C,B °C\nCB-7,2026-05-04,40,50\n", "utf-8")
    intake = read_files([Source(path)], on=ON)
    assert intake["survey"]["connection_id"].tolist() == ["CB-7/A", "CB-7/B"]
    assert "built as Tag/phase" in " ".join(map(str, intake.notes))


def test_wide_sheet_by_mapping(tmp_path: Path) -> None:
    path = tmp_path / "survey.csv"
    path.write_text("Tag,Date,Spot 1 (°C),Spot 2 (°C)\nCB-7,2026-05-04,40,50\n", "utf-8")
    read_options = ReadOptions(mapping={"Spot 1 (°C)": "connection_c:L1", "Spot 2 (°C)": "connection_c:L2"})
    assert read_files([Source(path, read_options)], on=ON)["survey"]["phase"].tolist() == ["L1", "L2"]


def test_wide_sheet_of_two_units_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "survey.csv"
    path.write_text("Tag,Date,A °C,B °F\nCB-7,2026-05-04,40,50\n", "utf-8")
    with pytest.raises(UnusableInput, match="state different units"):
        read_files([Source(path)], on=ON)


def test_a_fraction_in_a_column_of_percents_is_said() -> None:
    """The answer settles the file; what may be a slip in it is said still."""
    said = [note.text for note in read("M21_load_mixed.csv", "survey", {"load": "percent"}).notes]
    assert "1 up to 1.5 read as percent, such as 0.85 %: if it is a fraction, mend the cell" in said
    said = [note.text for note in read("M20_load_as_percent.csv", "survey", {"load": "percent"}).notes]
    assert not any("up to 1.5" in text for text in said)
