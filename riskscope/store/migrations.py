"""The version of a store: made new, brought forward step by step, refused where it is newer."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from typing import Any

from sqlalchemy import Connection, Row, Table, bindparam, inspect, select, text

import riskscope
from riskscope.errors import UnusableInput
from riskscope.intake.layout.headers import understand
from riskscope.schema import TABLES
from riskscope.schema.common import SAID
from riskscope.schema.tables import EXTRA
from riskscope.store import copies
from riskscope.store.database import Store, connect, sentences
from riskscope.store.model import FILES, IMPORTS, META, METADATA, PICTURES, REFUSED, ROWS, SHEETS

VERSION = 7
SHAPE = "1d67e5eee888b1c4"  # `model.shape()` of this version: a test holds them together


def _sites_of_records(connection: Connection) -> None:
    """From version 1: records, tools, inspections and outages can say their site."""
    for table in ("installs", "findings", "tools", "inspections", "outages"):
        add_column(connection, table, "site")


def _pictures_apart(connection: Connection) -> None:
    """From version 2: pictures have a table of their own; they were names beside the version."""
    begins = "picture: "
    PICTURES.create(connection)
    held = connection.execute(
        select(META.c.name, FILES.c.sha256, FILES.c.kept_at)
        .join(FILES, FILES.c.sha256 == META.c.value)
        .where(META.c.name.startswith(begins, autoescape=True))
    ).all()
    for row in held:
        name = row.name.removeprefix(begins)
        connection.execute(
            PICTURES.insert().values(name=name, shown=name, sha256=row.sha256, actor="not recorded", at=row.kept_at)
        )
    connection.execute(META.delete().where(META.c.name.startswith(begins, autoescape=True)))


def _work_to_proof(connection: Connection) -> None:
    """From version 3: deferrals and notices have tables, connections a former name and an end.

    What findings say of work put off stays with them: it is read as a deferral.
    """
    for table in ("deferrals", "notices"):
        ROWS[table].create(connection)
    for name in ("was_id", "retired_on", "retired_by"):
        add_column(connection, "connections", name)


def _names_and_photographs(connection: Connection) -> None:
    """From version 4: renamings have a table, findings a photograph."""
    ROWS["renamings"].create(connection)
    add_column(connection, "findings", "photo")


# How the reason of a refused row said whose it is before rows said so themselves.
_OF = re.compile(
    r"(?:read it again|mend it) \((?:at the place (?P<place>.+?)|(?P<id>.+?))(?: @ (?P<site>.+?))?"
    r"(?:, (?P<day>\d{4}-\d{2}-\d{2}))?\)(?:;|$)"
)


def _whose_refused_rows_are(connection: Connection) -> None:
    """From version 5: a refused row says whose it is, where and of which day; its reason did.

    And imports that replaced others together say so.
    """
    connection.execute(text(f"ALTER TABLE {IMPORTS.name} ADD COLUMN together BIGINT"))
    for name in SAID:
        connection.execute(text(f'ALTER TABLE {REFUSED.name} ADD COLUMN "{name}" TEXT'))
    for row in connection.execute(select(REFUSED.c.id, REFUSED.c.reason).where(REFUSED.c.kind == "rejected")).all():
        if (told := _OF.search(row.reason)) is None:
            continue
        values = {"day": told["day"]}
        parts = [part.partition(" ")[::2] for part in (told["place"] or "").split(" · ") if part]
        names = [name for name, _ in parts]
        if ")" not in row.reason[told.end() :] and len({*names} & {*SAID}) == len(names):  # else its cells speak
            values |= {"connection_id": told["id"], "site": told["site"], **dict(parts)}
        connection.execute(REFUSED.update().where(REFUSED.c.id == row.id).values(**values))


def _required_by_findings(connection: Connection) -> None:
    """From version 6: a finding can say the torque that is required, and where that is from."""
    for name in ("required_low_nm", "required_high_nm", "required_source"):
        add_column(connection, "findings", name)


# version a store is at -> what takes it to the next; committed together with the new number.
MIGRATIONS: dict[int, Callable[[Connection], None]] = {
    1: _sites_of_records,
    2: _pictures_apart,
    3: _work_to_proof,
    4: _names_and_photographs,
    5: _whose_refused_rows_are,
    6: _required_by_findings,
}


def add_column(connection: Connection, table: str, name: str) -> None:
    """A new input column of a table; what earlier imports kept under a header that means it goes into it.

    Only words can be moved so. A number or a date is to be read again: `store check` says of which import.
    """
    rows = ROWS[table]
    kind = rows.c[name].type.compile(dialect=connection.dialect)
    connection.execute(text(f'ALTER TABLE {rows.name} ADD COLUMN "{name}" {kind}'))
    if TABLES[table].stored[name].kind not in {"id", "text", "file"}:
        return
    for sheet in connection.execute(select(SHEETS).where(SHEETS.c.table_name == table)).all():
        extras = json.loads(sheet.extras)
        for place, header in enumerate(extras):
            meaning = understand(header.removeprefix(EXTRA), TABLES[table])
            if meaning is not None and meaning[0].name == name:
                _move(connection, rows, sheet, place, name)
                break


def _move(connection: Connection, rows: Table, sheet: Row[Any], place: int, name: str) -> None:
    """One column kept beside the rows of a sheet becomes a column of them."""
    headers = json.loads(sheet.extras)
    held = connection.execute(select(rows.c.row_no, rows.c.extras).where(rows.c.sheet_id == sheet.id)).all()
    moved = []
    for row in held:
        cells = json.loads(row.extras)
        value = cells.pop(place)
        moved.append({"row": row.row_no, "value": value or None, "left": json.dumps(cells, ensure_ascii=False)})
    if moved:
        where = (rows.c.sheet_id == sheet.id) & (rows.c.row_no == bindparam("row"))
        values: dict[str, Any] = {name: bindparam("value"), "extras": bindparam("left") if len(headers) > 1 else None}
        connection.execute(rows.update().where(where).values(values), moved)
    columns = [*json.loads(sheet.columns), name]
    rest = [header for number, header in enumerate(headers) if number != place]
    connection.execute(
        SHEETS.update()
        .where(SHEETS.c.id == sheet.id)
        .values(columns=json.dumps(columns), extras=json.dumps(rest, ensure_ascii=False))
    )


def open_store(place: str, *, create: bool = False) -> Store:
    """A store that is ready for use, brought to this version.

    Parameters
    ----------
    place : str
        A file or a ``postgresql://`` address.
    create : bool
        Whether to make it where there is none.

    Raises
    ------
    UnusableInput
        If there is none, if it is not a store of riskscope, or one of a newer version.
    """
    store = connect(place, create)
    try:
        with sentences(store.place):
            held_version = version(store)
            if held_version is None:
                if not create:
                    raise UnusableInput(
                        "there is no store here yet.", file=store.place, hint="`riskscope store add FILE` makes it."
                    )
                _make(store)
            elif held_version > VERSION:
                raise UnusableInput(
                    "this store was written by a newer riskscope "
                    f"(store version {held_version}; this one knows {VERSION}).",
                    file=store.place,
                    hint="Install that version.",
                )
            elif held_version < VERSION:
                upgrade(store, held_version)
    except BaseException:
        store.close()
        raise
    return store


def version(store: Store) -> int | None:
    """The version of a store; None where nothing is there yet.

    Raises
    ------
    UnusableInput
        If the database is somebody else's.
    """
    with store.reading() as connection:
        names = inspect(connection).get_table_names()
        if "meta" not in names:
            if store.is_sqlite and names:
                raise UnusableInput("is not a store of riskscope.", file=store.place)
            return None
        held_version = connection.execute(select(META.c.value).where(META.c.name == "version")).scalar()
    if held_version is None or not str(held_version).isdecimal():
        raise UnusableInput("is not a store of riskscope.", file=store.place)
    return int(held_version)


def _make(store: Store) -> None:
    with store.writing() as connection:
        if "meta" in inspect(connection).get_table_names():  # another process was faster
            return
        METADATA.create_all(connection)
        connection.execute(
            META.insert(),
            [{"name": "version", "value": str(VERSION)}, {"name": "made_by", "value": riskscope.__version__}],
        )


def upgrade(store: Store, held_version: int) -> None:
    """Bring an older store forward, after a copy of it was kept beside it."""
    missing = [step for step in range(held_version, VERSION) if step not in MIGRATIONS]
    if missing:
        raise UnusableInput(f"store version {held_version} is too old to be brought forward.", file=store.place)
    copies.keep_before_upgrade(store, held_version)
    for step in range(held_version, VERSION):
        with store.writing() as connection:
            at = connection.execute(select(META.c.value).where(META.c.name == "version")).scalar()
            if int(at or 0) != step:
                continue  # another process has done this step
            MIGRATIONS[step](connection)
            connection.execute(META.update().where(META.c.name == "version").values(value=str(step + 1)))
