"""The assessment of a store: made once for each change, kept, read back as it was."""

from __future__ import annotations

import dataclasses
import datetime as dt
import shutil
from pathlib import Path

import pandas as pd
import pytest

from riskscope.intake.options import Limits, ReadOptions
from riskscope.jobs import assessed, keep
from riskscope.jobs.bring_in import FileContent, one_file
from riskscope.jobs.rank import Request, rank
from riskscope.results.tables import results
from riskscope.store import assessments
from riskscope.store.stamp import Stamp
from riskscope.words.render import Units
from tests import of_demo
from tests.store.build import ANN, BOB, ON

DEMO = Path(__file__).parent.parent.parent / "demo_data"


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A store of the demo site, to be copied."""
    return str(of_demo.store(tmp_path_factory.mktemp("demo") / "s.db"))


def request(place: str, on: dt.date = ON, stamp: Stamp | None = None) -> Request:
    return Request(None, {}, ReadOptions(), {}, None, on, store=place, stamp=stamp)


def test_one_assessment_for_each_change(demo: str, tmp_path: Path) -> None:
    place = str(shutil.copy(demo, tmp_path / "s.db"))
    with keep.opened(place) as store:
        first = assessed.current(store, request(place, stamp=ANN))
        assert assessed.current(store, request(place, stamp=BOB)) == first
        assert (first.actor, first.as_of) == ("ann", "2026-06-01")
        later = assessed.current(store, request(place, dt.date(2026, 7, 1), BOB))
        assert later.id != first.id
        text = "connection_id,work_date,as_found,action\nMCC-1/F1/A,2026-05-20,loose,remade\n"
        one_file(store, FileContent("findings_2.csv", text.encode()), on=ON, limits=Limits(), stamp=BOB)
        changed = assessed.current(store, request(place, stamp=BOB))
        assert changed.id not in (first.id, later.id)
        states = [
            assessments.read(store, one.id, "ranking").set_index("connection_id").loc["MCC-1/F1/A", "work_state"]
            for one in (first, changed)
        ]
        assert states == ["open", "repair in doubt"]


@pytest.mark.long
def test_a_kept_assessment_reads_back_as_it_was_made(demo: str, tmp_path: Path) -> None:
    place = str(shutil.copy(demo, tmp_path / "s.db"))
    with keep.opened(place) as store:
        fresh = rank(request(place))
        record = assessed.current(store, request(place, stamp=ANN))
        again = assessed.load(store, record, request(place))
        for name in ("connections", "readings"):
            pd.testing.assert_frame_equal(getattr(again, name), getattr(fresh, name), check_dtype=False)
        for name, table in results(fresh, Units()).tables.items():
            pd.testing.assert_frame_equal(results(again, Units())[name], table, check_dtype=False)
        assert list(again.tables) == list(fresh.tables)


@pytest.mark.long
def test_an_assessment_is_never_read_with_other_rows(
    demo: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Somebody takes an import back between finding the assessment and reading the rows it was made of."""
    place = str(shutil.copy(demo, tmp_path / "s.db"))
    with keep.opened(place) as store:
        record = assessed.current(store, request(place, stamp=ANN))
        last = keep.listed(store, ANN.actor)[-1].id
        keep.undo(store, last, BOB)
        with pytest.raises(assessed.Changed):
            assessed.load(store, record, request(place))
        find = assessments.find
        stale = iter([record])
        monkeypatch.setattr(assessments, "find", lambda *given: next(stale, None) or find(*given))
        again = assessed.of_store(request(place), lambda text: None)
        assert len(again.tables.files) == len(keep.listed(store, ANN.actor)) - 1


@pytest.mark.long
def test_where_a_setting_comes_from_is_told_anew(demo: str, tmp_path: Path) -> None:
    place = str(shutil.copy(demo, tmp_path / "s.db"))
    with keep.opened(place) as store:
        given = dataclasses.replace(request(place, stamp=ANN), options={"limit_default_c": "61"})
        assert assessed.current(store, given).summary["settings_from"] == {"limit_default_c": "option"}
        toml = tmp_path / "riskscope.toml"
        toml.write_text("[settings]\nlimit_default_c = 61\n", "utf-8")
        assert assessed.current(store, request(place, stamp=ANN)).summary["settings_from"] == {
            "limit_default_c": str(toml)
        }
