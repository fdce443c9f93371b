"""The plan of the demo site and of small sites: what is planned, what is not and why."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

import riskscope
from riskscope.analysis.assess import assess as assess_tables
from riskscope.errors import UnusableInput
from riskscope.intake.read import read_frames
from riskscope.planning import plan
from riskscope.planning.settings import Planning
from tests.build import ON, survey

DEMO = Path(__file__).parent.parent.parent / "demo_data"


def outage(*equipment: str, **more: Any) -> pd.DataFrame:
    base = {"outage_id": "O1", "start": "2026-09-01", "hours": 4, "crews": 1, **more}
    return pd.DataFrame([{**base, "equipment": name} for name in equipment])


def site(boards: int = 2, hot: float = 62.0, **columns: Any) -> pd.DataFrame:
    rows = []
    for board in range(1, boards + 1):
        for phase, temperature in (("A", hot), ("B", 41.0), ("C", 42.0)):
            rows.append(
                {
                    "connection_id": f"P{board}/{phase}",
                    "equipment": f"P{board}",
                    "phase": phase,
                    "connection_c": temperature,
                    "ambient_c": 30.0,
                    "load_pct": 80,
                    **columns,
                }
            )
    return survey(*rows)


def made(
    readings: pd.DataFrame,
    outages: pd.DataFrame,
    settings: Planning | None = None,
    *,
    must: tuple[str, ...] = (),
    must_not: tuple[str, ...] = (),
    records_alone: bool = False,
    **tables: pd.DataFrame,
) -> plan.Plan:
    read = read_frames(on=ON, survey=readings, outages=outages, **tables)
    assessment = assess_tables(read, on=ON)
    return plan.make(assessment, settings or Planning(), must=must, must_not=must_not, records_alone=records_alone)


def test_a_board_that_is_not_isolated_is_listed_and_not_planned() -> None:
    found = made(site(), outage("P1"))
    assert set(found.work["board"]) == {"P1"}
    left = found.left.set_index("connection_id")
    assert left.loc["P2/A", "why"] == "its isolation point is in no outage"


def test_the_line_side_of_an_opened_main_is_never_planned() -> None:
    readings = site(boards=1, device="main breaker", side="line")
    found = made(readings, outage("P1"))
    assert found.work.empty
    assert set(found.left["why"]) == {"isolation point not recorded"}
    register = pd.DataFrame({"connection_id": ["P1/A", "P1/B", "P1/C"], "isolated_by": "TX1"})
    assert set(made(readings, outage("P1", "TX1"), connections=register).work["connection_id"]) >= {"P1/A"}


def test_records_alone_open_no_board_unless_asked() -> None:
    even = site(boards=1, hot=42.0)
    assert made(even, outage("P1")).work.empty
    assert "a record alone does not open a board" in set(made(even, outage("P1")).left["why"])
    assert len(made(even, outage("P1"), records_alone=True).work) == 3


def test_hours_bind_and_the_swap_is_named() -> None:
    found = made(site(boards=4), outage("P1", "P2", "P3", "P4", hours=2.5))
    assert 0 < found.work["board"].nunique() < 4
    assert found.left["why"].str.contains("did not fit").any()
    assert found.benefit <= found.bound + 1e-9
    ends = found.boards.groupby("crew")["ends_min"].max()
    assert (ends <= 150).all()


def test_each_crews_boards_fit_one_after_the_other() -> None:
    """Three boards of 150 minutes fill two crews' 5 h by sum, but not one after the other."""
    found = made(
        site(boards=3),
        outage("P1", "P2", "P3", hours=4.2, crews=2),
        Planning(minutes_retighten=90, crew_use=1.0, minutes_check=0.1),
    )
    assert (found.boards["ends_min"] <= 4.2 * 60 + 1e-6).all()


def test_must_and_must_not() -> None:
    two = outage("P1", "P2", hours=2)
    assert set(made(site(), two, must=("P2/A",)).work["board"]) == {"P2"}
    barred = made(site(), two, must_not=("p1/a",))
    assert barred.left.set_index("connection_id").loc["P1/A", "why"] == "left out on request"
    with pytest.raises(UnusableInput, match="there is no connection 'P9/A'"):
        made(site(), two, must_not=("P9/A",))


@pytest.mark.parametrize(
    ("outages", "must", "words"),
    [
        (outage("P1"), ("P2/A",), "no outage isolates P2"),
        (outage("P1", hours=0.5), ("P1/A",), "P1 takes 66 min and the longest outage of it lasts 0.5 h"),
        (outage("P1"), ("P9/A",), "there is no connection 'P9/A'. Did you mean P2/A"),
        (outage("P1", "P2", hours=2), ("P1/A", "P2/A"), "does not fit into the crews' hours"),
    ],
    ids=["not isolated", "too short", "unknown", "too much"],
)
def test_what_cannot_be_is_said(outages: pd.DataFrame, must: tuple[str, ...], words: str) -> None:
    with pytest.raises(UnusableInput, match=words):
        made(site(), outages, must=must)


def test_outages_that_contradict_themselves() -> None:
    rows = pd.concat([outage("P1"), outage("P2", hours=6)])
    with pytest.raises(UnusableInput, match="outage O1: hours is not the same"):
        made(site(), rows)


@pytest.mark.parametrize("columns", [{"point": "fuse clip"}, {}], ids=["nothing to tighten", "records alone"])
def test_a_site_that_needs_no_outage_has_an_empty_plan(columns: dict[str, Any]) -> None:
    found = made(site(boards=1, hot=42.0, **columns), outage("P1"))
    assert found.work.empty
    assert found.boards.empty
    assert found.gap == 0.0


def test_remakes_are_limited() -> None:
    hot = site(boards=3, hot=95.0)
    found = made(hot, outage("P1", "P2", "P3", hours=8, crews=3, max_remakes=1))
    assert (found.work["action"] == "remake").sum() == 1
    assert found.left["why"].str.contains("hours or remakes").any()


def test_what_must_not_wait_stands_above_every_plan() -> None:
    found = made(site(), outage("P1"))
    assert set(found.now["connection_id"]) == {"P1/A", "P2/A"}


def test_one_more_hour_never_loses() -> None:
    read = riskscope.read(DEMO, on=dt.date(2026, 6, 1))
    assessment = assess_tables(read, on=dt.date(2026, 6, 1))
    first = plan.make(assessment, Planning())
    assert min(plan.one_more_hour(assessment, Planning(), first).values()) >= 0.0
    assert first.benefit >= first.greedy_benefit - 1e-9
    assert (first.worst_done, first.gap) >= (first.greedy_worst, 0.0)


def test_medium_voltage_needs_crews_who_may_work_on_it() -> None:
    board = pd.DataFrame([{"equipment": "P1", "voltage_v": 4160}])
    found = made(site(1), outage("P1", skills="low voltage"), equipment=board)
    assert found.work.empty
    assert set(found.left["why"]) == {"no crew with the skill for its voltage"}
    assert len(made(site(1), outage("P1", skills="copper, medium voltage"), equipment=board).work) == 3
    low = board.assign(voltage_v=1000)
    assert len(made(site(1), outage("P1", skills="low voltage"), equipment=low).work) == 3


def test_the_line_side_of_a_main_that_names_its_own_board_stays_live() -> None:
    register = pd.DataFrame([{"connection_id": f"P1/{phase}", "isolated_by": "P1"} for phase in "ABC"])
    found = made(site(1, device="main switch", side="line"), outage("P1"), connections=register)
    assert found.work.empty
    assert set(found.left["why"]) == {"isolation point not recorded"}


def test_two_crews_on_one_board_are_in_one_place_at_a_time() -> None:
    """30 + 30 to isolate and restore, 6 + 3 + 3 of work by two: 66 minutes a board, one after the other."""
    boards = made(site(2), outage("P1", "P2", crews=2, crews_per_board=2)).boards
    assert boards[["board", "crew", "begins_min", "ends_min"]].to_numpy().tolist() == [
        ["P1", 1, 0.0, 66.0],
        ["P2", 1, 66.0, 132.0],
    ]


def test_the_worst_comes_first_and_nothing_before_the_board_is_isolated() -> None:
    """P1/A is rated 4; C is 1 K over B. 30 minutes to isolate, then 6, 3 and 3."""
    work = made(site(1), outage("P1")).work
    assert work[["connection_id", "start_min", "minutes"]].to_numpy().tolist() == [
        ["P1/A", 30.0, 6.0],
        ["P1/C", 36.0, 3.0],
        ["P1/B", 39.0, 3.0],
    ]


def test_the_registers_minutes_count_though_they_are_more() -> None:
    """30 + 200 + 30 minutes do not fit into four hours."""
    register = pd.DataFrame([{"connection_id": "P1/A", "minutes": 200}])
    found = made(site(1), outage("P1"), connections=register)
    assert "P1/A" not in set(found.work["connection_id"])


CRITICAL = pd.DataFrame([{"connection_id": "P1/A", "criticality": 1}, {"connection_id": "P2/A", "criticality": 5}])


def test_of_two_boards_that_do_not_both_fit_the_more_critical_is_planned() -> None:
    """72 minutes a board and 87 of crew time: one of them."""
    found = made(site(2), outage("P1", "P2", hours=1.7), connections=CRITICAL)
    assert set(found.work["board"]) == {"P2"}


def test_the_plain_list_beside_a_plan_is_by_severity_first() -> None:
    """P1/A is rated 4 and little critical, P2/A 2 and very: the list takes P1 first."""
    readings = pd.concat([site(1), site(2, hot=52.0).iloc[3:]])
    found = made(readings, outage("P1", "P2", hours=1.7), connections=CRITICAL)
    assert found.greedy_worst == 1


def test_what_a_cure_is_worth_is_an_assumption_and_a_setting() -> None:
    """A remake cures nine times in ten; tightening a joint that is loose, six times in ten."""
    assert (Planning().cure_remake, Planning().cure_retighten) == (0.9, 0.6)
    work = made(site(1, hot=95.0), outage("P1")).work.set_index("connection_id")
    assert work.loc["P1/A", ["action", "chance", "benefit"]].tolist() == ["remake", 0.9, pytest.approx(0.9 * 16)]
