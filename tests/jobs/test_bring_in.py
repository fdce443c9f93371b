"""Files that come in at once: all or none; what they replace they replace together, and go together."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from riskscope.cli.main import run
from riskscope.errors import RiskscopeError, UnusableInput
from riskscope.intake.files import FileContent
from riskscope.intake.grid import Edit
from riskscope.intake.options import Limits, ReadOptions
from riskscope.jobs import keep
from riskscope.jobs.bring_in import Decision, FileOutcome, Ready, already, several
from riskscope.jobs.taken_back import taken_back
from riskscope.store.database import Store
from tests.build import ON
from tests.store.build import ANN, add, number, readings

HEAD = "connection_id,survey_date,connection_c,ambient_c,load_pct,equipment,circuit,phase\n"
P = "P/F1/A,2026-05-04,36,30,80,P,F1,A\nP/F1/B,2026-05-04,35,30,80,P,F1,B\n"
Q = "Q/F1/A,2026-05-04,75,30,80,Q,F1,A\nQ/F1/B,2026-05-04,35,30,80,Q,F1,B\n"
OPEN = "T/F1/A,03/04/2026,36,30,80,T,F1,A\n"  # of which nobody knows whether the day or the month is first
REPLACES = Decision(supersedes=(1,))
BOTH = Decision(supersedes=(1, 2))


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with keep.opened(str(tmp_path / "s.db"), create=True) as held:
        yield held


def bring(store: Store, files: dict[str, str], decision: Decision) -> list[FileOutcome]:
    contents = [FileContent(name, (HEAD + text).encode(), ReadOptions()) for name, text in files.items()]
    ready = [Ready.read(content, ON, Limits(), decision) for content in contents]
    return several(store, ready, on=ON, stamp=ANN)


def states(store: Store) -> list[str]:
    return [entry.state for entry in keep.listed(store, ANN.actor)]


def test_an_import_is_replaced_by_two_files_and_nothing_is_lost(store: Store) -> None:
    """A survey split by board: each file alone would take the other board away."""
    add(store, HEAD + P + Q)
    made = bring(store, {"p.csv": P.replace(",36,", ",36.5,"), "q.csv": Q}, REPLACES)
    assert [outcome.outcome for outcome in made] == ["new", "new"]
    assert not [note for outcome in made for note in outcome.notes if note.kind == "warning"]
    assert sorted(readings(store)["connection_c"]) == [35.0, 35.0, 36.5, 75.0]
    assert states(store) == ["superseded", "active", "active"]


@pytest.mark.parametrize("undone", [2, 3])
def test_files_that_replaced_an_import_together_are_taken_back_together(store: Store, undone: int) -> None:
    add(store, HEAD + P + Q)
    bring(store, {"p.csv": P, "q.csv": Q.replace("75", "76")}, REPLACES)
    assert keep.together(store, ANN.actor, undone) == [2, 3]
    assert taken_back(store, ANN.actor, [undone], on=ON) == ""
    gone, again = keep.undo(store, undone, ANN)
    assert ([entry.id for entry in gone], again) == ([2, 3], [1])
    assert states(store) == ["active", "undone", "undone"]
    assert len(readings(store)) == 4


@pytest.mark.long
def test_what_replaced_one_of_them_goes_first(store: Store) -> None:
    add(store, HEAD + P + Q)
    bring(store, {"p.csv": P, "q.csv": Q}, REPLACES)
    bring(store, {"later.csv": Q.replace("75", "77")}, Decision(supersedes=(3,)))
    with pytest.raises(UnusableInput, match=r"import 3 \(q.csv\), which came in together with import 2, was"):
        keep.undo(store, 2, ANN)
    assert states(store) == ["superseded", "active", "superseded", "active"]


def test_files_that_replace_nothing_are_taken_back_one_by_one(store: Store) -> None:
    bring(store, {"p.csv": P, "q.csv": Q}, Decision())
    assert keep.undo(store, 1, ANN)[1] == []
    assert states(store) == ["undone", "active"]


def ready(name: str, text: str, *numbers: int) -> Ready:
    return Ready.read(
        FileContent(name, (HEAD + text).encode(), ReadOptions()), ON, Limits(), Decision(supersedes=numbers)
    )


@pytest.mark.long
def test_only_those_that_replace_the_same_import_are_taken_back_together(store: Store) -> None:
    """Beside them comes in what replaces another, and what replaces nothing."""
    add(store, HEAD + P + Q)
    add(store, HEAD + P.replace("P", "R"), "r.csv")
    files = [
        ready("s.csv", P.replace("P", "S")),
        ready("p.csv", P, 1),
        ready("r2.csv", P.replace("P", "R").replace("36", "37"), 2),
        ready("q.csv", Q, 1),
    ]
    several(store, files, on=ON, stamp=ANN)
    assert [keep.together(store, ANN.actor, made) for made in (3, 4, 5, 6)] == [[3], [4, 6], [5], [4, 6]]
    assert keep.undo(store, 5, ANN)[1] == [2]
    assert keep.undo(store, 6, ANN)[1] == [1]
    assert states(store) == ["active", "active", "active", "undone", "undone", "undone"]


@pytest.mark.long
def test_rows_that_moved_from_one_file_to_the_other(store: Store) -> None:
    add(store, HEAD + P, "p.csv")
    add(store, HEAD + Q, "q.csv")
    moved = Q.splitlines(keepends=True)
    bring(store, {"p2.csv": P + moved[0], "q2.csv": moved[1]}, BOTH)
    assert states(store) == ["superseded", "superseded", "active", "active"]
    assert sorted(readings(store)["connection_id"]) == ["P/F1/A", "P/F1/B", "Q/F1/A", "Q/F1/B"]


@pytest.mark.parametrize(
    ("files", "error"),
    [
        ({"p.csv": P, "q.csv": Q + P}, r"q.csv: has 2 rows that are in p.csv too: they cannot come in at once"),
        ({"p.csv": P, "t.csv": OPEN}, "can be read two ways"),
    ],
    ids=["rows in both", "one cannot be read"],
)
def test_where_one_cannot_come_in_none_does(store: Store, files: dict[str, str], error: str) -> None:
    add(store, HEAD + P + Q)
    with pytest.raises(RiskscopeError, match=error):
        bring(store, files, REPLACES)
    assert states(store) == ["active"]


@pytest.mark.parametrize(
    ("again", "going", "hint"),
    [("q.csv", 2, "undo what took its place"), ("both.csv", 2, "keep its import")],
    ids=["replaced before", "to be replaced"],
)
def test_a_file_that_is_there_and_would_not_count_lets_nothing_come_in(
    store: Store, again: str, going: int, hint: str
) -> None:
    """Q was a file, then P and Q were one, and is to be a file again: as it is there already its rows would go."""
    texts = {"q.csv": Q, "both.csv": P + Q, "p.csv": P}
    add(store, HEAD + Q, "q.csv")
    add(store, HEAD + P + Q, "both.csv", decision=REPLACES)
    with pytest.raises(UnusableInput, match=hint):
        bring(store, {name: texts[name] for name in (again, "p.csv")}, Decision(supersedes=(going,)))
    assert states(store) == ["superseded", "active"]


def test_a_file_that_is_there_and_counts_is_no_matter(store: Store) -> None:
    add(store, HEAD + Q, "q.csv")
    add(store, HEAD + P, "p.csv")
    files = [ready("q.csv", Q), ready("p2.csv", P.replace("36", "37"), 2)]
    assert [outcome.outcome for outcome in several(store, files, on=ON, stamp=ANN)] == ["there", "new"]
    assert states(store) == ["active", "superseded", "active"]


def test_a_file_that_is_there_takes_no_cells_mended_before(store: Store) -> None:
    """They would be dropped unsaid."""
    add(store, HEAD + P.replace("36", ""), "p.csv")
    content = FileContent("p.csv", (HEAD + P.replace("36", "")).encode(), ReadOptions(), (Edit("", 2, 2, "", "97"),))
    assert "import 1" in already(store, ANN.actor, content)
    with pytest.raises(UnusableInput, match="Rejected rows"):
        several(store, [Ready.read(content, ON, Limits(), Decision())], on=ON, stamp=ANN)


def test_the_command_brings_in_all_that_replace_an_import_or_none(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for name, text in {"whole": P + Q, "p": P, "q": Q, "bad": OPEN}.items():
        Path(f"{name}.csv").write_text(HEAD + text, "utf-8")
    assert run(["store", "add", "whole.csv", "--on", "2026-06-01"]) == 0
    assert run(["store", "add", "p.csv", "bad.csv", "--supersedes", "1", "--on", "2026-06-01"]) == 1
    assert run(["store", "add", "p.csv", "q.csv", "--supersedes", "9", "--on", "2026-06-01"]) == 1
    with keep.opened(None) as held:
        assert states(held) == ["active"]
    said = capsys.readouterr().out
    assert "p.csv: NOT BROUGHT IN. comes in together with the others or not at all" in said
    assert run(["store", "add", "p.csv", "q.csv", "--supersedes", "1", "--on", "2026-06-01"]) == 0
    with keep.opened(None) as held:
        assert states(held) == ["superseded", "active", "active"]
    assert "NOW" not in capsys.readouterr().out
    assert run(["store", "undo", "3"]) == 0
    said = capsys.readouterr().out
    assert "import 2 (p.csv) no longer counts" in said
    assert "import 1 counts again" in said


def test_a_file_alone_that_leaves_a_board_out_says_so(store: Store) -> None:
    add(store, HEAD + P + Q)
    (made,) = bring(store, {"p.csv": P}, REPLACES)
    assert any("by this no longer would: Q/F1/A" in note.text for note in made.notes)
    assert number(made) == 2
