"""The assessment of a store: made once for each change, kept, read back as it was."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pandas as pd

import riskscope
from riskscope.intake.options import Limits, Ways
from riskscope.jobs import assessed, keep
from riskscope.jobs.bring_in import Decision, bring_in, one_file, wanted
from riskscope.jobs.rank import Request, rank
from riskscope.store import assessments
from tests.store.build import ANN, BOB, ON

DEMO = Path(__file__).parent.parent.parent / "demo_data"


def request(place: str, on: dt.date = ON) -> Request:
    return Request(folder=None, files={}, ways=Ways(), options={}, criteria=None, on=on, store=place)


def test_one_assessment_for_each_change(tmp_path: Path) -> None:
    place = str(tmp_path / "s.db")
    with keep.opened(place, create=True) as store:
        files, _ = wanted([DEMO], riskscope.Ways())
        bring_in(store, files, on=ON, options={}, stamp=ANN)
        first = assessed.current(store, request(place), ANN)
        assert assessed.current(store, request(place), BOB) == first
        assert (first.actor, first.as_of) == ("ann", "2026-06-01")
        later = assessed.current(store, request(place, dt.date(2026, 7, 1)), BOB)
        assert later.id != first.id
        text = "connection_id,work_date,as_found,action\nMCC-1/F1/A,2026-05-20,loose,remade\n"
        one_file(
            store,
            text.encode(),
            "findings_2.csv",
            Ways(),
            named=False,
            on=ON,
            limits=Limits(),
            stamp=BOB,
            decision=Decision(),
        )
        changed = assessed.current(store, request(place), BOB)
        assert changed.id not in (first.id, later.id)
        actions = [
            assessments.read(store, one.id, "ranking").set_index("connection_id").loc["MCC-1/F1/A", "action"]
            for one in (first, changed)
        ]
        assert actions == ["retighten", "re-survey"]


def test_a_kept_assessment_reads_back_as_it_was_made(tmp_path: Path) -> None:
    place = str(tmp_path / "s.db")
    with keep.opened(place, create=True) as store:
        files, _ = wanted([DEMO], riskscope.Ways())
        bring_in(store, files, on=ON, options={}, stamp=ANN)
        fresh = rank(request(place))
        again = assessed.as_ranked(store, assessed.current(store, request(place), ANN), request(place))
        pd.testing.assert_frame_equal(again.found, fresh.found, check_dtype=False)
        for name, table in fresh.results.tables.items():
            pd.testing.assert_frame_equal(again.results[name], table, check_dtype=False)
