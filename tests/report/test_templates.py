"""Templates: filled in by a person and read back without loss."""

from __future__ import annotations

import datetime as dt
import io
from pathlib import Path
from typing import Any

import openpyxl
import pandas as pd
import pytest

from riskscope.cli.main import run
from riskscope.intake.files import Source
from riskscope.intake.options import ReadOptions
from riskscope.intake.read import read_files
from riskscope.report.documents.templates import template
from riskscope.schema import TABLES, Column

ON = dt.date(2026, 6, 1)


def sample(column: Column) -> Any:
    """A value a person might put into a column, within its bounds."""
    if column.name == "torque_unit":
        return "N·m"
    if column.choices:
        return next(iter(column.choices))
    if column.kind == "date":
        return dt.date(2026, 5, 14)
    if column.kind == "time":
        return dt.time(14, 30)
    if column.kind == "flag":
        return "no"
    if column.kind == "range":
        return "30-40"
    if column.name == "load_pct":
        return 85
    if column.kind in {"number", "integer"}:
        low = column.low if column.low is not None else 0.0
        high = column.high if column.high is not None else 10.0
        value = min(low + 2, high) if column.kind == "integer" else min(low + (high - low) / 7, low + 20.5)
        return int(value) if column.kind == "integer" else round(value, 3)
    return f"some {column.name}"


def stored(column: Column, value: Any) -> list[Any]:
    if column.kind == "date":
        return [pd.Timestamp(value)]
    if column.kind == "time":
        return [14 * 60 + 30]
    if column.kind == "range":
        return [30.0, 40.0]
    return [value]


@pytest.mark.parametrize("table", TABLES.values(), ids=lambda t: t.name)
def test_filled_in_and_read_back(table: Any, tmp_path: Path) -> None:
    book = openpyxl.load_workbook(io.BytesIO(template(table)))
    page = book[table.name]
    assert [cell.value for cell in page[1]] == [column.name for column in table.columns]
    for position, column in enumerate(table.columns, 1):
        page.cell(2, position).value = sample(column)
    book.save(tmp_path / "filled.xlsx")
    intake = read_files([Source(tmp_path / "filled.xlsx", ReadOptions(table=table.name))], on=ON)
    counts = intake.counts[table.name]
    assert (counts["read"], counts["accepted"], counts["set_aside"]) == (2, 1, 1)
    [row] = intake[table.name].to_dict("records")
    for column in table.columns:
        expected = stored(column, sample(column))
        assert [row[name] for name in column.fills] == [
            pytest.approx(value) if isinstance(value, float) else value for value in expected
        ], column.name


@pytest.mark.parametrize("table", TABLES.values(), ids=lambda t: t.name)
def test_every_column_has_its_note_and_choices(table: Any) -> None:
    page = openpyxl.load_workbook(io.BytesIO(template(table)))[table.name]
    lists = {
        next(iter(cells.ranges)).min_col: rule.formula1
        for rule in page.data_validations.dataValidation
        for cells in [rule.sqref]
        if rule.type == "list"
    }
    for position, column in enumerate(table.columns, 1):
        assert column.help in page.cell(1, position).comment.text
        if column.choices and len(",".join(column.choices)) <= 255:
            assert lists[position].strip('"').split(",") == list(column.choices)


def test_template_with_the_connections_of_a_register(tmp_path: Path, capsys: pytest.CaptureFixture) -> None:
    register = tmp_path / "connections.csv"
    register.write_text("connection_id,equipment,phase,rated_a\nA,B1,L1,100\n=B,B1,L2,160\n", "utf-8")
    out = tmp_path / "survey.xlsx"
    arguments = ["template", "survey", "--connections", str(register), "--out", str(out)]
    assert run(arguments) == 0
    assert "2 connections filled in" in capsys.readouterr().out
    page = openpyxl.load_workbook(out)["survey"]
    headers = [cell.value for cell in page[1]]
    values = [page.cell(line, headers.index("connection_id") + 1).value for line in (2, 3)]
    assert values == ["A", "=B"]
    assert page.cell(3, headers.index("connection_id") + 1).data_type == "s"
    assert page.cell(2, headers.index("rated_a") + 1).value == 100
    assert run(arguments) == 1
    assert "already exists" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "words"),
    [(["template", "paint", "--out", "x.xlsx"], "Invalid value"),
     (["template", "survey", "--out", "x.csv"], "must end in .xlsx"),
     (["template", "tools", "--connections", "r.csv", "--out", "x.xlsx"], "no connections to fill in")],
)  # fmt: skip
def test_wrong_use(
    arguments: list[str], words: str, capsys: pytest.CaptureFixture, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(arguments) == 2
    assert words in capsys.readouterr().err
