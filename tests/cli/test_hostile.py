"""What a hostile user brought: nothing hot vanishes, nothing ends in our own fault."""

from __future__ import annotations

import json
from pathlib import Path

import pandas as pd
import pytest

from riskscope.cli.main import run

ON = ["--on", "2026-06-01"]
HEAD = "connection_id,survey_date,connection_c,ambient_c,load_pct\n"


@pytest.fixture
def site(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    folder = tmp_path / "site"
    folder.mkdir()
    return folder


def rank(site: Path, *more: str) -> tuple[int, pd.DataFrame]:
    status = run(["rank", str(site), "--out", str(site / "out"), *ON, *more])
    path = site / "out" / "ranking.csv"
    return status, pd.read_csv(path).set_index("connection_id") if path.exists() else pd.DataFrame()


def test_a_quote_left_open_is_an_error_not_a_lost_row(site: Path, capsys: pytest.CaptureFixture) -> None:
    (site / "survey.csv").write_text(
        HEAD.strip() + ',comment\nA1,2026-05-01,30,25,50,"C phase lug\nA2,2026-05-01,195,25,50,smoking\n', "utf-8"
    )
    status, _ = rank(site)
    assert status == 1
    assert "quotation mark that is not closed" in capsys.readouterr().err


def test_a_cooler_reading_without_work_is_no_cure(site: Path) -> None:
    (site / "survey_a.csv").write_text(HEAD + "A1,2025-05-01,195,25,50\n", "utf-8")
    (site / "survey_b.csv").write_text(HEAD + "A1,2026-05-20,30,25,50\n", "utf-8")
    _, ranking = rank(site)
    row = ranking.loc["A1"]
    assert "hotter before, no work since" in row["quality_flags"]
    assert (row["urgency"], row["resurvey"]) == ("soon", "yes")
    assert "no cure" in row["resurvey_reason"]


def test_a_remake_by_a_word_alone_leaves_it_no_less_urgent_than_no_work(site: Path) -> None:
    (site / "survey_a.csv").write_text(HEAD + "A1,2025-05-01,195,25,50\n", "utf-8")
    (site / "survey_b.csv").write_text(HEAD + "A1,2026-05-20,30,25,50\n", "utf-8")
    (site / "findings.csv").write_text(
        "connection_id,work_date,as_found,action\nA1,2025-06-01,damaged,remade\n", "utf-8"
    )
    _, ranking = rank(site)
    assert (ranking.loc["A1", "urgency"], ranking.loc["A1", "action"]) == ("soon", "check torque")


def test_a_hotter_reading_of_the_same_survey_is_said(site: Path) -> None:
    (site / "survey.csv").write_text(
        "connection_id,survey_date,survey_time,connection_c,ambient_c,load_pct\n"
        "A1,2026-05-01,09:00,85,25,50\nA1,2026-05-01,09:05,30,25,50\n",
        "utf-8",
    )
    _, ranking = rank(site)
    assert (ranking.loc["A1", "rise_ambient_k"], ranking.loc["A1", "urgency"]) == (60.0, "now"), "the worse counts"


def test_readings_off_the_scale_come_first_and_are_counted(site: Path, capsys: pytest.CaptureFixture) -> None:
    bad = "".join(f"B{n},2026-05-01,,25,50\n" for n in range(20))
    (site / "survey.csv").write_text(HEAD + "A0,2026-05-01,30,25,50\n" + bad + "A1,2026-05-01,OL,25,50\n", "utf-8")
    assert rank(site)[0] == 0
    text = " ".join(capsys.readouterr().out.split())
    assert "21 readings rejected, 1 of them perhaps the hottest (A1)" in text
    assert text.index("Cells: A1, 2026-05-01, OL") < text.index("Cells: B0")
    assert "no joint that could be rated calls for action today".upper() in text


def test_a_second_block_under_its_own_header_hides_nothing(site: Path) -> None:
    (site / "survey.csv").write_text(
        HEAD
        + "A1,2026-05-01,195,25,50\nA2,2026-05-01,30,25,50\n\n"
        + HEAD.strip()
        + ",phase,equipment\nA3,2026-05-01,30,25,50,A,B1\n",
        "utf-8",
    )
    _, ranking = rank(site)
    assert ranking.loc["A1", "urgency"] == "now"
    rejected = pd.read_csv(site / "out" / "rejected.csv").query("kind == 'rejected'")
    assert set(ranking.index) == {"A1", "A2"}
    assert rejected["line"].tolist() == [6]
    assert "more cells than the header" in rejected["reason"].iloc[0]


def test_one_tag_for_three_phases_is_three_connections(site: Path, capsys: pytest.CaptureFixture) -> None:
    (site / "survey.csv").write_text(
        "Asset,Tag,Phase,Date,Temp C,Ambient C,Load %\nP1,Q1,R,2026-05-01,50,25,60\nP1,Q1,Y,2026-05-01,40,25,60\n"
        "P1,Q1,B,2026-05-01,41,25,60\n",
        "utf-8",
    )
    _, ranking = rank(site, "--map", "Asset=equipment", "--map", "Tag=connection_id")
    assert set(ranking.index) == {"Q1/R", "Q1/Y", "Q1/B"}
    assert "stands for several connections" in " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize(
    ("row", "urgency", "words"),
    [("A1,2026-05-01,89,25,50,closed", "now", "read 89.0 °C, not rated (cover closed)"),
     ("A1,2026-05-01,85,25,0,open", "soon", "60.0 K over the air at no load")],
)  # fmt: skip
def test_what_is_hot_and_cannot_be_rated_says_how_hot(
    site: Path, row: str, urgency: str, words: str, capsys: pytest.CaptureFixture
) -> None:
    (site / "survey.csv").write_text(HEAD.strip() + ",cover\n" + row + "\n", "utf-8")
    _, ranking = rank(site)
    assert ranking.loc["A1", "urgency"] == urgency
    assert words in ranking.loc["A1", "reason"]
    assert "HOTTEST OF THOSE READ AND NOT RATED" in capsys.readouterr().out


def test_two_temperature_columns_are_asked_about(site: Path, capsys: pytest.CaptureFixture) -> None:
    (site / "survey.csv").write_text(
        "connection_id,survey_date,connection_c,Hot spot (°C),ambient_c,load_pct\nA1,2026-05-01,40,195,25,50\n", "utf-8"
    )
    assert rank(site)[0] == 1
    assert "both look like connection_c" in capsys.readouterr().err


def test_a_point_before_three_digits_between_semicolons_is_asked_about(
    site: Path, capsys: pytest.CaptureFixture
) -> None:
    (site / "survey.csv").write_text(
        "connection_id;survey_date;connection_c;similar_c;load_a;rated_a\nA1;2026-05-01;90;80;480;1.200\n", "utf-8"
    )
    assert rank(site)[0] == 1
    assert "--decimal point or --decimal comma" in capsys.readouterr().err
    _, ranking = rank(site, "--decimal", "comma")
    assert ranking.loc["A1", "load_fraction"] == 0.4


def test_a_load_no_circuit_carries_is_rejected(site: Path) -> None:
    (site / "survey.csv").write_text(
        "connection_id,survey_date,connection_c,load_a,rated_a\nA1,2026-05-01,90,480,1.2\nA2,2026-05-01,40,80,100\n",
        "utf-8",
    )
    rank(site)
    reason = pd.read_csv(site / "out" / "rejected.csv").query("kind == 'rejected'")["reason"].iloc[0]
    assert reason == "load_a is 40000 % of full load; it may be the hottest: read it again (A1, 2026-05-01)"


def test_files_that_are_not_read_are_said(site: Path, capsys: pytest.CaptureFixture) -> None:
    (site / "survey.csv").write_text(HEAD + "A1,2026-05-01,30,25,50\n", "utf-8")
    (site / "may.csv").write_text("Conn,When,temp C\nA2,2026-05-01,200\n", "utf-8")
    (site / "old.xls").write_bytes(b"\xd0\xcf\x11\xe0")
    assert rank(site)[0] == 0
    text = " ".join(capsys.readouterr().out.split())
    assert "2 files or sheets not read" in text
    assert "may.csv: NOT READ: 2 rows under 'Conn', 'When', 'temp C'" in text
    assert "old.xls: NOT READ" in text


def test_our_own_results_are_never_read_back(site: Path) -> None:
    (site / "survey.csv").write_text(HEAD + "A1,2026-05-01,30,25,50\n", "utf-8")
    assert run(["rank", str(site), "--out", str(site), *ON]) == 0
    first = (site / "ranking.csv").read_bytes()
    assert run(["rank", str(site), "--out", str(site), *ON]) == 0
    assert (site / "ranking.csv").read_bytes() == first


def test_the_same_connection_in_two_registers_is_rejected_once(site: Path) -> None:
    (site / "survey.csv").write_text(HEAD + "A1,2026-05-01,30,25,50\n", "utf-8")
    for name, board in (("a", "B1"), ("b", "B2")):
        (site / f"connections_{name}.csv").write_text(f"connection_id,site,equipment\nA1,S,{board}\n", "utf-8")
    status, ranking = rank(site)
    assert status == 0
    assert ranking.loc["A1", "equipment"] == "B1"
    rejected = pd.read_csv(site / "out" / "rejected.csv").query("kind == 'rejected'")
    assert rejected["reason"].tolist() == ["the same connection_id is already in connections_a.csv, line 2"]
    counts = json.loads((site / "out" / "summary.json").read_text("utf-8"))["tables"]["connections"]
    assert counts["read"] == counts["accepted"] + counts["rejected"] + counts["set_aside"]


@pytest.mark.parametrize(
    "arguments",
    [
        ["--set", "calibration_months=1000000000"],
        ["--on", "9999-12-31"],
        ["--set", "exponent=0"],
        ["--set", "exponent=1000"],
        ["--set", "coverage=1e200"],
        ["--set", "group_max=0"],
        ["--set", "max_rows=-1"],
        ["--set", "limit_default_c=1e299"],
        ["--set", "survey_gap_days=1" + "0" * 400],
        ["--out", ""],
    ],
)
def test_absurd_settings_are_refused_in_words(site: Path, arguments: list[str], capsys: pytest.CaptureFixture) -> None:
    (site / "survey.csv").write_text(HEAD + "A1,2026-05-01,95,25,50\n", "utf-8")
    assert run(["rank", str(site), "--out", str(site / "out"), *arguments]) == 2
    assert "Traceback" not in capsys.readouterr().err


@pytest.mark.parametrize(
    "toml",
    [
        '[files."survey.csv"]\nmapping = { temp = 5 }\n',
        '[files."survey.csv"]\nmapping = { connection_c = ["a"] }\n',
        '[files."survey.csv"]\ntable = 5\n',
        '[files."survey.csv"]\ntable = ["survey"]\n',
        "[settings]\nsurvey_gap_days = 1" + "0" * 400 + "\n",
        "[settings]\nsurvey_gap_days = 1" + "0" * 5000 + "\n",
    ],
)
def test_absurd_toml_is_refused_in_words(site: Path, toml: str, capsys: pytest.CaptureFixture) -> None:
    (site / "survey.csv").write_text(HEAD + "A1,2026-05-01,95,25,50\n", "utf-8")
    (site / "riskscope.toml").write_text(toml, "utf-8")
    assert rank(site)[0] in (1, 2)
    assert "our fault" not in capsys.readouterr().err


def test_a_file_name_that_is_not_text(site: Path) -> None:
    path = bytes(site) + b"/survey\xff.csv"
    with open(path, "wb") as file:
        file.write((HEAD + "A1,2026-05-01,95,25,50\n").encode())
    assert rank(site)[0] == 0


def test_control_characters_do_not_command_the_terminal(site: Path, capsys: pytest.CaptureFixture) -> None:
    rows = "".join(f"B{n},2026-05-01,30,25,50\n" for n in range(60))
    (site / "survey.csv").write_text(HEAD + "A\x1b[2J\u202eX,2026-05-01,95,25,50\n" + rows, "utf-8")
    assert rank(site)[0] == 0
    text = capsys.readouterr().out
    assert "A\ufffd[2J\ufffdX" in text
    assert "\x1b" not in text


def test_an_id_of_a_megabyte_is_rejected(site: Path, capsys: pytest.CaptureFixture) -> None:
    (site / "survey.csv").write_text(
        HEAD + "B1,2026-05-01,30,25,50\n" + "A" * 1_000_000 + ",2026-05-01,95,25,50\n", "utf-8"
    )
    assert rank(site)[0] == 0
    text = capsys.readouterr().out
    assert "holds more than 32,767 characters" in " ".join(text.split())
    assert len(text) < 10_000


def test_nothing_assessed_is_not_all_clear(site: Path, capsys: pytest.CaptureFixture) -> None:
    (site / "survey.csv").write_text(HEAD + "A1,2026-05-01,OL,25,50\n", "utf-8")
    assert rank(site)[0] == 1
    assert "NOTHING COULD BE ASSESSED" in capsys.readouterr().err
    assert (site / "out" / "rejected.csv").is_file()


def test_an_odd_word_for_a_phase_loses_no_reading(site: Path) -> None:
    (site / "survey.csv").write_text(
        HEAD.strip() + ",phase\nA1,2026-05-01,95,25,50,white\nA2,2026-05-01,40,25,50,Red\n", "utf-8"
    )
    _, ranking = rank(site)
    assert ranking.loc["A1", "urgency"] == "now"
    assert ranking.loc["A2", "phase"] == "R"


def test_an_encoding_that_was_guessed_is_said(site: Path, capsys: pytest.CaptureFixture) -> None:
    (site / "survey.csv").write_bytes(HEAD.encode() + "TÜ1,2026-05-01,40,25,50\n".encode("cp850"))
    assert rank(site)[0] == 0
    assert "read as Windows-1252: line 2 is not UTF-8" in " ".join(capsys.readouterr().out.split())


def test_settings_that_were_changed_are_shown(site: Path, capsys: pytest.CaptureFixture) -> None:
    (site / "survey.csv").write_text(HEAD + "A1,2026-05-01,40,25,50\n", "utf-8")
    rank(site, "--set", "limit_default_c=75")
    assert "Settings not at their default: limit_default_c (from option)" in " ".join(capsys.readouterr().out.split())


def test_one_id_on_two_boards_is_two_connections(site: Path, capsys: pytest.CaptureFixture) -> None:
    (site / "survey.csv").write_text(
        "board,connection,date,time,temp (°C),ambient (°C),load %\n"
        "M,F1/A,2026-05-12,08:00,190,30,80\nN,F1/A,2026-05-12,09:00,35,30,80\n",
        "utf-8",
    )
    _, ranking = rank(site)
    assert ranking.loc["M/F1/A", "urgency"] == "now"
    assert "N/F1/A" in ranking.index
    assert "stands for several connections" in " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("M/F2/A,2026-05-12,53,50,60,M,F2,B", "stands at phase A and B"),
        ("M/F2/A,2026-05-12,53,50,60,M,F2,L1", "stands at phase A and L1"),
        ("M/F2/A,2026-05-12,53,50,60,Board M,F2,A", "stands at board M and Board M"),
    ],
    ids=["another phase", "a phase lettered otherwise", "another board"],
)
def test_a_slip_in_one_line_renames_no_joint(site: Path, capsys: pytest.CaptureFixture, line: str, words: str) -> None:
    (site / "connections.csv").write_text(
        "connection_id,equipment,circuit,phase,limit_c\nM/F1/A,M,F1,A,60\nM/F1/B,M,F1,B,60\nM/F2/A,M,F2,A,60\n", "utf-8"
    )
    (site / "survey.csv").write_text(
        "connection_id,survey_date,connection_c,ambient_c,load_pct,equipment,circuit,phase\n"
        "M/F1/A,2026-05-12,65,50,60,M,F1,A\nM/F1/B,2026-05-12,64,50,60,M,F1,B\nM/F1/C,2026-05-12,64,50,60,M,F1,C\n"
        f"M/F2/A,2026-05-12,53,50,60,M,F2,A\n{line}\n",
        "utf-8",
    )
    _, ranking = rank(site)
    said = " ".join(capsys.readouterr().out.split())
    assert (ranking.loc["M/F1/A", "urgency"], ranking.loc["M/F1/B", "urgency"]) == ("now", "now")
    assert words in said
    assert "2 REJECTED" in said


def test_one_slip_among_three_phases_renames_none(site: Path) -> None:
    """B of F1 is written as A: of two ids one stands at two phases, which is not most."""
    (site / "survey.csv").write_text(
        "connection_id,survey_date,connection_c,ambient_c,load_pct,equipment,circuit,phase\n"
        "M/F1/A,2026-05-12,35,30,60,M,F1,A\nM/F1/A,2026-05-12,34,30,60,M,F1,B\nM/F1/C,2026-05-12,95,30,60,M,F1,C\n",
        "utf-8",
    )
    _, ranking = rank(site)
    assert list(ranking.index) == ["M/F1/C"]


def test_one_id_at_two_boards_of_two_sites_is_no_slip(site: Path) -> None:
    (site / "survey.csv").write_text(
        "connection_id,survey_date,connection_c,ambient_c,load_pct,site,equipment,circuit,phase\n"
        "F1/A,2026-05-12,95,30,60,North,M,F1,A\nF1/A,2026-05-12,34,30,60,South,N,F1,A\n"
        "F2/A,2026-05-12,34,30,60,North,M,F2,A\nF3/A,2026-05-12,34,30,60,South,N,F3,A\n",
        "utf-8",
    )
    _, ranking = rank(site)
    assert {"F1/A @ North", "F1/A @ South"} <= set(ranking.index)


def test_one_id_on_two_boards_of_two_files_is_warned_of(site: Path, capsys: pytest.CaptureFixture) -> None:
    for name, board in (("a", "M"), ("b", "N")):
        (site / f"survey_{name}.csv").write_text(
            HEAD.strip() + f",equipment\nF1/A,2026-05-12,50,30,80,{board}\n", "utf-8"
        )
    rank(site)
    assert "1 id stands on several boards" in " ".join(capsys.readouterr().out.split())


def test_a_hotter_similar_component_acquits_nothing(site: Path) -> None:
    (site / "survey.csv").write_text(HEAD.strip() + ",similar_c\nA1,2026-05-12,62,30,80,150\n", "utf-8")
    _, ranking = rank(site)
    row = ranking.loc["A1"]
    assert (row["severity"], "reference is hotter" in row["quality_flags"]) == (3, True)
    assert row["rise_low_k"] <= row["rise_high_k"]


def test_over_its_limit_without_load_says_how_hot(site: Path) -> None:
    (site / "survey.csv").write_text("connection_id,survey_date,connection_c,load_pct\nA1,2026-05-12,95,0\n", "utf-8")
    _, ranking = rank(site)
    assert (ranking.loc["A1", "urgency"], ranking.loc["A1", "action"]) == ("now", "check circuit")
    assert "95.0 °C" in ranking.loc["A1", "reason"]


def test_data_above_the_header_is_warned_of(site: Path, capsys: pytest.CaptureFixture) -> None:
    (site / "survey.csv").write_text(
        "A1,2026-05-12,62.0,30.0,80\nA2,2026-05-12,162,30,80\n" + HEAD + "A3,2026-05-12,62,30,80\n", "utf-8"
    )
    rank(site)
    assert "look like data: is there a header missing? (lines 1, 2)" in " ".join(capsys.readouterr().out.split())


def test_a_decimal_comma_between_commas_shifts_nothing(site: Path) -> None:
    (site / "survey.csv").write_text(HEAD + "A1,2026-05-12,162,5,30,80\nA2,2026-05-12,40,30,80\n", "utf-8")
    _, ranking = rank(site)
    assert list(ranking.index) == ["A2"]
    reason = pd.read_csv(site / "out" / "rejected.csv").query("kind == 'rejected'")["reason"].iloc[0]
    assert "more cells than the header" in reason


def test_a_wide_sheet_read_twice_keeps_both_readings(site: Path) -> None:
    (site / "survey.csv").write_text(
        "Panel,Circuit,Date,Air (°C),A (°C),B (°C)\nP,F1,2026-05-12,30,40,40\n"
        "Panel,Circuit,Date,Air (°C),A (°C),B (°C)\nP,F1,2026-05-12,30,41,41\n",
        "utf-8",
    )
    _, ranking = rank(site, "--map", "Air (°C)=ambient_c")
    assert set(ranking.index) == {"P/F1/A", "P/F1/B"}
    refused = pd.read_csv(site / "out" / "rejected.csv")
    assert refused["reason"].tolist() == ["header", "repeated header"]


def test_the_register_of_one_site_retires_no_joint_of_an_unknown_one(site: Path) -> None:
    head = "connection_id,survey_date,connection_c,ambient_c,load_pct,equipment,circuit,phase"
    rows = ("K,2026-05-04,82,30,80,A1,F1,A", "L,2026-05-04,41,30,80,A1,F1,B")
    (site / "survey_1.csv").write_text("\n".join((head, *rows)) + "\n", "utf-8")
    north = (f"{row.replace(',82,', ',41,')},North" for row in rows)
    (site / "survey_2.csv").write_text("\n".join((f"{head},site", *north)) + "\n", "utf-8")
    (site / "connections.csv").write_text(
        "connection_id,site,limit_c,retired_by,retired_on\nK,South,70,Lee,2026-05-20\n", "utf-8"
    )
    _, ranking = rank(site)
    row = ranking.loc["K @ ? (survey_1.csv)"]
    assert (row["urgency"], row["limit_c"]) == ("now", 70)


def test_a_board_that_is_spelled_twice_is_one_board(site: Path) -> None:
    head = "connection_id,survey_date,survey_time,connection_c,ambient_c,load_pct,equipment,circuit\n"
    rows = "".join(f"{n},2026-05-12,,35,30,80,MCC-1,F{n}\n" for n in range(3))
    (site / "survey.csv").write_text(
        f"{head}{rows}A,2026-05-12,09:00,95,30,80,MCC-1,F1\nA,2026-05-12,15:00,35,30,80,MCC1,F 1\n", "utf-8"
    )
    _, ranking = rank(site)
    assert ranking.loc["A", "urgency"] == "now"


@pytest.mark.parametrize("said", [("IR-26", "", ""), ("", "IR-26", "IR-26"), ("IR-26", "", "IR-26")])
def test_a_survey_that_some_rows_say_is_that_of_the_others(
    site: Path, said: tuple[str, ...], capsys: pytest.CaptureFixture
) -> None:
    rows = [f"{p},2026-05-12,{t},30,80,F1,{p},{i}" for p, t, i in zip("ABC", (62, 35, 34), said, strict=True)]
    head = "connection_id,survey_date,connection_c,ambient_c,load_pct,circuit,phase,survey_id\n"
    (site / "survey.csv").write_text(head + "\n".join(rows) + "\n", "utf-8")
    _, ranking = rank(site)
    assert (ranking.loc["A", "urgency"], ranking.loc["A", "severity"]) == ("now", 4)
    assert "survey_id in some rows only" in " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize(
    ("first", "others", "register"),
    [
        ("F 1", "F1", ""),
        ("", "", "A,P,F1,A,odd,\nB,P,F1,B,100,\nC,P,F1,C,100,\n"),
        ("F1", "F1", "B,P,F1,B,100,Q1\nC,P,F1,C,100,Q1\n"),
    ],
    ids=["spelled otherwise", "a rejected row of the register", "a device of the others"],
)
def test_siblings_in_another_file_are_siblings(site: Path, first: str, others: str, register: str) -> None:
    head = "connection_id,survey_date,connection_c,ambient_c,load_pct,equipment,circuit,phase\n"
    place = "P,{},{}" if first else ",{},{}"
    rows = {
        "one.csv": f"A,2026-05-12,62,30,80,{place.format(first, 'A' if first else '')}\n",
        "two.csv": "".join(
            f"{p},2026-05-12,{t},30,80,{place.format(others, p if first else '')}\n" for p, t in (("B", 35), ("C", 34))
        ),
    }
    for name, text in rows.items():
        (site / name).write_text(head + text, "utf-8")
    if register:
        (site / "connections.csv").write_text(
            f"connection_id,equipment,circuit,phase,rated_a,device\n{register}", "utf-8"
        )
    _, ranking = rank(site)
    assert (ranking.loc["A", "urgency"], ranking.loc["A", "severity"]) == ("now", 4)
