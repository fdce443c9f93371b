"""Former names: what is known of either name is of one connection, and nothing is joined by a slip."""

from __future__ import annotations

import pandas as pd
import pytest

from riskscope.intake.read import read_frames
from riskscope.schema.tables import Tables
from tests.build import ON

HOW = {"renamed_on": "2026-05-20", "renamed_by": "P. Lowe", "reason": "new labels"}


def survey(**day_of: str) -> pd.DataFrame:
    """A reading of each connection on its day."""
    rows = [{"connection_id": name, "survey_date": day} for name, day in day_of.items()]
    return pd.DataFrame(rows).assign(connection_c=40, ambient_c=30, load_pct=80)


def renamed(*pairs: tuple[str, str]) -> pd.DataFrame:
    return pd.DataFrame([{"was_id": old, "connection_id": new, **HOW} for old, new in pairs])


def notes(tables: Tables, kind: str) -> list[str]:
    return [note.text for note in tables.notes if note.kind == kind]


def test_the_history_of_either_name_is_of_the_new_one() -> None:
    tables = read_frames(on=ON, survey=survey(OLD="2025-05-04", NEW="2026-05-04"), renamings=renamed(("OLD", "NEW")))
    assert tables["survey"]["connection_id"].tolist() == ["NEW", "NEW"]
    assert notes(tables, "merge") == [
        "'OLD' is 'NEW' now (renamed by P. Lowe on 2026-05-20: new labels): 1 rows are of it"
    ]


def test_of_a_chain_the_last_name_stays() -> None:
    tables = read_frames(
        on=ON, survey=survey(A="2025-05-04", B="2026-05-04"), renamings=renamed(("A", "B"), ("B", "C"))
    )
    assert set(tables["survey"]["connection_id"]) == {"C"}


def test_a_name_decided_leaves_the_register_and_the_stricter_of_both_rows_counts() -> None:
    register = pd.DataFrame(
        [
            {"connection_id": "OLD", "criticality": 5, "limit_c": 60, "retighten_allowed": "no", "circuit": "F1"},
            {"connection_id": "NEW", "criticality": 2, "limit_c": 90, "retighten_allowed": "yes", "circuit": None},
        ]
    )
    tables = read_frames(
        on=ON, survey=survey(OLD="2026-05-04"), connections=register, renamings=renamed(("OLD", "NEW"))
    )
    assert tables["connections"]["connection_id"].tolist() == ["NEW"]
    said = tables["connections"][["criticality", "limit_c", "retighten_allowed", "circuit"]]
    assert said.to_numpy().tolist() == [[5, 60, "no", "F1"]], "nothing looks better for it"
    assert tables.refused["reason"].str.contains("already in").sum() == 1, "the row is not lost"


@pytest.mark.parametrize(
    ("pairs", "words"),
    [
        (
            [("A", "B")],
            "'A' was read on the same day or in the same survey as a name it is to be joined with, so they are two: "
            "'B' is not given its history",
        ),
        ([("A", "X"), ("A", "Y")], "'A' is said to be two connections now: 'X' is not given its history"),
        ([("A", "X"), ("X", "A")], "'A' leads back to its own name: 'X' is not given its history"),
    ],
    ids=["read together", "two", "circle"],
)
def test_what_is_not_clear_joins_nothing_and_is_said(pairs: list[tuple[str, str]], words: str) -> None:
    tables = read_frames(on=ON, survey=survey(A="2026-05-04", B="2026-05-04"), renamings=renamed(*pairs))
    assert set(tables["survey"]["connection_id"]) == {"A", "B"}
    assert words in notes(tables, "warning")


@pytest.mark.parametrize(
    "pairs", [[("A", "Z"), ("B", "Z")], [("A", "M"), ("M", "B")]], ids=["to a third", "by way of a third"]
)
def test_two_joints_read_together_are_not_joined_by_a_detour(pairs: list[tuple[str, str]]) -> None:
    tables = read_frames(on=ON, survey=survey(A="2026-05-04", B="2026-05-04"), renamings=renamed(*pairs))
    assert set(tables["survey"]["connection_id"]) == {"A", "B"}
    assert sum("so they are two" in words for words in notes(tables, "warning")) == 2


def test_nor_are_two_read_on_two_days_of_one_survey() -> None:
    rows = survey(A="2026-05-04", B="2026-05-05").assign(survey_id="S1")
    tables = read_frames(on=ON, survey=rows, renamings=renamed(("A", "B")))
    assert set(tables["survey"]["connection_id"]) == {"A", "B"}


OUT = {"retired_on": "2026-05-10", "retired_by": "Q. Reed"}


def test_no_joint_goes_out_of_use_by_a_name() -> None:
    """A name that is out of use takes no joint with it: not the one it is given, not the one it had."""
    register = pd.DataFrame([{"connection_id": "GONE", **OUT}])
    given = read_frames(on=ON, survey=survey(A="2026-05-04"), connections=register, renamings=renamed(("A", "GONE")))
    assert given["survey"]["connection_id"].tolist() == ["A"]
    assert "'A' leads to a name that is out of use by the register: 'GONE' is not given its history" in notes(
        given, "warning"
    )
    had = read_frames(on=ON, survey=survey(GONE="2026-05-04"), connections=register, renamings=renamed(("GONE", "A")))
    assert had["survey"]["connection_id"].tolist() == ["A"]
    assert had["connections"]["connection_id"].tolist() == ["A"]
    assert had["connections"]["retired_on"].isna().all()


def test_what_is_stricter_of_a_former_name_counts_by_the_register_too() -> None:
    old = {"connection_id": "A", "limit_c": 65, "termination_kind": "compression", **OUT}
    new = {"connection_id": "X", "was_id": "A", "termination_kind": "screw"}
    tables = read_frames(on=ON, survey=survey(A="2026-05-04"), connections=pd.DataFrame([old, new]))
    register = tables["connections"].set_index("connection_id")
    assert register.loc["X", ["limit_c", "termination_kind"]].tolist() == [65, "compression"]
    assert register["retired_on"].notna().tolist() == [True, False], "each its own end"


def test_a_register_that_still_has_the_former_name_is_not_believed() -> None:
    register = pd.DataFrame([{"connection_id": "NEW", "was_id": "OLD"}, {"connection_id": "OLD", "was_id": None}])
    tables = read_frames(on=ON, survey=survey(OLD="2026-05-04"), connections=register)
    assert tables["survey"]["connection_id"].tolist() == ["OLD"]
    assert (
        "'OLD' is in use itself (take it out of use in the register, or rename it): 'NEW' is not given its history"
        in notes(tables, "warning")
    )


def test_entries_for_names_nobody_knows_are_said() -> None:
    row = {"decided_on": "2026-05-10", "deferred_by": "P", "until": "2026-09-01", "reason": "r"}
    rows = pd.DataFrame([{"connection_id": name, **row} for name in ("A", "A1", "B1", "C1", "D1")])
    (said,) = notes(read_frames(on=ON, survey=survey(A="2026-05-04"), deferrals=rows), "warning")
    assert said == "'A1', 'B1', 'C1' and 1 more: no survey, register or record knows it"


def test_a_name_used_after_its_end_is_said() -> None:
    register = pd.DataFrame([{"connection_id": "A", "retired_on": "2026-05-01", "retired_by": "P"}])
    (said,) = notes(read_frames(on=ON, survey=survey(A="2026-05-04"), connections=register), "warning")
    assert said.startswith("'A': read or worked on after the day the register takes it out of use")


@pytest.mark.parametrize(
    ("apart", "joined"), [("2026-05-06", False), ("2025-05-04", True)], ids=["two days, one survey", "a year"]
)
def test_names_read_in_one_survey_that_is_not_named_are_two(apart: str, joined: bool) -> None:
    tables = read_frames(on=ON, survey=survey(A=apart, B="2026-05-04"), renamings=renamed(("A", "B")))
    assert set(tables["survey"]["connection_id"]) == ({"B"} if joined else {"A", "B"})


@pytest.mark.parametrize("more", [("A", "Q"), ("N", "A")], ids=["to two", "in a circle"])
def test_a_name_is_not_out_of_use_while_it_is_not_clear_what_it_is_called_now(more: tuple[str, str]) -> None:
    """A went out of use as N; a renaming by a slip must not leave its readings to nobody."""
    register = pd.DataFrame(
        [
            {"connection_id": "A", "retired_on": "2026-05-10", "retired_by": "P. Lowe", "was_id": None},
            {"connection_id": "N", "retired_on": None, "retired_by": None, "was_id": "A"},
        ]
    )
    tables = read_frames(on=ON, survey=survey(A="2026-05-04"), connections=register, renamings=renamed(more))
    assert tables["survey"]["connection_id"].tolist() == ["A"]
    assert tables["connections"]["retired_on"].isna().all()
    assert any("'A' is not taken out of use until that is clear" in words for words in notes(tables, "warning"))


def test_a_name_that_leads_to_one_out_of_use_is_out_of_use_itself() -> None:
    """A became B in 2024, and B is scrapped: neither comes back."""
    register = pd.DataFrame(
        [
            {"connection_id": "A", "retired_on": "2024-05-10", "retired_by": "P. Lowe", "was_id": None},
            {"connection_id": "B", "retired_on": "2026-05-10", "retired_by": "P. Lowe", "was_id": "A"},
        ]
    )
    tables = read_frames(on=ON, survey=survey(A="2023-05-04", B="2025-05-04"), connections=register)
    assert tables["connections"]["retired_on"].notna().all()
