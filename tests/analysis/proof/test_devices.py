"""Which joints are said to be of one device."""

from __future__ import annotations

import pandas as pd
import pytest

from riskscope.analysis.proof.devices import joints_of_devices
from riskscope.schema.tables import refused

PLACES = ["connection_id", "site", "equipment", "circuit", "device"]
X = ("X", "S", "B", "F1", "Q1")


def table(*rows: tuple[str | None, ...]) -> pd.DataFrame:
    return pd.DataFrame(list(rows), columns=PLACES).astype("str")


NO, PERHAPS, SURELY = "no", "perhaps", "surely"
OF_X = [
    ([("Y", "S", "B", "F1", "Q1")], SURELY),
    ([("Y", "S", "B", "F1", "Q2")], NO),
    ([("Y", "S", "B", "F1", "Q2"), ("Y", "S", "B", "F1", "Q1")], PERHAPS),  # it was called so once
    ([("Y", "S", "B", "F1", None)], NO),
    ([("Y", "S", "C", "F1", None), ("Y", "S", None, None, "Q1")], NO),
    ([("Y", "S", "B", None, "Q1")], PERHAPS),
    ([("Y", "S", None, "F1", "Q1")], PERHAPS),
    ([("Y", None, "B", "F1", "Q1")], PERHAPS),
    ([("Y", "T", "B", "F1", "Q1")], NO),
    ([("Y", "S", None, None, "Q1")], NO),  # every board may have a Q1
    ([("Y", "S", "b", "F 1", "Q-1")], SURELY),
    ([("Y", "S", "B", "F1", "Q11")], NO),
]


def of_one_device(tables: dict[str, pd.DataFrame], refused_rows: pd.DataFrame | None = None) -> str:
    """Whether X and Y are of one device."""
    every = pd.concat([rows["connection_id"] for rows in tables.values() if "connection_id" in rows])
    joints = joints_of_devices(pd.Series([*dict.fromkeys(["X", "Y", *every])]), tables, refused_rows)
    joints = joints[joints["code"] < 2]
    both = joints.groupby("device").agg(codes=("code", set), sure=("is_sure", "all"))
    both = both[both["codes"] == {0, 1}]
    return NO if both.empty else SURELY if both["sure"].any() else PERHAPS


@pytest.mark.parametrize(("rows", "expected"), OF_X)
@pytest.mark.parametrize("registered", [False, True])
def test_joints_of_devices(rows: list[tuple[str | None, ...]], registered: bool, expected: str) -> None:
    """X stands at Q1 of circuit F1 on board B of site S."""
    read, register = (table(X), table(*rows)) if registered else (table(*rows, X), table())
    assert of_one_device({"survey": read, "connections": register}) == expected


def test_one_row_says_the_board_and_one_the_device() -> None:
    """What a reading leaves out the register may say; what another reading says is not sure."""
    board, device = ("Y", "S", "B", "F1", None), ("Y", "S", None, None, "Q1")
    assert of_one_device({"survey": table(X, board), "connections": table(device)}) == SURELY
    assert of_one_device({"survey": table(X, board, device)}) == PERHAPS


def test_of_a_name_that_very_many_devices_have_none_is_surely_its_own() -> None:
    """X and Y leave their circuit out, where a board has a Q1 in each of 60 circuits."""
    open_ = [(name, "S", "B", None, "Q1") for name in "XY"]
    others = [(f"Z{number}", "S", "B", f"F{number}", "Q1") for number in range(60)]
    assert of_one_device({"survey": table(*open_)}) == SURELY
    assert of_one_device({"survey": table(*open_), "connections": table(*others)}) == PERHAPS


def test_the_board_says_the_site() -> None:
    equipment = pd.DataFrame({"equipment": ["B"], "site": ["S"]})
    register = table(("Y", None, "B", "F1", "Q1"))
    assert of_one_device({"survey": table(X), "connections": register, "equipment": equipment}) == SURELY


@pytest.mark.parametrize("name", ["survey", "connections"])
def test_a_row_that_was_refused_says_of_which_device_a_joint_perhaps_is(name: str) -> None:
    said = dict(zip(PLACES, ("Y", "S", "B", "F1", "Q1"), strict=True))
    out = refused({"kind": ["rejected"], "table": [name], "file": ["f"], "line": [3], "cells": ["[]"], "reason": ["r"]})
    out = out.assign(**said)
    tables = {"survey": table(X, ("Y", "S", "B", "F1", None))}
    assert of_one_device(tables) == NO
    assert of_one_device(tables, out) == PERHAPS


def test_the_same_rows_in_another_order_say_the_same() -> None:
    rows = [X, ("Y", "S", "B", "F1", None), ("Y", "S", None, None, "Q1"), ("Z", "S", "B", None, "Q1")]
    made = []
    for order in (rows, rows[::-1]):
        joints = joints_of_devices(pd.Series(["X", "Y", "Z"]), {"survey": table(*order)})
        made.append(sorted(joints.groupby("device")["code"].agg(lambda codes: tuple(sorted(codes)))))
    assert made[0] == made[1]
    assert (0, 1, 2) in made[0]
