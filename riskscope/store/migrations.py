"""The version of a store: made new, brought forward step by step, refused where it is newer."""

from __future__ import annotations

from collections.abc import Callable

from sqlalchemy import Connection, inspect, select, text

import riskscope
from riskscope.errors import UnusableInput
from riskscope.store import copies
from riskscope.store.database import Store, connect, sentences
from riskscope.store.model import META, METADATA, ROWS

VERSION = 2
SHAPE = "07f93f3577b35b08"  # `model.shape()` of this version: a test holds them together


def _sites_of_records(connection: Connection) -> None:
    """From version 1: records, tools, inspections and outages can say their site."""
    for table in ("installs", "findings", "tools", "inspections", "outages"):
        connection.execute(text(f'ALTER TABLE {ROWS[table].name} ADD COLUMN "site" TEXT'))


# version a store is at -> what takes it to the next; committed together with the new number.
MIGRATIONS: dict[int, Callable[[Connection], None]] = {1: _sites_of_records}


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
