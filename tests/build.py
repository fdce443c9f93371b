"""Small tables for tests: rows as people would type them, read through the intake."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pandas as pd

import riskscope
from riskscope.analysis.assess import assess as assess_tables
from riskscope.intake.read import read_frames
from riskscope.settings import Settings
from riskscope.standards.severity import Criteria

ON = dt.date(2026, 6, 1)
SURVEYED = "2026-05-04"


def survey(*rows: dict[str, Any], **common: Any) -> pd.DataFrame:
    """Readings of one circuit; `common` columns are the same in every row."""
    base = {"survey_date": SURVEYED, "circuit": "F1"}
    return pd.DataFrame([{**base, **common, **row} for row in rows])


def phases(*temperatures: float, **common: Any) -> pd.DataFrame:
    """Phases A, B, C … of one circuit at these temperatures."""
    names = "ABC"[: len(temperatures)]
    return survey(
        *({"connection_id": p, "phase": p, "connection_c": t} for p, t in zip(names, temperatures, strict=True)),
        **common,
    )


def good_record(*ids: str, **more: Any) -> dict[str, pd.DataFrame]:
    """A verified record for each connection, and the tool's calibration."""
    installs = pd.DataFrame(
        [
            {
                "connection_id": name,
                "work_date": "2025-03-01",
                "required_torque": 20.0,
                "applied_torque": 20.0,
                "torque_unit": "N·m",
                "tool_id": "T1",
                **more,
            }
            for name in ids
        ]
    )
    tools = pd.DataFrame(
        [{"tool_id": "T1", "range_min": 5, "range_max": 50, "torque_unit": "N·m", "calibrated_on": "2025-01-10"}]
    )
    return {"installs": installs, "tools": tools}


def assess(
    survey: pd.DataFrame,
    *,
    on: dt.date = ON,
    settings: Settings | None = None,
    criteria: Criteria | None = None,
    read_options: riskscope.ReadOptions | None = None,
    **tables: pd.DataFrame,
) -> pd.DataFrame:
    """The assessment of these tables, by connection."""
    read = read_frames(on=on, read_options=read_options, survey=survey, **tables)
    found = assess_tables(read, on=on, settings=settings, criteria=criteria).connections
    return found.set_index("connection_id", drop=False)
