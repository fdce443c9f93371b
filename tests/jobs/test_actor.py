"""Who may do what: every job that reads or writes a store is told who asks."""

from __future__ import annotations

import inspect
import pkgutil
from collections.abc import Callable
from importlib import import_module
from pathlib import Path

import pytest

from riskscope import jobs
from riskscope.errors import WrongUsage
from riskscope.intake.options import Limits, ReadOptions
from riskscope.jobs import assessed, enter, keep, sites
from riskscope.jobs.request import Request
from riskscope.store.database import Store
from riskscope.store.stamp import ROLES, Actor, Stamp
from riskscope.words.render import Units
from tests.store.build import ANN, ON, SURVEY, add

AT = "2026-06-01T08:00:00+00:00"
FINDING = {"connection_id": "P1/F1/A", "work_date": "2026-05-20", "as_found": "tight", "action": "none"}
# What a job needs, and the job done by an actor on a store with one import.
NEEDS: dict[str, tuple[str, Callable[[Store, Actor, Path], object]]] = {
    "listed": ("viewer", lambda store, actor, folder: keep.listed(store, actor)),
    "refused": ("viewer", lambda store, actor, folder: keep.refused(store, actor)),
    "check": ("viewer", lambda store, actor, folder: keep.check(store, actor)),
    "export": ("viewer", lambda store, actor, folder: keep.export_tables(store, actor, folder, "csv", {})),
    "bring in": (
        "surveyor",
        lambda store, actor, folder: add(store, SURVEY.replace("P1", "P2"), "more.csv", stamp=Stamp(actor, AT)),
    ),
    "picture": ("surveyor", lambda store, actor, folder: keep.keep_picture(store, "a.png", b"x", Stamp(actor, AT))),
    "enter": (
        "planner",
        lambda store, actor, folder: enter.enter(store, "findings", FINDING, on=ON, stamp=Stamp(actor, AT)),
    ),
    "site": (
        "keeper",
        lambda store, actor, folder: sites.give_site(store, [1], "Works", limits=Limits(), stamp=Stamp(actor, AT)),
    ),
    "dismiss": ("keeper", lambda store, actor, folder: keep.dismiss(store, 2, "no joint", Stamp(actor, AT))),
    "backup": ("keeper", lambda store, actor, folder: keep.backup(store, actor, folder / "b.db")),
    "undo": ("keeper", lambda store, actor, folder: keep.undo(store, 1, Stamp(actor, AT))),
}


@pytest.mark.parametrize("job", NEEDS)
def test_a_job_is_done_by_who_may_and_by_nobody_less(tmp_path: Path, job: str) -> None:
    least, do = NEEDS[job]
    roles = list(ROLES)
    with keep.opened(str(tmp_path / "s.db"), create=True) as store:
        add(store, SURVEY)
        for role in roles[: roles.index(least)]:
            with pytest.raises(WrongUsage, match=f"Cy is {role} here: a {least} "):
                do(store, Actor("Cy", role), tmp_path)
        with pytest.raises(WrongUsage, match="sees Works only"):
            do(store, Actor("Cy", "keeper", frozenset({"Works"})), tmp_path)
        do(store, Actor("Cy", least), tmp_path)


def test_who_sees_one_site_is_told_of_no_other(tmp_path: Path) -> None:
    place = tmp_path / "s.db"
    cy = Stamp(Actor("Cy", "viewer", frozenset({"Yard"})), AT)
    with keep.opened(str(place), create=True) as store:
        add(store, SURVEY, "w.csv", site="Works")
        add(store, SURVEY.replace("P1", "P2"), "y.csv", site="Yard")
        record = assessed.current(store, _request(place, cy))
        ranking = assessed.read(store, record, "ranking", cy.actor)
        assert set(ranking["site"]) == {"Yard"}
        assert len(ranking) == 2
        assert sum(record.summary["bands"].values()) == 2
        assert set(assessed.load(store, record, _request(place, cy)).connections["site"]) == {"Yard"}
        of_all = assessed.current(store, _request(place, ANN))
        assert of_all.id != record.id
        with pytest.raises(WrongUsage, match="sees Yard only"):
            assessed.read(store, of_all, "ranking", cy.actor)
        with pytest.raises(WrongUsage, match="does not see the sites"):
            assessed.read(store, record, "ranking", Actor("Di", "viewer", frozenset({"Works"})))


def _request(place: Path, stamp: Stamp) -> Request:
    return Request(None, {}, ReadOptions(), {}, None, ON, Units(), str(place), stamp)


# They only look at where it is, or open it for a job that asks.
OPENS = {"keep.opened", "keep.open_store", "keep.place_of", "bring_in.limits_of"}


def test_no_job_on_a_store_can_be_called_without_saying_who() -> None:
    unsaid = []
    for module in pkgutil.iter_modules(jobs.__path__):
        made = import_module(f"riskscope.jobs.{module.name}")
        for name, job in vars(made).items():
            if not inspect.isfunction(job) or name.startswith("_") or job.__module__ != made.__name__:
                continue
            parameters = inspect.signature(job).parameters
            if "store" in parameters and not {"actor", "stamp", "request"} & set(parameters):
                unsaid.append(f"{module.name}.{name}")
    # what comes into a store is looked at before who brings it in is asked
    assert set(unsaid) - OPENS == {"sites.site_question", "sites.doubt", "sites.new_site"}
