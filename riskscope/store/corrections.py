"""Corrections: cells mended over the file as it came, refused rows settled."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from typing import Any

import pandas as pd
from sqlalchemy import Connection, Row, delete, select, update

from riskscope.errors import UnusableInput, WrongUsage
from riskscope.intake.check import CheckedSheet
from riskscope.intake.combine import AnySheet
from riskscope.intake.grid import Edit
from riskscope.store.database import Store
from riskscope.store.imports import write_edit, write_sheets
from riskscope.store.model import EDITS, IMPORTS, REFUSED, ROWS, SHEETS
from riskscope.store.reading import edits_in
from riskscope.store.stamp import Stamp


def correct(
    store: Store, import_id: int, known: Sequence[Edit], more: Sequence[Edit], sheets: Sequence[AnySheet], stamp: Stamp
) -> None:
    """Cells of an import corrected: the edits are kept and its rows are those checked again.

    Parameters
    ----------
    known : sequence of Edit
        The edits there were when `sheets` were checked.
    more : sequence of Edit
        Those made now, also in `sheets`.

    Raises
    ------
    WrongUsage
        If somebody else has changed the import meanwhile.
    UnusableInput
        If it no longer counts.
    """
    with store.writing() as connection:
        state = connection.execute(select(IMPORTS.c.state).where(IMPORTS.c.id == import_id)).scalar()
        if state != "active":
            raise UnusableInput(f"import {import_id} does not count now; nothing was changed.", file=store.place)
        if edits_in(connection, import_id) != list(known):
            last = connection.execute(
                select(EDITS.c.actor).where(EDITS.c.import_id == import_id).order_by(EDITS.c.id.desc())
            ).scalar()
            raise WrongUsage(
                f"{last} has corrected cells of this import meanwhile; nothing was changed.",
                hint="Look at it again and repeat your correction.",
            )
        for edit in more:
            write_edit(connection, import_id, edit, stamp)
        _replace_sheets(connection, import_id, sheets, stamp)


def _replace_sheets(connection: Connection, import_id: int, sheets: Sequence[AnySheet], stamp: Stamp) -> None:
    """The rows of an import as checked anew; refused rows that are no longer refused are resolved."""
    old = connection.execute(select(SHEETS).where(SHEETS.c.import_id == import_id)).all()
    before = connection.execute(
        select(REFUSED, SHEETS.c.sheet, SHEETS.c.table_name)
        .join(SHEETS, SHEETS.c.id == REFUSED.c.sheet_id)
        .where(REFUSED.c.import_id == import_id)
    ).all()
    write_sheets(connection, import_id, sheets)
    new = {
        row.sheet: row.id
        for row in connection.execute(
            select(SHEETS).where(SHEETS.c.import_id == import_id, SHEETS.c.id.not_in([row.id for row in old]))
        )
    }
    fresh: dict[tuple[str, int, str, str], list[Any]] = {}
    for sheet, sheet_id in new.items():
        for row in connection.execute(select(REFUSED).where(REFUSED.c.sheet_id == sheet_id)):
            fresh.setdefault((sheet, row.line, row.kind, _phase(row.reason)), []).append(row)
    for row in before:
        again = fresh.get((row.sheet, row.line, row.kind, _phase(row.reason)))
        values: dict[str, Any] = {"sheet_id": new.get(row.sheet, next(iter(new.values())))}
        if again is None:
            if row.state != "resolved":
                values |= {"state": "resolved", "note": "corrected", "actor": stamp.who, "at": stamp.at}
            connection.execute(update(REFUSED).where(REFUSED.c.id == row.id).values(**values))
            continue
        same = [new_row.id for new_row in again if (new_row.cells, new_row.reason) == (row.cells, row.reason)]
        if row.state == "dismissed" and same:
            connection.execute(
                update(REFUSED)
                .where(REFUSED.c.id.in_(same))
                .values(state="dismissed", note=row.note, actor=row.actor, at=row.at)
            )
        connection.execute(delete(REFUSED).where(REFUSED.c.id == row.id))
    for row in old:
        connection.execute(delete(ROWS[row.table_name]).where(ROWS[row.table_name].c.sheet_id == row.id))
        connection.execute(delete(SHEETS).where(SHEETS.c.id == row.id))


def keep_dismissed(store: Store, old: int, new: int) -> None:
    """What was dismissed of an import stays so in one that is its file read again."""
    query = select(REFUSED, SHEETS.c.sheet).join(SHEETS, SHEETS.c.id == REFUSED.c.sheet_id)
    with store.writing() as connection:
        was, now = (connection.execute(query.where(REFUSED.c.import_id == number)).all() for number in (old, new))
        dismissed = {_row(row): row for row in was if row.state == "dismissed"}
        for row in now:
            if (before := dismissed.get(_row(row))) is not None:
                values = {"state": "dismissed", "note": before.note, "actor": before.actor, "at": before.at}
                connection.execute(update(REFUSED).where(REFUSED.c.id == row.id).values(**values))


def with_dismissed(
    store: Store, import_id: int, sheets: Sequence[CheckedSheet], *, is_mended: bool
) -> list[CheckedSheet]:
    """Sheets of the file of an import checked again, with what of its rows was dismissed and stays so.

    Parameters
    ----------
    is_mended : bool
        Cells of it were: a row that is now refused in other words, of another joint or for another value, is open.
    """
    query = select(REFUSED, SHEETS.c.sheet).join(SHEETS, SHEETS.c.id == REFUSED.c.sheet_id)
    with store.reading() as connection:
        was = connection.execute(query.where(REFUSED.c.import_id == import_id, REFUSED.c.state == "dismissed")).all()
    by = {(*_row(row), row.reason if is_mended else ""): row.actor for row in was}
    made = []
    for sheet in sheets:
        rows = sheet.rejected
        words = rows["reason"] if is_mended else [""] * len(rows)
        names = zip(rows["line"], rows["kind"], rows["cells"], rows["reason"].map(_phase), words, strict=True)
        dismissed = pd.Series([by.get((sheet.sheet, *name)) for name in names], rows.index, dtype="str")
        made.append(dataclasses.replace(sheet, rejected=rows.assign(dismissed_by=dismissed)))
    return made


def _row(row: Row[Any]) -> tuple[object, ...]:
    """What tells a refused row of a file from the others."""
    return row.sheet, row.line, row.kind, row.cells, _phase(row.reason)


def _phase(reason: str) -> str:
    """The phase that the reason of a row of a wide sheet begins with: its phases share their cells."""
    return reason.partition(": ")[0] if reason.startswith("phase ") else ""


def refused_rows(store: Store, import_id: int | None = None) -> pd.DataFrame:
    """Rows refused by the imports that count now, with their number and state."""
    query = (
        select(
            REFUSED.c.id,
            REFUSED.c.import_id,
            IMPORTS.c.shown.label("file"),
            SHEETS.c.sheet,
            SHEETS.c.table_name.label("table"),
            REFUSED.c.kind,
            REFUSED.c.line,
            REFUSED.c.reason,
            REFUSED.c.cells,
            REFUSED.c.state,
            REFUSED.c.note,
            REFUSED.c.actor,
            REFUSED.c.at,
        )
        .join(IMPORTS, IMPORTS.c.id == REFUSED.c.import_id)
        .join(SHEETS, SHEETS.c.id == REFUSED.c.sheet_id)
        .where(IMPORTS.c.state == "active")
        .order_by(REFUSED.c.id)
    )
    if import_id is not None:
        query = query.where(REFUSED.c.import_id == import_id)
    with store.reading() as connection:
        result = connection.execute(query)
        return pd.DataFrame(result.all(), columns=list(result.keys()))


def dismiss(store: Store, refused_id: int, note: str, stamp: Stamp) -> None:
    """Settle a refused row with a note: it stays listed and asks for nothing more.

    Raises
    ------
    WrongUsage
        If the note is empty.
    UnusableInput
        If there is no such row that is open.
    """
    if not note.strip():
        raise WrongUsage("say why the row is dismissed.")
    with store.writing() as connection:
        done = connection.execute(
            update(REFUSED)
            .where(REFUSED.c.id == refused_id, REFUSED.c.state == "open")
            .values(state="dismissed", note=note.strip(), actor=stamp.who, at=stamp.at)
        )
        if done.rowcount != 1:
            raise UnusableInput("this row is not open any more.", file=store.place)
