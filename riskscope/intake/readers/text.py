"""CSV and TSV as people keep them: bytes in, a `Grid` of text cells out."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from dataclasses import replace

import numpy as np
import pandas as pd

from riskscope.errors import UnusableInput
from riskscope.intake.grid import Grid
from riskscope.intake.options import Limits

_CONTROLS = re.compile(r"[\x00-\x08\x0e-\x1f]")  # beside tabs, line and page breaks
SEPARATORS = ("\t", ";", ",", "|")
FEWEST = 4  # cells of a row that another may have swallowed
A_FIGURE = re.compile(r"\s*[<>]?[\d.,/:-]*\d[\d.,/:-]*\s*")
MAX_CELL_LINES = 20  # a cell over more lines is a quotation mark somebody forgot to close
_MAGIC = (
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"II*\x00", "a TIFF picture"),
    (b"MM\x00*", "a TIFF picture"),
    (b"\xd0\xcf\x11\xe0", "an old binary workbook (.xls); save it as .xlsx"),
    (b"PK\x03\x04", "a zip file or workbook; a workbook's name must end in .xlsx"),
    (b"PAR1", "a Parquet file; its name must end in .parquet"),
    (b"SQLite format 3\x00", "a database"),
)


def decode(data: bytes, file: str) -> tuple[str, str]:
    """The text of a file and, where it was taken for other than Unicode, as what.

    By its byte order mark, as UTF-8, or as Windows-1252 / Latin-1.

    Raises
    ------
    UnusableInput
        If the bytes are not text.
    """
    for magic, what in _MAGIC:
        if data.startswith(magic):
            raise UnusableInput(f"is not a text file but {what}.", file=file)
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        encoding = "utf-16"
    elif data.startswith(b"\xef\xbb\xbf"):
        encoding = "utf-8-sig"
    elif b"\x00" in data[:4000]:
        encoding = "utf-16-le" if data[1:2] == b"\x00" else "utf-16-be"
    else:
        encoding = "utf-8"
    taken_as = ""
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError as error:
        if encoding != "utf-8":
            raise UnusableInput("is not a text file that can be read.", file=file) from None
        line = data.count(b"\n", 0, error.start) + 1
        try:
            text, taken_as = data.decode("cp1252"), f"Windows-1252: line {line} is not UTF-8"
        except UnicodeDecodeError:
            text, taken_as = data.decode("latin-1"), f"Latin-1: line {line} is not UTF-8"
    if "\x00" in text or _control_share(text[:4000]) > 0.02:
        raise UnusableInput("is not a text file that can be read: it holds binary data.", file=file)
    return text, taken_as


def _control_share(text: str) -> float:
    return len(_CONTROLS.findall(text)) / max(1, len(text))


def find_separator(text: str) -> str:
    """What stands between cells: the candidate that gives the most even rows of two and more."""
    sample = text[:20_000].splitlines()[:60]
    try:
        best, best_score = ",", (0, 0)
        for separator in SEPARATORS:
            widths = [len(row) for row in csv.reader(sample, delimiter=separator)]
            wide = [width for width in widths if width > 1]
            if wide:
                usual = max(set(wide), key=lambda w: (wide.count(w), w))
                score = (wide.count(usual), usual)
                if score > best_score:
                    best, best_score = separator, score
    except csv.Error:
        return ","
    return best


def read(data: bytes, file: str, limits: Limits) -> Grid:
    """A text file as a grid.

    Raises
    ------
    UnusableInput
        If it is empty, not text, or larger than the limits.
    """
    if not data.strip(b"\x00 \t\r\n\xef\xbb\xbf\xff\xfe"):
        raise UnusableInput("is empty.", file=file)
    text, taken_as = decode(data, file)
    return replace(parse(text, file, limits), taken_as=taken_as)


def parse(text: str, file: str, limits: Limits) -> Grid:
    """Text as a grid; `read` for text that is already decoded."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    separator = find_separator(text)
    if text.count("\n") > limits.max_rows:
        raise UnusableInput(
            f"has more than {limits.max_rows:,} lines.", file=file, hint="Split it, or raise the setting max_rows."
        )
    if '"' in text:
        cells, line = _quoted(text, separator, file, limits)
    else:
        cells, line = _plain(text, separator, file, limits)
    return Grid(file, "", cells, line, separator)


def _check_width(width: int, file: str, limits: Limits) -> None:
    if width > limits.max_columns:
        raise UnusableInput(
            f"has {width:,} columns; at most {limits.max_columns:,} are read.",
            file=file,
            hint="Raise the setting max_columns if that is meant.",
        )


def _plain(text: str, separator: str, file: str, limits: Limits) -> tuple[pd.DataFrame, np.ndarray]:
    """Text without quotes: every line is a record."""
    text = text.removesuffix("\n")
    count = text.count("\n") + 1
    width = _widest(text, separator) + 1
    _check_width(width, file, limits)
    cells = pd.read_csv(
        io.StringIO(text + "\n"),
        sep=separator,
        header=None,
        names=range(width),
        dtype=str,
        na_filter=False,
        skip_blank_lines=False,
        quoting=csv.QUOTE_NONE,
        engine="c",
    )
    if len(cells) != count:  # one column of blanks: the engine drops the last line
        rows = [line.split(separator) for line in text.split("\n")]
        cells = pd.DataFrame([row + [""] * (width - len(row)) for row in rows], dtype="str")
    return cells, np.arange(1, len(cells) + 1)


def _widest(text: str, separator: str) -> int:
    """Most separators of any line."""
    data = np.frombuffer(text.encode("utf-8") + b"\n", dtype=np.uint8)
    ends = np.flatnonzero(data == ord("\n"))
    before = np.searchsorted(np.flatnonzero(data == ord(separator)), ends)
    return int(np.diff(before, prepend=0).max())


def _holds_a_row(cell: str, separator: str, width: int) -> bool:
    """Whether a cell over several lines holds the rest of a row and the beginning of the next.

    Between two quotation marks that stand alone in one column it begins and ends where a cell does; of one that is not
    closed it is parted into as many cells as a row has, with figures. Prose has a blank behind a sign.
    """
    if "\n" not in cell or separator not in cell:
        return False
    ends = f"{separator}\n"
    if cell[0] in ends and cell[-1] in ends and separator in (cell[0], cell[-1]):
        return True
    sign = re.escape(separator)
    parts = re.split(rf"\n|{sign}(?! )" if separator in ",;" else rf"\n|{sign}", cell)
    return len(parts) > max(width, FEWEST) and any(A_FIGURE.fullmatch(part) for part in parts)


def _usual(widths: Counter[int]) -> int:
    """The width most rows of several cells have, of those that are as many the least."""
    return max(widths.items(), key=lambda row: (row[1], -row[0]), default=(0, 0))[0]


def _quoted(text: str, separator: str, file: str, limits: Limits) -> tuple[pd.DataFrame, np.ndarray]:
    """Text with quotes: a record may run over several lines."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    csv.field_size_limit(10_000_000)
    records, line, width, begins = [], [], 1, 1
    widths: Counter[int] = Counter()
    try:
        for record in reader:
            records.append(record)
            line.append(begins)
            if reader.line_num - begins >= MAX_CELL_LINES:
                raise csv.Error(f"a quoted cell runs over {reader.line_num - begins + 1} lines")
            if reader.line_num > begins and any(_holds_a_row(cell, separator, _usual(widths)) for cell in record):
                raise csv.Error("a quoted cell holds what looks like a row of its own")
            begins = reader.line_num + 1
            widths.update([len(record)] if len(record) > 1 else [])
            if len(record) > width:
                width = len(record)
                _check_width(width, file, limits)
    except csv.Error as error:
        raise UnusableInput(
            f"cannot be read from here on ({error}).",
            file=file,
            line=begins,
            hint="Look for a quotation mark that is not closed, or stands alone for the cell above: write that out.",
        ) from error
    columns = range(width)
    padded = [record + [""] * (width - len(record)) for record in records]
    return pd.DataFrame(padded, columns=columns, dtype="str"), np.asarray(line)
