"""Every step reads and writes what it says."""

from __future__ import annotations

import importlib

import numpy as np
import pandas as pd
import pytest

import riskscope
from riskscope.analysis.assess import INTERIM, OF_WALK, assess, assess_readings
from riskscope.analysis.frames import with_columns
from riskscope.analysis.like_places import COLUMNS as LIKE
from riskscope.analysis.like_places import LINE, LUGS, MADE_OF, WHERE
from riskscope.analysis.proof.devices import all_visits
from riskscope.analysis.proof.heat import PERHAPS_TIGHT
from riskscope.analysis.proof.visits import settled
from riskscope.analysis.steps.connections import PROOF, REFUSED
from riskscope.intake.read import read_frames
from riskscope.schema import TABLES
from riskscope.settings import Settings
from riskscope.standards import severity as standard_severity
from tests.build import ON, good_record, phases

STEPS = (
    "temperatures",
    "load",
    "rises",
    "siblings",
    "differences",
    "limits",
    "patterns",
    "severity",
    "urgency",
    "records",
    "history",
    "actions",
    "work_states",
)
GIVEN = set(TABLES["survey"].stored) | {
    "register_rated_a",
    "id_rank",
    "other_readings",
    "hottest_other_c",
    *PERHAPS_TIGHT,
    "source_file",
    *LIKE.values(),
    *WHERE.values(),
    *MADE_OF.values(),
    LINE,
    LUGS,
}


def module(step: str):
    return importlib.import_module(f"riskscope.analysis.steps.{step}")


@pytest.fixture(scope="module")
def tables() -> riskscope.intake.read.Tables:  # type: ignore[name-defined]
    return read_frames(on=ON, survey=phases(62.0, 35.0, 34.0, ambient_c=30.0, load_pct=60), **good_record("A", "B"))


def test_every_column_read_was_written_before() -> None:
    known = GIVEN | {"surveyed", "not read this time", *PROOF, *REFUSED} | set(TABLES["connections"].stored)
    for step in STEPS:
        lacking = set(module(step).READS) - known
        assert not lacking, f"{step} reads {sorted(lacking)}"
        known |= set(module(step).WRITES)


@pytest.mark.parametrize("step", STEPS)
def test_every_column_written_is_there_in_the_end(step: str, tables: object) -> None:
    made = assess(tables, on=ON).connections  # type: ignore[arg-type]
    assert set(module(step).WRITES) - {*INTERIM, *OF_WALK} <= set(made.columns)


@pytest.mark.parametrize("step", ["load", "rises", "siblings"])
def test_step_needs_no_other_column(step: str, tables: object) -> None:
    """A step given only what it says it reads gives the same."""
    every = all_visits(settled(tables), tables.refused, ON)  # type: ignore[attr-defined, arg-type]
    how = {"on": ON, "settings": Settings(), "criteria": standard_severity.load()}
    frame = assess_readings(tables, tables.refused, every, **how)  # type: ignore[arg-type, attr-defined]
    parts = dict.fromkeys([*LIKE.values(), *WHERE.values(), *MADE_OF.values(), LUGS], -1)
    frame = with_columns(frame, {"register_rated_a": np.nan, **parts, LINE: True})
    run = getattr(module(step), step)
    wanted = [name for name in module(step).READS if name in frame]
    full, narrow = run(frame, Settings()), run(frame[wanted], Settings())
    assert set(full) == set(module(step).WRITES)
    for name, values in full.items():
        pd.testing.assert_series_equal(pd.Series(values), pd.Series(narrow[name]))
