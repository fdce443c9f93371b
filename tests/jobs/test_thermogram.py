"""A thermogram and the survey made of it say the same temperature: there is one rule of the optics."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from riskscope.jobs.thermogram import Measurement, Optics, see
from riskscope.settings import Settings
from riskscope.thermogram.read import Thermogram
from riskscope.words.render import Units
from tests.build import ON, assess


def seen(emissivity: float, settings: Settings | None = None) -> Measurement:
    """A block of 60 °C on 30 °C, in one box."""
    matrix = np.full((24, 32), 30.0)
    matrix[8:14, 10:18] = 60.0
    boxes = pd.DataFrame(
        {"box": ["A"], "points": ["10,8 17,13"], "connection_id": ["P/F1/A"], "emissivity": [emissivity]}
    )
    return see(Thermogram("a.csv", matrix), boxes, Optics(0.95, 20.0), settings or Settings(), ON, Units())


@pytest.mark.parametrize("emissivity", [0.95, 0.7, 0.45, 0.2])
def test_a_box_has_the_temperature_that_the_survey_gives_it(emissivity: float) -> None:
    shown = seen(emissivity)
    found = assess(shown.survey)
    assert shown.boxes["true_c"].iloc[0] == pytest.approx(found["connection_c"].iloc[0])


def test_below_an_emissivity_of_030_nothing_is_corrected() -> None:
    """60 °C read at 0.2 is no measurement: by the formula it would be far above 100 °C."""
    row = seen(0.2).boxes.iloc[0]
    assert row["true_c"] == row["p95_c"] == 60.0
    assert row["quality_flags"] == "emissivity below 0.30"
    assert seen(0.45).boxes["true_c"].iloc[0] > 75.0
    assert seen(0.45, Settings(emissivity_none=0.5)).boxes["true_c"].iloc[0] == 60.0


def test_a_picture_without_boxes_has_none() -> None:
    matrix = np.full((24, 32), 30.0)
    empty = see(Thermogram("a.csv", matrix), pd.DataFrame(columns=["box", "points"]), Optics(), Settings(), ON, Units())
    assert empty.boxes.empty
    assert empty.survey.empty
