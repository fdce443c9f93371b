"""Templates filled from a frame: each value once, missing ones said, rows of several templates in their place."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from riskscope.words.render import Units, fill, fill_each, quantity


def test_a_missing_value_is_a_dash_and_never_another_rows() -> None:
    frame = pd.DataFrame({"t": [62.0, np.nan, 35.0], "name": pd.Series(["A", None, "C"], dtype="str")})
    assert fill("{name} at {t:temperature}", frame, Units()).tolist() == ["A at 62.0 °C", "– at –", "C at 35.0 °C"]


def test_rows_keep_their_place_among_several_templates() -> None:
    frame = pd.DataFrame({"t": [1.0, 2.0, 3.0, 4.0]}, index=[9, 7, 5, 3])
    made = fill_each(["a {t:rise}", "b", "c {t:count}"], np.array([2, 0, 1, 0]), frame, Units())
    assert made.to_dict() == {9: "c 1", 7: "a 2.0 K", 5: "b", 3: "a 4.0 K"}


@pytest.mark.parametrize("frame", [pd.DataFrame({"t": []}), pd.DataFrame({"t": [1.0]})[:0]], ids=["empty", "none left"])
def test_no_rows_are_no_words(frame: pd.DataFrame) -> None:
    assert fill("{t:rise}", frame, Units()).tolist() == []
    assert fill_each([], np.array([], dtype=np.intp), frame, Units()).tolist() == []


@pytest.mark.parametrize(
    ("values", "kind", "expected"),
    [
        (pd.to_datetime(["2026-09-03", None, "2025-12-31"]), "day", ["3 September 2026", "–", "31 December 2025"]),
        ([-0.04, 0.04, -0.06], "rise", ["0.0 K", "0.0 K", "−0.1 K"]),
        ([0.555, np.nan, 1.0], "share", ["56 %", "–", "100 %"]),
        ([0.395, 0.3999, 0.4, 0.404, 0.994], "share", ["39.5 %", "39.9 %", "40 %", "40 %", "99 %"]),
        ([0.996, 1.0001, 1.004, -0.4, 1234.0], "share", ["100 %", "100.1 %", "100.4 %", "−40 %", "123400 %"]),
        (["x", None, "x"], "text", ["x", "–", "x"]),
        ([99.96, 100.1, -623.2, np.nan], "full rise", ["100.0 K", "over 100 K", "below −100 K", "–"]),
        ([71.25, 140.0, 713.2], "full temperature", ["71.2 °C", "140.0 °C", "over 140 °C"]),
        (
            [211.9, 212.5, 0.15, 400.0, 211.999, np.nan],
            "limit",
            ["211.9 A", "212.5 A", "0.15 A", "400 A", "211.99 A", "–"],
        ),
    ],
    ids=[
        "days",
        "no minus before a zero",
        "shares",
        "shares about enough load",
        "shares about full load",
        "texts",
        "rises at full load",
        "temperatures at full load",
        "limits",
    ],
)
def test_quantities(values: object, kind: str, expected: list[str]) -> None:
    assert quantity(values, kind, Units()).tolist() == expected


def test_over_100_k_in_fahrenheit() -> None:
    assert quantity([120.0], "full rise", Units("°F")).tolist() == ["over 180 °F"]
