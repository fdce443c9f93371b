"""Imports: a file brought in whole, superseded, undone; never lost, never doubled."""

from __future__ import annotations

import dataclasses
import hashlib
import json
from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, delete, func, insert, select, update

import riskscope
from riskscope.errors import UnusableInput
from riskscope.intake.combine import AnySheet
from riskscope.intake.files import FileContent
from riskscope.intake.grid import Edit
from riskscope.store import rows
from riskscope.store.database import Store
from riskscope.store.model import EDITS, FILES, IMPORTS, PICTURES, REFUSED, SHEETS
from riskscope.store.reading import Import, find_in, get
from riskscope.store.stamp import Stamp


def add(
    store: Store,
    file: FileContent,
    sheets: Sequence[AnySheet],
    *,
    as_of: str,
    stamp: Stamp,
    supersedes: Sequence[int] = (),
) -> tuple[Import, bool]:
    """Bring in one checked file: the file, its rows and what was refused, in one transaction.

    Parameters
    ----------
    file : FileContent
        The file as it is, how it was read, the cells corrected before `sheets` were checked.
    sheets : sequence of CheckedSheet
        Every sheet of it that holds a table.
    as_of : str
        Day it was checked against, ISO.
    supersedes : sequence of int
        Imports that no longer count from now on.

    Returns
    -------
    Import, bool
        The import, and whether it was made now: False where the same file is there already.

    Raises
    ------
    UnusableInput
        If an import to be superseded does not count any more.
    """
    sha256 = file.sha256
    with store.writing() as connection:
        there = find_in(connection, file)
        if there is None:
            _keep_bytes(connection, sha256, file.data, stamp)
            import_id = _next(connection, IMPORTS)
            connection.execute(
                insert(IMPORTS).values(
                    id=import_id,
                    sha256=sha256,
                    name=file.name,
                    shown=_shown(connection, file.name, import_id),
                    ways=json.dumps(dataclasses.asdict(file.read_options), ensure_ascii=False),
                    as_of=as_of,
                    version=riskscope.__version__,
                    actor=stamp.who,
                    at=stamp.at,
                    state="active",
                )
            )
            for edit in file.edits:
                write_edit(connection, import_id, edit, stamp)
            write_sheets(connection, import_id, sheets)
            for old in supersedes:
                _supersede(connection, old, import_id, store.place)
            there, new = import_id, True
        else:
            new = False
    return get(store, there), new


def keep_picture(store: Store, name: str, data: bytes, stamp: Stamp) -> None:
    """Keep a picture under the name the survey's rows call it; a later one of that name takes its place.

    The picture that stood there before stays among the kept files.
    """
    sha256 = hashlib.sha256(data).hexdigest()
    with store.writing() as connection:
        _keep_bytes(connection, sha256, data, stamp)
        connection.execute(delete(PICTURES).where(PICTURES.c.name == name.casefold()))
        connection.execute(
            insert(PICTURES).values(name=name.casefold(), shown=name, sha256=sha256, actor=stamp.who, at=stamp.at)
        )


def _keep_bytes(connection: Connection, sha256: str, data: bytes, stamp: Stamp) -> None:
    if connection.execute(select(FILES.c.size).where(FILES.c.sha256 == sha256)).scalar() is None:
        connection.execute(insert(FILES).values(sha256=sha256, size=len(data), content=data, kept_at=stamp.at))


def _next(connection: Connection, table: Any) -> int:
    """The next number; one after the last, so that numbers tell the order of work."""
    return int(connection.execute(select(func.coalesce(func.max(table.c.id), 0))).scalar() or 0) + 1


def _shown(connection: Connection, name: str, import_id: int) -> str:
    taken = connection.execute(select(IMPORTS.c.id).where(IMPORTS.c.shown == name)).first()
    return f"{name} (import {import_id})" if taken else name


def write_sheets(connection: Connection, import_id: int, sheets: Sequence[AnySheet]) -> None:
    sheet_id = _next(connection, SHEETS)
    refused_id = _next(connection, REFUSED)
    for place, sheet in enumerate(sheets):
        stored, extras = rows.columns_of(sheet.table.name, sheet.accepted)
        connection.execute(
            insert(SHEETS).values(
                id=sheet_id,
                import_id=import_id,
                place=place,
                table_name=sheet.table.name,
                sheet=sheet.sheet,
                columns=json.dumps(stored),
                extras=json.dumps(extras, ensure_ascii=False),
                counts=json.dumps(sheet.counts),
                notes=json.dumps([dataclasses.asdict(note) for note in sheet.notes], ensure_ascii=False),
            )
        )
        rows.insert(connection, sheet.table.name, sheet_id, sheet.accepted)
        refused = [
            {
                "id": refused_id + n,
                "import_id": import_id,
                "sheet_id": sheet_id,
                "kind": row["kind"],
                "line": row["line"],
                "reason": row["reason"],
                "cells": row["cells"],
                "state": "open",
            }
            for n, row in enumerate(sheet.rejected.to_dict("records"))
        ]
        if refused:
            connection.execute(insert(REFUSED), refused)
        refused_id += len(refused)
        sheet_id += 1


def _supersede(connection: Connection, old: int, new: int, place: str) -> None:
    done = connection.execute(
        update(IMPORTS)
        .where(IMPORTS.c.id == old, IMPORTS.c.state == "active")
        .values(state="superseded", superseded_by=new)
    )
    if done.rowcount != 1:
        raise UnusableInput(
            f"import {old} is not one that counts now; nothing was brought in.",
            file=place,
            hint="`riskscope store list` shows them all.",
        )


def undo(store: Store, import_id: int, stamp: Stamp) -> list[int]:
    """Take an import back: its rows no longer count, those it superseded count again.

    Returns
    -------
    list of int
        The imports that count again.

    Raises
    ------
    UnusableInput
        If it was undone before, or a later import superseded it.
    """
    before = get(store, import_id)
    with store.writing() as connection:
        state, by = connection.execute(
            select(IMPORTS.c.state, IMPORTS.c.superseded_by).where(IMPORTS.c.id == import_id)
        ).one()
        if state == "undone":
            raise UnusableInput(f"import {import_id} ({before.name}) was undone already.", file=store.place)
        if state == "superseded":
            later = connection.execute(select(IMPORTS.c.name).where(IMPORTS.c.id == by)).scalar()
            raise UnusableInput(
                f"import {import_id} ({before.name}) was superseded by import {by} ({later}).",
                file=store.place,
                hint=f"Undo import {by} first.",
            )
        connection.execute(
            update(IMPORTS)
            .where(IMPORTS.c.id == import_id)
            .values(state="undone", undone_by=stamp.who, undone_at=stamp.at)
        )
        again = connection.execute(select(IMPORTS.c.id).where(IMPORTS.c.superseded_by == import_id)).scalars().all()
        connection.execute(
            update(IMPORTS).where(IMPORTS.c.superseded_by == import_id).values(state="active", superseded_by=None)
        )
    return list(again)


def write_edit(connection: Connection, import_id: int, edit: Edit, stamp: Stamp) -> None:
    connection.execute(
        insert(EDITS).values(
            id=_next(connection, EDITS),
            import_id=import_id,
            sheet=edit.sheet,
            line=edit.line,
            column=edit.column,
            old=edit.old,
            new=edit.new,
            actor=stamp.who,
            at=stamp.at,
        )
    )
