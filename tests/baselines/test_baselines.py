"""What the tool said earlier, cell by cell, and a store of version 0.2.0."""

from __future__ import annotations

import contextlib
import datetime as dt
import json
import shutil
import sqlite3
from pathlib import Path

import pytest

from riskscope.intake.options import ReadOptions
from riskscope.jobs import keep
from riskscope.jobs.assessed import of_store
from riskscope.jobs.request import Request
from riskscope.results import years
from riskscope.store import reading
from riskscope.words.render import Units
from tests.baselines.rankings import KEPT, SITES, STORE, cells, differences, is_same, ranked, told
from tests.store.build import ANN


@pytest.mark.parametrize("name", [*SITES, STORE.stem])
def test_rankings_are_as_they_were(name: str, tmp_path: Path) -> None:
    source = SITES.get(name, STORE)
    kept, now = cells(KEPT / f"{name}.csv"), cells(ranked(source, tmp_path))
    changed = list(differences(kept, now))
    assert not changed, told(changed)
    assert list(kept) == list(now), "the order"


def test_ranking_leaves_the_kept_store_as_it_is(tmp_path: Path) -> None:
    before = STORE.read_bytes()
    ranked(STORE, tmp_path)
    assert STORE.read_bytes() == before


@pytest.fixture
def store(tmp_path: Path) -> Path:
    return Path(shutil.copy(STORE, tmp_path / STORE.name))


def test_a_store_of_version_0_2_0_holds_what_was_put_in(store: Path) -> None:
    """As `make_store.py` made it."""
    with keep.opened(str(store)) as opened:
        listed = {one.name: one for one in keep.listed(opened, ANN.actor)}
        late = listed["late, corrected.csv"]
        assert (late.state, late.actor, late.tables["survey"]["accepted"]) == ("active", "bob", 4)
        assert [(edit.line, edit.old, edit.new) for edit in keep.edits(opened, ANN.actor, late.id)] == [
            (4, "oops", "44")
        ]
        assert listed["late.csv"].superseded_by == late.id
        assert listed["mistaken.csv"].state == "undone"
        refused = keep.refused(opened, ANN.actor)
        settled = refused[refused["state"] == "dismissed"]
        assert settled[["line", "note"]].to_numpy().tolist() == [[6, "instrument off its scale, read again in June"]]
        count, faults = keep.check(opened, ANN.actor)
        assert (count, faults) == (len(listed), [])


@pytest.mark.long
def test_what_findings_of_an_old_store_put_off_counts_and_hides_nothing(store: Path) -> None:
    """`make_store.py` typed in: B9/W1/B found loose on 30 May 2026, put off by P. Lowe until 1 September 2026."""
    on = dt.date(2026, 6, 1)
    made = of_store(Request(None, {}, ReadOptions(), {}, None, on, Units(), str(store), ANN), lambda text: None)
    rows = years.noted(made, Units()).set_index("connection_id")
    since = {"B9/W1/B", "B2/W10/C", "B1/W2/C", "B1/W9/A"}  # the last was found loose, and read at 10 % since
    before = {"B1/W6/C", "B3/W4/A", "B4/W4/C"}  # decided before their reading: said, and asked anew
    assert set(rows.index) == since | before
    assert set(rows.index[rows["work"].str.contains("decided before this reading")]) == before
    row = rows.loc["B9/W1/B"]
    assert (row["urgency"], row["work_state"], row["days_left"]) == ("soon", "put off", 92)
    assert row["work"].endswith("put off by P. Lowe until 1 September 2026: no spare lug until the shutdown")
    due = years.due(made).set_index("connection_id")
    assert due.loc["B9/W1/B", ["due", "deferred_by", "deferral_reason"]].tolist() == [
        "open finding; put off",
        "P. Lowe",
        "no spare lug until the shutdown",
    ]
    later = dt.date(2026, 9, 2)
    made = of_store(Request(None, {}, ReadOptions(), {}, None, later, Units(), str(store), ANN), lambda text: None)
    assert "deferral run out" in years.due(made).set_index("connection_id").loc["B9/W1/B", "due"]
    (said,) = years.said_first(made, Units())
    assert said.startswith("7 deferrals have run out: ")
    assert "B9/W1/B (P. Lowe, until 1 September 2026)" in said


@pytest.mark.parametrize("beside", [[], ["extra: Remark"]], ids=["alone", "beside another"])
def test_a_site_kept_beside_the_records_of_an_old_store_is_theirs(store: Path, beside: list[str]) -> None:
    """Version 1 knew no site of a torque record: a column that said it was kept with the rows, not used."""
    with contextlib.closing(sqlite3.connect(store)) as old, old:
        sheet, name = old.execute("SELECT id, table_name FROM sheets WHERE table_name = 'installs'").fetchone()
        headers = json.dumps(["extra: Plant", *beside])
        old.execute("UPDATE sheets SET extras = ? WHERE id = ?", (headers, sheet))
        cells = json.dumps(["Works", *["seen" for _ in beside]])
        old.execute(f"UPDATE row_{name} SET extras = ? WHERE sheet_id = ?", (cells, sheet))
    with keep.opened(str(store)) as opened:
        records = reading.tables(opened, 30)["installs"]
    assert set(records["site"].dropna()) == {"Works"}
    assert "extra: Plant" not in records
    assert ("extra: Remark" in records) == bool(beside)


@pytest.mark.parametrize(
    ("kept", "now", "same"),
    [("1.0", "1", True), ("0.1", "0.1000000000001", True), ("4", "3", False), ("", "0", False), ("now", "soon", False)],
)  # fmt: skip
def test_cells_are_compared_as_numbers_where_they_are(kept: str, now: str, same: bool) -> None:
    assert is_same(kept, now) == same


def test_a_row_or_a_column_on_one_side_only_is_a_change() -> None:
    kept = {"A": {"connection_id": "A", "severity": "4"}}
    assert [str(one) for one in differences(kept, {"A": {"connection_id": "A"}})] == [
        "A, severity: kept '4', now '(none)'"
    ]
    assert len(list(differences(kept, {}))) == 2
