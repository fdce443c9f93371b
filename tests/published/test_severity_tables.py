"""Every printed edge of the severity tables, from temperatures as a person types them.

Sources: ANSI/NETA ATS-2003 table 100.18 (same figures in MTS-2011), verified; MIL-STD-2194 (SH) as
reported in training material, secondary; the training scale of four levels, secondary. What lies
between two printed whole degrees is our rule: the worse.
"""

from __future__ import annotations

import csv
import functools
from decimal import Decimal
from pathlib import Path

import pandas as pd
import pytest

from riskscope.standards import severity
from tests.build import assess, survey

EDGES = list(csv.DictReader((Path(__file__).parent / "severity_edges.csv").read_text("utf-8").splitlines()))
COLD_C = Decimal("20.2")  # 35.2 - 20.2 is not 15 in binary


def typed(edge: dict[str, str], unit: str) -> dict[str, str]:
    """The two temperatures as digits in °C or °F, with the load at 100 %."""
    rise = Decimal(edge["rise_k"])
    low, high = COLD_C, COLD_C + rise
    if unit == "F":
        low, high = (value * 9 / 5 + 32 for value in (low, high))
    return {"connection_c": str(high), "similar_c" if edge["basis"] == "similar" else "ambient_c": str(low)}


@functools.cache
def as_typed(criteria: str, unit: str) -> pd.DataFrame:
    """Every edge of a table, each a connection without siblings."""
    rows = [
        {
            "connection_id": f"{edge['basis']} {edge['rise_k']}",
            **{f"{name.removesuffix('_c')} temp ({unit})": value for name, value in typed(edge, unit).items()},
        }
        for edge in EDGES
        if edge["criteria"] == criteria
    ]
    return assess(survey(*rows, load_pct=100, circuit=None), criteria=severity.load(criteria))


@pytest.mark.parametrize("unit", ["C", "F"])
@pytest.mark.parametrize("edge", EDGES, ids=lambda e: f"{e['criteria']} {e['basis']} {e['rise_k']}")
def test_edge_as_typed(edge: dict[str, str], unit: str) -> None:
    found = as_typed(edge["criteria"], unit).loc[f"{edge['basis']} {edge['rise_k']}"]
    assert found["severity_as_found"] == int(edge["severity"]), edge["printed"]


@pytest.mark.parametrize("edge", EDGES, ids=lambda e: f"{e['criteria']} {e['basis']} {e['rise_k']}")
def test_edge_of_the_look_up(edge: dict[str, str]) -> None:
    table = severity.load(edge["criteria"])
    assert table.severity(edge["basis"], float(edge["rise_k"])) == int(edge["severity"])


def test_every_printed_edge_is_checked() -> None:
    for table in severity.published().values():
        for band in table.bands:
            checked = [float(e["rise_k"]) for e in EDGES if e["criteria"] == table.name and e["basis"] == band.basis]
            assert band.from_k in checked
            assert band.up_to_k is None or band.up_to_k in checked


def test_table_without_an_ambient_column_does_not_rate_by_air() -> None:
    found = assess(
        survey({"connection_id": "A", "load_pct": 80, "connection_c": 60.0, "ambient_c": 30.0}),
        criteria=severity.load("mil-std-2194"),
    )
    assert pd.isna(found.loc["A", "severity"])
