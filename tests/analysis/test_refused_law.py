"""Whose a refused row is: the joint it was written of always, and none of another name or place that is written so."""

from __future__ import annotations

import re
from typing import Any

import pandas as pd
from hypothesis import given
from hypothesis import strategies as st

from riskscope.analysis.proof import refused, whose
from riskscope.schema import tables as schema_tables
from riskscope.schema.common import ID_PARTS
from riskscope.schema.names import squeezed
from tests.examples import examples

NAMES = (
    st.text("A1b. -/·();,+é", min_size=1, max_size=6).map(str.strip).filter(lambda name: any(map(str.isalnum, name)))
)
PARTS = st.one_of(st.none(), NAMES)
PLACES = st.fixed_dictionaries(
    {
        "equipment": NAMES,
        "circuit": NAMES,
        "device": PARTS,
        "side": st.sampled_from([None, "line", "load"]),
        "phase": st.sampled_from([None, "A", "B", "L1", "N"]),
    }
)
JOINTS = st.lists(st.tuples(NAMES, PLACES), min_size=1, max_size=5, unique_by=lambda joint: joint[0].casefold())
respelled = st.sampled_from(
    [str, str.upper, str.lower, lambda name: f" {name} ", lambda name: name.replace("-", " - ")]
)


def of(row: dict[str, Any], joints: list[tuple[str, dict[str, Any]]]) -> set[str]:
    """The joints that one refused row may be of."""
    columns = ["connection_id", *ID_PARTS]
    survey = pd.DataFrame(
        [(name, *(place[part] for part in ID_PARTS)) for name, place in joints], columns=columns, dtype="str"
    )
    out = schema_tables.refused({name: [value] for name, value in {"line": 2, "cells": "[]", **row}.items()})
    return set(whose.whose(out, {"survey": survey})["connection_id"])


@examples(4)
@given(JOINTS, st.data())
def test_a_row_is_of_the_joint_that_it_names_however_it_is_spelled(joints: Any, data: st.DataObject) -> None:
    name, _ = data.draw(st.sampled_from(joints))
    assert name in of({"connection_id": data.draw(respelled)(name)}, joints)


@examples(4)
@given(JOINTS, st.data())
def test_a_row_that_names_a_joint_as_it_is_called_is_of_no_other(joints: Any, data: st.DataObject) -> None:
    name, place = data.draw(st.sampled_from(joints))
    assert of({"connection_id": name, **place}, joints) == {name}


@examples(4)
@given(JOINTS, st.data())
def test_a_row_without_an_id_is_of_every_joint_that_may_be_at_its_place(joints: Any, data: st.DataObject) -> None:
    name, place = data.draw(st.sampled_from(joints))
    respell = data.draw(respelled)
    row = {part: None if value is None else respell(value) for part, value in place.items()}
    for part in data.draw(st.sets(st.sampled_from(["device", "side", "phase"]))):
        row[part] = None
    assert name in of(row, joints)


@examples(4)
@given(JOINTS, st.data())
def test_a_row_without_an_id_is_of_no_joint_that_is_elsewhere(joints: Any, data: st.DataObject) -> None:
    _, place = data.draw(st.sampled_from(joints))
    for name in of(place, joints):
        its = dict(joints)[name]
        assert letters(its["equipment"]) == letters(place["equipment"])
        for part in ("circuit", "device", "side"):
            assert letters(its[part]) == letters(place[part]) or None in {its[part], place[part]}


def letters(name: str | None) -> str:
    return "".join(sign for sign in name or "" if sign.isalnum()).casefold()


@examples(20)
@given(st.lists(st.text("A1b. -/·();,+é٣", max_size=6), min_size=1, max_size=5), st.sampled_from(["", "/"]))
def test_what_is_left_of_a_name_depends_on_no_other(names: list[str], between: str) -> None:
    for more in ([], ["é"]):  # plain letters alone are squeezed by a pattern of their own
        left = tuple(squeezed(pd.Series([*names, *more]), between)[: len(names)])
        assert left == tuple(between.join(re.findall(r"[^\W_]+", name.lower())) for name in names)


@examples(20)
@given(JOINTS, st.data())
def test_a_rejected_row_of_the_register_places_the_joint_of_its_id_alone(joints: Any, data: st.DataObject) -> None:
    name, place = data.draw(st.sampled_from(joints))
    row = {"line": 2, "cells": "[]", "table": "connections", "kind": "rejected", "connection_id": name, **place}
    survey = pd.DataFrame({"connection_id": [its for its, _ in joints]}, dtype="str")
    said = refused.places_said(schema_tables.refused({key: [value] for key, value in row.items()}), {"survey": survey})
    told = said.astype(object).where(said.notna(), None)
    assert told[["connection_id", *ID_PARTS]].to_numpy().tolist() == [[name, *(place[part] for part in ID_PARTS)]]
