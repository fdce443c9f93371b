"""XLSX workbooks: looked over before the fast reader opens them, then read as grids of text."""

from __future__ import annotations

import datetime as dt
import io
import re
import string
import zipfile
import zlib
from collections.abc import Iterator

import numpy as np
import pandas as pd
import pyarrow as pa
from pyarrow import compute as pc

from riskscope.errors import UnusableInput
from riskscope.intake.grid import Grid
from riskscope.intake.options import Limits

_REFERENCE = re.compile(rb"""\br\s*=\s*["']\s*([A-Za-z]{1,3}[0-9]{1,7})\s*["']""")
_ODD_REFERENCE = re.compile(rb"""\br\s*=\s*["'][^"']{0,40}&""")
DIGITS, LETTERS = string.digits, string.ascii_uppercase + string.ascii_lowercase
SPARSE_CELLS = 2_000_000  # a larger span must hold at least one cell in so many
SPARSE_SHARE = 200
_CHUNK = 4 << 20


DAMAGED = (zipfile.BadZipFile, zipfile.LargeZipFile, NotImplementedError, EOFError, RuntimeError, OSError, zlib.error)
NO_SHEETS = {"xl/sharedstrings.xml", "xl/styles.xml", "xl/workbook.xml", "[content_types].xml"}


def preflight(data: bytes, file: str, limits: Limits) -> None:
    """Refuse what would exhaust memory or abort the reader, before it is opened.

    The zip directory gives the unpacked size and ratio; the sheets are streamed for their furthest
    cell, since the reader reserves the whole rectangle up to it.

    Raises
    ------
    UnusableInput
        If the file is no workbook or breaks a limit.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            parts = archive.infolist()
            names = {part.filename for part in parts}
            if "xl/workbook.xml" not in {name.casefold() for name in names}:
                raise UnusableInput("is not an XLSX workbook.", file=file)
            unzipped = sum(part.file_size for part in parts)
            if unzipped > limits.max_unzipped_mb * 1e6:
                raise UnusableInput(
                    f"unpacks to {unzipped / 1e6:,.0f} MB; at most {limits.max_unzipped_mb:,.0f} MB are read.",
                    file=file,
                )
            for part in parts:
                ratio = part.file_size / max(1, part.compress_size)
                if part.file_size > 10e6 and ratio > limits.max_zip_ratio:
                    raise UnusableInput(
                        f"has a part packed {ratio:,.0f} times ({part.filename}); that is not a "
                        "workbook as people keep them.",
                        file=file,
                    )
                if part.filename.casefold() not in NO_SHEETS:
                    with archive.open(part) as stream:
                        _check_span(stream, part.file_size, file, part.filename, limits)
    except DAMAGED as error:
        raise _unreadable(file, error) from error


def _check_span(stream: object, promised: int, file: str, part: str, limits: Limits) -> None:
    """Furthest row and column of one sheet, streamed."""
    furthest_row, columns, tail, read, cells = 0, {"A"}, b"", 0, 0
    while chunk := stream.read(_CHUNK):  # type: ignore[attr-defined]
        read += len(chunk)
        if read > promised:
            raise UnusableInput(f"is larger than its directory says ({part}).", file=file)
        if read == len(chunk) and (chunk[:2] in (b"\xff\xfe", b"\xfe\xff") or b"\x00" in chunk[:64]):
            if part.casefold().endswith((".xml", ".rels")):
                raise UnusableInput(f"holds a sheet that is not UTF-8 ({part}).", file=file)
            return
        text = tail + chunk
        if b"&" in text and _ODD_REFERENCE.search(text):
            raise UnusableInput(f"holds cells whose place is written oddly ({part}).", file=file)
        references = pa.array(_REFERENCE.findall(text), pa.binary()).cast(pa.string())
        if len(references):
            cells += len(references)
            columns |= {letters.upper() for letters in pc.unique(pc.ascii_rtrim(references, DIGITS)).to_pylist()}
            row = pc.max(pc.ascii_ltrim(references, LETTERS).cast(pa.int64())).as_py()
            furthest_row = max(furthest_row, row)
        tail = chunk[-40:]
    width = max(_column_number(letters) for letters in columns)
    if (
        furthest_row > limits.max_rows
        or width > limits.max_columns
        or furthest_row * width > limits.max_cells
        or (furthest_row * width > SPARSE_CELLS and cells * SPARSE_SHARE < furthest_row * width)
    ):
        raise UnusableInput(
            f"spans {furthest_row:,} rows and {width:,} columns; at most {limits.max_rows:,} rows, "
            f"{limits.max_columns:,} columns and {limits.max_cells:,} cells are read.",
            file=file,
            hint="Delete the stray cells far from the table and save it again.",
        )


def _column_number(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + LETTERS.index(letter) + 1
    return number


def read(data: bytes, file: str, limits: Limits, sheet: str | None = None) -> list[Grid]:
    """The sheets of a workbook that hold anything, as grids.

    Parameters
    ----------
    data : bytes
    file : str
        Name for messages.
    limits : Limits
    sheet : str, optional
        Only this one.

    Raises
    ------
    UnusableInput
        If it is no workbook, breaks a limit, or has no such sheet.
    """
    preflight(data, file, limits)
    return list(_grids(data, file, sheet))


def _grids(data: bytes, file: str, sheet: str | None) -> Iterator[Grid]:
    from python_calamine import CalamineError, CalamineWorkbook

    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(data))
        names = book.sheet_names
        if sheet is not None and sheet not in names:
            raise UnusableInput(f"has no sheet {sheet!r}; its sheets are {', '.join(names)}.", file=file)
        for name in names if sheet is None else [sheet]:
            rows = book.get_sheet_by_name(name).to_python(skip_empty_area=False)
            if rows:
                cells = pd.DataFrame(
                    {
                        number: pd.Series([_text(cell) for cell in column], dtype="str")
                        for number, column in enumerate(zip(*rows, strict=True))
                    }
                )
                yield Grid(file, name, cells, np.arange(1, len(cells) + 1))
    except UnusableInput:
        raise
    except (CalamineError, ValueError, KeyError, OverflowError, MemoryError, OSError) as error:
        raise _unreadable(file, error) from error
    except BaseException as error:
        if type(error).__name__ == "PanicException":  # the reader is Rust; its panics are no Exception
            raise _unreadable(file, error) from None
        raise


def _unreadable(file: str, error: BaseException) -> UnusableInput:
    return UnusableInput(f"is not an XLSX workbook that can be read ({error}).", file=file)


def _text(cell: object) -> str:
    """A typed cell as the text a person would type: ISO dates, whole numbers without ``.0``."""
    if isinstance(cell, str):
        return cell
    if isinstance(cell, bool):
        return "TRUE" if cell else "FALSE"
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    if isinstance(cell, dt.datetime):
        if cell.time() == dt.time():
            return cell.date().isoformat()
        return cell.isoformat(sep=" ", timespec="seconds")
    if isinstance(cell, dt.time):
        return cell.isoformat(timespec="minutes")
    return str(cell)
