"""An import in a forked process that is killed at a chosen moment."""

from __future__ import annotations

import os
import signal
import time
import warnings
from collections.abc import Callable

from sqlalchemy import event

from riskscope.jobs import keep
from riskscope.store import reading as held
from riskscope.store.database import Store
from riskscope.store.migrations import open_store
from tests.store.build import ANN, SURVEY, add, install_rows

MOMENTS = ("before_cursor_execute", "after_cursor_execute", "begin", "commit")


def forked(work: Callable[[], None]) -> int:
    """Run work in a fork of this process and return its wait status."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        child = os.fork()
    if child == 0:
        try:
            work()
        finally:
            os._exit(0)
    return os.waitpid(child, 0)[1]


def at_each_moment(store: Store, act: Callable[[], None]) -> None:
    """Call `act` before and after each statement, begin and commit of a store's engine."""
    for name in MOMENTS:
        event.listen(store.engine, name, lambda *_, **__: act())
    commit = store.engine.dialect.do_commit

    def around(connection: object) -> None:
        act()
        commit(connection)  # type: ignore[arg-type]
        act()

    store.engine.dialect.do_commit = around  # type: ignore[method-assign]


def bring_in(store: Store, rows: int) -> None:
    add(store, install_rows(rows), "torque.csv")


def count_moments(place: str, rows: int) -> int:
    """How many moments there are in an import into a new store."""
    store = open_store(place, create=True)
    seen: list[int] = []
    at_each_moment(store, lambda: seen.append(1))
    bring_in(store, rows)
    store.close()
    return len(seen)


def killed_at(place: str, moment: int, rows: int) -> bool:
    """Import in a fork that kills itself at its n-th moment; whether it was killed."""

    def work() -> None:
        left = [moment]

        def act() -> None:
            left[0] -= 1
            if left[0] < 0:
                os.kill(os.getpid(), signal.SIGKILL)

        store = open_store(place, create=True)
        at_each_moment(store, act)
        bring_in(store, rows)

    return os.WIFSIGNALED(forked(work))


def killed_after(place: str, seconds: float, rows: int) -> bool:
    """Import in a fork that is killed from outside after a while."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        child = os.fork()
    if child == 0:
        try:
            store = open_store(place, create=True)
            bring_in(store, rows)
        finally:
            os._exit(0)
    time.sleep(seconds)
    os.kill(child, signal.SIGKILL)
    return os.WIFSIGNALED(os.waitpid(child, 0)[1])


def is_whole(place: str, rows: int) -> None:
    """The store opens, holds all of the file or none, and the next imports complete."""
    with keep.opened(place, create=True) as store:
        tables = held.tables(store, 30).accepted
        assert len(tables.get("installs", ())) in (0, rows)
        bring_in(store, rows)
        add(store, SURVEY)
        assert len(held.tables(store, 30)["installs"]) == rows
        count, found = keep.check(store, ANN.actor)
        assert (count, found) == (2, [])
