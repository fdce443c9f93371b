"""What counts the same says the same: figures of the summary and the first page, against the lists behind them."""

from __future__ import annotations

import pandas as pd
import pytest

import riskscope
from riskscope.analysis.assessment import Assessment
from riskscope.report.documents import overview, parts
from riskscope.results import years
from riskscope.results.tables import results
from riskscope.schema.codes import ACTIONS, STATES, URGENCIES, WORK_STATES
from riskscope.words.render import Units
from tests.screens.serving import TOP

DAYS = ["2026-06-01", "2026-08-01", "2027-09-01"]


@pytest.fixture(scope="module", params=DAYS)
def demo(request: pytest.FixtureRequest) -> Assessment:
    return riskscope.rank(TOP / "demo_data", on=request.param)


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
            2: "A (2), B (1), and 1 more boards (1), board not recorded (1)",
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


def test_the_sentences_of_the_first_page_say_these_figures(demo: Assessment) -> None:
    made = results(demo, Units())
    summary = made.summary
    said = overview.sentences(summary, made["ranking"], years.due(demo), years.effects(demo))
    bad = sum(summary["records"].values()) - summary["records"]["verified"]
    assert said[0].startswith(f"{len(summary['now']):,} connection")
    assert said[1].startswith(
        f"{summary['bands']['3'] + summary['bands']['4']:,} of {len(made['ranking']):,} connections"
    )
    assert said[2].startswith(f"{bad:,} of {len(demo.connections):,} connections")
    due = years.due(demo)
    assert f"{int(due['due'].str.contains('open finding').sum()):,} findings" in said[3]
    assert f"{summary['not_surveyed']:,} connections never read" in said[4]
    assert f"{summary['bands']['not rated']:,} read but not rated" in said[4]
