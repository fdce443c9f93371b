"""Imports: nothing lost, nothing doubled, everything can be taken back."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pandas as pd
import pytest
from sqlalchemy import select

import riskscope
from riskscope.errors import UnusableInput, WrongUsage
from riskscope.intake.grid import Edit
from riskscope.intake.options import Limits
from riskscope.jobs import keep
from riskscope.jobs.bring_in import Decision, bring_in, sources
from riskscope.jobs.mend import mend
from riskscope.store import corrections, imports
from riskscope.store import reading as held
from riskscope.store.database import Store
from riskscope.store.model import EDITS
from tests.store.build import ANN, BOB, LATER, ON, SURVEY, add, install_rows, number, readings

DEMO = Path(__file__).parent.parent.parent / "demo_data"


def test_a_store_holds_what_the_files_hold(store: Store) -> None:
    files = sources([DEMO]).files
    done = bring_in(store, files, on=ON, options={}, stamp=ANN)
    assert {one.outcome for one in done} == {"new", "no table"}
    ours, theirs = held.tables(store, 30), riskscope.read(DEMO, on=ON)
    assert list(ours) == list(theirs)
    for table in theirs:
        pd.testing.assert_frame_equal(ours[table], theirs[table], check_like=True)
    pd.testing.assert_frame_equal(ours.refused, theirs.refused)
    assert ours.counts == theirs.counts
    assert ours.files == theirs.files


def test_a_file_of_which_every_row_was_refused_reads_back(store: Store) -> None:
    """Its column that nobody knows has no row to stand beside."""
    add(store, SURVEY)
    head, *_, off = SURVEY.splitlines()
    made = add(store, f"{head}\n{off.replace('05-04', '05-20')}\n", "off.csv")
    assert len(readings(store)) == 2
    (sheet,) = held.sheets_of(store, number(made))
    assert sheet.accepted["extra: colour of tape"].tolist() == []
    assert keep.check(store, ANN.actor) == (2, [])
    assert imports.undo(store, number(made), ANN)[1] == []


@pytest.mark.parametrize(
    ("head", "row"),
    [
        ("connection_id,work_date,required_torque,applied_torque,torque_unit,tool_id", "{},2026-05-20,20,x,N·m,T1"),
        ("connection_id,termination_kind,rated_a", "{},screw,x"),
        ("connection_id,survey_date,connection_c,ambient_c,load_pct", "{},2026-05-20,OL,30,80"),
    ],
    ids=["installs", "register", "survey"],
)
def test_files_of_which_every_row_was_refused_stand_beside_each_other(store: Store, head: str, row: str) -> None:
    add(store, "tool_id,range_min,range_max,torque_unit,calibrated_on\nT1,5,50,N·m,2026-01-10\n", "tools.csv")
    add(store, SURVEY)
    for name in ("J1", "K"):
        add(store, f"{head}\n{row.format(name)}\n", f"{name}.csv")
    assert {"J1", "K"} <= set(held.tables(store, 30).refused["connection_id"])
    assert ("survey" in held.tables(store, 30, without=[2])) is ("survey" in head)


def test_what_a_refused_row_says_of_its_joint_is_kept(store: Store) -> None:
    head = "connection_id,survey_date,site,equipment,circuit,phase,connection_c,load_pct\n"
    add(store, head + "J1,2026-05-04,W,P · 2,F1,A,OL,80\n,2026-05-32,,P · 2,F1 (new); x,A,OL,80\n")
    rows = held.tables(store, 30).refused.query("kind == 'rejected'")
    told = rows[["connection_id", "site", "equipment", "circuit", "device", "side", "phase"]].fillna("").to_numpy()
    assert told.tolist() == [["J1", "W", "P · 2", "F1", "", "", "A"], ["", "", "P · 2", "F1 (new); x", "", "", "A"]]
    assert rows["day"].dt.strftime("%Y-%m-%d").fillna("").tolist() == ["2026-05-04", ""]
    assert rows["dismissed_by"].isna().all()
    keep.dismiss(store, 2, "cable in the way", ANN)
    assert held.tables(store, 30).refused["dismissed_by"].fillna("").tolist() == ["", "ann", ""]


def test_the_same_file_again_changes_nothing(store: Store) -> None:
    first = add(store, SURVEY)
    again = add(store, SURVEY, "renamed.csv", stamp=BOB)
    assert (again.outcome, number(again)) == ("there", number(first))
    assert len(held.listed(store)) == 1
    assert len(readings(store)) == 2


def test_the_file_itself_is_kept(store: Store) -> None:
    made = add(store, SURVEY).made
    assert made is not None
    assert held.content(store, made.sha256) == SURVEY.encode()
    assert (made.actor, made.at) == ("ann", ANN.at)


def test_rows_that_are_there_already_ask(store: Store) -> None:
    add(store, SURVEY)
    corrected = SURVEY.replace(",60,", ",62,")
    with pytest.raises(UnusableInput, match="2 of its 2 rows of table survey are also in import 1") as error:
        add(store, corrected)
    assert "--supersedes 1" in str(error.value)
    assert "same list again" in str(error.value)
    assert readings(store)["connection_c"].tolist() == [60.0, 45.0]


def test_a_second_register_is_said_to_be_rejected_beside_the_first(store: Store) -> None:
    """Two truths about one connection are none: the earlier counts, and of records both do."""
    add(store, "connection_id,equipment\nA,P\n", "register.csv")
    with pytest.raises(UnusableInput, match="Kept beside it, these are rejected: the earlier count"):
        add(store, "connection_id,equipment\nA,P\nB,P\n", "register_2.csv")
    add(store, SURVEY)
    with pytest.raises(UnusableInput) as error:
        add(store, SURVEY.replace(",60,", ",62,"))
    assert "Kept beside it" not in str(error.value)


def test_one_row_in_common_asks_too(store: Store) -> None:
    add(store, install_rows(3), "torque.csv")
    more = install_rows(1) + "\n" + "\n".join(f"P2/F{n}/A,2025-03-01,20,20,N·m" for n in range(9))
    with pytest.raises(UnusableInput, match="has rows that are there already: 1 of its 10"):
        add(store, more, "torque_2.csv")
    add(store, more, "torque_2.csv", decision=Decision(beside=True))
    assert len(held.tables(store, 30)["installs"]) == 13


def test_a_superseding_file_replaces_and_keeps_the_old_readable(store: Store) -> None:
    old = number(add(store, SURVEY))
    new = number(add(store, SURVEY.replace(",60,", ",62,"), decision=Decision((old,))))
    assert readings(store)["connection_c"].tolist() == [62.0, 45.0]
    assert [one.state for one in held.listed(store)] == ["superseded", "active"]
    assert held.get(store, old).superseded_by == new
    assert held.sheets_of(store, old)[0].accepted["connection_c"].tolist() == [60.0, 45.0]


def test_undo_brings_back_what_was_superseded(store: Store) -> None:
    old = number(add(store, SURVEY))
    new = number(add(store, SURVEY.replace(",60,", ",62,"), decision=Decision((old,))))
    with pytest.raises(UnusableInput, match=r"superseded by import 2 \(survey.csv\)"):
        imports.undo(store, old, BOB)
    assert imports.undo(store, new, BOB) == ([new], [old])
    assert readings(store)["connection_c"].tolist() == [60.0, 45.0]
    with pytest.raises(UnusableInput, match="was undone already"):
        imports.undo(store, new, BOB)


def test_an_undone_file_can_come_again(store: Store) -> None:
    first = number(add(store, SURVEY))
    imports.undo(store, first, BOB)
    assert readings(store).empty
    again = add(store, SURVEY)
    assert (again.outcome, number(again)) == ("new", 2)


def test_two_files_of_one_name_stay_apart(store: Store) -> None:
    add(store, SURVEY)
    add(store, LATER)
    assert readings(store)["source_file"].unique().tolist() == ["survey.csv", "survey.csv (import 2)"]
    assert readings(store)["survey_id"].nunique() == 2


def test_superseding_what_does_not_count_brings_nothing_in(store: Store) -> None:
    add(store, SURVEY)
    with pytest.raises(UnusableInput, match="import 7 is not one that counts now"):
        add(store, LATER, decision=Decision((7,)))
    assert len(held.listed(store)) == 1


def test_a_double_across_files_keeps_its_cells(store: Store) -> None:
    add(store, "connection_id,site,rated_a\nP1/F1/A,North,100\n", "connections.csv")
    add(
        store,
        "connection_id,site,rated_a\nP1/F1/A,North,200\nP1/F1/B,North,200\n",
        "connections_2.csv",
        decision=Decision(beside=True),
    )
    tables = held.tables(store, 30)
    assert tables["connections"]["rated_a"].tolist() == [100.0, 200.0]
    assert tables.refused["cells"].tolist()[-1:] == ['["P1/F1/A", "North", "200"]']
    assert tables.counts["connections"]["rejected"] == 1


# ------------------------------------------------------------------ corrections


def rejected(store: Store) -> pd.DataFrame:
    rows = corrections.refused_rows(store)
    return rows[rows["kind"] == "rejected"]


def edit(old: str, new: str, line: int = 4, column: int = 2) -> Edit:
    return Edit("", line, column, old, new)


def test_a_mended_cell_makes_its_row_count(store: Store) -> None:
    made = number(add(store, SURVEY))
    mend(store, made, [edit(">250", "88")], limits=Limits(), stamp=BOB)
    assert readings(store)["connection_c"].tolist() == [60.0, 45.0, 88.0]
    assert held.tables(store, 30).refused["kind"].tolist() == ["set aside"]
    rows = rejected(store)
    assert rows[["state", "note", "actor"]].to_numpy().tolist() == [["resolved", "corrected", "bob"]]
    with store.reading() as connection:
        (kept,) = connection.execute(select(EDITS)).all()
    assert (kept.old, kept.new, kept.actor, kept.at) == (">250", "88", "bob", BOB.at)
    assert held.content(store, held.get(store, made).sha256) == SURVEY.encode()


def test_a_row_still_wrong_stays_open(store: Store) -> None:
    made = number(add(store, SURVEY))
    mend(store, made, [edit(">250", "hot")], limits=Limits(), stamp=BOB)
    rows = rejected(store)
    assert rows["state"].tolist() == ["open"]
    assert "hot" in rows["reason"].iloc[0]


def test_the_second_to_correct_is_told_who_was_first(store: Store) -> None:
    made = number(add(store, SURVEY))
    sheets = held.sheets_of(store, made)
    corrections.correct(store, made, [], [edit(">250", "88")], sheets, BOB)
    with pytest.raises(WrongUsage, match="bob has corrected cells of this import meanwhile"):
        corrections.correct(store, made, [], [edit(">250", "99")], sheets, ANN)
    with pytest.raises(WrongUsage, match="holds '88' now, not '>250'"):
        mend(store, made, [edit(">250", "99")], limits=Limits(), stamp=ANN)


def test_a_row_is_dismissed_with_a_note_and_stays_listed(store: Store) -> None:
    made = number(add(store, SURVEY))
    (row,) = rejected(store)["id"].tolist()
    with pytest.raises(WrongUsage, match="say why"):
        corrections.dismiss(store, row, " ", BOB)
    corrections.dismiss(store, row, "camera off scale, read again in June", BOB)
    reason = held.tables(store, 30).refused["reason"].iloc[-1]
    assert "dismissed by bob: camera off scale, read again in June" in reason
    with pytest.raises(UnusableInput, match="not open any more"):
        corrections.dismiss(store, row, "again", BOB)
    mend(store, made, [edit("60", "61", line=2)], limits=Limits(), stamp=ANN)
    assert rejected(store)["state"].tolist() == ["dismissed"]


def test_check_finds_a_row_that_was_changed_behind_its_back(store: Store) -> None:
    made = number(add(store, SURVEY))
    mend(store, made, [edit(">250", "88")], limits=Limits(), stamp=BOB)
    assert keep.check(store, ANN.actor) == (1, [])
    with store.writing() as connection:
        connection.exec_driver_sql("UPDATE row_survey SET connection_c = 99 WHERE source_line = 3")
    _, (finding,) = keep.check(store, ANN.actor)
    assert finding.words == "table survey: column connection_c differs in 1 rows (line 3 first)"


def test_deferrals_inspections_and_calibrations_are_rows_like_others(store: Store) -> None:
    add(store, SURVEY)
    add(
        store,
        "connection_id,work_date,as_found,action,deferred_by,deferred_until,comment\n"
        "P1/F1/A,2026-05-10,not checked,none,M. Reyes,2026-05-20,no outage before\n",
        "findings.csv",
    )
    add(store, "equipment,survey_date,result\nP1,2026-05-04,all seen\n", "inspections.csv")
    add(store, "tool_id,calibrated_on\nT-1,2025-01-01\nT-1,2026-01-05\n", "tools.csv")
    tables = held.tables(store, 30)
    (deferral,) = tables["findings"].to_dict("records")
    assert (deferral["deferred_by"], deferral["deferred_until"].date()) == ("M. Reyes", dt.date(2026, 5, 20))
    assert tables["inspections"]["result"].tolist() == ["all seen"]
    assert len(tables["tools"]) == 2
