"""Charts say what the numbers say."""

from __future__ import annotations

import pytest

from riskscope.analysis.assess import assess
from riskscope.intake.read import read_frames
from riskscope.report import charts
from riskscope.results.story import siblings
from riskscope.settings import Settings
from riskscope.words.render import Units
from tests.build import ON, phases


@pytest.mark.parametrize(("lowest", "low_k"), [(1.6, 30.314), (1.0, 20.0)])
def test_whiskers_of_siblings_are_those_of_the_exponents_in_force(lowest: float, low_k: float) -> None:
    """10 K at half load: 10 · 2^1.6 = 30.3 K, or with 1.0 as the lowest exponent 20 K, to 10 · 2^2 = 40 K."""
    settings = Settings(exponent_low=lowest)
    readings = read_frames(on=ON, survey=phases(40.0, 40.0, ambient_c=30.0, load_pct=50))
    made = assess(readings, on=ON, settings=settings)
    drawn = charts.siblings(siblings(made, made.connections.iloc[0]), settings, Units())
    assert drawn is not None
    row = drawn.spec["data"]["values"][0]
    assert (row["low"], row["high"]) == (pytest.approx(low_k, abs=0.001), pytest.approx(40.0))
    assert f"by exponents {lowest:g} to 2:" in drawn.words
