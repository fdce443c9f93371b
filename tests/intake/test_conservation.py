"""Nothing is lost: read = accepted + rejected + set aside, counted by an independent reader."""

from __future__ import annotations

import contextlib
import csv
import datetime as dt
import io
import json

import openpyxl
import pandas as pd
from hypothesis import given
from hypothesis import strategies as st

from riskscope.errors import RiskscopeError
from riskscope.intake.check import CheckedSheet
from riskscope.intake.files import FileContent
from riskscope.intake.options import Limits, ReadOptions
from riskscope.intake.read import check_file
from riskscope.intake.readers.by_ending import grids
from riskscope.schema import TABLES
from tests.examples import examples

ON = dt.date(2026, 6, 1)
HEAD = ["connection_id", "survey_date", "connection_c", "Ambient (°C)", "load_pct", "my own"]
cell_text = st.sampled_from(
    [
        "",
        " ",
        "A",
        "a ",
        "B-1",
        "Total",
        "sum",
        "2026-05-04",
        "4/5/2026",
        "46146",
        "40",
        "40.5",
        "40,5",
        "-5",
        ">250",
        "OL",
        "N/A",
        "1,234",
        "72 °F",
        "85%",
        "0.85",
        "=1+1",
        "x\ny",
        'say "so"',
        "§",
        "١٢",
        "connection_id",
        "1e400",
        "nan",
        "inf",
        "--5",
        "12:30",
        "\u200b",
        "null",
    ]
)
row = st.lists(cell_text, min_size=0, max_size=8)
sensible = st.tuples(
    st.sampled_from("ABCDE"),
    st.just("2026-05-04"),
    st.sampled_from(["40", "41.5", "OL", ""]),
    st.just("30"),
    st.sampled_from(["50", "85", ""]),
    st.sampled_from(["", "note"]),
).map(list)
body = st.lists(st.one_of(row, sensible, sensible, st.just(HEAD)), min_size=1, max_size=25)
above = st.lists(st.sampled_from([["Survey of May"], [""], []]), max_size=3)
quick = examples(25)


def checked(data: bytes, name: str) -> list[CheckedSheet]:
    read_options = ReadOptions(table="survey", day_first=True, decimal="point", temperature_unit="C", load="percent")
    return check_file(FileContent(name, data, read_options), on=ON, limits=Limits(), reader=grids).sheets


def conserve(sheet: CheckedSheet, physical: list[list[str]]) -> None:
    """Every physical record is in one of the three, and every cell that is not blank is found again."""
    counts = sheet.counts
    assert counts["read"] == len(physical)
    assert counts["read"] == counts["accepted"] + counts["rejected"] + counts["set_aside"]
    by_line = {int(line): cells for line, cells in zip(sheet.grid.line, physical, strict=True)}
    used = set(sheet.accepted["source_line"])
    listed = set(sheet.rejected["line"])
    assert not used & listed
    for line, cells in by_line.items():
        filled = [cell for cell in cells if cell.strip()]
        if line in listed:
            kept = json.loads(sheet.rejected.loc[sheet.rejected["line"] == line, "cells"].iloc[0])
            assert [cell for cell in kept if cell.strip()] == filled
        elif line not in used:
            assert not filled, cells
    extras = [name for name in sheet.accepted if name.startswith("extra: ")]
    positions = sheet.headers.unknown
    for _, accepted in sheet.accepted.iterrows():
        cells = by_line[int(accepted["source_line"])]
        for position, header in positions.items():
            if position < len(cells) and cells[position].strip():
                assert f"extra: {header}" in extras
                assert accepted[f"extra: {header}"] == cells[position].strip().replace("\u00a0", " ")


@quick
@given(above=above, rows=body, separator=st.sampled_from([",", ";", "\t"]))
def test_text_files(above: list[list[str]], rows: list[list[str]], separator: str) -> None:
    buffer = io.StringIO()
    writer = csv.writer(buffer, delimiter=separator, lineterminator="\n")
    writer.writerows([*above, HEAD, *rows])
    text = buffer.getvalue()
    try:
        sheets = checked(text.encode(), "survey.csv")
    except RiskscopeError:
        return
    [sheet] = sheets
    physical = list(csv.reader(io.StringIO(text), delimiter=sheet.grid.separator))
    conserve(sheet, physical)


@examples(12)
@given(above=above, rows=body)
def test_workbooks(above: list[list[str]], rows: list[list[str]]) -> None:
    made = openpyxl.Workbook()
    page = made.active
    assert page is not None
    page.title = "survey"
    for line, cells in enumerate([*above, HEAD, *rows], 1):
        for column, cell in enumerate(cells, 1):
            if cell:
                page.cell(line, column).value = cell
                page.cell(line, column).data_type = "s"
    buffer = io.BytesIO()
    made.save(buffer)
    try:
        [sheet] = checked(buffer.getvalue(), "survey.xlsx")
    except RiskscopeError:
        return
    again = openpyxl.load_workbook(io.BytesIO(buffer.getvalue()))["survey"]
    physical = [["" if c is None else str(c) for c in cells] for cells in again.iter_rows(values_only=True)]
    conserve(sheet, physical)


@examples(100)
@given(data=st.binary(max_size=400), ending=st.sampled_from([".csv", ".xlsx", ".parquet", ".tsv", ".doc"]))
def test_arbitrary_bytes_raise_only_our_errors(data: bytes, ending: str) -> None:
    with contextlib.suppress(RiskscopeError):
        checked(data, f"survey{ending}")


@examples(60)
@given(text=st.text(max_size=300), table=st.sampled_from(sorted(TABLES)))
def test_arbitrary_text_raises_only_our_errors(text: str, table: str) -> None:
    head = ",".join(column.name for column in TABLES[table].columns[:6])
    data = f"{head}\n{text}".encode("utf-8", "ignore")
    with contextlib.suppress(RiskscopeError):
        check_file(FileContent("x.csv", data, ReadOptions(table=table)), on=ON, limits=Limits(), reader=grids)


@quick
@given(cells=st.lists(st.tuples(cell_text, cell_text, cell_text), min_size=1, max_size=8))
def test_wide_sheets_keep_every_reading(cells: list[tuple[str, str, str]]) -> None:
    """Each phase cell that is not blank is a reading that is accepted or rejected, or its row set aside."""
    lines = [["Panel", "Circuit", "Date", "A (°C)", "B (°C)", "C (°C)"]]
    lines += [["P", f"F{n}", "2026-05-04", *row_] for n, row_ in enumerate(cells)]
    buffer = io.StringIO()
    csv.writer(buffer, lineterminator="\n").writerows(lines)
    try:
        [sheet] = checked(buffer.getvalue().encode(), "survey.csv")
    except RiskscopeError:
        return
    readings = sum(bool(cell.strip()) for row_ in cells for cell in row_)
    empty = sum(not any(cell.strip() for cell in row_) for row_ in cells)
    assert sheet.counts["read"] == 1 + readings + empty
    assert sheet.counts["read"] == sum(sheet.counts[k] for k in ("accepted", "rejected", "set_aside"))
    found = pd.concat([sheet.accepted["source_line"], sheet.rejected["line"]])
    filled = {n + 2 for n, row_ in enumerate(cells) if any(cell.strip() for cell in row_)}
    assert filled <= set(found) or any("\n" in cell for row_ in cells for cell in row_)
