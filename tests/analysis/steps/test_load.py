"""Load of a reading: which current, which full load, how sure; and the flags on their edges."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import pytest

from tests.build import assess, survey


def one(**row: Any) -> pd.Series:
    return assess(survey({"connection_id": "A", "connection_c": 40.0, "ambient_c": 30.0, **row}, circuit=None)).loc["A"]


@pytest.mark.parametrize(
    ("row", "fraction", "source"),
    [
        ({"load_a": 50, "max_load_a": 100, "setting_a": 125, "rated_a": 200}, 0.5, "max_load_a"),
        ({"load_a": 50, "setting_a": 125, "rated_a": 200}, 0.4, "setting_a"),
        ({"load_a": 50, "rated_a": 200}, 0.25, "rated_a"),
        ({"load_pct": 80}, 0.8, "load_pct"),
        ({"load_pct": 80, "load_a": 50, "rated_a": 100}, 0.5, "rated_a"),
        ({"load_pct": 80, "load_a": 50}, 0.8, "load_pct"),
        ({"load_a": 0}, 0.0, ""),
        ({"load_a": 50}, None, ""),
    ],
    ids=["highest expected", "setting", "rating", "percent", "ampere before percent", "ampere without a full load",
         "none flows", "unknown"],
)  # fmt: skip
def test_current_over_full_load(row: dict[str, Any], fraction: float | None, source: str) -> None:
    found = one(**row)
    assert found["full_load_from"] == source
    assert (pd.isna(found["load_fraction"]) and fraction is None) or found["load_fraction"] == pytest.approx(fraction)
    assert found["load unknown"] == (fraction is None)
    assert found["not loaded"] == (fraction == 0.0)


@pytest.mark.parametrize(
    ("row", "overload", "fraction"),
    [
        ({"load_a": 110, "max_load_a": 150, "rated_a": 100}, True, 1.10),
        ({"load_a": 100, "max_load_a": 80, "rated_a": 100}, False, 1.00),
        ({"load_pct": 101}, True, 1.01),
        ({"load_pct": 100}, False, 1.00),
    ],
    ids=["over its rating, below what is expected", "at its rating, over what is expected", "percent", "full load"],
)
def test_overload_is_over_the_rating_else_over_full_load(row: dict[str, Any], overload: bool, fraction: float) -> None:
    found = one(**row)
    assert found["overload"] == overload
    assert found["overload_fraction"] == pytest.approx(fraction)


@pytest.mark.parametrize(
    ("source", "u"), [("measured", 0.03), ("display", 0.05), ("estimated", 0.15), ("unknown", 0.10), ("", 0.03)]
)
def test_how_well_a_load_is_known(source: str, u: float) -> None:
    assert one(load_pct=80, load_source=source)["u_load"] == u


@pytest.mark.parametrize(
    ("row", "flag", "raised"),
    [
        ({"load_pct": 40}, "low load", False),
        ({"load_pct": 39.9}, "low load", True),
        ({"load_pct": 0}, "low load", False),
        ({"load_pct": 80, "load_steady_min": 30}, "unsteady", False),
        ({"load_pct": 80, "load_steady_min": 29}, "unsteady", True),
        ({"load_pct": 80}, "unsteady", False),
    ],
)
def test_flags_on_their_edges(row: dict[str, Any], flag: str, raised: bool) -> None:
    found = one(**row)
    assert found[flag] == raised
    assert found["unfit"] == ((raised and flag == "unsteady") or row["load_pct"] == 0)


@pytest.mark.parametrize(
    ("row", "only"),
    [
        ({"load_pct": 80}, False),
        ({}, True),
        ({"load_pct": 80, "load_steady_min": 5}, True),
        ({"load_pct": 0, "load_steady_min": 5}, False),
    ],
    ids=["steady", "unknown", "unsteady", "no load"],
)
def test_what_is_rated_as_found_only(row: dict[str, Any], only: bool) -> None:
    found = one(**row)
    assert found["as_found_only"] == only
    scale = found["scale_fraction"]
    expected = np.nan if row.get("load_pct") == 0 else 1.0 if only else 0.8
    assert scale == pytest.approx(expected, nan_ok=True)
    assert (found["u_load"] == 0.0) == only


@pytest.mark.parametrize(
    ("row", "ambient", "similar"),
    [
        ({"similar_c": 33.0, "rise_ambient_k": 4, "rise_similar_k": 3}, 10.0, 7.0),
        ({"connection_c": None, "ambient_c": None, "rise_ambient_k": 4, "rise_similar_k": 3}, 4.0, 3.0),
        ({"ambient_c": None, "rise_ambient_k": 4}, 4.0, None),
    ],
    ids=["temperatures win", "rises alone", "a rise where a temperature is missing"],
)
def test_rises_as_found(row: dict[str, Any], ambient: float, similar: float | None) -> None:
    found = one(load_pct=80, **row)
    assert found["rise_ambient_found_k"] == ambient
    assert found["rise_surveyor_k"] == similar or (similar is None and pd.isna(found["rise_surveyor_k"]))
