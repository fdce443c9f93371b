"""Job cards: a long list of what is not planned is cut with a word, and never by what is hot."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from riskscope.report.cards import MOST_LEFT, not_planned
from riskscope.report.document import Table, Text
from riskscope.words.render import Reader


def left(hot: int, rest: int) -> pd.DataFrame:
    """So many rated 3 or 4, then so many that are less or not rated; worst first, as a plan gives them."""
    severity = (
        [4.0] * (hot - 1) + [3.0] * min(hot, 1) + [2.0] * (rest - 1) + [np.nan] * min(rest, 1)
    )
    return pd.DataFrame({"connection_id": [f"C{n}" for n in range(hot + rest)], "equipment": "B1", "action": "retighten",
                         "severity": severity, "why": "its isolation point is in no outage"})  # fmt: skip


@pytest.mark.parametrize(
    ("hot", "rest", "shown", "more"),
    [(3, 5, 8, None), (1, MOST_LEFT - 1, MOST_LEFT, None), (1, MOST_LEFT, MOST_LEFT, "1 more"), (0, 20_000, MOST_LEFT, "19,800 more"),
     (300, 50, 300, "50 more")],
    ids=["short", "as many as fit", "one more", "a large site", "all that is hot"],
)  # fmt: skip
def test_what_is_not_planned_is_cut_with_a_word(
    hot: int, rest: int, shown: int, more: str | None
) -> None:
    table, *words = not_planned(left(hot, rest))
    assert isinstance(table, Table)
    assert len(table.cells(Reader())) == shown
    assert len(table.frame) == hot + rest, "a workbook lists every one"
    assert [one.text.partition(" are")[0] for one in words if isinstance(one, Text)] == (
        [] if more is None else [more]
    )
