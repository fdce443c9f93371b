"""The public API: a ranking in one line, wrong input in one sentence, every name with an example."""

from __future__ import annotations

import datetime as dt
import doctest
import subprocess
import sys
from pathlib import Path

import pandas as pd
import pytest

import riskscope
from riskscope.errors import RiskscopeError, UnusableInput, WrongUsage
from tests import of_demo

DEMO = Path(__file__).parent.parent / "demo_data"
ON = "2026-06-01"


@pytest.fixture(scope="module")
def demo() -> riskscope.Assessment:
    return of_demo.ranked()


def test_a_ranking_in_one_line(demo: riskscope.Assessment) -> None:
    assert demo.ranking["connection_id"].iloc[0] == "MCC-1/F1/A"
    assert set(demo.retighten_first["section"]) == {"a", "b"}
    assert demo.explain("msb/f1/a").startswith("MSB/F1/A\n")


def test_the_chain_of_a_joint_at_low_load_says_no_more_than_was_rated(demo: riskscope.Assessment) -> None:
    """32 K over the air and 28 K over its reference at 30 % load: 220 K and more by the least exponent."""
    said = " ".join(demo.explain("MCC-1/F1/A").split())
    for words in (
        "Rise over the air 32.0 K as found; at full load rise ÷ load^n = over 100 K by every exponent.",
        "Rise over its reference 28.0 K as found; at full load rise ÷ load^n = over 100 K by every exponent.",
        "Rated rise over 100 K, so at both ends",
        "taken to full load by the factor of 40%, at its low end.",
        "over 140 °C; margin below −100 K.",
    ):
        assert words in said
    other = " ".join(demo.explain("MCC-1/F1/C").split())
    assert "= 27.5 K (n = 1.6), 34.9 K (n = 1.8), 44.4 K (n = 2)." in other


def test_what_it_writes_is_what_the_command_writes(demo: riskscope.Assessment, tmp_path: Path) -> None:
    from riskscope.cli.main import run

    assert run(["rank", str(DEMO), "--on", ON, "--out", str(tmp_path / "command")]) == 0
    written = demo.to_files(tmp_path / "api")
    assert len(written) == 9
    for path in written:
        assert path.read_bytes() == (tmp_path / "command" / path.name).read_bytes(), path.name


def test_a_report_of_a_notebook(demo: riskscope.Assessment, tmp_path: Path) -> None:
    [page] = demo.report("work", tmp_path, formats=("html",))
    assert "MSB/F1/A" in page.read_text("utf-8")


@pytest.mark.parametrize("name", ["trend", "work_done", "due", "gaps", "recalled", "coverage"])
def test_every_result_table_is_there(demo: riskscope.Assessment, name: str) -> None:
    assert len(demo.table(name))


def test_a_survey_as_a_file_a_folder_or_frames_is_one(tmp_path: Path) -> None:
    survey = pd.DataFrame({"connection_id": ["A"], "survey_date": ["2026-05-04"], "connection_c": [91.0]})
    survey.to_csv(tmp_path / "survey.csv", index=False)
    given = (tmp_path, str(tmp_path / "survey.csv"), survey, {"survey": survey})
    assert [riskscope.rank(source, on=ON).ranking["severity"].tolist() for source in given] == [[4]] * 4


def test_a_setting_is_given_by_its_name() -> None:
    survey = pd.DataFrame({"connection_id": ["A"], "survey_date": ["2026-05-04"], "connection_c": [85.0]})
    assert riskscope.rank(survey, on=ON).connections["limit_c"].tolist() == [90.0]
    made = riskscope.rank(survey, on=ON, limit_default_c=80.0)
    assert made.connections["limit_c"].tolist() == [80.0]
    assert made.origin["limit_default_c"] == "option"


def test_today_is_the_day_where_none_is_given() -> None:
    survey = pd.DataFrame({"connection_id": ["A"], "survey_date": ["2020-05-04"], "connection_c": [91.0]})
    assert riskscope.rank(survey).on == dt.datetime.now(dt.UTC).astimezone().date()


@pytest.mark.parametrize(
    ("source", "more", "kind", "words"),
    [
        (3, {}, WrongUsage, "give a folder, a file, a DataFrame"),
        ({"survey": [1, 2]}, {}, WrongUsage, "table 'survey' must be a DataFrame; got list"),
        ({"servey": pd.DataFrame()}, {}, WrongUsage, "no table 'servey'.*Did you mean survey"),
        (pd.DataFrame({"a": [1]}), {}, UnusableInput, "connection_id"),
        ("nowhere", {}, UnusableInput, "nowhere"),
        (DEMO, {"on": pd.NaT}, WrongUsage, "on must be a date"),
        ({1: pd.DataFrame()}, {}, WrongUsage, "the name of a table must be text; got 1"),
        (DEMO, {"criteria": 5}, WrongUsage, "criteria must be the name"),
        (DEMO, {"read_options": {"decimal": "comma"}}, WrongUsage, "read_options must be riskscope.ReadOptions"),
        (pd.DataFrame([[1, 2]], columns=["connection_c", "connection_c"]), {}, RiskscopeError, "connection_c"),
        (DEMO, {"on": "June"}, WrongUsage, "on must be a date such as 2026-06-01; got 'June'"),
        (DEMO, {"on": ON, "limit_defalt_c": 80}, WrongUsage, "no setting limit_defalt_c.*Did you mean limit_default_c"),
        (DEMO, {"on": ON, "criteria": "netta"}, RiskscopeError, "netta"),
    ],
    ids=[
        "a number",
        "a list",
        "an unknown table",
        "no survey",
        "no file",
        "NaT",
        "a number for a table",
        "a number for criteria",
        "options as a dict",
        "a doubled column",
        "no date",
        "a setting",
        "a severity table",
    ],
)
def test_wrong_input_is_a_sentence(source: object, more: dict[str, object], kind: type, words: str) -> None:
    with pytest.raises(kind, match=words):
        riskscope.rank(source, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda a: a.table("rankings"), "no result table 'rankings'.*Did you mean ranking"),
        (lambda a: a.report("survay", "x"), "no report 'survay'.*Did you mean survey"),
        (lambda a: a.report("survey", "x", formats=("doc",)), "no format 'doc'"),
        (lambda a: a.explain("MSB/F1/Q"), "no connection 'MSB/F1/Q'"),
        (lambda a: a.table(None), "no result table None"),
        (lambda a: a.explain(5), "no connection '5'"),
        (lambda a: a.to_files(None), "folder must be a path; got None"),
        (lambda a: a.explain("MSB/F1/A", units="F"), "units must be riskscope.Units"),
        (lambda a: a.of("North"), "of takes a list of sites"),
        (lambda a: a.of([]), "of takes a list of sites"),
        (lambda a: a.of([None]), "no site None"),
        (lambda a: riskscope.assess(a.tables, settings={"coverage": 2}), "settings must be riskscope.Settings"),
        (lambda a: riskscope.assess({"survey": pd.DataFrame()}), "assess takes tables that riskscope.read"),
    ],
    ids=[
        "a table",
        "a report",
        "a format",
        "a connection",
        "no table",
        "a number",
        "no folder",
        "a unit",
        "one site",
        "no site",
        "None",
        "settings",
        "raw frames",
    ],
)
def test_wrong_questions_are_sentences(demo: riskscope.Assessment, ask: object, words: str) -> None:
    with pytest.raises(RiskscopeError, match=words):
        ask(demo)  # type: ignore[operator]


def test_what_is_handed_out_changes_nothing_in_the_assessment(demo: riskscope.Assessment, tmp_path: Path) -> None:
    a = riskscope.rank(DEMO, on=ON)
    for frame in (a.connections, a.readings, a.ranking, a.retighten_first, a.table("due"), a.rejected):
        frame.iloc[:, 0] = frame.iloc[0, 0]
        frame["action"] = "none"
    with pytest.warns(pd.errors.ChainedAssignmentError):
        a.connections["severity"] = 0.0
    for one, other in zip(a.to_files(tmp_path / "a"), demo.to_files(tmp_path / "b"), strict=True):
        assert one.read_bytes() == other.read_bytes(), one.name
    pd.testing.assert_frame_equal(a.table("due"), demo.table("due"))
    assert a.explain("MSB/F1/A") == demo.explain("MSB/F1/A")


def test_it_says_what_was_refused(demo: riskscope.Assessment) -> None:
    words = "255 connections, 7 that must not wait; 7 rows rejected, 2 of them off the scale>"
    assert repr(demo) == f"<riskscope.Assessment as of 2026-06-01: {words}"
    assert demo.rejected["table"].value_counts()["survey"] == 3


def test_ids_that_pandas_made_floats_are_the_numbers_they_were() -> None:
    """An empty cell makes a column of whole numbers one of floats: 101 must still find its register."""
    survey = pd.DataFrame(
        {"connection_id": [101, 102, None], "survey_date": "2026-05-04", "connection_c": [61.0, 40.0, 40.0]}
    )
    register = pd.DataFrame({"connection_id": [101, 102], "limit_c": [60, 60]})
    a = riskscope.rank({"survey": survey, "connections": register}, on=ON)
    assert a.ranking.set_index("connection_id")["severity"].to_dict()["101"] == 4


def test_a_named_index_is_columns_too() -> None:
    survey = pd.DataFrame({"connection_id": ["A"], "survey_date": ["2026-05-04"], "connection_c": [91.0]})
    assert riskscope.rank(survey.set_index("connection_id"), on=ON).ranking["connection_id"].tolist() == ["A"]


def test_the_package_lists_itself() -> None:
    assert set(dir(riskscope)) == {*riskscope.__all__, "__version__"}
    assert all(hasattr(riskscope, name) for name in dir(riskscope))
    with pytest.raises(AttributeError, match="has no attribute 'ranking'"):
        riskscope.ranking  # noqa: B018


@pytest.mark.parametrize("name", riskscope.__all__)
def test_every_public_name_has_an_example(name: str) -> None:
    found = doctest.DocTestFinder(recurse=False).find(getattr(riskscope, name))
    assert any(example.examples for example in found)


def test_a_type_checker_sees_the_types(tmp_path: Path) -> None:
    assert (Path(riskscope.__file__).parent / "py.typed").exists()
    (tmp_path / "use.py").write_text("import riskscope\nreveal_type(riskscope.rank('x'))\n", "utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "mypy", str(tmp_path / "use.py")], capture_output=True, text=True, check=False
    )
    assert "riskscope.api.Assessment" in done.stdout
