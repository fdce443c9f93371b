"""On invented works whose truth is known the likelihood tells bad joints; 20 works in tests/long."""

from __future__ import annotations

import pytest

from tests.benchmarks.truth import low_of_lately, order_precision, precision, told
from tests.works import PHYSICS, works


@pytest.mark.parametrize("physics", PHYSICS)
def test_the_likelihood_tells_more_than_the_coolest_phase_by_the_square_law(physics: str) -> None:
    rows = told(works(1, 500, physics=physics))
    assert precision(rows, "likelihood_loose") > precision(rows, "thumb_square_law") + 0.15


def test_three_surveys_tell_more_than_one_and_new_damage_is_seen() -> None:
    rows, first = told(works(2, 500, surveys=3)), told(works(2, 500))
    assert precision(rows, "likelihood_loose") > precision(first, "likelihood_loose")
    assert low_of_lately(rows) < 0.18
    assert order_precision(rows) > 0.87
