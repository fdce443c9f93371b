"""Checked rows into SQL and back, as they were: same columns, kinds and order."""

from __future__ import annotations

import json
from collections.abc import Sequence

import numpy as np
import pandas as pd
from sqlalchemy import Connection

from riskscope import schema
from riskscope.schema.tables import EXTRA
from riskscope.store.model import ROWS

BATCH = 20_000
PLACES = ("source_file", "source_sheet", "source_line")


def columns_of(table: str, frame: pd.DataFrame) -> tuple[list[str], list[str]]:
    """The stored columns a frame of accepted rows has, and the headers of those kept beside them."""
    known = schema.TABLES[table].stored
    return [name for name in frame if name in known], [n for n in frame if n.startswith(EXTRA)]


def insert(connection: Connection, table: str, sheet_id: int, frame: pd.DataFrame) -> None:
    """Write the accepted rows of one sheet."""
    stored, extras = columns_of(table, frame)
    columns = [_plain(frame[name]) for name in ("source_line", *stored)]
    if extras:
        kept = zip(*(_plain(frame[name]) for name in extras), strict=True)
        columns.insert(1, [json.dumps(cells, ensure_ascii=False) for cells in kept])
    else:
        columns.insert(1, [None] * len(frame))
    names = ["sheet_id", "row_no", "source_line", "extras", *stored]
    mark = "?" if connection.dialect.name == "sqlite" else "%s"
    quoted = ", ".join(f'"{name}"' for name in names)
    marks = ", ".join([mark] * len(names))
    sql = f"INSERT INTO {ROWS[table].name} ({quoted}) VALUES ({marks})"
    rows = list(zip([sheet_id] * len(frame), range(len(frame)), *columns, strict=True))
    for begin in range(0, len(rows), BATCH):
        connection.exec_driver_sql(sql, rows[begin : begin + BATCH])


def _plain(values: pd.Series) -> list[object]:
    """Values as the database takes them: None for what is missing, dates as ISO text."""
    if pd.api.types.is_datetime64_any_dtype(values):
        values = values.dt.strftime("%Y-%m-%d")
    missing = values.isna().to_numpy()
    plain = values.tolist()
    if missing.any():
        for position in np.flatnonzero(missing):
            plain[position] = None
    return plain


def read(
    connection: Connection,
    table: str,
    sheet_id: int,
    stored: Sequence[str],
    extras: Sequence[str] = (),
    place: tuple[str, str] = ("", ""),
) -> pd.DataFrame:
    """The accepted rows of one sheet, as `riskscope.intake.check` made them.

    Parameters
    ----------
    stored, extras : sequence of str
        Columns to read, as `columns_of` gave them.
    place : (str, str)
        File and sheet the rows are shown to come from.
    """
    names = [*stored, "source_line", *(["extras"] if extras else [])]
    quoted = ", ".join(f'"{name}"' for name in names)
    sql = f"SELECT {quoted} FROM {ROWS[table].name} WHERE sheet_id = {int(sheet_id)} ORDER BY row_no"
    rows = connection.exec_driver_sql(sql).fetchall()
    cells = list(zip(*rows, strict=True)) if rows else [()] * len(names)
    known = schema.TABLES[table].stored
    index = pd.RangeIndex(len(rows))
    frame = {name: _typed(values, known[name]) for name, values in zip(stored, cells, strict=False)}
    frame |= _extras(cells[-1] if extras else (), extras)
    for name, text in zip(PLACES, place, strict=False):
        frame[name] = pd.Series(pd.array([text], dtype="str").take(np.zeros(len(index), dtype=int)), index=index)
    frame["source_line"] = pd.Series(np.array(cells[len(stored)], dtype=np.int64))
    return pd.DataFrame(frame, index=index)


def _typed(values: Sequence[object], column: schema.Column) -> pd.Series:
    if column.kind == "date":
        return pd.Series(np.array(values, dtype="datetime64[D]").astype("datetime64[us]"))
    if column.is_number:
        return pd.Series(np.array(values, dtype=np.float64))
    return pd.Series(values, dtype="str")


def _extras(cells: Sequence[object], names: Sequence[str]) -> dict[str, pd.Series]:
    if not names:
        return {}
    parts = list(zip(*(json.loads(str(cell)) for cell in cells), strict=True)) or [()] * len(names)
    return {name: pd.Series(part, dtype="str") for name, part in zip(names, parts, strict=True)}
