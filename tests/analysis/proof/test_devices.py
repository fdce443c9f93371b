"""Which joints are said to be of one device."""

from __future__ import annotations

import pandas as pd
import pytest

from riskscope.analysis.proof.devices import joints_of_devices

PLACES = ["connection_id", "site", "equipment", "circuit", "device"]
X = ("X", "S", "B", "F1", "Q1")


def table(*rows: tuple[str | None, ...]) -> pd.DataFrame:
    return pd.DataFrame(list(rows), columns=PLACES).astype("str")


@pytest.mark.parametrize(
    ("rows", "is_of_it"),
    [
        ([("Y", "S", "B", "F1", "Q1")], True),
        ([("Y", "S", "B", "F1", "Q2")], False),
        ([("Y", "S", "B", "F1", "Q2"), ("Y", "S", "B", "F1", "Q1")], True),  # it was called so once
        ([("Y", "S", "B", "F1", None)], False),
        ([("Y", "S", "B", "F1", None), ("Y", "S", None, None, "Q1")], True),  # one row says the board, one the device
        ([("Y", "S", "C", "F1", None), ("Y", "S", None, None, "Q1")], False),
        ([("Y", "S", "B", None, "Q1")], True),
        ([("Y", "S", None, "F1", "Q1")], True),
        ([("Y", None, "B", "F1", "Q1")], True),
        ([("Y", "T", "B", "F1", "Q1")], False),
        ([("Y", "S", None, None, "Q1")], False),  # every board may have a Q1
        ([("Y", "S", "b", "F 1", "Q-1")], True),
        ([("Y", "S", "B", "F1", "Q11")], False),
    ],
)
@pytest.mark.parametrize("registered", [False, True])
def test_joints_of_devices(rows: list[tuple[str | None, ...]], registered: bool, is_of_it: bool) -> None:
    """X stands at Q1 of circuit F1 on board B of site S."""
    readings, register = (table(X), table(*rows)) if registered else (table(*rows, X), table())
    joints = joints_of_devices(pd.Series(["X", "Y"]), readings, {"connections": register})
    both = joints.groupby("device")["code"].agg(set)
    assert ({0, 1} in list(both)) == is_of_it


def test_the_board_says_the_site() -> None:
    readings, equipment = table(X), pd.DataFrame({"equipment": ["B"], "site": ["S"]})
    tables = {"connections": table(("Y", None, "B", "F1", "Q1")), "equipment": equipment}
    joints = joints_of_devices(pd.Series(["X", "Y"]), readings, tables)
    assert list(joints["device"]) == [0, 0]


def test_the_same_rows_in_another_order_say_the_same() -> None:
    rows = [X, ("Y", "S", "B", "F1", None), ("Y", "S", None, None, "Q1"), ("Z", "S", "B", None, "Q1")]
    pairs = [
        joints_of_devices(pd.Series(["X", "Y", "Z"]), table(*order), {}).groupby("device")["code"].agg(set).tolist()
        for order in (rows, rows[::-1])
    ]
    assert pairs == [[{0, 1, 2}], [{0, 1, 2}]]
