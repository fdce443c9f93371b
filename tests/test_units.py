"""Units there and back, spellings, the one checker."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from riskscope import units
from riskscope.errors import OutOfRange

PAIRS = [(quantity, unit) for quantity, all_ in units.UNITS.items() for unit in all_]


@given(pair=st.sampled_from(PAIRS), value=st.floats(-1e4, 1e4))
def test_there_and_back(pair: tuple[str, str], value: float) -> None:
    quantity, unit = pair
    back = units.from_inside(units.to_inside(value, quantity, unit), quantity, unit)
    assert back == pytest.approx(value, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "unit"),
    [("N·m", "N·m"), ("Nm", "N·m"), ("N.m", "N·m"), ("n-m", "N·m"), ("in-lb", "lbf·in"), ("in.lbs", "lbf·in"),
     ("lb-in", "lbf·in"), ("ft lb", "lbf·ft"), ("lbf·ft", "lbf·ft"), ("kgf·m", "kgf·m"), ("°F", "°F"),
     ("deg C", "°C"), ("celsius", "°C"), ("K", "K"), ("%", "%"), ("amps", "A"), ("furlong", None)],
)  # fmt: skip
def test_spellings(text: str, unit: str | None) -> None:
    assert units.find_unit(text) == unit


def test_a_unit_of_another_quantity_is_not_found() -> None:
    assert units.find_unit("N·m", "temperature") is None


def test_first_unit_of_each_quantity_is_the_one_inside() -> None:
    for quantity, all_ in units.UNITS.items():
        assert next(iter(all_.values())) == (1.0, 0.0), quantity


def test_edge_makes_equal_what_was_typed_equal() -> None:
    assert units.edge(35.2 - 20.2) == 15.0
    assert 35.2 - 20.2 != 15.0


@pytest.mark.parametrize(
    ("bounds", "value", "words"),
    [
        ({"above": 0.0}, -0.2, "load must be above 0; got -0.2"),
        ({"at_least": 1.0}, 0.5, "load must be at least 1; got 0.5"),
        ({"at_most": 3.0}, [1.0, 4.0], "load must be at most 3; got 4"),
    ],
)
def test_checker_says_name_rule_and_value(bounds: dict[str, float], value: object, words: str) -> None:
    with pytest.raises(OutOfRange, match=words):
        units.check_range("load", value, **bounds)  # type: ignore[arg-type]


def test_not_measured_passes_the_checker() -> None:
    assert np.isnan(units.check_range("load", np.nan, above=0.0))
