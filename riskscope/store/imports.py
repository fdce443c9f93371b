"""Imports: a file brought in whole, superseded, undone; never lost, never doubled."""

from __future__ import annotations

import dataclasses
import hashlib
import json
from collections.abc import Sequence
from typing import Any

import pandas as pd
from sqlalchemy import Connection, delete, func, insert, select, update

import riskscope
from riskscope.errors import UnusableInput
from riskscope.intake.combine import AnySheet
from riskscope.intake.files import FileContent
from riskscope.intake.grid import Edit
from riskscope.schema.common import SAID
from riskscope.store import rows
from riskscope.store.database import Store
from riskscope.store.model import EDITS, FILES, IMPORTS, PICTURES, REFUSED, SHEETS
from riskscope.store.reading import Import, find_in, get, together_in
from riskscope.store.stamp import Stamp


@dataclasses.dataclass(frozen=True)
class Arrival:
    """A checked file: as it is, how it was read, the cells corrected before; every sheet of it that holds a table.

    `as_of` is the day it was checked against, ISO; `supersedes` are the imports that no longer count once it is in.
    """

    file: FileContent
    sheets: Sequence[AnySheet]
    as_of: str
    supersedes: Sequence[int] = ()


def add_all(store: Store, arrivals: Sequence[Arrival], stamp: Stamp) -> list[tuple[Import, bool]]:
    """Bring in checked files: the files, their rows and what was refused, in one transaction, all or none.

    Those that supersede an import together are marked so: they can only be taken back together.

    Returns
    -------
    list of (Import, bool)
        Each import, and whether it was made now: False where the same file is there already.

    Raises
    ------
    UnusableInput
        If an import to be superseded does not count any more.
    """
    done = []
    with store.writing() as connection:
        for arrival in arrivals:
            there = find_in(connection, arrival.file)
            number = _new(connection, arrival, stamp) if there is None else there
            done.append((number, there is None))
        new = [(n, set(arrival.supersedes)) for (n, is_new), arrival in zip(done, arrivals, strict=True) if is_new]
        for numbers, going in _groups(new):
            for old in sorted(going):
                _supersede(connection, old, numbers[0], store.place)
            if len(numbers) > 1:
                connection.execute(update(IMPORTS).where(IMPORTS.c.id.in_(numbers)).values(together=numbers[0]))
    return [(get(store, number), is_new) for number, is_new in done]


def _groups(new: Sequence[tuple[int, set[int]]]) -> list[tuple[list[int], set[int]]]:
    """Imports that supersede one together, by some detour, and all that they supersede."""
    made: list[tuple[list[int], set[int]]] = []
    for number, going in new:
        touching = [group for group in made if group[1] & going]
        made = [group for group in made if not group[1] & going]
        numbers = sorted([number, *(other for group in touching for other in group[0])])
        made.append((numbers, going.union(*(group[1] for group in touching))))
    return made


def _new(connection: Connection, arrival: Arrival, stamp: Stamp) -> int:
    """The file and its rows written; the number of the import."""
    file = arrival.file
    _keep_bytes(connection, file.sha256, file.data, stamp)
    import_id = _next(connection, IMPORTS)
    connection.execute(
        insert(IMPORTS).values(
            id=import_id,
            sha256=file.sha256,
            name=file.name,
            shown=_shown(connection, file.name, import_id),
            ways=json.dumps(dataclasses.asdict(file.read_options), ensure_ascii=False),
            as_of=arrival.as_of,
            version=riskscope.__version__,
            actor=stamp.who,
            at=stamp.at,
            state="active",
        )
    )
    for edit in file.edits:
        write_edit(connection, import_id, edit, stamp)
    write_sheets(connection, import_id, arrival.sheets)
    return import_id


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
                **{name: row[name] for name in SAID},
            }
            for n, row in enumerate(_plain(sheet.rejected).to_dict("records"))
        ]
        if refused:
            connection.execute(insert(REFUSED), refused)
        refused_id += len(refused)
        sheet_id += 1


def _plain(refused: pd.DataFrame) -> pd.DataFrame:
    """Refused rows as the database takes them: None for what is not said, days as ISO text."""
    rows = refused.assign(day=refused["day"].dt.strftime("%Y-%m-%d")).astype("object")
    return rows.where(rows.notna(), None)


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
            hint="Records, Imports in the app shows them all, or `riskscope store list`.",
        )


def undo(store: Store, import_id: int, stamp: Stamp) -> tuple[list[int], list[int]]:
    """Take an import back, and those that replaced others together with it: what they superseded counts again.

    Returns
    -------
    list of int
        The imports that no longer count.
    list of int
        The imports that count again.

    Raises
    ------
    UnusableInput
        If it was undone before, or a later import superseded one of them.
    """
    get(store, import_id)
    with store.writing() as connection:
        going = together_in(connection, import_id)
        for row in connection.execute(select(IMPORTS).where(IMPORTS.c.id.in_(going)).order_by(IMPORTS.c.id)):
            if row.state == "undone":
                raise UnusableInput(f"import {row.id} ({row.name}) was undone already.", file=store.place)
            if row.state == "superseded":
                later = connection.execute(select(IMPORTS.c.name).where(IMPORTS.c.id == row.superseded_by)).scalar()
                with_it = f", which came in together with import {import_id}," if row.id != import_id else ""
                raise UnusableInput(
                    f"import {row.id} ({row.name}){with_it} was superseded by import {row.superseded_by} ({later}).",
                    file=store.place,
                    hint=f"Undo import {row.superseded_by} first.",
                )
        connection.execute(
            update(IMPORTS)
            .where(IMPORTS.c.id.in_(going))
            .values(state="undone", undone_by=stamp.who, undone_at=stamp.at)
        )
        again = connection.execute(select(IMPORTS.c.id).where(IMPORTS.c.superseded_by.in_(going))).scalars().all()
        connection.execute(
            update(IMPORTS).where(IMPORTS.c.superseded_by.in_(going)).values(state="active", superseded_by=None)
        )
    return going, list(again)


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
