"""Torque tools for the job, and the extension formula."""

from __future__ import annotations

import pandas as pd
import pytest

from riskscope.intake.read import read_frames
from riskscope.planning.tools import suitable
from riskscope.settings import Settings
from tests.build import ON


def tools(**more: list[object]) -> pd.DataFrame:
    base = {
        "tool_id": ["SMALL", "LARGE"],
        "range_min": [4, 20],
        "range_max": [20, 100],
        "torque_unit": ["N·m", "lbf·ft"],
        "calibrated_on": ["2026-01-10", "2026-01-10"],
    }
    return pd.DataFrame({**base, **more})


def chosen(torque: float, day: str, frame: pd.DataFrame, site: str | None = None) -> object:
    read = read_frames(on=ON, tools=frame)
    at = pd.Series([site], dtype="str")
    made = suitable(pd.Series([torque]), pd.Series([pd.Timestamp(day)]), at, read, Settings())
    return made["tool_id"].iloc[0]


def test_the_smallest_range_that_holds_the_torque() -> None:
    assert chosen(10.0, "2026-09-01", tools()) == "SMALL"
    assert chosen(50.0, "2026-09-01", tools()) == "LARGE"


@pytest.mark.parametrize(
    ("torque", "day", "more"),
    [
        (2.0, "2026-09-01", {}),
        (10.0, "2027-02-01", {}),
        (10.0, "2025-12-01", {}),
        (10.0, "2026-09-01", {"found_out_of_tolerance_on": ["2026-03-01", ""]}),
        (10.0, "2026-09-01", {"found_out_of_tolerance_on": ["2026-01-10", ""]}),
        (10.0, "2026-09-01", {"calibration_due": ["2026-08-01", "2026-08-01"]}),
    ],
    ids=["out of range", "calibration run out", "before it", "out of tolerance since", "out on its calibration day",
         "due before"],
)  # fmt: skip
def test_an_unfit_tool_is_never_chosen(torque: float, day: str, more: dict[str, list[object]]) -> None:
    assert pd.isna(chosen(torque, day, tools(**more)))


def test_a_tool_of_another_site_is_not_chosen() -> None:
    listed = tools(site=["Works", ""])
    assert chosen(10.0, "2026-09-01", listed, "Works") == "SMALL"
    assert pd.isna(chosen(10.0, "2026-09-01", listed, "Yard"))
    assert chosen(50.0, "2026-09-01", listed, "Yard") == "LARGE", "listed for no site it serves all"
