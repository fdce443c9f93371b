"""What the tool said earlier, cell by cell, and a store of version 0.2.0."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from riskscope.jobs import keep as jobs
from tests.baselines import keep
from tests.baselines.keep import KEPT, SITES, STORE, cells, differences, ranked


@pytest.mark.parametrize("name", SITES)
def test_rankings_are_as_they_were(name: str, tmp_path: Path) -> None:
    """On a change that is meant: `python -m tests.baselines.keep`, and the commit says why."""
    kept, now = cells(KEPT / f"{name}.csv"), cells(ranked(SITES[name], tmp_path))
    assert list(map(str, differences(kept, now))) == []
    assert list(kept) == list(now), "the order"


@pytest.fixture
def store(tmp_path: Path) -> Path:
    return Path(shutil.copy(STORE, tmp_path / STORE.name))


def test_a_store_of_version_0_2_0_ranks_as_it_did(store: Path, tmp_path: Path) -> None:
    kept, now = cells(KEPT / f"{STORE.stem}.csv"), cells(ranked(store, tmp_path / "out"))
    assert list(map(str, differences(kept, now))) == []
    assert list(kept) == list(now), "the order"


def test_a_store_of_version_0_2_0_holds_what_was_put_in(store: Path) -> None:
    """As `make_store.py` made it."""
    with jobs.opened(str(store)) as opened:
        listed = {one.name: one for one in jobs.listed(opened)}
        late = listed["late, corrected.csv"]
        assert (late.state, late.actor, late.tables["survey"]["accepted"]) == ("active", "bob", 4)
        assert [(edit.line, edit.old, edit.new) for edit in jobs.edits(opened, late.id)] == [
            (4, "oops", "44")
        ]
        assert listed["late.csv"].superseded_by == late.id
        assert listed["mistaken.csv"].state not in ("active", "superseded")
        refused = jobs.refused(opened)
        settled = refused[refused["state"] == "dismissed"]
        assert settled[["line", "note"]].to_numpy().tolist() == [
            [6, "instrument off its scale, read again in June"]
        ]
        count, faults = jobs.check(opened)
        assert (count, faults) == (len(listed), [])


@pytest.mark.parametrize(
    ("kept", "now", "same"),
    [("1.0", "1", True), ("0.1", "0.1000000000001", True), ("4", "3", False), ("", "0", False), ("now", "soon", False)],
)  # fmt: skip
def test_cells_are_compared_as_numbers_where_they_are(kept: str, now: str, same: bool) -> None:
    assert keep.is_same(kept, now) == same


def test_a_row_or_a_column_on_one_side_only_is_a_change() -> None:
    kept = {"A": {"connection_id": "A", "severity": "4"}}
    assert [str(one) for one in differences(kept, {"A": {"connection_id": "A"}})] == [
        "A, severity: kept '4', now '(none)'"
    ]
    assert len(list(differences(kept, {}))) == 2
