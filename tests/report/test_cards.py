"""What is not planned: nothing hot or urgent is cut from a list, and a cut list says what it leaves out."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from riskscope.report.blocks import Table, Text
from riskscope.report.documents.cards import MOST_LEFT, card, in_order, not_planned, the_rest
from riskscope.words.render import Units


def left(*rows: tuple[int, str, str, float]) -> pd.DataFrame:
    """(how many, action, urgency, severity), in the order a plan gives them: by severity, the not rated last."""
    made = [
        {
            "connection_id": f"{action[:3]}{urgency[:3]}{n}",
            "equipment": "B1",
            "action": action,
            "severity": severity,
            "urgency": urgency,
            "why": "no outage",
        }
        for count, action, urgency, severity in rows
        for n in range(count)
    ]
    return pd.DataFrame(made).sort_values(
        "severity", ascending=False, kind="stable", na_position="last", ignore_index=True
    )


RECORD = ("check torque", "next outage", 0.0)


@pytest.mark.parametrize(
    ("rows", "shown", "more"),
    [
        ([(3, "retighten", "soon", 4.0), (5, *RECORD)], 8, 0),
        ([(1, "retighten", "soon", 4.0), (MOST_LEFT - 1, *RECORD)], MOST_LEFT, 0),
        ([(1, "retighten", "soon", 4.0), (MOST_LEFT, *RECORD)], MOST_LEFT, 1),
        ([(20_000, *RECORD)], MOST_LEFT, 19_800),
        ([(300, "remake", "next outage", 3.0), (50, *RECORD)], 300, 50),
        ([(20_000, "retighten", "next outage", 2.0)], MOST_LEFT, 19_800),
    ],
    ids=["short", "as many as fit", "one more", "a large site", "more hot joints than that", "a large site of 2s"],
)
def test_records_alone_are_cut_and_it_is_said(rows: list[tuple[int, str, str, float]], shown: int, more: int) -> None:
    given = left(*rows)
    *words, table = not_planned(given)
    assert isinstance(table, Table)
    assert len(table.cells(Units())) == shown == len(given) - more
    assert len(table.frame) == len(given), "a workbook lists every one"
    assert [isinstance(one, Text) for one in words] == [True] * (more > 0)
    if more:
        assert f"{shown:,} of {len(given):,} that are not planned" in the_rest(given, shown)
        records = more if rows[-1][1] == "check torque" else 0
        words = the_rest(in_order(given)[0], shown)
        assert f": {more - records:,} joints rated 2 and {records:,} torque records to check." in words


@pytest.mark.parametrize(
    "row",
    [
        ("remake", "now", np.nan),
        ("retighten", "next outage", np.nan),
        ("remake", "next survey", 0.0),
        ("remake", "next outage", 3.0),
        ("retighten", "next outage", 4.0),
        ("check torque", "soon", np.nan),
        ("check torque", "now", 0.0),
        ("inspect", "next outage", 1.0),
    ],
    ids=[
        "found damaged, not rated",
        "found loose, never read",
        "not rated bad",
        "a 3, whatever its urgency",
        "a 4, whatever its urgency",
        "a warm one not seen",
        "urgent",
        "another action",
    ],
)
def test_what_is_hot_loose_damaged_or_urgent_stands_first_and_is_never_cut(row: tuple[str, str, float]) -> None:
    """Not rated sorts last in a plan: 300 healthy records would push it off the list."""
    ordered, shown = in_order(left((300, *RECORD), (300, "retighten", "next outage", 2.0), (10, *row)))
    assert shown == MOST_LEFT
    assert ordered["action"].head(10).tolist() == [row[0]] * 10
    assert ordered["urgency"].head(10).tolist() == [row[1]] * 10


def test_joints_rated_2_stand_before_records() -> None:
    ordered, _ = in_order(left((3, *RECORD), (3, "retighten", "next outage", 2.0)))
    assert ordered["severity"].tolist() == [2.0] * 3 + [0.0] * 3


def test_a_card_names_the_conductor_where_it_is_on_record() -> None:
    part = pd.DataFrame(
        {
            "connection_id": ["A", "B"],
            "conductor_size": ["70 mm²", np.nan],
            "conductor_material": ["aluminium", np.nan],
            "required_nm": [20.0, np.nan],
            "required_from": ["label", np.nan],
            "tool_id": ["T1", np.nan],
            "tool_unit": ["N·m", np.nan],
            "action": ["retighten", "retighten"],
            "drive_size": ["8", np.nan],
        }
    )
    boards = pd.DataFrame({"outage_id": ["O"], "board": ["MSB"], "crew": [1], "begins_min": [0], "ends_min": [90]})
    made = card("O", "MSB", part, boards, {"starts": {}}, Units())
    [table] = [block for block in made if isinstance(block, Table)]
    place = [show.title for show in table.columns].index("conductor")
    assert [row[place] for row in table.cells(Units())] == ["70 mm² aluminium", ""]
    unknown = part.assign(conductor_size=np.nan, conductor_material=np.nan)
    [table] = [b for b in card("O", "MSB", unknown, boards, {"starts": {}}, Units()) if isinstance(b, Table)]
    assert "conductor" not in [show.title for show in table.columns]
