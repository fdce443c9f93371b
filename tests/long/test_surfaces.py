"""2,000 pairs of surfaces: our uncertainty of their difference within 7 % of Monte Carlo."""

from __future__ import annotations

import numpy as np
import pytest

from tests.published.surfaces import pairs_of_surfaces


@pytest.mark.parametrize("same", [True, False], ids=["one emissivity", "two"])
def test_2000_pairs(same: bool) -> None:
    ours, drawn = pairs_of_surfaces(1000, same)
    assert np.abs(ours / drawn - 1).max() < 0.07
