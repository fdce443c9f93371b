"""Whole copies of a store: backup, restore, and the copy kept before an upgrade."""

from __future__ import annotations

import contextlib
import os
import sqlite3
import tempfile
from pathlib import Path

from sqlalchemy import Connection, MetaData, Select, Table, create_engine, inspect, select

from riskscope.errors import UnusableInput
from riskscope.store.database import Store, sentences
from riskscope.store.model import METADATA

BATCH = 5000


def backup(store: Store, path: Path) -> None:
    """A copy of the whole store as one SQLite file, whatever the store is; appears whole or not at all.

    Raises
    ------
    UnusableInput
        If the file is there already or cannot be written.
    """
    if path.exists():
        raise UnusableInput("is there already; a backup overwrites nothing.", file=str(path))
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=".riskscope-", suffix=".db")
    except OSError as error:
        raise UnusableInput(f"cannot be written ({error.strerror}).", file=str(path)) from error
    os.close(handle)
    scratch = Path(name)
    try:
        with sentences(str(path)):
            if store.file is not None:
                _copy_sqlite(store.file, scratch)
            else:
                _copy_rows(store, scratch)
        with scratch.open("rb") as file:
            os.fsync(file.fileno())
        try:
            os.link(scratch, path)  # never over a file that came meanwhile
        except FileExistsError:
            raise UnusableInput("is there already; a backup overwrites nothing.", file=str(path)) from None
        except OSError as error:
            raise UnusableInput(f"cannot be written ({error.strerror}).", file=str(path)) from error
    finally:
        scratch.unlink(missing_ok=True)


def _copy_sqlite(source: Path, target: Path) -> None:
    origin = sqlite3.connect(source, timeout=30)
    copy = sqlite3.connect(target)
    try:
        origin.backup(copy)
        copy.execute("PRAGMA journal_mode = DELETE")
    finally:
        copy.close()
        origin.close()


def _copy_rows(store: Store, target: Path) -> None:
    """Every row of every table, as it is in one moment, into an empty SQLite file."""
    there = MetaData()
    engine = create_engine(f"sqlite:///{target}")
    try:
        with store.reading() as source, engine.begin() as copy:
            there.reflect(source)
            for table in there.sorted_tables:
                _without_server_words(table)
            there.create_all(copy)
            _pour(source, copy, there)
    finally:
        engine.dispose()


def _without_server_words(table: Table) -> None:
    for column in table.columns:
        column.server_default = None
        column.type = column.type.as_generic()


def _pour(source: Connection, copy: Connection, tables: MetaData) -> None:
    for table in tables.sorted_tables:
        rows = source.execution_options(yield_per=BATCH).execute(_in_order(table))
        for batch in rows.mappings().partitions(BATCH):
            copy.execute(table.insert(), [dict(row) for row in batch])


def _in_order(table: Table) -> Select[tuple[object, ...]]:
    return select(table).order_by(*table.primary_key.columns)


def restore(path: Path, store: Store) -> None:
    """Bring a backup back where nothing is yet; all of it or nothing.

    Parameters
    ----------
    path : Path
        What `backup` wrote, of the same store version where `store` is on a server.
    store : Store
        Connected, with nothing in it.

    Raises
    ------
    UnusableInput
        If the store holds something, or the file is no backup.
    """
    if not is_store_file(path):
        raise UnusableInput("is not a backup of riskscope.", file=str(path))
    occupied = UnusableInput("holds something already; a restore overwrites nothing.", file=store.place)
    if store.file is not None:
        if store.file.exists():
            raise occupied
        backup_of = Store(create_engine(f"sqlite:///{path}"), str(path))
        try:
            backup(backup_of, store.file)
        finally:
            backup_of.close()
        return
    engine = create_engine(f"sqlite:///{path}")
    try:
        with engine.connect() as source, store.writing() as target:
            if inspect(target).get_table_names():
                raise occupied
            METADATA.create_all(target)
            _pour(source, target, METADATA)
    finally:
        engine.dispose()


def is_store_file(path: Path) -> bool:
    """Whether a file is a SQLite store of ours."""
    if not path.is_file():
        return False
    try:
        with contextlib.closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as connection:
            return bool(connection.execute("SELECT value FROM meta WHERE name = 'version'").fetchone())
    except sqlite3.Error:
        return False


def keep_before_upgrade(store: Store, version: int) -> Path:
    """The copy kept before a store is brought forward, beside its file; that of a server in the folder at hand."""
    base = store.file or Path(f"{store.engine.url.database}.db")
    path = base.with_name(f"{base.name}.before-version-{version + 1}")
    if not path.exists():
        backup(store, path)
    return path
