"""The declarations hold together."""

from __future__ import annotations

import pytest

from riskscope.intake.layout.headers import fold, understand
from riskscope.schema import TABLES
from riskscope.units import UNITS

COLUMNS = [(table, column) for table in TABLES.values() for column in table.columns]
KINDS = {"id", "text", "number", "integer", "date", "time", "choice", "flag", "range", "file"}


@pytest.mark.parametrize(("table", "column"), COLUMNS, ids=lambda x: x.name)
def test_column_is_complete(table: object, column: object) -> None:
    assert column.kind in KINDS  # type: ignore[attr-defined]
    assert column.help.endswith(".") or column.help.endswith("…")  # type: ignore[attr-defined]
    assert (column.choices is not None) == (column.kind == "choice")  # type: ignore[attr-defined]
    assert column.quantity is None or column.quantity in UNITS  # type: ignore[attr-defined]


@pytest.mark.parametrize(("table", "column"), COLUMNS, ids=lambda x: x.name)
def test_own_name_is_understood(table: object, column: object) -> None:
    found = understand(column.name, table)  # type: ignore[arg-type,attr-defined]
    assert found is not None
    assert found[0] is column


@pytest.mark.parametrize("table", TABLES.values(), ids=lambda t: t.name)
def test_no_synonym_means_two_columns_but_load(table: object) -> None:
    """ "Load" alone is a percentage by its header, or a current by its unit."""
    seen: dict[str, str] = {}
    for column in table.columns:  # type: ignore[attr-defined]
        for word in {fold(word) for word in column.synonyms}:
            assert word not in seen, f"{word}: {seen.get(word)} and {column.name}"
            seen[word] = column.name


@pytest.mark.parametrize("table", TABLES.values(), ids=lambda t: t.name)
def test_keys_are_columns(table: object) -> None:
    assert set(table.key) <= {column.name for column in table.columns}  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("header", "table", "column", "unit"),
    [
        ("Load (%)", "survey", "load_pct", "%"),
        ("LOAD %", "survey", "load_pct", "%"),
        ("% load", "survey", "load_pct", "%"),
        ("Load (A)", "survey", "load_a", "A"),
        ("Load current [A]", "survey", "load_a", "A"),
        ("Temp °F", "survey", "connection_c", "°F"),
        ("Connection temp (deg C)", "survey", "connection_c", "°C"),
        ("Ambient", "survey", "ambient_c", None),
        ("Rise over ambient, K", "survey", "rise_ambient_k", "K"),
        ("Delta-T similar (°F)", "survey", "rise_similar_k", "°F"),
        ("Applied torque N·m", "installs", "applied_torque", "N·m"),
        ("Required (in-lb)", "installs", "required_torque", "lbf·in"),
        ("Wrench ID", "installs", "tool_id", None),
        ("Cal. date", "tools", "calibrated_on", None),
        ("Distance (ft)", "survey", "distance_m", "ft"),
        ("Panel", "survey", "equipment", None),
    ],
)
def test_headers_as_people_write_them(header: str, table: str, column: str, unit: str | None) -> None:
    found = understand(header, TABLES[table])
    assert found is not None
    assert (found[0].name, found[1]) == (column, unit)


@pytest.mark.parametrize("header", ["Zzz", "Phase A", "Load kW", "", "Temperature trend"])
def test_headers_that_mean_nothing_we_know(header: str) -> None:
    assert understand(header, TABLES["survey"]) is None
