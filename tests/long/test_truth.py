"""The likelihood on 20 invented works of 1,000 sets each, by two physics that are not the square law."""

from __future__ import annotations

import pandas as pd
import pytest

from tests.benchmarks.truth import (
    FEWEST,
    SEEDS,
    SETS,
    low_of_lately,
    mean,
    misstated,
    order_precision,
    precision,
    reliability,
    told,
)
from tests.works import works

THUMBS = ("thumb_square_law", "thumb_as_found", "thumb_temperature")


@pytest.fixture(scope="module")
def one() -> list[pd.DataFrame]:
    return [told(works(seed, SETS)) for seed in range(SEEDS)]


@pytest.fixture(scope="module")
def three() -> list[pd.DataFrame]:
    return [told(works(seed, SETS, surveys=3)) for seed in range(SEEDS)]


def test_average_precision(one: list[pd.DataFrame], three: list[pd.DataFrame]) -> None:
    of_one, of_three = (mean(precision(rows, "likelihood_loose") for rows in made) for made in (one, three))
    assert of_one >= 0.90
    assert of_three >= 0.94
    for made in (one, three):
        thumbs = [mean(precision(rows, thumb) for rows in made) for thumb in THUMBS]
        assert max(thumbs) <= 0.75
    assert of_one >= mean(precision(rows, "thumb_square_law") for rows in one) + 0.15


def test_the_second_physics_by_the_margin_alone() -> None:
    made = [told(works(seed, SETS, physics="softening")) for seed in range(SEEDS)]
    thumb = mean(precision(rows, "thumb_square_law") for rows in made)
    assert mean(precision(rows, "likelihood_loose") for rows in made) >= thumb + 0.15


def test_new_damage_and_the_order_of_work(three: list[pd.DataFrame]) -> None:
    assert mean(map(low_of_lately, three)) <= 0.18
    assert mean(map(order_precision, three)) >= 0.87


def test_what_is_said_of_one_survey_is_true(one: list[pd.DataFrame]) -> None:
    bins = reliability(pd.concat(one, ignore_index=True))
    bins = bins[bins["joints"] >= FEWEST]
    assert ((bins["said"] - bins["true"]).abs() <= 0.10).all()


def test_of_three_surveys_no_more_is_true_than_is_said(three: list[pd.DataFrame]) -> None:
    """Old health counts nothing beside new damage: the middle says too much, and never too little."""
    bins = reliability(pd.concat(three, ignore_index=True))
    bins = bins[bins["joints"] >= FEWEST]
    assert (bins["true"] - bins["said"] <= 0.10).all()


def test_a_constant_that_is_half_or_double_costs_little() -> None:
    assert max(misstated(4, "network").values()) < 0.03
