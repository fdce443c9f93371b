"""The version of a store: made new, brought forward step by step, refused where it is newer."""

from __future__ import annotations

from collections.abc import Callable

from sqlalchemy import Connection, inspect, select

import riskscope
from riskscope.errors import UnusableInput
from riskscope.store import copies
from riskscope.store.database import Store, connect, sentences
from riskscope.store.model import META, METADATA

VERSION = 1
SHAPE = "d846572836fa46a2"  # `model.shape()` of this version: a test holds them together

# version a store is at -> what takes it to the next; committed together with the new number.
MIGRATIONS: dict[int, Callable[[Connection], None]] = {}


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
            found = version(store)
            if found is None:
                if not create:
                    raise UnusableInput(
                        "there is no store here yet.", file=store.place, hint="`riskscope store add FILE` makes it."
                    )
                _make(store)
            elif found > VERSION:
                raise UnusableInput(
                    f"this store was written by a newer riskscope (store version {found}; this one knows {VERSION}).",
                    file=store.place,
                    hint="Install that version.",
                )
            elif found < VERSION:
                upgrade(store, found)
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
        found = connection.execute(select(META.c.value).where(META.c.name == "version")).scalar()
    if found is None or not str(found).isdecimal():
        raise UnusableInput("is not a store of riskscope.", file=store.place)
    return int(found)


def _make(store: Store) -> None:
    with store.writing() as connection:
        if "meta" in inspect(connection).get_table_names():  # another process was faster
            return
        METADATA.create_all(connection)
        connection.execute(
            META.insert(),
            [{"name": "version", "value": str(VERSION)}, {"name": "made_by", "value": riskscope.__version__}],
        )


def upgrade(store: Store, found: int) -> None:
    """Bring an older store forward, after a copy of it was kept beside it."""
    missing = [step for step in range(found, VERSION) if step not in MIGRATIONS]
    if missing:
        raise UnusableInput(f"store version {found} is too old to be brought forward.", file=store.place)
    copies.keep_before_upgrade(store, found)
    for step in range(found, VERSION):
        with store.writing() as connection:
            at = connection.execute(select(META.c.value).where(META.c.name == "version")).scalar()
            if int(at or 0) != step:
                continue  # another process has done this step
            MIGRATIONS[step](connection)
            connection.execute(META.update().where(META.c.name == "version").values(value=str(step + 1)))
