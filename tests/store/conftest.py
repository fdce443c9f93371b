"""A new store for each test: a SQLite file, and a database of a real PostgreSQL server."""

from __future__ import annotations

import os
import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest

from riskscope.store.database import Store
from riskscope.store.migrations import open_store
from tests.conftest import lacking


def postgres_place() -> Iterator[str]:
    """The address of a new database on the test server; it is dropped afterwards."""
    server = os.environ.get("RISKSCOPE_TEST_POSTGRES")
    if not server:
        lacking("postgres", "RISKSCOPE_TEST_POSTGRES names no server")
    import psycopg

    name = f"t_{uuid.uuid4().hex}"
    with psycopg.connect(str(server), autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}")
    yield f"{str(server).rpartition('/')[0]}/{name}"
    with psycopg.connect(str(server), autocommit=True) as connection:
        connection.execute(f"DROP DATABASE {name} WITH (FORCE)")


def place_of(kind: str, folder: Path) -> Iterator[str]:
    """The address of a store to be made: a file in a folder, or a database of the test server."""
    if kind == "sqlite":
        yield str(folder / "store.db")
    else:
        yield from postgres_place()


@pytest.fixture(params=["sqlite", "postgres"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    yield from place_of(request.param, tmp_path)


@pytest.fixture
def store(place: str) -> Iterator[Store]:
    opened = open_store(place, create=True)
    yield opened
    opened.close()
