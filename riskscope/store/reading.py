"""What a store holds: its imports, their rows, the files they came from."""

from __future__ import annotations

import dataclasses
import functools
import json
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd
from sqlalchemy import Connection, Row, select

from riskscope import schema
from riskscope.errors import UnusableInput
from riskscope.intake.combine import AnySheet, combine
from riskscope.intake.files import FileContent
from riskscope.intake.grid import Edit, Grid, edited
from riskscope.intake.options import Limits, ReadOptions, read_options_from
from riskscope.intake.read import grids_apart
from riskscope.intake.registers import own_names
from riskscope.schema.common import SAID
from riskscope.schema.notes import DISMISSED, Note
from riskscope.schema.tables import InputFile, Tables, refused
from riskscope.store import rows
from riskscope.store.database import Store
from riskscope.store.model import EDITS, FILES, IMPORTS, PICTURES, REFUSED, ROWS, SHEETS
from riskscope.store.to_come import Called, to_come

REREAD = Limits()  # what is in the store was within the limits of its import


@dataclass(frozen=True)
class Import:
    """One file brought in."""

    id: int
    name: str
    shown: str
    sha256: str
    read_options: ReadOptions
    as_of: str
    actor: str
    at: str
    state: str
    superseded_by: int | None
    tables: dict[str, dict[str, int]]  # by table: read, accepted, rejected, set_aside, warnings


@dataclass(frozen=True)
class StoredSheet:
    """A sheet as it came into the store; a `riskscope.intake.read.Taken`."""

    table: schema.Table
    file: str
    sheet: str
    accepted: pd.DataFrame
    rejected: pd.DataFrame
    notes: list[Note]
    counts: dict[str, int]
    content: functools.partial[list[Grid]]

    def original(self, line: int) -> list[str]:
        """The cells of a line as they stand in the file, read again from the kept copy."""
        grid = next(grid for grid in self.content() if grid.sheet == self.sheet)
        at = grid.cells.index[grid.line == line]
        return [cell for cell in grid.cells.loc[at].iloc[0] if isinstance(cell, str)]


def find(store: Store, file: FileContent) -> Import | None:
    """The import of this very file for this site, unless it was undone."""
    with store.reading() as connection:
        import_id = find_in(connection, file)
    return None if import_id is None else get(store, import_id)


def find_in(connection: Connection, file: FileContent) -> int | None:
    """Number of the import of a file: the same bytes, given for the same site or for none."""
    same = select(IMPORTS.c.id, IMPORTS.c.ways).where(IMPORTS.c.sha256 == file.sha256, IMPORTS.c.state != "undone")
    for row in connection.execute(same.order_by(IMPORTS.c.id.desc())):
        site = json.loads(row.ways).get("site") or ""
        if file.read_options.site is None or file.read_options.site.casefold() == site.casefold():
            return int(row.id)
    return None


def together(store: Store, import_id: int) -> list[int]:
    """The imports that go where this one goes: itself, and those that replaced others together with it."""
    with store.reading() as connection:
        return together_in(connection, import_id)


def together_in(connection: Connection, import_id: int) -> list[int]:
    first = connection.execute(select(IMPORTS.c.together).where(IMPORTS.c.id == import_id)).scalar()
    if first is None:
        return [import_id]
    return list(connection.execute(select(IMPORTS.c.id).where(IMPORTS.c.together == first)).scalars().all())


def get(store: Store, import_id: int) -> Import:
    """One import.

    Raises
    ------
    UnusableInput
        If there is none of this number.
    """
    same = [entry for entry in listed(store) if entry.id == import_id]
    if not same:
        raise UnusableInput(
            f"there is no import {import_id}.", file=store.place, hint="`riskscope store list` shows them all."
        )
    return same[0]


def listed(store: Store) -> list[Import]:
    """Every import there ever was, in order."""
    with store.reading() as connection:
        imports = connection.execute(select(IMPORTS).order_by(IMPORTS.c.id)).all()
        sheets = connection.execute(select(SHEETS).order_by(SHEETS.c.place)).all()
    counts_of: dict[int, dict[str, dict[str, int]]] = {}
    for sheet in sheets:
        total = counts_of.setdefault(sheet.import_id, {}).setdefault(sheet.table_name, {})
        for key, value in json.loads(sheet.counts).items():
            total[key] = total.get(key, 0) + value
    return [
        Import(
            id=row.id,
            name=row.name,
            shown=row.shown,
            sha256=row.sha256,
            read_options=read_options_from(json.loads(row.ways), row.shown),
            as_of=row.as_of,
            actor=row.actor,
            at=row.at,
            state=row.state,
            superseded_by=row.superseded_by,
            tables=counts_of.get(row.id, {}),
        )
        for row in imports
    ]


def tables(
    store: Store,
    gap_days: int,
    *,
    without: Collection[int] = (),
    beside: Sequence[Sequence[AnySheet]] = (),
    mended: Mapping[int, Sequence[AnySheet]] | None = None,
) -> Tables:
    """Every table of the imports that count now, together as the intake puts files together.

    Parameters
    ----------
    without : collection of int
        Imports that are left out.
    beside : sequence of sequence of CheckedSheet
        The sheets of each file that takes their place, as the last imports; where there are none, what these imports
        superseded counts again.
    mended : mapping of int to sequence of CheckedSheet, optional
        By import its sheets as they are with cells corrected: they stand where they stood.
    """
    mended = mended or {}
    counts = (IMPORTS.c.state == "active") & IMPORTS.c.id.not_in(without)
    if not beside:
        counts |= IMPORTS.c.superseded_by.in_(without)
    with store.reading() as connection:
        imports = connection.execute(select(IMPORTS).where(counts).order_by(IMPORTS.c.id)).all()
        sheets: list[AnySheet] = []
        for row in imports:
            again = [Called(sheet, row.shown) for sheet in mended.get(row.id, ())]
            sheets += again or _stored_sheets(store, connection, row)
        taken = set(connection.execute(select(IMPORTS.c.shown)).scalars()) if beside else set()
    sheets += to_come(beside, taken)
    held: dict[str, list[str]] = {}
    for sheet in sheets:
        held.setdefault(sheet.file, []).append(sheet.table.name)
    files = [InputFile(row.shown, row.sha256, tuple(dict.fromkeys(held.get(row.shown, [])))) for row in imports]
    return combine(sheets, [], files, gap_days)


def sites(store: Store) -> list[str]:
    """Every site named by the rows that count, as spelled."""
    named: set[str] = set()
    with store.reading() as connection:
        for table in schema.TABLES.values():
            if "site" in table.by_name:
                named |= {name for (name,) in connection.exec_driver_sql(_active(table, 'r."site"')).fetchall()}
    return sorted(named - {None})


def has_unsaid_readings(store: Store) -> bool:
    """Whether a reading that counts does not say its site."""
    with store.reading() as connection:
        found_sites = connection.exec_driver_sql(_active(schema.TABLES["survey"], 'r."site" IS NULL')).fetchall()
    return any(bool(is_unsaid) for (is_unsaid,) in found_sites)


def _active(table: schema.Table, columns: str) -> str:
    """Distinct values of the rows of a table that count."""
    return (
        f"SELECT DISTINCT {columns} FROM {ROWS[table.name].name} r "
        f"JOIN {SHEETS.name} s ON s.id = r.sheet_id JOIN {IMPORTS.name} i ON i.id = s.import_id "
        "WHERE i.state = 'active'"
    )


def names(store: Store) -> dict[str, pd.DataFrame]:
    """By table the names in the rows that count, their sites, and the import: each combination once."""
    made = {}
    with store.reading() as connection:
        for table in schema.TABLES.values():
            columns = [column.name for column in own_names(table)]
            if columns:
                chosen = ", ".join(f'r."{name}"' for name in (*columns, "site"))
                rows_ = connection.exec_driver_sql(_active(table, f"{chosen}, i.id")).fetchall()
                frame = pd.DataFrame(rows_, columns=[*columns, "site", "import"])
                made[table.name] = frame.astype(dict.fromkeys((*columns, "site"), "str"))
    return made


def going_and_staying(
    store: Store, going: Collection[int], table: str, columns: Sequence[str]
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Columns of a table, each combination once: what these imports hold, and what counts without them.

    What they superseded counts again without them.
    """
    numbers = ", ".join(str(int(number)) for number in going)
    names = ", ".join(f'r."{column}"' for column in columns)
    chosen = (
        f"SELECT DISTINCT {names} FROM {ROWS[table].name} r "
        f"JOIN {SHEETS.name} s ON s.id = r.sheet_id JOIN {IMPORTS.name} i ON i.id = s.import_id WHERE "
    )
    others = f"(i.state = 'active' AND i.id NOT IN ({numbers})) OR i.superseded_by IN ({numbers})"
    with store.reading() as connection:
        held = [connection.exec_driver_sql(chosen + which).fetchall() for which in (f"i.id IN ({numbers})", others)]
    mine, theirs = (pd.DataFrame([tuple(row) for row in rows_], columns=list(columns)) for rows_ in held)
    return mine.sort_values(list(columns), ignore_index=True), theirs


def sheets_of(store: Store, import_id: int) -> list[StoredSheet]:
    """The rows of one import, whether it counts now or not."""
    get(store, import_id)
    with store.reading() as connection:
        row = connection.execute(select(IMPORTS).where(IMPORTS.c.id == import_id)).one()
        return _stored_sheets(store, connection, row)


def _stored_sheets(store: Store, connection: Connection, held: Row[Any]) -> list[StoredSheet]:
    sheet_rows = connection.execute(select(SHEETS).where(SHEETS.c.import_id == held.id).order_by(SHEETS.c.place)).all()
    content = functools.partial(grids_of, store, held.id)
    sheets = []
    for row in sheet_rows:
        place = (held.shown, row.sheet)
        frame = rows.read(connection, row.table_name, row.id, json.loads(row.columns), json.loads(row.extras), place)
        notes = [_note(note, held.name, held.shown) for note in json.loads(row.notes)]
        refused = _refused(connection, row, held.shown)
        sheets.append(
            StoredSheet(
                schema.TABLES[row.table_name],
                held.shown,
                row.sheet,
                frame,
                refused,
                notes,
                json.loads(row.counts),
                content,
            )
        )
    return sheets


def _refused(connection: Connection, sheet: Row[Any], shown: str) -> pd.DataFrame:
    refused_rows = connection.execute(
        select(REFUSED).where(REFUSED.c.sheet_id == sheet.id, REFUSED.c.state != "resolved").order_by(REFUSED.c.id)
    ).all()
    columns = {
        "table": sheet.table_name,
        "file": shown,
        "sheet": sheet.sheet,
        "reason": [
            f"{row.reason} ({DISMISSED}{row.actor}: {row.note})" if row.state == "dismissed" else row.reason
            for row in refused_rows
        ],
        "dismissed_by": [row.actor if row.state == "dismissed" else None for row in refused_rows],
    }
    columns |= {name: [row._mapping[name] for row in refused_rows] for name in ("kind", "line", "cells", *SAID)}
    return refused(columns if refused_rows else None)


def _note(fields: dict[str, Any], name: str, shown: str) -> Note:
    note = Note(**{**fields, "rows": tuple(fields["rows"])})
    return dataclasses.replace(note, file=shown) if note.file == name else note


def content(store: Store, sha256: str) -> bytes:
    """A kept file, byte for byte."""
    with store.reading() as connection:
        data = connection.execute(select(FILES.c.content).where(FILES.c.sha256 == sha256)).scalar()
    if data is None:
        raise UnusableInput("holds no such file.", file=store.place, value=sha256)
    return bytes(data)


def last_change(store: Store) -> tuple[str, str]:
    """Who changed last what counts, and when; empty where nobody has."""
    queries = [
        select(IMPORTS.c.at, IMPORTS.c.actor),
        select(IMPORTS.c.undone_at, IMPORTS.c.undone_by).where(IMPORTS.c.undone_at.is_not(None)),
        select(EDITS.c.at, EDITS.c.actor),
        select(REFUSED.c.at, REFUSED.c.actor).where(REFUSED.c.at.is_not(None)),
    ]
    with store.reading() as connection:
        last = [
            connection.execute(query.order_by(query.selected_columns[0].desc()).limit(1)).first() for query in queries
        ]
    at, who = max((tuple(row) for row in last if row is not None), default=("", ""))
    return who, at


def picture(store: Store, name: str) -> bytes | None:
    """The picture kept under a name; None where there is none."""
    with store.reading() as connection:
        data = connection.execute(
            select(FILES.c.content)
            .join(PICTURES, PICTURES.c.sha256 == FILES.c.sha256)
            .where(PICTURES.c.name == name.casefold())
        ).scalar()
    return None if data is None else bytes(data)


def content_of(store: Store, held: Import, edits: Sequence[Edit]) -> FileContent:
    """The file of an import, as it was read, with cells corrected."""
    return FileContent(held.name, content(store, held.sha256), held.read_options, tuple(edits))


def grids_of(store: Store, import_id: int) -> list[Grid]:
    """The sheets of an import's file, its cells as corrected."""
    file = content_of(store, get(store, import_id), edits(store, import_id))
    return [edited(grid, file.edits) for grid in grids_apart(file.data, file.name, file.read_options, REREAD)]


def edits(store: Store, import_id: int) -> list[Edit]:
    """The cells of an import corrected by hand, in order."""
    with store.reading() as connection:
        return edits_in(connection, import_id)


def edits_in(connection: Connection, import_id: int) -> list[Edit]:
    edits = connection.execute(select(EDITS).where(EDITS.c.import_id == import_id).order_by(EDITS.c.id)).all()
    return [Edit(row.sheet, row.line, row.column, row.old, row.new) for row in edits]
