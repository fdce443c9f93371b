"""Charts say what the numbers say."""

from __future__ import annotations

import pandas as pd

from riskscope.analysis.assess import assess
from riskscope.intake.read import read_frames
from riskscope.report import charts
from riskscope.results.story import siblings
from riskscope.words.render import Units
from tests.build import ON, phases


def drawn(readings: pd.DataFrame) -> charts.Chart | None:
    made = assess(read_frames(on=ON, survey=readings), on=ON)
    return charts.siblings(siblings(made, made.connections.iloc[0]), Units())


def test_rises_of_siblings_are_shown_as_found_with_their_load_and_nothing_is_carried_further() -> None:
    """46 and 10 K at 30 %: at full load 511 and 111 K, which no joint lives to show."""
    made = drawn(phases(76.0, 40.0, ambient_c=30.0, load_pct=30))
    assert made is not None
    assert [(row["connection"], row["rise"]) for row in made.spec["data"]["values"]] == [
        ("A at 30 %", 46.0),
        ("B at 30 %", 10.0),
    ]
    assert made.words == "Rise over the air as found, with the load: A at 30 % 46.0 K; B at 30 % 10.0 K."


def test_a_load_that_is_not_known_is_not_said_and_one_alone_is_no_chart() -> None:
    made = drawn(phases(76.0, 40.0, ambient_c=30.0))
    assert made is not None
    assert made.words == "Rise over the air as found, with the load: A 46.0 K; B 10.0 K."
    assert drawn(phases(76.0, ambient_c=30.0, load_pct=30)) is None
