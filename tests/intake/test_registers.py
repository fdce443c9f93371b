"""Long lists of names, compared."""

from __future__ import annotations

import pandas as pd

from riskscope.intake.registers import among


def test_among_is_isin() -> None:
    names = pd.Series(["a", "b", None, "é"], index=[7, 3, 1, 2], dtype="str")
    others = pd.Series(["b", "é", "b"], dtype="str")
    assert among(names, others).tolist() == [False, True, False, True]
    assert among(names, others).index.tolist() == [7, 3, 1, 2]
    assert not among(names, others[:0]).any()
    assert among(names[:0], others).tolist() == []
