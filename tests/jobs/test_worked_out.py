"""What is worked out before a change of the store is what stands after it: the same rows of the same surveys."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pandas as pd
import pytest

from riskscope.intake.options import Limits
from riskscope.jobs import keep, sites, taken_back
from riskscope.jobs.bring_in import Decision
from riskscope.jobs.mend import Edit, mend, mend_changes
from riskscope.schema.tables import Tables
from riskscope.store import imports
from riskscope.store import reading as held
from riskscope.store.database import Store
from tests.build import ON
from tests.examples import part
from tests.store.build import ANN, add

HEAD = "connection_id,survey_date,connection_c,ambient_c,load_pct,equipment,circuit,phase\n"
MAY = HEAD + "K,2026-05-04,62,30,80,B1,F1,A\nL,2026-05-04,35,30,80,B1,F1,B\nM,2026-05-04,OL,30,80,B1,F1,C\n"
LATE_MAY = HEAD + "K,2026-05-25,61,30,80,B1,F1,A\nL,2026-05-25,34,30,80,B1,F1,B\n"
COOL = LATE_MAY.replace("61", "34")
REGISTER = "connection_id,equipment,circuit,phase,limit_c,retired_on,retired_by\n"
OLD, NEW = REGISTER + "J,B1,F1,N,90,,\nK,B1,F1,A,x,,\n", REGISTER + "K,B1,F1,A,55,,\n"
AND_BACK = "What must not wait now, and by this no longer would: K. Make sure."


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two surveys in files of one name, two registers of one joint, a third survey file replaced by one of its name."""
    place = tmp_path_factory.mktemp("made") / "s.db"
    with keep.opened(str(place), create=True) as store:
        add(store, MAY)
        add(store, OLD, "connections.csv")
        add(store, NEW, "connections again.csv", decision=Decision(beside=True))
        add(store, LATE_MAY.replace("34", "36"))
        add(store, LATE_MAY, decision=Decision(supersedes=(4,)))
    return place


@pytest.fixture
def store(made: Path, tmp_path: Path) -> Iterator[Store]:
    with keep.opened(str(shutil.copy(made, tmp_path / "s.db"))) as held:
        yield held


def mended(number: int, *edits: Edit) -> Callable[[Store], object]:
    return lambda store: mend(store, number, edits, limits=Limits(), stamp=ANN)


def to_mend(number: int, *edits: Edit) -> Callable[[Store], str]:
    return lambda store: mend_changes(store, number, edits, limits=Limits(), actor=ANN.actor, on=ON)


LIMIT, HEAT = Edit("", 3, 4, "x", "150"), Edit("", 2, 2, "61", "34")
RETIRED = (Edit("", 3, 4, "x", "90"), Edit("", 3, 5, "", "2026-05-28"), Edit("", 3, 6, "", "P. Lowe"))
OPERATIONS: dict[str, tuple[Callable[[Store], str], Callable[[Store], object]]] = {
    "a register that stands first": (to_mend(2, LIMIT), mended(2, LIMIT)),
    "retired there": (to_mend(2, *RETIRED), mended(2, *RETIRED)),
    "a survey whose file has the name of another": (to_mend(5, HEAT), mended(5, HEAT)),
    "a refused row": (to_mend(1, Edit("", 4, 2, "OL", "36")), mended(1, Edit("", 4, 2, "OL", "36"))),
    "undone": (
        lambda store: taken_back.taken_back(store, ANN.actor, [5], on=ON),
        lambda store: imports.undo(store, 5, ANN),
    ),
    "a site": (
        lambda store: sites.site_changes(store, [1, 5], "Works", limits=Limits(), actor=ANN.actor, on=ON),
        lambda store: sites.give_site(store, (1, 5), "Works", limits=Limits(), stamp=ANN),
    ),
}


def alike(tables: Tables) -> dict[str, pd.DataFrame]:
    """The rows, their surveys by number: a file that is to come has no name yet."""
    made = {name: rows.drop(columns="source_file") for name, rows in tables.accepted.items()}
    made["survey"] = made["survey"].assign(survey_id=pd.factorize(made["survey"]["survey_id"])[0])
    return made


@pytest.mark.parametrize("name", part(OPERATIONS, 1))
def test_what_is_worked_out_is_what_stands_then(store: Store, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[Tables] = []
    whole = taken_back.assess_tables
    monkeypatch.setattr(
        taken_back, "assess_tables", lambda tables, *more: (seen.append(tables), whole(tables, *more))[1]
    )
    ask, do = OPERATIONS[name]
    ask(store)
    do(store)
    was, now = alike(seen[-1]), alike(held.tables(store, 30))
    assert was.keys() == now.keys()
    for table, rows in now.items():
        pd.testing.assert_frame_equal(was[table], rows, check_like=True, check_dtype=False)
    places = ["table", "sheet", "line", "kind", "cells"]
    pd.testing.assert_frame_equal(seen[-1].refused[places], held.tables(store, 30).refused[places], check_dtype=False)


def test_an_old_register_that_is_mended_counts_before_a_newer_one_as_it_will(store: Store) -> None:
    assert to_mend(2, *RETIRED)(store) == AND_BACK


def test_a_file_that_replaces_one_is_no_part_of_the_survey_of_another_of_its_name(store: Store) -> None:
    made = add(store, COOL, decision=Decision(supersedes=(5,)))
    assert AND_BACK in " ".join(note.text for note in made.notes)
