"""background: long work in a thread of its own, its progress and signs of life in the store."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable

from riskscope.errors import RiskscopeError
from riskscope.jobs.rank import Progress
from riskscope.store import tasks
from riskscope.store.database import Store
from riskscope.store.migrations import open_store
from riskscope.store.stamp import Actor, Stamp
from riskscope.store.tasks import Task

log = logging.getLogger("riskscope.background")
BEAT_S = 10.0
SAY_S = 0.5
Work = Callable[[Store, Progress], str]
Clock = Callable[[], str]


def start(place: str, kind: str, stamp: Stamp, work: Work, clock: Clock) -> Task:
    """Begin work and return at once; whoever waits asks `riskscope.store.tasks.get`.

    Parameters
    ----------
    place : str
        The store's file or address.
    kind : str
        Only one of a kind runs at a time.
    work : callable
        Takes the store and a progress; what it returns is the result in words.
    clock : callable
        This instant in UTC, ISO 8601.

    Raises
    ------
    UnusableInput
        If such work runs already.
    """
    stamp.actor.needs("viewer", all_sites=False)
    store = open_store(place)
    try:
        task = tasks.begin(store, kind, stamp)
    except BaseException:
        store.close()
        raise
    threading.Thread(target=_run, args=(store, task, work, clock), daemon=True).start()
    return task


def state(store: Store, actor: Actor, task_id: int) -> Task:
    """How far a piece of work is."""
    actor.needs("viewer", all_sites=False)
    return tasks.get(store, task_id)


def _run(store: Store, task: Task, work: Work, clock: Clock) -> None:
    over = threading.Event()
    beating = threading.Thread(target=_beat, args=(store, task, clock, over), daemon=True)
    beating.start()
    last = [0.0]

    def say(text: str) -> None:
        if time.monotonic() - last[0] >= SAY_S:
            last[0] = time.monotonic()
            tasks.beat(store, task.id, clock(), text)

    try:
        result, failed = work(store, say), False
    except RiskscopeError as error:
        result, failed = str(error), True
    except Exception as error:
        log.exception("job %d (%s) failed", task.id, task.kind)
        result, failed = f"something went wrong that is our fault ({type(error).__name__})", True
    finally:
        over.set()
    beating.join()
    tasks.end(store, task.id, clock(), result, failed=failed)
    store.close()


def _beat(store: Store, task: Task, clock: Clock, over: threading.Event) -> None:
    while not over.wait(BEAT_S):
        try:
            tasks.beat(store, task.id, clock())
        except RiskscopeError as error:  # the store is busy: the next beat comes soon
            log.warning("job %d: %s", task.id, error)
