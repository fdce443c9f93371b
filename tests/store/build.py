"""Small files brought into a store, as a user would."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pandas as pd

from riskscope.errors import RiskscopeError
from riskscope.intake.options import Limits, ReadOptions
from riskscope.jobs.bring_in import Decision, FileContent, FileOutcome, one_file
from riskscope.store import reading as held
from riskscope.store.database import Store
from riskscope.store.stamp import Actor, Stamp

ON = dt.date(2026, 6, 1)
ANN = Stamp(Actor("ann"), "2026-06-01T08:00:00+00:00")
BOB = Stamp(Actor("bob"), "2026-06-02T09:00:00+00:00")
SURVEY = """connection_id,survey_date,connection_c,ambient_c,load_pct,colour of tape
P1/F1/A,2026-05-04,60,30,80,red
P1/F1/B,2026-05-04,45,30,80,
P1/F1/C,2026-05-04,>250,30,80,blue
"""
LATER = SURVEY.replace("2026-05-04", "2026-05-30")


def add(
    store: Store,
    text: str,
    name: str = "survey.csv",
    *,
    stamp: Stamp = ANN,
    decision: Decision | None = None,
    **read_options: Any,
) -> FileOutcome:
    """Bring in a text file; its error is raised."""
    content = FileContent(name, text.encode(), ReadOptions(**read_options))
    brought = one_file(store, content, on=ON, limits=Limits(), stamp=stamp, decision=decision)
    if brought.error is not None:
        raise brought.error
    return brought


def number(brought: FileOutcome) -> int:
    assert brought.made is not None
    return brought.made.id


def readings(store: Store) -> pd.DataFrame:
    """The survey rows that count now."""
    return held.tables(store, 30).accepted.get("survey", pd.DataFrame())


def install_rows(count: int) -> str:
    lines = [f"P1/F{n}/A,2025-03-01,20,20,N·m" for n in range(count)]
    return "connection_id,work_date,required_torque,applied_torque,torque_unit\n" + "\n".join(lines)


__all__ = ["ANN", "BOB", "LATER", "ON", "SURVEY", "Path", "RiskscopeError", "add", "number"]
