"""What goes with an import is said before it is undone or replaced; what must not wait by name."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from riskscope.intake.options import Limits
from riskscope.jobs import keep, sites
from riskscope.jobs.bring_in import Decision, FileOutcome
from riskscope.jobs.mend import Edit, mend, mend_changes
from riskscope.jobs.taken_back import taken_back
from riskscope.store.database import Store
from tests.build import ON
from tests.examples import part
from tests.store.build import ANN, BOB, add

HEAD = "connection_id,survey_date,equipment,circuit,phase,connection_c,ambient_c,load_pct\n"
A = "A,2026-05-04,B1,F1,A,91,30,80\n"
OTHERS = "B,2026-05-04,B1,F1,B,35,30,80\nC,2026-05-04,B1,F1,C,34,30,80\n"
WITHOUT_A = "1 reading that only import 1 has no longer counts: of A."
URGENT = "What must not wait now, and by this no longer would: A. Make sure. "
FOUND = "connection_id,work_date,as_found,action\nA,2026-05-10,loose,none\n"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with keep.opened(str(tmp_path / "s.db"), create=True) as held:
        add(held, HEAD + A + OTHERS)
        yield held


def gone(store: Store, numbers: list[int]) -> str:
    return taken_back(store, ANN.actor, numbers, on=ON)


def warned(made: FileOutcome) -> list[str]:
    return [note.text for note in made.notes if note.kind == "warning"]


def test_a_file_that_leaves_a_reading_out_says_so(store: Store) -> None:
    made = add(store, HEAD + OTHERS, "again.csv", decision=Decision(supersedes=(1,)))
    assert warned(made) == [URGENT + WITHOUT_A]


def test_where_nothing_must_not_wait_only_the_rows_are_said(tmp_path: Path) -> None:
    with keep.opened(str(tmp_path / "s.db"), create=True) as held:
        add(held, HEAD + A.replace("91", "35") + OTHERS)
        assert gone(held, [1]) == "3 readings that only import 1 has no longer count: of A, B, C."


def test_a_reading_off_the_scale_that_goes_is_no_small_thing(store: Store) -> None:
    """Its joint stays on what must not wait, until the refused row is no longer there."""
    later = (A + OTHERS).replace("2026-05-04", "2026-05-20")
    cool = HEAD + later.replace("91", "35")
    add(store, cool + A.replace("2026-05-04", "2026-05-20").replace("91", "OL"), "later.csv")
    made = add(store, cool, "without.csv", decision=Decision(supersedes=(2,)))
    assert warned(made) == [URGENT + AGAIN + "A. Make sure."]


def test_one_of_two_readings_of_a_day_that_is_left_out_is_said(tmp_path: Path) -> None:
    head = HEAD.replace("survey_date", "survey_date,survey_time")
    hot, cool = ("A,2026-05-04,{},B1,F1,A,{},30,80\n".format(*at) for at in (("09:00", 62), ("15:00", 35)))
    with keep.opened(str(tmp_path / "s.db"), create=True) as held:
        add(held, head + hot + cool)
        made = add(held, head + cool, "again.csv", decision=Decision(supersedes=(1,)))
        assert warned(made) == [WITHOUT_A]


def test_a_corrected_reading_is_there_still(store: Store) -> None:
    made = add(store, HEAD + A.replace("91", "95") + OTHERS, "again.csv", decision=Decision(supersedes=(1,)))
    assert not warned(made), "at 95 °C it must not wait either, and is to be remade"
    made = add(store, HEAD + A.replace("91", "35") + OTHERS, "cool.csv", decision=Decision(supersedes=(2,)))
    assert warned(made) == [URGENT.strip()]


def test_a_reading_of_another_day_does_not_stand_for_it(store: Store) -> None:
    add(store, HEAD + A.replace("2026-05-04", "2025-05-04") + OTHERS.replace("2026", "2025"), "before.csv")
    assert gone(store, [1]) == "3 readings that only import 1 has no longer count: of A, B, C."


@pytest.mark.long
def test_what_another_import_has_too_stays(store: Store) -> None:
    add(store, HEAD + A, "beside.csv", decision=Decision(beside=True))
    assert gone(store, [1]) == "2 readings that only import 1 has no longer count: of B, C."
    assert gone(store, [2]) == ""


def test_what_was_replaced_counts_again(store: Store) -> None:
    made = add(store, HEAD + OTHERS, "again.csv", decision=Decision(supersedes=(1,)))
    assert made.made is not None
    assert gone(store, [made.made.id]) == "What by this would be new among what must not wait: A. Make sure."
    keep.undo(store, made.made.id, BOB)
    assert gone(store, [1]).startswith(URGENT + "3 readings")


def test_a_finding_goes_too_and_of_many_five_are_named(store: Store) -> None:
    add(store, FOUND, "findings.csv")
    assert gone(store, [1, 2]) == (
        URGENT + "3 readings, 1 finding that only imports 1 and 2 have no longer count: of A, B, C."
    )
    many = "".join(f"D{n},2026-05-04,B2,F{n},A,35,30,80\n" for n in range(7))
    add(store, HEAD + many, "many.csv")
    assert gone(store, [3]) == ("7 readings that only import 3 has no longer count: of D0, D1, D2, D3, D4 and 2 more.")


def test_what_was_entered_under_a_new_name_stays_there(store: Store) -> None:
    renamed = "was_id,connection_id,renamed_on,renamed_by,reason\nA,A-1,2026-05-20,P. Lowe,new labels\n"
    add(store, renamed, "renamings.csv")
    assert gone(store, [2]) == (
        "1 renaming that only import 2 has no longer counts: of A-1. What was entered since under the new name stays "
        "of the new name: correct it by hand."
    )


@pytest.mark.long
def test_what_must_not_wait_is_named_on_several_sites_too(tmp_path: Path) -> None:
    """A stands on two sites; without those of one it is called A again, and is the same."""
    head = HEAD.replace("survey_date", "survey_date,site")
    with keep.opened(str(tmp_path / "s.db"), create=True) as held:
        for number, (site, hot) in enumerate((("Works", 91), ("Yard", 35))):
            rows = (A.replace("91", str(hot)) + OTHERS).replace("2026-05-04", f"2026-05-04,{site}")
            add(held, head + rows, f"{number}.csv")
        assert gone(held, [1]).startswith("What must not wait now, and by this no longer would: A @ Works. Make sure.")
        assert gone(held, [2]) == "3 readings that only import 2 has no longer count: of A, B, C."


NOTICES = "connection_id,told_on,told,by,made_safe\n"


def test_a_lock_or_a_lifting_that_goes_is_said_by_name(store: Store) -> None:
    add(store, NOTICES + "A,2026-05-20,R. Fenwick,P. Lowe,switched off and locked\n", "lock.csv")
    add(store, NOTICES + "A,2026-05-20,R. Fenwick,P. Lowe,\n", "told.csv", decision=Decision(beside=True))
    assert "What is made safe on record, and by this no longer would be: A. Make sure." in gone(store, [2])
    add(store, NOTICES + "A,2026-05-22,R. Fenwick,P. Lowe,lifted\n", "lifted.csv", decision=Decision(beside=True))
    assert "What by this would be said to be made safe: A. Make sure." in gone(store, [4])


def test_a_tool_list_that_goes_says_of_what_must_not_wait_what_is_asked_then(store: Store) -> None:
    """With a verified record a hot joint is to be remade; without the tool its record is doubtful: retightened."""
    add(store, HEAD + A.replace("91", "62").replace("05-04", "05-20") + OTHERS.replace("05-04", "05-20"), "hot.csv")
    keep.undo(store, 1, BOB)
    add(store, "tool_id,range_min,range_max,torque_unit,calibrated_on\nT1,5,50,N·m,2026-01-10\n", "tools.csv")
    record = "connection_id,work_date,required_torque,applied_torque,torque_unit,tool_id\nA,2026-02-01,25,25,N·m,T1\n"
    add(store, record, "installs.csv")
    assert gone(store, [3]) == "Of what must not wait, by this something else would be asked: A. Make sure."


def test_of_the_rows_a_file_loses_the_first_are_told_the_hottest_before_the_others(tmp_path: Path) -> None:
    bad = "".join(f"X{n},2026-05-32,B1,F{n},A,,30,80\n" for n in range(9))
    with keep.opened(str(tmp_path / "s.db"), create=True) as held:
        said = warned(add(held, HEAD + bad + A.replace("91", "OL") + OTHERS))
    assert len(said) == 9
    assert said[0].startswith("line 11: ")
    assert "it may be the hottest" in said[0]
    assert said[-1] == "2 more rows are rejected"


EMPTIED = "What stood in an emptied cell counts for nothing then."
AGAIN = "What was refused and may be the hottest, and by this would go with no reading in its place: "


@pytest.mark.parametrize("name", part(["K", "B"], 1))
@pytest.mark.parametrize(
    ("day", "typed", "said"),
    [
        ("2026-05-20", "", f"{EMPTIED} {AGAIN}{{}}. Make sure."),
        ("2026-05-20", "n/a", EMPTIED),
        ("2026-05-20", "hot", ""),
        ("2026-05-20", "35", ""),
        ("2026-05-32", "", f"{EMPTIED} {AGAIN}{{}}. Make sure."),
        ("2026-05-20", "95", "What by this would be new among what must not wait: {}. Make sure."),
    ],
    ids=["emptied", "a word for nothing", "in words", "read", "of no day", "read hot"],
)
def test_a_temperature_that_is_only_emptied_is_asked_about(
    tmp_path: Path, day: str, typed: str, said: str, name: str
) -> None:
    with keep.opened(str(tmp_path / "s.db"), create=True) as held:
        add(held, HEAD + OTHERS + f"{name},{day},B1,F1,B,OL,30,80\n")
        edits = [Edit("", 4, 5, "OL", typed)]
        assert mend_changes(held, 1, edits, limits=Limits(), actor=ANN.actor, on=ON) == said.format(name)


def test_a_cool_reading_of_that_day_does_not_stand_for_the_refused_one(tmp_path: Path) -> None:
    """B was hot, was tightened, and on 20 May is read cool and off the scale."""
    rows = (OTHERS + "K,2026-05-04,B1,F1,A,62,30,80\n").replace("2026-05", "2026-03") + OTHERS.replace("-04", "-20")
    rows += "K,2026-05-20,B1,F1,A,34.5,30,80\nK,2026-05-20,B1,F1,A,OL,30,80\n"
    work = "connection_id,work_date,required_torque,applied_torque,torque_unit,tool_id\nK,2026-04-10,25,25,N·m,T1\n"
    tool = "tool_id,range_min,range_max,torque_unit,calibrated_on\nT1,5,50,N·m,2026-01-10\n"
    with keep.opened(str(tmp_path / "s.db"), create=True) as held:
        for name, text in (("survey", HEAD + rows), ("installs", work), ("tools", tool)):
            add(held, text, f"{name}.csv")
        edits = [Edit("", 8, 5, "OL", "")]
        said = mend_changes(held, 1, edits, limits=Limits(), actor=ANN.actor, on=ON)
        proved = "What awaits proof or is in doubt, and by this would be proved: K. Make sure."
        assert said == f"{EMPTIED} {proved} {AGAIN}K. Make sure."


TWICE = "K,2026-05-20,B1,F1,A,OL,30,80\n" * 2


@pytest.mark.parametrize(("dismissed", "cell", "typed"), part([(True, 5, ""), (True, 0, "B"), (False, 5, "")], 1))
def test_of_two_refused_readings_of_a_joint_each_is_asked_about(
    tmp_path: Path, dismissed: bool, cell: int, typed: str
) -> None:
    with keep.opened(str(tmp_path / "s.db"), create=True) as held:
        add(held, HEAD + OTHERS + TWICE)
        first, second = keep.refused(held, ANN.actor).query("kind == 'rejected'")["line"]
        if dismissed:
            (number,) = keep.refused(held, ANN.actor).query(f"kind == 'rejected' and line == {first}")["id"]
            keep.dismiss(held, int(number), "see the next line", ANN)
        edits = [Edit("", int(second), cell, "OL" if cell else "K", typed)]
        assert AGAIN + "K. Make sure." in mend_changes(held, 1, edits, limits=Limits(), actor=ANN.actor, on=ON)


@pytest.mark.parametrize(
    ("refused", "read", "is_asked"),
    [
        (2, ["20,10:00"], True),
        (2, ["20,10:00", "20,11:00"], False),
        (1, ["10,"], True),
        (1, ["20,"], False),
        (1, ["22,"], False),
    ],
    ids=["one for two", "two for two", "an earlier one", "one of its day", "a later one"],
)
def test_in_place_of_each_refused_reading_stands_one_of_its_day_or_a_later_one(
    tmp_path: Path, refused: int, read: list[str], is_asked: bool
) -> None:
    head, others = HEAD.replace("survey_date", "survey_date,survey_time"), OTHERS.replace("-04,", "-04,,")
    with keep.opened(str(tmp_path / "s.db"), create=True) as held:
        add(held, HEAD + OTHERS + "K,2026-05-20,B1,F1,A,OL,30,80\n" * refused)
        new = head + others + "".join(f"K,2026-05-{when},B1,F1,A,36,30,80\n" for when in read)
        made = add(held, new, "read.csv", decision=Decision((1,)))
        assert any(AGAIN + "K. Make sure." in words for words in warned(made)) is is_asked


@pytest.mark.parametrize(
    ("day", "is_asked"), part([("2025-05-04", True), ("2026-05-04", False), ("2026-05-32", False)], 2)
)
def test_a_refused_reading_of_no_day_is_answered_by_none_older_than_the_last(
    tmp_path: Path, day: str, is_asked: bool
) -> None:
    with keep.opened(str(tmp_path / "s.db"), create=True) as held:
        add(held, HEAD + OTHERS + "B,4 maj,B1,F1,B,OL,30,80\n")
        edits = [Edit("", 4, 1, "4 maj", day)]
        said = mend_changes(held, 1, edits, limits=Limits(), actor=ANN.actor, on=ON)
        assert said == (f"{AGAIN}B. Make sure." if is_asked else "")


SITED = "connection_id,survey_date,site,equipment,circuit,phase,connection_c,ambient_c,load_pct\n"
NORTH = (
    "J,2026-05-04,North,B1,F1,A,OL,30,80\nK,2026-05-04,North,B1,F2,A,35,30,80\nJ,2026-03-04,South,B1,F1,A,35,30,80\n"
)


@pytest.mark.parametrize("typed", part(["OL", "36"], 1))
def test_a_joint_of_another_site_does_not_answer_for_one(tmp_path: Path, typed: str) -> None:
    with keep.opened(str(tmp_path / "s.db"), create=True) as held:
        add(held, SITED + NORTH)
        edits = [Edit("", 2, 2, "North", "South"), *([Edit("", 2, 6, "OL", typed)] if typed != "OL" else [])]
        assert f"{AGAIN}J @ North. Make sure." in mend_changes(held, 1, edits, limits=Limits(), actor=ANN.actor, on=ON)


@pytest.mark.long
def test_a_refused_reading_that_is_put_right_beside_another_of_its_day_is_not_asked_about(tmp_path: Path) -> None:
    with keep.opened(str(tmp_path / "s.db"), create=True) as held:
        add(held, HEAD + OTHERS + "K,2026-05-20,B1,F1,A,34,30,80\nK,2026-05-20,B1,F1,A,OL,30,80\n")
        edits = [Edit("", 5, 5, "OL", "36")]
        assert mend_changes(held, 1, edits, limits=Limits(), actor=ANN.actor, on=ON) == ""


def test_the_site_of_a_store_that_knew_none_is_no_change_of_what_must_not_wait(store: Store) -> None:
    assert sites.site_changes(store, [1], "Works", limits=Limits(), actor=ANN.actor, on=ON) == ""


def test_a_dismissal_is_of_one_phase_of_a_wide_row(tmp_path: Path) -> None:
    wide = "Board,Circuit,Survey date,Ambient °C,Load %,A temp (°C),B temp (°C)\nM,F1,2026-05-12,30,60,OL,>150\n"
    with keep.opened(str(tmp_path / "s.db"), create=True) as held:
        add(held, wide + "M,F2,2026-05-12,30,60,44,OL\n", "w.csv")
        rows = keep.refused(held, ANN.actor).query("kind == 'rejected'")
        keep.dismiss(held, int(rows.loc[rows["reason"].str.startswith("phase A"), "id"].iloc[0]), "lens cap", ANN)
        mend(held, 1, [Edit("", 3, 6, "OL", "46")], limits=Limits(), stamp=ANN)
        rows = keep.refused(held, ANN.actor).query("kind == 'rejected' and line == 2")
        assert dict(zip(rows["reason"].str[:7], rows["state"], strict=True)) == {
            "phase A": "dismissed",
            "phase B": "open",
        }


def test_what_was_dismissed_is_open_again_once_it_is_of_another_joint(tmp_path: Path) -> None:
    wide = "Board,Circuit,Survey date,Ambient °C,Load %,A temp (°C),B temp (°C)\nM,F1,2026-05-12,30,60,OL,OL\n"
    with keep.opened(str(tmp_path / "s.db"), create=True) as held:
        add(held, wide + "M,F2,2026-03-12,30,60,44,45\n", "w.csv")
        rows = keep.refused(held, ANN.actor).query("kind == 'rejected'")
        keep.dismiss(held, int(rows.loc[rows["reason"].str.startswith("phase A"), "id"].iloc[0]), "lens cap", ANN)
        mend(held, 1, [Edit("", 2, 1, "F1", "F2")], limits=Limits(), stamp=ANN)
        rows = keep.refused(held, ANN.actor).query("kind == 'rejected' and state != 'resolved'")
        assert rows["state"].tolist() == ["open", "open"]


def test_what_was_dismissed_stays_so_when_the_site_is_said(store: Store) -> None:
    add(store, HEAD + OTHERS.replace("05-04", "05-20").replace("35", "OL"), "off.csv")
    (row,) = keep.refused(store, ANN.actor).query("kind == 'rejected'")["id"]
    keep.dismiss(store, int(row), "lens cap", ANN)
    (made,) = sites.give_site(store, [2], "Works", limits=Limits(), stamp=BOB)
    after = keep.refused(store, ANN.actor).query(f"kind == 'rejected' and import_id == {made.id}")
    assert after[["state", "note", "actor"]].to_numpy().tolist() == [["dismissed", "lens cap", "ann"]]
