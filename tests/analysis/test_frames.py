"""What the steps share."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from riskscope.analysis.frames import positions


@pytest.mark.parametrize(
    ("known", "wanted", "places"),
    [
        (["b", "a"], ["a", "b", "c"], [1, 0, -1]),
        (["b", "a"], ["a", None], [1, -1]),
        ([], ["a", None], [-1, -1]),
        (["a"], [], []),
        (["a"], [np.nan, np.nan], [-1, -1]),
        (["é", "e"], ["e", "é"], [1, 0]),
        (["a", None], [None, "a"], [-1, 0]),
        (["a", "b", "a"], ["a", "b"], [0, 1]),
    ],
    ids=["there", "missing", "nothing known", "nothing wanted", "all missing", "accents", "no id", "twice"],
)
def test_positions(known: list[str], wanted: list[object], places: list[int]) -> None:
    made = positions(pd.Series(known, dtype="str"), pd.Series(wanted, dtype="str"))
    assert made.tolist() == places
    assert made.dtype == np.int64


def test_positions_of_a_column_that_is_absent() -> None:
    """An absent column is read as numbers that are all missing."""
    assert positions(pd.Series(["a"], dtype="str"), pd.Series([np.nan, np.nan])).tolist() == [-1, -1]
