"""Opening a store: SQLite by default, PostgreSQL by URL; every failure is one sentence."""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError, SQLAlchemyError

from riskscope.errors import UnusableInput, WrongUsage
from riskscope.store.place import home_of

BUSY_TIMEOUT_S = 30
PRAGMAS = (
    "PRAGMA journal_mode = WAL",
    "PRAGMA synchronous = FULL",
    "PRAGMA foreign_keys = ON",
    f"PRAGMA busy_timeout = {BUSY_TIMEOUT_S * 1000}",
)
WRITERS_LOCK = 7_465_001  # the one lock of PostgreSQL that writers of a store take in turn


@dataclass(frozen=True)
class Store:
    """An open store."""

    engine: Engine
    place: str  # its file, or its address without the password
    address: str = ""  # what opens it again

    @property
    def is_sqlite(self) -> bool:
        return self.engine.dialect.name == "sqlite"

    @property
    def file(self) -> Path | None:
        return Path(self.engine.url.database or "") if self.is_sqlite else None

    @property
    def home(self) -> Path:
        """The folder whose ``riskscope.toml`` counts."""
        return home_of(self.address)

    @contextlib.contextmanager
    def reading(self) -> Iterator[Connection]:
        """One consistent view, however long it is read and whoever writes meanwhile."""
        level = "REPEATABLE READ"
        with sentences(self.place), self.engine.connect() as plain:
            connection = plain if self.is_sqlite else plain.execution_options(isolation_level=level)
            with connection.begin():
                yield connection

    @contextlib.contextmanager
    def writing(self) -> Iterator[Connection]:
        """One transaction: all of it is kept or none. Writers wait for each other."""
        with sentences(self.place), self.engine.connect() as plain:
            connection = plain.execution_options(riskscope_begin="BEGIN IMMEDIATE")
            with connection.begin():
                if not self.is_sqlite:
                    connection.execute(text(f"SELECT pg_advisory_xact_lock({WRITERS_LOCK})"))
                yield connection

    def close(self) -> None:
        self.engine.dispose()


def connect(place: str, create: bool) -> Store:
    """A connection pool to a store that may be empty or of another version yet.

    Parameters
    ----------
    place : str
        A file, or a URL such as ``postgresql://user@host/name``.
    create : bool
        Whether a file that is not there is made.

    Raises
    ------
    UnusableInput, WrongUsage
        If there is no store there, or its server does not answer.
    """
    if "://" not in place:
        return _sqlite(Path(place), create)
    try:
        url = make_url(place)
        if url.drivername in {"postgresql", "postgres"}:
            url = url.set(drivername="postgresql+psycopg")
        if url.drivername != "postgresql+psycopg":
            raise WrongUsage("a store is a file or a postgresql:// address.", value=url.drivername)
        engine = create_engine(url, pool_pre_ping=True)
    except (ArgumentError, NoSuchModuleError, ValueError) as error:
        raise WrongUsage(
            "the address of the store cannot be understood.", hint="Write postgresql://USER@HOST/NAME, or a file."
        ) from error
    except ModuleNotFoundError as error:
        raise UnusableInput("PostgreSQL needs the extra: pip install 'riskscope[postgres]'.") from error
    shown = url.set(drivername="postgresql").render_as_string(hide_password=True)
    return Store(engine, shown, place)


def _sqlite(path: Path, create: bool) -> Store:
    if path.is_dir():
        raise UnusableInput("is a folder, not a store.", file=str(path))
    if not create and (not path.exists() or path.stat().st_size == 0):
        raise UnusableInput("there is no store here yet.", file=str(path), hint="`riskscope store add FILE` makes it.")
    if not path.parent.is_dir():
        raise UnusableInput("its folder does not exist.", file=str(path))
    engine = create_engine(f"sqlite:///{path}", connect_args={"timeout": BUSY_TIMEOUT_S})

    @event.listens_for(engine, "connect")
    def prepare(connection: sqlite3.Connection, record: object) -> None:
        connection.isolation_level = None  # transactions are begun by us, below
        for pragma in PRAGMAS:
            connection.execute(pragma)

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        options = connection.get_execution_options()
        connection.exec_driver_sql(str(options.get("riskscope_begin", "BEGIN")))

    return Store(engine, str(path), str(path))


SENTENCES = (
    ("disk is full", "the disk is full: nothing was written."),
    ("no space left", "the disk is full: nothing was written."),
    ("disk i/o error", "cannot be written (the disk is full, or fails): nothing was written."),
    ("readonly database", "cannot be written to: nothing was written."),
    ("unable to open", "cannot be opened: is its folder there, and may it be written to?"),
    ("file is not a database", "is not a store of riskscope."),
    ("malformed", "is damaged."),
    ("database is locked", f"is in use by another program for more than {BUSY_TIMEOUT_S} s: nothing was written."),
    ("too big", "a cell or file is larger than the store can hold: nothing was written."),
    ("nul (0x00)", "a cell holds a NUL character, which this store cannot hold: nothing was written."),
)


@contextlib.contextmanager
def sentences(place: str) -> Iterator[None]:
    """What goes wrong with the database, as one sentence with the store's place."""
    try:
        yield
    except DBAPIError as error:
        raise _sentence(error, place) from error
    except SQLAlchemyError as error:
        raise UnusableInput(f"the store failed ({type(error).__name__}).", file=place) from error
    except sqlite3.Error as error:
        raise _sentence(error, place) from error


def _sentence(error: Any, place: str) -> UnusableInput:
    words = str(getattr(error, "orig", error)).strip()
    for sign, sentence in SENTENCES:
        if sign in words.casefold():
            hint = {"is damaged.": "`riskscope store restore` brings a backup back."}.get(sentence)
            return UnusableInput(sentence, file=place, hint=hint)
    first = words.splitlines()[0] if words else type(error).__name__
    return UnusableInput(f"the store could not be used: {first}", file=place)
