"""The commands as a user types them."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pandas as pd
import pytest

from riskscope.cli.main import COMMANDS, run
from riskscope.schema.results import TABLES

DEMO = Path(__file__).parent.parent.parent / "demo_data"
ON = ["--on", "2026-11-01"]


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    return tmp_path


def test_rank_writes_every_table_and_prints_urgent_first(home: Path, capsys: pytest.CaptureFixture) -> None:
    out = home / "results"
    assert run(["rank", str(DEMO), "--out", str(out), *ON]) == 0
    text = capsys.readouterr().out
    assert {path.name for path in out.iterdir()} == {f"{name}.csv" for name in TABLES} | {"summary.json"}
    assert text.index("NOW: 7 THAT MUST NOT WAIT") < text.index("READ") < text.index("WORST")
    assert "Not rated (that is not 0): " in text
    assert "verify the absence of voltage" in text


def test_a_joint_rated_by_its_temperature_alone_has_no_rise_and_no_range(
    home: Path, capsys: pytest.CaptureFixture
) -> None:
    (home / "survey.csv").write_text("connection_id,survey_date,connection_c,ambient_c\nA1,2026-05-04,95,\n")
    assert run(["rank", "--survey", str(home / "survey.csv"), "--out", str(home / "r"), *ON]) == 0
    line = next(line for line in capsys.readouterr().out.splitlines() if line.startswith("    1  A1"))
    assert line.split() == ["1", "A1", "–", "4", "–", "unrecorded", "remake"]


def test_rank_prints_clean_json(home: Path, capsys: pytest.CaptureFixture) -> None:
    assert run(["rank", str(DEMO), "--out", str(home / "r"), "--format", "json", *ON]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert printed == json.loads((home / "r" / "summary.json").read_text("utf-8"))
    assert printed["tables"]["survey"]["read"] == sum(
        printed["tables"]["survey"][key] for key in ("accepted", "rejected", "set_aside")
    )
    assert sum(printed["bands"].values()) == len(pd.read_csv(home / "r" / "ranking.csv"))


def test_same_inputs_same_bytes(home: Path) -> None:
    for name in ("one", "two"):
        assert run(["rank", str(DEMO), "--out", str(home / name), *ON]) == 0
    for path in (home / "one").iterdir():
        assert path.read_bytes() == (home / "two" / path.name).read_bytes(), path.name


@pytest.mark.long
def test_rank_of_named_files_equals_rank_of_the_folder(home: Path) -> None:
    files = [
        option
        for path in sorted(DEMO.glob("*.csv")) + sorted(DEMO.glob("*.xlsx"))
        if path.stem != "planted"
        for option in (f"--{path.stem.split('_')[0]}", str(path))
    ]
    assert run(["rank", str(DEMO), "--out", str(home / "a"), *ON]) == 0
    read_options = ["--temperature-unit", "F", "--map", "Spot=connection_c", "--map", "Air=ambient_c"]
    assert run(["rank", *files, *read_options, "--out", str(home / "b"), *ON]) == 0
    assert (home / "a" / "ranking.csv").read_bytes() == (home / "b" / "ranking.csv").read_bytes()


def test_strict_fails_on_a_rejected_row(home: Path) -> None:
    survey = home / "survey.csv"
    survey.write_text(
        "connection_id,survey_date,connection_c,ambient_c,load_pct\nA,2026-05-04,40,30,50\nB,2026-05-04,4000,30,50\n",
        "utf-8",
    )
    arguments = ["rank", "--survey", str(survey), "--out", str(home / "r"), *ON]
    assert run(arguments) == 0
    assert run([*arguments, "--strict"]) == 1


@pytest.mark.parametrize(
    ("arguments", "status", "words"),
    [
        (["rank", "nowhere", "--out", "r"], 1, "nowhere: is not a folder"),
        (["rank", "--out", "r"], 2, "nothing to read"),
        (["rank", str(DEMO)], 2, "Missing option '--out'"),
        (["rank", str(DEMO), "--out", "r", "--on", "soon"], 2, "--on takes a date"),
        (["rank", str(DEMO), "--out", "r", "--set", "low_loda=0.3"], 2, "Did you mean low_load?"),
        (["rank", str(DEMO), "--out", "r", "--set", "low_load=much"], 2, "must be a number"),
        (["rank", str(DEMO), "--out", "r", "--criteria", "neta"], 2, "there is no severity table"),
        (["rank", str(DEMO), "--out", "r", "--survey", "gone.csv"], 1, "gone.csv: cannot be read"),
        (["explain", "nobody", str(DEMO)], 1, "there is no connection 'nobody'"),
        (["paint"], 2, "No such command"),
    ],
    ids=lambda value: " ".join(value)[-30:] if isinstance(value, list) else "",
)
def test_wrong_use_is_a_sentence(
    home: Path,
    arguments: list[str],
    status: int,
    words: str,
    capsys: pytest.CaptureFixture,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(home)
    assert run(arguments) == status
    printed = capsys.readouterr()
    assert words in printed.err
    assert printed.out == ""
    assert "Traceback" not in printed.err


def test_our_own_fault_is_a_sentence_an_id_and_a_log(
    home: Path, capsys: pytest.CaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    from riskscope.jobs import request

    def fail(*_: object, **__: object) -> None:
        raise ZeroDivisionError("boom")

    monkeypatch.setattr(request, "assess", fail)
    assert run(["rank", str(DEMO), "--out", str(home / "r")]) == 3
    words = capsys.readouterr().err
    assert "our fault (ZeroDivisionError)" in words
    assert "boom" in (home / "state" / "riskscope" / "errors.log").read_text("utf-8")


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_help_and_a_real_example(command: str, capsys: pytest.CaptureFixture) -> None:
    assert run([command, "--help"]) == 0
    text = capsys.readouterr().out
    assert "Example:" in text
    assert f"riskscope {command}" in text


def test_readme_names_every_command() -> None:
    readme = (DEMO.parent / "README.md").read_text("utf-8")
    for command in COMMANDS:
        assert f"riskscope {command}" in readme


def test_explain_shows_the_whole_chain(home: Path, capsys: pytest.CaptureFixture) -> None:
    """MCC-4/F1/A: 58 against 43.8 °C at 90 %, 30 °C air. 14.2 / 0.81 = 17.5 K."""
    assert run(["explain", "mcc-4/f1/a", str(DEMO), *ON]) == 0
    text = " ".join(capsys.readouterr().out.split())
    for words in (
        "survey_2026.xlsx, sheet Readings, line",
        "connection 58.0 °C",
        "14.2 K as found",
        "17.5 K (n = 2)",
        "the reference",
        "ANSI/NETA table 100.18",
        "4-15 K = 2",
        "As found: 2",
        "by our square-law step: 3",
        "Limit 90.0 °C, from UL 489 (ul489)",
        "State: verified",
        "Required 31.0 N·m",
        "Tool T-0",
        "Remake (soon)",
        "never a chance of failure",
        "Lock out and tag",
    ):
        assert words in text, words


def test_explain_in_other_units(home: Path, capsys: pytest.CaptureFixture) -> None:
    """58 °C is 136.4 °F, 14.2 K is 25.6 °F, 31 N·m is 274 lbf·in."""
    arguments = ["explain", "MCC-4/F1/A", str(DEMO), *ON, "--show-temperature", "F", "--show-torque", "lbf·in"]
    assert run(arguments) == 0
    text = " ".join(capsys.readouterr().out.split())
    for words in ("connection 136.4 °F", "25.6 °F as found", "Required 274 lbf·in"):
        assert words in text, words


@pytest.mark.long
def test_explain_connections_all_over_the_demo(home: Path) -> None:
    """No chain fails, whatever a connection lacks."""
    explained(step=9)


def explained(step: int) -> None:
    import datetime as dt

    from riskscope.intake.options import ReadOptions
    from riskscope.jobs.rank import Request, rank
    from riskscope.results.describe import described
    from riskscope.results.story import story
    from riskscope.words.render import Units

    assessment = rank(Request(DEMO, {}, ReadOptions(), {}, None, dt.date(2026, 11, 1)))
    assert len(assessment.connections) == 255
    for number, connection in enumerate(assessment.connections["connection_id"][::step]):
        if number == 8:  # the first are described each alone
            described(assessment, Units())
        assert assessment.find(connection.lower()) == connection
        sections = story(assessment, connection, Units())
        assert [title for title, lines in sections if not lines] == []
        assert "nan" not in " ".join(line for _, lines in sections for line in lines).split()


def test_settings_say_where_each_value_comes_from(
    home: Path, capsys: pytest.CaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = home / "site"
    folder.mkdir()
    (folder / "riskscope.toml").write_text("[settings]\nlow_load = 0.3\nhot_ratio = 1.5\n", "utf-8")
    monkeypatch.setenv("RISKSCOPE_HOT_RATIO", "1.6")
    assert run(["settings", str(folder), "--format", "json", "--set", "cold_ratio=0.7"]) == 0
    values = {row["name"]: row for row in json.loads(capsys.readouterr().out)}
    assert (values["cold_ratio"]["value"], values["cold_ratio"]["origin"]) == (0.7, "option")
    assert (values["hot_ratio"]["value"], values["hot_ratio"]["origin"]) == (1.6, "environment")
    assert values["low_load"]["value"] == 0.3
    assert values["low_load"]["origin"].endswith("riskscope.toml")
    assert values["exponent"]["origin"] == "default"
    assert run(["settings"]) == 0
    assert "low_load" in capsys.readouterr().out


def test_demo_is_copied_and_ranks(home: Path, capsys: pytest.CaptureFixture) -> None:
    assert run(["demo", "--out", str(home / "demo")]) == 0
    assert run(["rank", str(home / "demo"), "--out", str(home / "r"), *ON]) == 0


def test_output_that_cannot_be_written_is_a_sentence(home: Path, capsys: pytest.CaptureFixture) -> None:
    (home / "r").write_text("a file stands here", "utf-8")
    assert run(["rank", str(DEMO), "--out", str(home / "r"), *ON]) == 1
    assert "cannot be written" in capsys.readouterr().err
    assert (home / "r").read_text("utf-8") == "a file stands here"


def test_module_runs() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "riskscope", "--version"], capture_output=True, text=True, cwd=DEMO.parent, check=False
    )
    assert done.returncode == 0
    assert "riskscope" in done.stdout
