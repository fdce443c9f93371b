"""XLSX as people keep them, and those that would hurt the reader."""

from __future__ import annotations

import contextlib
import datetime as dt
import io
import zipfile
from collections.abc import Callable
from pathlib import Path
from random import Random
from typing import Any

import openpyxl
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from riskscope.errors import Ambiguous, RiskscopeError, UnusableInput
from riskscope.intake.files import Source
from riskscope.intake.options import Limits, ReadOptions
from riskscope.intake.read import grids_apart, read_files
from riskscope.intake.readers import xlsx
from riskscope.intake.readers.by_ending import grids
from riskscope.schema.tables import Tables
from tests.examples import examples

ON = dt.date(2026, 6, 1)
HEAD = ["connection_id", "survey_date", "connection_c", "ambient_c", "load_pct"]
ROW: list[Any] = ["A", dt.date(2026, 5, 4), 40.5, 30, 50]


def book(tmp_path: Path, name: str = "survey.xlsx", **sheets: list[list[Any]]) -> Path:
    made = openpyxl.Workbook()
    made.remove(made.active)
    for title, rows in sheets.items():
        page = made.create_sheet(title)
        for row in rows:
            page.append(row)
    path = tmp_path / name
    made.save(path)
    return path


def read(path: Path, **read_options: Any) -> Tables:
    return read_files([Source(path, ReadOptions(**read_options))], on=ON)


def test_typed_cells(tmp_path: Path) -> None:
    rows = [HEAD, ROW, ["B", dt.datetime(2026, 5, 4, 14, 30), "41,5", 30, None]]  # noqa: DTZ001
    intake = read(book(tmp_path, Sheet1=rows))
    frame = intake["survey"]
    assert frame["survey_date"].dt.strftime("%Y-%m-%d").tolist() == ["2026-05-04", "2026-05-04"]
    assert frame["survey_time"].iloc[1] == 14 * 60 + 30
    assert frame["source_line"].tolist() == [2, 3]


def test_title_rows_above_and_merged(tmp_path: Path) -> None:
    path = book(tmp_path, Sheet1=[["Infrared survey, May"], [], HEAD, ROW, ["Total", None, 40.5]])
    made = openpyxl.load_workbook(path)
    made["Sheet1"].merge_cells("A1:E1")
    made.save(path)
    intake = read(path)
    assert intake["survey"]["source_line"].tolist() == [4]
    assert intake.refused["reason"].tolist() == ["above the header", "header", "totals"]


def test_percent_cells_are_fractions_in_the_file(tmp_path: Path) -> None:
    """A cell shown as 85 % holds 0.85."""
    path = book(tmp_path, Sheet1=[HEAD, [*ROW[:4], 0.85]])
    made = openpyxl.load_workbook(path)
    made["Sheet1"]["E2"].number_format = "0%"
    made.save(path)
    intake = read(path)
    assert intake["survey"]["load_pct"].tolist() == [85.0]
    assert any("fractions of full load" in note.text for note in intake.notes)


def test_two_sheets_that_both_fit_ask(tmp_path: Path) -> None:
    path = book(tmp_path, May=[HEAD, ROW], June=[HEAD, ROW])
    with pytest.raises(Ambiguous, match="sheets 'May', 'June' all fit table survey") as caught:
        read(path)
    assert "--sheet NAME, or --sheet all" in str(caught.value)
    assert len(read(path, sheet="May")["survey"]) == 1
    assert len(read(path, sheet="all")["survey"]) == 2


def test_several_tables_in_one_workbook(tmp_path: Path) -> None:
    tools = [["tool_id", "calibrated_on"], ["T1", dt.date(2026, 1, 1)]]
    intake = read(book(tmp_path, "works.xlsx", survey=[HEAD, ROW], tools=tools, remarks=[["see May"]]))
    assert set(intake) == {"survey", "tools"}
    assert any(note.kind == "not read" and note.sheet == "remarks" for note in intake.notes)


def test_no_such_sheet_names_the_sheets(tmp_path: Path) -> None:
    with pytest.raises(UnusableInput, match="has no sheet 'Mai'; its sheets are May"):
        read(book(tmp_path, May=[HEAD, ROW]), sheet="Mai")


def zipped(parts: dict[str, bytes]) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in parts.items():
            archive.writestr(name, data)
    return buffer.getvalue()


def workbook(sheet: bytes) -> bytes:
    """A workbook with one sheet of this XML."""
    main = b"http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    rel = b"http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    package = b"http://schemas.openxmlformats.org/package/2006/"
    kinds = b"application/vnd.openxmlformats-officedocument.spreadsheetml."
    return zipped(
        {
            "[Content_Types].xml": b'<Types xmlns="' + package + b'content-types"><Default Extension="rels" '
            b'ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Override '
            b'PartName="/xl/workbook.xml" ContentType="' + kinds + b'sheet.main+xml"/><Override '
            b'PartName="/xl/worksheets/sheet1.xml" ContentType="' + kinds + b'worksheet+xml"/></Types>',
            "_rels/.rels": b'<Relationships xmlns="'
            + package
            + b'relationships"><Relationship Id="r1" Type="'
            + rel
            + b'/officeDocument" Target="xl/workbook.xml"/></Relationships>',
            "xl/workbook.xml": b'<workbook xmlns="'
            + main
            + b'" xmlns:r="'
            + rel
            + b'"><sheets><sheet name="S" sheetId="1" r:id="r1"/></sheets></workbook>',
            "xl/_rels/workbook.xml.rels": b'<Relationships xmlns="'
            + package
            + b'relationships"><Relationship Id="r1" Type="'
            + rel
            + b'/worksheet" Target="worksheets/sheet1.xml"/></Relationships>',
            "xl/worksheets/sheet1.xml": b'<worksheet xmlns="'
            + main
            + b'"><sheetData>'
            + sheet
            + b"</sheetData></worksheet>",
        }
    )


def far_cells() -> bytes:
    return workbook(b'<row r="1"><c r="A1"><v>1</v></c></row><row r="1048576"><c r="XFD1048576"><v>1</v></c></row>')


def far_cells_without_row_numbers() -> bytes:
    return workbook(b"<row><c r='A1'><v>1</v></c></row><row><c s='1' r='ZZ900000'><v>1</v></c></row>")


def bomb() -> bytes:
    return workbook(b'<row r="1"><c r="A1"><v>1</v></c></row>' + b" " * 60_000_000)


def not_a_workbook() -> bytes:
    return zipped({"word/document.xml": b"<x/>"})


def cut_short() -> bytes:
    return far_cells()[:900]


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (far_cells, "spans 1,048,576 rows and 16,384 columns"),
        (far_cells_without_row_numbers, "spans 900,000 rows"),
        (bomb, "packed"),
        (not_a_workbook, "is not an XLSX workbook"),
        (cut_short, "is not an XLSX workbook"),
    ],
    ids=lambda value: value.__name__ if callable(value) else "",
)
def test_workbook_that_would_hurt_the_reader_is_refused(make: Callable[[], bytes], words: str) -> None:
    data = make()
    assert len(data) < 100_000
    with pytest.raises(UnusableInput, match=words):
        xlsx.read(data, "bad.xlsx", Limits())


def test_limits_are_settings() -> None:
    small = workbook(b'<row r="7"><c r="C7"><v>1</v></c></row>')
    assert len(xlsx.read(small, "x.xlsx", Limits())) == 1
    with pytest.raises(UnusableInput, match="spans 7 rows"):
        xlsx.read(small, "x.xlsx", Limits(max_rows=6))


def test_read_apart_equals_read_here(tmp_path: Path) -> None:
    path = book(tmp_path, May=[HEAD, ROW])
    here = grids(path.read_bytes(), path.name, ReadOptions(), Limits())
    apart = grids_apart(path.read_bytes(), path.name, ReadOptions(), Limits())
    pd.testing.assert_frame_equal(here[0].cells, apart[0].cells)


def test_read_apart_raises_the_same_sentence() -> None:
    with pytest.raises(UnusableInput, match=r"bad.xlsx: spans 1,048,576 rows"):
        grids_apart(far_cells(), "bad.xlsx", ReadOptions(), Limits())


def test_reader_that_takes_too_much_memory_dies_alone() -> None:
    """A file within every other limit, in a reader allowed next to nothing."""
    text = ("a,b,c\n" + "1,2,3\n" * 300_000).encode()
    with pytest.raises(UnusableInput, match="could not be read within 10 MB"):
        grids_apart(text, "big.csv", ReadOptions(), Limits(reader_memory_mb=10.0))


def test_a_header_of_a_million_columns_is_refused() -> None:
    with pytest.raises(UnusableInput, match="has 1,000,001 columns"):
        grids(b"," * 1_000_000, "survey.csv", ReadOptions(), Limits())


def test_too_many_rows_are_refused() -> None:
    with pytest.raises(UnusableInput, match="has more than 10 lines"):
        grids(b"a\n" * 12, "survey.csv", ReadOptions(), Limits(max_rows=10))


def test_too_large_a_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "survey.csv").write_bytes(b"x" * 2_000_000)
    with pytest.raises(UnusableInput, match="is 2 MB; at most 1 MB"):
        read_files([Source(tmp_path / "survey.csv")], on=ON, limits=Limits(max_file_mb=1.0))


def test_parquet(tmp_path: Path) -> None:
    frame = pd.DataFrame([ROW], columns=HEAD).assign(survey_date=pd.Timestamp("2026-05-04"))
    frame.to_parquet(tmp_path / "survey.parquet")
    assert read(tmp_path / "survey.parquet")["survey"]["connection_c"].tolist() == [40.5]
    (tmp_path / "survey.parquet").write_bytes(b"PAR1 not really PAR1")
    with pytest.raises(UnusableInput, match="is not a Parquet file"):
        read(tmp_path / "survey.parquet")
    frame.to_parquet(tmp_path / "survey.parquet")
    with pytest.raises(UnusableInput, match="has 1 rows and 5 columns"):
        grids((tmp_path / "survey.parquet").read_bytes(), "survey.parquet", ReadOptions(), Limits(max_columns=4))


@examples(50)
@given(seed=st.integers(0, 10_000), part=st.integers(0, 9), hits=st.integers(1, 12))
def test_damaged_workbooks_raise_only_our_errors(seed: int, part: int, hits: int) -> None:
    """Bytes of one part changed at random, in a zip that is whole."""
    random = Random(seed)
    with zipfile.ZipFile(io.BytesIO(SOUND)) as archive:
        parts = {name: bytearray(archive.read(name)) for name in archive.namelist()}
    name = sorted(parts)[part % len(parts)]
    for _ in range(hits):
        parts[name][random.randrange(len(parts[name]))] = random.randrange(256)
    with contextlib.suppress(RiskscopeError):
        grids(zipped({key: bytes(value) for key, value in parts.items()}), "survey.xlsx", ReadOptions(), Limits())


def _sound() -> bytes:
    made = openpyxl.Workbook()
    page = made.active
    assert page is not None
    page.append(HEAD)
    page.append(ROW)
    buffer = io.BytesIO()
    made.save(buffer)
    return buffer.getvalue()


SOUND = _sound()


@pytest.mark.parametrize(
    "sheet",
    [b'<row><c r ="XFD1048576"><v>1</v></c></row>', b'<row><c r="xfd1048576"><v>1</v></c></row>',
     b'<row><c r="&#88;FD1048576"><v>1</v></c></row>', b'<row><c r="A1"/></row><row><c r="ALL60000"/></row>'],
    ids=["space", "lower case", "entity", "sparse"],
)  # fmt: skip
def test_far_cells_written_oddly_are_refused_too(sheet: bytes) -> None:
    with pytest.raises(UnusableInput):
        xlsx.read(workbook(b'<row r="1"><c r="A1"><v>1</v></c></row>' + sheet), "bad.xlsx", Limits())


def test_far_cells_of_a_sheet_kept_elsewhere_are_refused_too() -> None:
    with zipfile.ZipFile(io.BytesIO(far_cells())) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    parts["xl/other/sheet1.xml"] = parts.pop("xl/worksheets/sheet1.xml")
    rels = "xl/_rels/workbook.xml.rels"
    parts[rels] = parts[rels].replace(b"worksheets/", b"other/")
    with pytest.raises(UnusableInput, match="spans 1,048,576 rows"):
        xlsx.read(zipped(parts), "moved.xlsx", Limits())


@pytest.mark.parametrize("chunk", [64, 97, 200, 5000])
@pytest.mark.parametrize("far", [b"XFD3", b"B1048576", b"xfd3"], ids=["a far column", "a far row", "small letters"])
def test_a_far_cell_is_seen_wherever_the_parts_of_a_sheet_end(
    chunk: int, far: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Sheets are looked over in parts: a cell before, on and after the end of a part counts."""
    monkeypatch.setattr(xlsx, "_CHUNK", chunk)
    near = b"".join(b'<row r="%d"><c r="A%d"><v>1</v></c></row>' % (n, n) for n in (1, 2))
    late = b"".join(b'<row r="%d"><c r="A%d"><v>1</v></c></row>' % (n, n) for n in range(4, 30))
    sheet = near + b'<row><c r="%s"><v>1</v></c></row>' % far + late
    with pytest.raises(UnusableInput, match="spans"):
        xlsx.read(workbook(sheet), "bad.xlsx", Limits(max_rows=1000, max_columns=1000))


def test_a_place_written_with_an_entity_is_refused_and_one_in_a_text_is_not() -> None:
    odd = b'<row r="1"><c r="A&#49;"><v>1</v></c></row>'
    with pytest.raises(UnusableInput, match="written oddly"):
        xlsx.preflight(workbook(odd), "bad.xlsx", Limits())
    text = b'<row r="1"><c r="A1" t="inlineStr"><is><t>salt &amp; water</t></is></c></row>'
    xlsx.preflight(workbook(text), "good.xlsx", Limits())
