"""The table of long work: who does what, how far it is, and whether it still lives."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, func, insert, select, update

from riskscope.errors import UnusableInput
from riskscope.store.database import Store
from riskscope.store.model import JOBS
from riskscope.store.stamp import Stamp

DEAD_AFTER_S = 60  # without a heartbeat for so long, whoever did it is gone


@dataclass(frozen=True)
class Task:
    """One piece of long work. State: running, done, failed or abandoned."""

    id: int
    kind: str
    state: str
    progress: str
    actor: str
    started: str
    heartbeat: str
    ended: str | None
    result: str | None


def begin(store: Store, kind: str, stamp: Stamp) -> Task:
    """Begin work of a kind; only one of it runs at a time.

    Raises
    ------
    UnusableInput
        If it runs already and whoever does it is alive.
    """
    with store.writing() as connection:
        running = connection.execute(select(JOBS).where(JOBS.c.kind == kind, JOBS.c.state == "running")).all()
        for row in running:
            if not _is_dead(row, stamp.at):
                raise UnusableInput(
                    f"{row.actor} is doing this now ({row.progress or 'just begun'}).", hint="Wait until it is done."
                )
            connection.execute(
                update(JOBS)
                .where(JOBS.c.id == row.id)
                .values(state="abandoned", ended=stamp.at, result="no sign of life")
            )
        number = int(connection.execute(select(func.max(JOBS.c.id))).scalar() or 0) + 1
        connection.execute(
            insert(JOBS).values(
                id=number,
                kind=kind,
                state="running",
                progress="",
                actor=stamp.who,
                started=stamp.at,
                heartbeat=stamp.at,
            )
        )
    return get(store, number)


def _is_dead(row: Row[Any], now: str) -> bool:
    age = dt.datetime.fromisoformat(now) - dt.datetime.fromisoformat(row.heartbeat)
    return age.total_seconds() > DEAD_AFTER_S


def get(store: Store, task_id: int) -> Task:
    """One piece of work as it stands.

    Raises
    ------
    UnusableInput
        If there is none of this number.
    """
    with store.reading() as connection:
        row = connection.execute(select(JOBS).where(JOBS.c.id == task_id)).one_or_none()
    if row is None:
        raise UnusableInput(f"there is no job {task_id}.", file=store.place)
    return Task(*row)


def beat(store: Store, task_id: int, at: str, progress: str | None = None) -> bool:
    """A sign of life, and how far the work is; False where it was taken for dead and freed."""
    values = {"heartbeat": at} | ({} if progress is None else {"progress": progress})
    with store.writing() as connection:
        done = connection.execute(update(JOBS).where(JOBS.c.id == task_id, JOBS.c.state == "running").values(**values))
    return done.rowcount == 1


def end(store: Store, task_id: int, at: str, result: str, *, failed: bool = False) -> None:
    """The work is over: what came of it, or why it failed."""
    with store.writing() as connection:
        connection.execute(
            update(JOBS)
            .where(JOBS.c.id == task_id, JOBS.c.state == "running")
            .values(state="failed" if failed else "done", ended=at, heartbeat=at, result=result)
        )


def running(store: Store, now: str) -> list[Task]:
    """Work that goes on now and shows signs of life."""
    with store.reading() as connection:
        tasks = connection.execute(select(JOBS).where(JOBS.c.state == "running").order_by(JOBS.c.id)).all()
    return [Task(*row) for row in tasks if not _is_dead(row, now)]
