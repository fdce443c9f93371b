"""Tables written so that reading them again gives the same rows: XLSX, CSV or Parquet."""

from __future__ import annotations

import io
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pandas as pd

from riskscope.files import write as write_files
from riskscope.schema import TABLES, Column, Table
from riskscope.schema import results as schema
from riskscope.schema.tables import EXTRA
from riskscope.words.plain import as_csv

FORMS = ("csv", "xlsx", "parquet")
WORKBOOK = "riskscope_tables.xlsx"
STATED_UNITS = {"load": "%", "torque": "N·m"}  # whose unit stands in each cell: no header fixes it


def as_typed(table: Table, frame: pd.DataFrame) -> pd.DataFrame:
    """Accepted rows under the headers a person would type: one column each, units unmistakable."""
    columns: dict[str, pd.Series] = {}
    for column in table.columns:
        have = [name for name in column.fills if name in frame]
        if have and frame[have].notna().to_numpy().any() | column.required:
            columns[column.name] = _typed(column, frame[have])
    columns |= {name: frame[name] for name in frame if name.startswith(EXTRA)}
    return pd.DataFrame(columns, index=frame.index)


def _typed(column: Column, values: pd.DataFrame) -> pd.Series:
    first = values.iloc[:, 0]
    if column.kind == "date":
        return first.dt.strftime("%Y-%m-%d").astype("str")
    if column.kind == "time":
        return _clock(first)
    if column.kind == "integer":
        return first.astype("Int64")
    unit = STATED_UNITS.get(column.quantity or "")
    if column.kind != "range":
        return first if unit is None else _with_unit(first.map(_digits, na_action="ignore"), unit)
    low, high = (values[name].map(_digits, na_action="ignore").astype("str") for name in values)
    text = low.where((low == high) | low.isna(), low + "-" + high)
    return text if unit is None else _with_unit(text, unit)


def _with_unit(text: pd.Series, unit: str) -> pd.Series:
    return text.astype("str").where(text.isna(), text.astype("str") + f" {unit}")


def _digits(value: float) -> str:
    """A number in full and without an exponent, which a range could not hold."""
    return np.format_float_positional(value, trim="-")


def _clock(minutes: pd.Series) -> pd.Series:
    seconds = (minutes * 60).round()

    def read(value: float) -> str:
        whole = int(value)
        return f"{whole // 3600:02d}:{whole % 3600 // 60:02d}:{whole % 60:02d}"

    return seconds.map(read, na_action="ignore").astype("str")


def write(frames: Mapping[str, pd.DataFrame], refused: pd.DataFrame, folder: Path, form: str) -> list[Path]:
    """Every table into a folder, each file whole or not at all; nothing is overwritten.

    Parameters
    ----------
    frames : mapping
        Accepted rows by table name.
    refused : DataFrame
        Rows that were refused; written beside the tables, for people.
    folder : Path
    form : str
        ``csv``, ``xlsx`` or ``parquet``.

    Raises
    ------
    UnusableInput
        If the folder cannot be written to or holds such files already.
    """
    typed = {name: as_typed(TABLES[name], frame) for name, frame in frames.items()}
    rejected = refused[[column.name for column in schema.TABLES["rejected"].columns]]
    files = {"rejected.csv": as_csv(rejected)}
    if form == "xlsx":
        files[WORKBOOK] = _workbook(typed)
    else:
        for name, frame in typed.items():
            files[f"{name}.{form}"] = as_csv(frame) if form == "csv" else _parquet(frame)
    return sorted(write_files({folder / name: data for name, data in files.items()}, overwrite=False))


def _parquet(frame: pd.DataFrame) -> bytes:
    buffer = io.BytesIO()
    frame.to_parquet(buffer, index=False)
    return buffer.getvalue()


def _workbook(frames: Mapping[str, pd.DataFrame]) -> bytes:
    import xlsxwriter

    buffer = io.BytesIO()
    options = {"constant_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    with xlsxwriter.Workbook(buffer, options) as book:
        head = book.add_format({"bold": True, "bottom": 1})
        for name, frame in frames.items():
            page = book.add_worksheet(name)
            page.freeze_panes(1, 1)
            for position, title in enumerate(frame):
                page.write_string(0, position, title, head)
            missing = frame.isna().to_numpy()
            rows = zip(*(frame[title].tolist() for title in frame), strict=True)
            for line, row in enumerate(rows):
                for position, value in enumerate(row):
                    if missing[line, position]:
                        continue
                    if isinstance(value, str):
                        page.write_string(line + 1, position, value)
                    elif float(f"{value:.16G}") == value:
                        page.write_number(line + 1, position, value)
                    else:  # more digits than the format keeps: as text, so that none is lost
                        page.write_string(line + 1, position, repr(value))
    return buffer.getvalue()
