"""Sheets to fill in on site come back: what was filled in is read, what was not is set aside, nothing is refused."""

from __future__ import annotations

import io
from pathlib import Path

import openpyxl
import pytest

import riskscope
from riskscope.analysis.assess import assess
from riskscope.intake.files import Source
from riskscope.intake.read import read_files, read_frames
from riskscope.report.documents import sheets
from riskscope.results import years
from riskscope.results.tables import results
from riskscope.schema.tables import WHY
from riskscope.words.render import Units
from tests import of_demo
from tests.build import ON, good_record, phases

FILLED = {
    "survey": {"survey_date": "2026-06-01", "connection_c": 41.0, "ambient_c": 30.0, "load_pct": 80},
    "findings": {"work_date": "2026-06-01", "as_found": "tight", "action": "none"},
}


@pytest.fixture(scope="module")
def demo() -> riskscope.Assessment:
    return of_demo.ranked()


def made(demo: riskscope.Assessment, table: str) -> bytes:
    if table == "survey":
        return sheets.field_sheet(years.due(demo), demo.connections)
    lists = results(demo, Units())
    return sheets.findings_sheet(lists["retighten_first"], lists["other_actions"], demo.connections)


@pytest.mark.parametrize("table", FILLED)
def test_a_sheet_filled_in_for_one_comes_back_without_a_refusal(
    table: str, demo: riskscope.Assessment, tmp_path: Path
) -> None:
    book = openpyxl.load_workbook(io.BytesIO(made(demo, table)))
    page = book[table]
    head = [cell.value for cell in page[1]]
    count = page.max_row - 1
    assert count > 20
    name = page.cell(3, head.index("connection_id") + 1).value
    for column, value in FILLED[table].items():
        page.cell(3, head.index(column) + 1).value = value
    path = tmp_path / f"{table}.xlsx"
    book.save(path)
    tables = read_files([Source(path)], on=ON)
    counts = tables.counts[table]
    assert (counts["accepted"], counts["rejected"], counts["set_aside"]) == (1, 0, count)
    assert tables[table]["connection_id"].tolist() == [name]
    assert set(tables.refused["reason"]) == {"header", "not filled in"}


def test_the_field_sheet_says_why_each_is_on_it(demo: riskscope.Assessment) -> None:
    page = openpyxl.load_workbook(io.BytesIO(made(demo, "survey")))["survey"]
    head = [cell.value for cell in page[1]]
    why = {row[head.index("connection_id")]: row[head.index(WHY)] for row in page.iter_rows(2, values_only=True)}
    assert why["MSB/F1/A"] == "NOW: open finding; look again (open)"
    assert why["MSB/F1/B"] == why["MSB/F1/C"] == "to compare with", "a joint read alone cannot be rated"
    names = list(why)
    assert names.index("MSB/F1/C") == names.index("MSB/F1/A") + 2


def test_where_nothing_is_due_the_sheet_is_empty() -> None:
    readings = phases(34.0, 35.0, 34.5, ambient_c=30.0, load_pct=80)
    site = assess(read_frames(on=ON, survey=readings, **good_record(*"ABC")), on=ON)
    due = years.due(site)
    assert due.empty
    page = openpyxl.load_workbook(io.BytesIO(sheets.field_sheet(due, site.connections)))["survey"]
    assert [row[0] for row in page.iter_rows(2, values_only=True) if row[0]] == []
