"""What work has cured, by kind."""

from __future__ import annotations

import pandas as pd
import pytest

from riskscope.analysis.years.effects import share_cured


def test_the_share_is_of_what_was_surveyed_since() -> None:
    effects = pd.DataFrame(
        {
            "what": ["tightened"] * 5 + ["remade"],
            "effect": ["cured", "cured", "not cured", "improved", "not re-surveyed", "not re-surveyed"],
        }
    )
    made = share_cured(effects).set_index("what")
    assert made.loc["tightened"].tolist() == [5, 2, 1, 1, 1, pytest.approx(0.5)]
    assert made.loc["remade", "works"] == 1
    assert pd.isna(made.loc["remade", "share_cured"])
