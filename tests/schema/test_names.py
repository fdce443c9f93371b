"""How names are told apart; what is one and what is two, by hand."""

from __future__ import annotations

import pandas as pd
import pytest

from riskscope.schema.names import apart, lettered


@pytest.mark.parametrize(
    ("name", "other", "is_one"),
    [
        ("DB-5", "db/5", True),
        ("DB-5", "DB.5", True),
        ("DB 5", "DB5", True),
        ("M.S.B.", "MSB", False),
        ("Main Board", "Main-Board", True),
        ("MSB-A", "MSB A", True),
        ("DB A1", "DBA 1", False),
        ("DB−1", "DB-1", True),
        ("DC- panel", "DC panel", False),
        ("DC - 5", "DC-5", True),
        ("T1'", "T1", False),
        ("पाना 1", "पानी 1", False),
        ("#", "*", False),
        ("1.1", "11", False),
        ("1.1", "1-1", True),
        ("1.1.1", "1.11", False),
        ("MCC-1/1", "MCC-11", False),
        ("DC+", "DC-", False),
        ("DC−", "DC-", True),
        ("DC+", "DC", False),
        ("MSB", "MSB 1", False),
        ("DB-5", "DB-5 (kitchen)", False),
    ],
)
def test_a_board_is_told_by_letters_and_figures(name: str, other: str, is_one: bool) -> None:
    mine, its = lettered(pd.Series([name, other], dtype="str"))
    assert (mine == its) == is_one


@pytest.mark.parametrize(
    ("name", "other", "is_one"),
    [("F 1", "f1", True), ("F-1", "F1", True), ("1.1", "11", False), ("F1 +", "F1 −", False), ("F/1", "F1", False)],
)
def test_a_circuit_is_told_by_all_but_a_blank_or_hyphen_between(name: str, other: str, is_one: bool) -> None:
    mine, its = apart(pd.Series([name, other], dtype="str"))
    assert (mine == its) == is_one


@pytest.mark.parametrize("way", [apart, lettered])
def test_what_has_no_name_has_none(way: object) -> None:
    made = way(pd.Series(["A", None], dtype="str", index=[7, 3]))  # type: ignore[operator]
    assert made.index.tolist() == [7, 3]
    assert made.isna().tolist() == [False, True]
