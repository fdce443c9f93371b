"""What is typed by hand: what it will change is said first, both of two contrary entries are kept."""

from __future__ import annotations

import io
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image

from riskscope.errors import UnusableInput
from riskscope.intake.options import ReadOptions
from riskscope.jobs import enter, keep
from riskscope.jobs.assessed import of_store
from riskscope.jobs.request import Request
from riskscope.results.story import photographs, story
from riskscope.store.database import Store
from riskscope.words.render import Units
from tests.build import ON
from tests.examples import part
from tests.store.build import ANN, BOB, add

SURVEY = (
    "connection_id,survey_date,equipment,circuit,phase,connection_c,ambient_c,load_pct\n"
    "A,2026-05-04,B1,F1,A,62,30,80\nB,2026-05-04,B1,F1,B,35,30,80\nC,2026-05-04,B1,F1,C,34,30,80\n"
    "Z,2026-05-04,B9,F1,A,91,30,80\n"
)
TOOLS = "tool_id,range_min,range_max,torque_unit,calibrated_on\nT1,5,50,N·m,2026-01-10\n"
RECORD = "connection_id,work_date,required_torque,applied_torque,torque_unit,tool_id\nA,2026-02-01,25,10,N·m,T1\n"
REGISTER = "connection_id,retired_on,retired_by\nGONE,2026-05-01,Q. Reed\n"
VISIT = {"connection_id": "a", "work_date": "2026-05-20", "as_found": "loose"}
RIGHT = {"action": "tightened", "as_left_torque": "25", "torque_unit": "N·m", "tool_id": "T1"}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("made") / "s.db"
    with keep.opened(str(place), create=True) as held:
        files = {"survey.csv": SURVEY, "tools.csv": TOOLS, "installs.csv": RECORD, "register.csv": REGISTER}
        for name, text in files.items():
            add(held, text, name)
    return place


@pytest.fixture
def store(made: Path, tmp_path: Path) -> Iterator[Store]:
    with keep.opened(str(shutil.copy(made, tmp_path / "s.db"))) as held:
        yield held


def said(store: Store, table: str, **row: str) -> tuple[str, str]:
    """What an entry will change, and what it has changed once it was kept: urgency and work of A."""
    before = _assessed(store)
    foreseen = enter.foreseen(before, table, [row], Units()).iloc[0]
    words, _ = enter.enter_by_name(store, table, [row], on=ON, stamp=ANN)
    after = _assessed(store).connections.set_index("connection_id").loc["A"]
    assert foreseen["urgency"] == after["urgency"], "what was foreseen has come"
    return str(words[0]), str(after["work_state"])


def _assessed(store: Store):
    return of_store(Request(None, {}, ReadOptions(), {}, None, ON, Units(), store.address), lambda text: None)


@pytest.mark.parametrize(
    ("table", "row", "words", "state"),
    [
        ("findings", VISIT | RIGHT, "A NOW becomes SOON: awaiting proof: tightened on 20 May 2026", "awaiting proof"),
        (
            "findings",
            VISIT | RIGHT | {"as_left_torque": "10"},
            "A stays NOW: repair in doubt: retighten was asked",
            "repair in doubt",
        ),
        (
            "findings",
            VISIT | {"as_found": "tight", "action": "none"},
            "A stays NOW: repair in doubt",
            "repair in doubt",
        ),
        (
            "deferrals",
            {
                "connection_id": "A",
                "decided_on": "2026-05-20",
                "deferred_by": "P. Lowe",
                "until": "2026-09-01",
                "reason": "no part",
            },
            "A stays NOW: put off by P. Lowe",
            "put off",
        ),
        (
            "notices",
            {"connection_id": "A", "told_on": "2026-05-20", "told": "R. Fenwick", "by": "P. Lowe"},
            "A stays NOW: R. Fenwick was told on 20 May 2026",
            "told",
        ),
    ],
    ids=["right", "10 of 25", "checked, none", "put off", "told"],
)
def test_what_an_entry_changes_is_said_and_comes(
    store: Store, table: str, row: dict[str, str], words: str, state: str
) -> None:
    told, now = said(store, table, **row)
    assert told.startswith(words)
    assert now == state


def test_two_contrary_entries_are_both_kept_and_the_worse_counts(store: Store) -> None:
    enter.enter_by_name(store, "findings", [VISIT | RIGHT], on=ON, stamp=ANN)
    words, _ = enter.enter_by_name(store, "findings", [VISIT | {"action": "none"}], on=ON, stamp=BOB)
    assert words[0].startswith("A SOON becomes NOW: findings of one day contradict each other")
    made = _assessed(store)
    assert len(made.tables["findings"]) == 2
    assert made.connections.set_index("connection_id").loc["A", "work_state"] == "contradictory"


def test_several_connections_of_a_board_in_one_entry(store: Store) -> None:
    rows = [VISIT | {"connection_id": name, "as_found": "tight", "action": "none"} for name in "BC"]
    words, outcome = enter.enter_by_name(store, "findings", rows, on=ON, stamp=ANN)
    assert [line.split()[0] for line in words] == ["B", "C"]
    assert outcome.made is not None
    assert outcome.made.tables["findings"]["accepted"] == 2


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ({"connection_id": "NOPE"}, "no connection 'NOPE'"),
        ({"until": "soon"}, "Day it is put off to: “soon” is not a date"),
        ({"until": ""}, "until"),
        ({"deferred_by": "-"}, "Who decided it: not said"),
        ({"reason": "TBC"}, "Why it can wait: “TBC” says nothing: write who, or why"),
    ],
)
def test_what_cannot_be_kept_is_told_and_nothing_is(store: Store, row: dict[str, str], words: str) -> None:
    good = {"connection_id": "A", "decided_on": "2026-05-20", "deferred_by": "P", "until": "2026-09-01", "reason": "r"}
    count = len(keep.listed(store, ANN.actor))
    with pytest.raises(UnusableInput, match=words):
        enter.enter_by_name(store, "deferrals", [good | row], on=ON, stamp=ANN)
    assert len(keep.listed(store, ANN.actor)) == count


def test_an_entry_taken_back_is_as_if_it_had_not_been(store: Store) -> None:
    _, outcome = enter.enter_by_name(store, "findings", [VISIT | RIGHT], on=ON, stamp=ANN)
    assert outcome.made is not None
    keep.undo(store, outcome.made.id, BOB)
    row = _assessed(store).connections.set_index("connection_id").loc["A"]
    assert (row["urgency"], row["work_state"]) == ("now", "open")


RENAME = {"renamed_on": "2026-05-20", "renamed_by": "P. Lowe", "reason": "new labels"}


def test_a_renamed_connection_keeps_its_history_and_can_be_taken_back(store: Store) -> None:
    words, outcome = enter.enter_by_name(
        store, "renamings", [{"was_id": "a", "connection_id": "A-1", **RENAME}], on=ON, stamp=ANN
    )
    assert words[0].startswith(
        "A is called A-1; what is known of either is of it. A-1 stays NOW: open since 4 May 2026;"
    )
    made = _assessed(store)
    assert {"A-1", "B"} <= set(made.connections["connection_id"])
    assert "A" not in set(made.connections["connection_id"])
    told = dict(story(made, "A-1", Units()))["Torque record and what was done"]
    assert "Called A before 20 May 2026, says P. Lowe: new labels." in told
    assert any("applied 10.0 N·m" in line for line in told), "its record came with it"
    assert outcome.made is not None
    keep.undo(store, outcome.made.id, BOB)
    assert "A" in set(_assessed(store).connections["connection_id"])


def test_two_names_of_one_connection_are_merged_and_the_worse_is_said(store: Store) -> None:
    add(store, "connection_id,survey_date,connection_c,ambient_c,load_pct\nA-1,2026-05-28,31,30,5\n", "june.csv")
    words, _ = enter.enter_by_name(
        store, "renamings", [{"was_id": "A", "connection_id": "a-1", **RENAME}], on=ON, stamp=ANN
    )
    assert "A-1 stays NOW" in words[0]
    assert _assessed(store).connections.set_index("connection_id").loc["A-1", "urgency"] == "now"


@pytest.mark.long
def test_two_names_in_different_places_are_said_to_be(store: Store) -> None:
    june = "connection_id,survey_date,equipment,circuit,phase,connection_c,ambient_c,load_pct\n"
    add(store, june + "A-1,2026-05-28,B7,F1,A,31,30,5\n", "june.csv")
    words, _ = enter.enter_by_name(
        store, "renamings", [{"was_id": "A", "connection_id": "A-1", **RENAME}], on=ON, stamp=ANN
    )
    assert "They are recorded in different places (A: B1; A-1: B7): make sure. A-1 stays NOW" in words[0]


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ({"was_id": "NOPE", "connection_id": "X"}, "no connection 'NOPE'"),
        ({"was_id": "A", "connection_id": " a "}, "is its name already"),
        ({"was_id": "A", "connection_id": "B"}, "so they are two"),
        ({"was_id": "A", "connection_id": "X", "reason": ""}, "reason"),
        ({"was_id": "A", "connection_id": "GONE"}, "leads to a name that is out of use"),
        ({"was_id": "A", "connection_id": " "}, "the new name is empty"),
    ],
    ids=["unknown", "the same", "two joints", "no reason", "out of use", "empty"],
)
def test_no_name_is_given_by_a_slip(store: Store, row: dict[str, str], words: str) -> None:
    with pytest.raises(UnusableInput, match=words):
        enter.enter_by_name(store, "renamings", [RENAME | row], on=ON, stamp=ANN)
    assert len(keep.listed(store, ANN.actor)) == 4


SAFE = {"told_on": "2026-05-20", "told": "R. Fenwick", "by": "P. Lowe"}
PUT_OFF = {"decided_on": "2026-05-20", "deferred_by": "P. Lowe", "until": "2026-09-01", "reason": "no part"}


@pytest.mark.long
@pytest.mark.parametrize(
    ("before", "table", "row", "words"),
    [
        ([], "notices", SAFE | {"made_safe": "lifted"}, "nothing on record makes 'A' safe"),
        ([], "deferrals", PUT_OFF | {"withdrawn": "yes"}, "'A' is not put off: there is nothing to end"),
        (
            [PUT_OFF],
            "deferrals",
            PUT_OFF | {"decided_on": "2026-05-19", "withdrawn": "yes"},
            "was put off after that day",
        ),
    ],
    ids=["lifted", "withdrawn", "withdrawn before"],
)
def test_nothing_is_ended_that_is_not_there(
    store: Store, before: list[dict[str, str]], table: str, row: dict[str, str], words: str
) -> None:
    for earlier in before:
        enter.enter_by_name(store, "deferrals", [earlier | {"connection_id": "A"}], on=ON, stamp=ANN)
    with pytest.raises(UnusableInput, match=words):
        enter.enter_by_name(store, table, [row | {"connection_id": "A"}], on=ON, stamp=ANN)


def test_what_ends_something_ends_it(store: Store) -> None:
    enter.enter_by_name(store, "deferrals", [PUT_OFF | {"connection_id": "A"}], on=ON, stamp=ANN)
    ends = PUT_OFF | {"connection_id": "A", "decided_on": "2026-05-21", "withdrawn": "yes"}
    words, _ = enter.enter_by_name(store, "deferrals", [ends], on=ON, stamp=ANN)
    assert words[0].startswith("A stays NOW: open")
    locked = SAFE | {"connection_id": "A", "made_safe": "switched off and locked"}
    enter.enter_by_name(store, "notices", [locked], on=ON, stamp=ANN)
    words, _ = enter.enter_by_name(store, "notices", [locked | {"made_safe": "lifted"}], on=ON, stamp=ANN)
    assert "NO LONGER made safe" in words[0]


@pytest.mark.long
def test_what_was_lifted_is_not_lifted_again(store: Store) -> None:
    locked = SAFE | {"connection_id": "A", "made_safe": "switched off and locked"}
    enter.enter_by_name(store, "notices", [locked], on=ON, stamp=ANN)
    enter.enter_by_name(store, "notices", [locked | {"made_safe": "lifted"}], on=ON, stamp=ANN)
    with pytest.raises(UnusableInput, match="there is nothing to lift"):
        enter.enter_by_name(store, "notices", [locked | {"made_safe": "lifted", "told": "S. Hale"}], on=ON, stamp=ANN)


@pytest.mark.long
def test_the_same_words_again_count_where_something_lies_between(store: Store) -> None:
    """Put off, ended, put off again in the same words: put off. Twice at once is once."""
    put_off = PUT_OFF | {"connection_id": "A"}
    ends = put_off | {"withdrawn": "yes"}
    for row in (put_off, ends, put_off):
        words, outcome = enter.enter_by_name(store, "deferrals", [row], on=ON, stamp=ANN)
        assert outcome.outcome == "new"
    assert "put off by P. Lowe" in words[0]
    assert _assessed(store).connections.set_index("connection_id").loc["A", "work_state"] == "put off"
    assert enter.enter_by_name(store, "deferrals", [put_off], on=ON, stamp=ANN)[1].outcome == "there"


@pytest.mark.long
def test_an_entry_for_another_joint_does_not_make_the_same_words_new(store: Store) -> None:
    put_off = PUT_OFF | {"connection_id": "A"}
    for row in (put_off, PUT_OFF | {"connection_id": "Z"}):
        assert enter.enter_by_name(store, "deferrals", [row], on=ON, stamp=ANN)[1].outcome == "new"
    assert enter.enter_by_name(store, "deferrals", [put_off], on=ON, stamp=ANN)[1].outcome == "there"


def test_the_other_side_of_a_device_is_not_left_out(tmp_path: Path) -> None:
    """No board: Q1's line side has a joint with a good record, which a replaced device opens too."""
    survey = (
        "connection_id,survey_date,circuit,device,side,phase,connection_c,ambient_c,load_pct\n"
        "IN,2026-05-04,F1,Q1,line,A,35,30,80\nOUT,2026-05-04,F1,Q1,load,A,35,30,80\n"
    )
    with keep.opened(str(tmp_path / "s.db"), create=True) as held:
        add(held, survey)
        add(held, TOOLS, "tools.csv")
        add(held, RECORD.replace("A,", "IN,").replace(",10,", ",25,"), "installs.csv")
        row = {"connection_id": "OUT", "work_date": "2026-05-20", "as_found": "tight", "action": "replaced"}
        words, _ = enter.enter_by_name(held, "findings", [row], on=ON, stamp=ANN)
        assert any(line.startswith("Also IN NEXT SURVEY becomes NEXT OUTAGE") for line in words), words


@pytest.mark.long
def test_what_was_typed_for_a_former_name_is_said_to_be_kept_for_the_new(store: Store) -> None:
    enter.enter_by_name(store, "renamings", [{"was_id": "A", "connection_id": "A-1", **RENAME}], on=ON, stamp=ANN)
    words, _ = enter.enter_by_name(store, "findings", [VISIT | {"action": "none"}], on=ON, stamp=ANN)
    assert words[0].startswith("a is called A-1 now, and it is kept so. A-1 stays NOW")


def test_siblings_without_a_board_are_not_left_out_of_what_is_foreseen(tmp_path: Path) -> None:
    with keep.opened(str(tmp_path / "s.db"), create=True) as held:
        add(held, SURVEY.replace(",equipment", "").replace(",B1,", ",").replace(",B9,", ","))
        words, _ = enter.enter_by_name(held, "notices", [SAFE | {"connection_id": "A"}], on=ON, stamp=ANN)
        (line,) = words
        assert line.startswith("A stays NOW: R. Fenwick was told on 20 May 2026 by P. Lowe. Torque record: unrecorded")


def test_what_an_entry_does_to_other_joints_is_said(tmp_path: Path) -> None:
    """A's device is replaced: B, with a record of its own, was opened too."""
    with keep.opened(str(tmp_path / "s.db"), create=True) as held:
        add(held, SURVEY.replace(",circuit", ",device,circuit").replace(",F1,", ",Q1,F1,"))
        add(held, TOOLS, "tools.csv")
        add(held, RECORD.replace("A,", "B,").replace(",10,", ",25,"), "installs.csv")
        row = VISIT | {"as_found": "damaged", "action": "replaced"}
        words, _ = enter.enter_by_name(held, "findings", [row], on=ON, stamp=ANN)
        assert [line.split(":")[0] for line in words] == [
            "A stays NOW",
            "Also B NEXT SURVEY becomes NEXT OUTAGE",
            "Also C stays NEXT OUTAGE",
        ]


def test_a_photograph_stays_with_its_finding(store: Store) -> None:
    buffer = io.BytesIO()
    Image.new("RGB", (40, 20), "red").save(buffer, "JPEG")
    name = enter.keep_photo(store, buffer.getvalue(), "A", ANN)
    enter.enter_by_name(store, "findings", [VISIT | RIGHT | {"photo": name}], on=ON, stamp=ANN)
    assert photographs(_assessed(store), "A", Units()) == [(name, "20 May 2026: found loose, action tightened")]
    assert keep.picture(store, ANN.actor, name) == buffer.getvalue()


TWO_SITES = (
    "connection_id,survey_date,site,equipment,circuit,phase,connection_c,ambient_c,load_pct\n"
    "P,2026-05-04,Works,B1,F1,A,62,30,80\nR,2026-05-04,Works,B1,F1,B,35,30,80\nQ,2026-05-04,Quay,B1,F1,A,62,30,80\n"
)


@pytest.mark.parametrize("name", part(["p @ works", "PX", "P", "PX @ Works"], 1))
def test_of_several_sites_an_entry_is_of_the_one_its_connection_is_on(tmp_path: Path, name: str) -> None:
    with keep.opened(str(tmp_path / "s.db"), create=True) as store:
        add(store, TWO_SITES)
        renaming = {"was_id": "P", "connection_id": "PX", "renamed_on": "2026-05-20", "renamed_by": "Q", "reason": "r"}
        enter.enter_by_name(store, "renamings", [renaming], on=ON, stamp=ANN)
        notice = {"connection_id": name, "told_on": "2026-05-20", "told": "R. Fenwick", "by": "P. Lowe"}
        words, _ = enter.enter_by_name(store, "notices", [notice], on=ON, stamp=ANN)
        assert "R. Fenwick was told on 20 May 2026" in words[0]
        rows = _assessed(store).connections.set_index("connection_id")
        assert (rows.loc["PX", "site"], rows.loc["PX", "told"], "P" in rows.index) == ("Works", "R. Fenwick", False)


def test_what_is_out_of_use_is_said_to_be_so(store: Store) -> None:
    retired = "connection_id,retired_on,retired_by\nZ,2026-05-20,Q. Reed\n"
    add(store, retired, "more.csv")
    with pytest.raises(
        UnusableInput, match=r"'Z' is out of use by the register since 20 May 2026, says Q. Reed; its urgency was"
    ):
        _assessed(store).find("z")


@pytest.mark.long
def test_what_was_locked_is_lifted_once_the_work_is_done_right(store: Store) -> None:
    locked = SAFE | {"connection_id": "A", "made_safe": "switched off and locked"}
    enter.enter_by_name(store, "notices", [locked], on=ON, stamp=ANN)
    right = VISIT | RIGHT | {"work_date": "2026-05-22"}
    words, _ = enter.enter_by_name(store, "findings", [right], on=ON, stamp=ANN)
    assert "made safe, do not restore" in words[0]
    early = locked | {"made_safe": "lifted", "told_on": "2026-05-19"}
    with pytest.raises(UnusableInput, match="safe on that day"):
        enter.enter_by_name(store, "notices", [early], on=ON, stamp=ANN)
    lifting = locked | {"made_safe": "lifted", "told_on": "2026-05-23"}
    words, _ = enter.enter_by_name(store, "notices", [lifting], on=ON, stamp=ANN)
    assert "do not restore" not in words[0]


@pytest.mark.long
def test_a_tool_typed_in_small_letters_is_foreseen_as_it_is_kept(store: Store) -> None:
    told, now = said(store, "findings", **VISIT, **RIGHT | {"tool_id": "t1"})
    assert told.startswith("A NOW becomes SOON: awaiting proof")
    assert now == "awaiting proof"


def test_a_required_torque_that_cannot_be_read_is_not_kept(store: Store) -> None:
    row = VISIT | RIGHT | {"connection_id": "A", "required_torque": "31 min", "required_source": "label"}
    with pytest.raises(UnusableInput, match="31 min"):
        enter.enter_by_name(store, "findings", [row], on=ON, stamp=ANN)


def test_an_ampere_beside_a_lock_is_not_dropped(store: Store) -> None:
    row = SAFE | {"connection_id": "A", "made_safe": "switched off and locked", "limited_to_a": "40"}
    with pytest.raises(UnusableInput, match="an ampere is given, but not that the load is limited"):
        enter.enter_by_name(store, "notices", [row], on=ON, stamp=ANN)


def test_a_new_name_moves_nothing_to_another_site(tmp_path: Path) -> None:
    with keep.opened(str(tmp_path / "s.db"), create=True) as store:
        add(store, TWO_SITES)
        renaming = {"was_id": "P", "renamed_on": "2026-05-20", "renamed_by": "Q", "reason": "r"}
        for name in ("P2 @ Quay", "Q"):
            with pytest.raises(UnusableInput, match="a new name moves nothing to another site"):
                enter.enter_by_name(store, "renamings", [renaming | {"connection_id": name}], on=ON, stamp=ANN)
