"""What counts the same says the same: figures of the summary and the first page, against the lists behind them."""

from __future__ import annotations

import datetime as dt
import re
import shutil
from types import ModuleType

import pandas as pd
import pytest

import riskscope
from riskscope.analysis.assessment import Assessment
from riskscope.report.documents import overview, parts, survey, work
from riskscope.report.layout import Layout
from riskscope.results import years
from riskscope.results.tables import results
from riskscope.schema.codes import ACTIONS, STATES, URGENCIES, WORK_STATES
from riskscope.words.render import Units
from tests import of_demo
from tests.claims import lines, unchecked
from tests.examples import part
from tests.screens.serving import TOP

DAYS = ["2026-06-01", "2026-08-01", "2027-09-01"]
# Put off, run out, told, made safe; worked on right, less than asked, looked at, against each other; out of use.
ENTERED = {
    "deferrals.csv": "connection_id,decided_on,deferred_by,until,reason\n"
    "MSB/F1/A,2026-05-20,P. Lowe,2027-09-30,no part\nMCC-1/F1/A,2026-05-20,P. Lowe,2026-05-25,no crew\n",
    "notices.csv": "connection_id,told_on,told,by,made_safe,limited_to_a\n"
    "GEN-1/F1/A,2026-05-20,R. Fenwick,P. Lowe,,\nMCC-2/F1/A,2026-05-20,R. Fenwick,P. Lowe,load limited,60\n"
    "MCC-1/F1/A,2026-05-20,R. Fenwick,P. Lowe,load limited,\n",
    "more findings.csv": "connection_id,work_date,as_found,action\nMCC-2/F1/B,2026-05-20,tight,none\n"
    "MCC-2/F1/C,2026-05-20,tight,none\nMCC-2/F1/C,2026-05-20,loose,tightened\n",
}


@pytest.fixture(scope="module", params=[*part(DAYS, 1), "entered"])
def demo(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Assessment:
    if request.param != "entered":
        return of_demo.ranked(dt.date.fromisoformat(request.param))
    folder = tmp_path_factory.mktemp("entered") / "site"
    shutil.copytree(TOP / "demo_data", folder)
    for name, text in ENTERED.items():
        (folder / name).write_text(text, "utf-8")
    return riskscope.rank(folder, on="2026-06-01")


def lists(demo: Assessment) -> dict[str, pd.DataFrame]:
    return dict(results(demo, Units()).tables)


def test_the_severities_are_those_of_the_ranking(demo: Assessment) -> None:
    bands = results(demo, Units()).summary["bands"]
    severity = lists(demo)["ranking"]["severity"]
    assert bands == {**{str(n): int((severity == n).sum()) for n in range(5)}, "not rated": int(severity.isna().sum())}
    assert sum(bands.values()) == len(severity)


def test_what_must_not_wait_is_one_list(demo: Assessment) -> None:
    now = results(demo, Units()).summary["now"]
    assert now == parts.must_not_wait(demo, Units())["connection_id"].tolist()
    ranked = lists(demo)["ranking"]
    unread = lists(demo)["not_surveyed"]
    assert set(ranked.loc[ranked["urgency"] == "now", "connection_id"]) <= set(now)
    assert set(now) <= set(ranked["connection_id"]) | set(unread["connection_id"])
    due = years.due(demo)
    assert set(now) <= set(due.loc[due["due"].str.contains("open finding"), "connection_id"]), "none is hidden in due"


def test_limits_that_make_nothing_safe_are_counted_as_they_are_listed(demo: Assessment) -> None:
    told = " ".join(years.said_first(demo, Units()))
    counted = re.findall(r"(\d+) limits? makes? nothing safe", told)
    listed = int(years.due(demo)["due"].str.contains("NOT made safe by its limit").sum())
    assert [int(number) for number in counted] == [listed] * (listed > 0)


def test_the_boards_of_what_must_not_wait_add_up(demo: Assessment) -> None:
    now = parts.must_not_wait(demo, Units())
    told = parts.on_boards(now)
    counts = [int(part.rsplit("(", 1)[1].rstrip(")")) for part in told.split(", ") if "(" in part]
    assert sum(counts) == len(now)


@pytest.mark.parametrize("most", [1, 2, 6])
def test_a_list_of_boards_that_is_cut_says_how_many_more(most: int) -> None:
    rows = pd.DataFrame({"equipment": ["A", "A", "B", "C", None]})
    assert (
        parts.on_boards(rows, most)
        == {
            1: "A (2), and 2 more boards (2), board not recorded (1)",
            2: "A (2), B (1), and 1 more board (1), board not recorded (1)",
            6: "A (2), B (1), C (1), board not recorded (1)",
        }[most]
    )


def test_records_states_actions_and_urgencies_are_counted_over_all(demo: Assessment) -> None:
    summary, rows = results(demo, Units()).summary, demo.connections
    for name, column, codes in (
        ("records", "record_now", STATES),
        ("actions", "action", ACTIONS),
        ("urgency", "urgency", URGENCIES),
        ("work_states", "work_state", WORK_STATES),
    ):
        assert summary[name] == {code: int((rows[column] == code).sum()) for code in codes}
    assert sum(summary["records"].values()) == sum(summary["actions"].values()) == len(rows)
    assert sum(summary["work_states"].values()) == len(years.standing(demo, Units()))
    assert len(rows) - summary["records"]["verified"] == len(years.gaps(demo))
    coverage = lists(demo)["coverage"]
    assert [int(coverage[state.column].sum()) for state in STATES.values()] == list(summary["records"].values())
    assert int(coverage["connections"].sum()) == len(rows)


@pytest.mark.parametrize("report", [overview, survey, work], ids=["overview", "survey", "work"])
def test_every_number_of_every_report_is_that_of_its_list(demo: Assessment, report: ModuleType) -> None:
    blocks = report.build(parts.Subject(demo, Units(), Layout())).blocks
    assert [wrong for line in lines(blocks) for wrong in unchecked(line, demo)] == []


def test_a_wrong_number_would_be_told(demo: Assessment) -> None:
    assert unchecked("13,000 connections must be dealt with now", demo)
    assert unchecked("77 rated 3 or 4 at full load", demo)
