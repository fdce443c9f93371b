"""Long lists of names, compared."""

from __future__ import annotations

import pandas as pd
import pytest

from riskscope.intake.read import read_frames
from riskscope.intake.registers import among
from tests.build import ON


def test_among_is_isin() -> None:
    names = pd.Series(["a", "b", None, "é"], index=[7, 3, 1, 2], dtype="str")
    others = pd.Series(["b", "é", "b"], dtype="str")
    assert among(names, others).tolist() == [False, True, False, True]
    assert among(names, others).index.tolist() == [7, 3, 1, 2]
    assert not among(names, others[:0]).any()
    assert among(names[:0], others).tolist() == []


@pytest.mark.parametrize("typed", ["SWB1/F4/A", "SWB 1/F4/A", "SWB_1/F4/A", "SWB\u200b-1/F4/A", "ＳＷＢ-1/F4/A"])
def test_a_name_that_reads_like_one_of_the_register_is_said(typed: str) -> None:
    register = pd.DataFrame({"connection_id": ["SWB-1/F4/A", "SWB-2/F4/A"]})
    survey = pd.DataFrame({"connection_id": [typed], "survey_date": ["2026-05-04"], "connection_c": [40]})
    said = [note.text for note in read_frames(on=ON, connections=register, survey=survey).notes]
    assert any("reads like 'SWB-1/F4/A': if it is the same connection, rename it" in text for text in said), said


@pytest.mark.parametrize("typed", ["SWB-1/F4/A", "swb-1/f4/a", "SWB-1/F4/B", "SWB-1F4/A", "SWB-11/F4/A"])
def test_another_name_is_not(typed: str) -> None:
    register = pd.DataFrame({"connection_id": ["SWB-1/F4/A", "SWB-2/F4/A"]})
    survey = pd.DataFrame({"connection_id": [typed], "survey_date": ["2026-05-04"], "connection_c": [40]})
    assert not any("reads like" in note.text for note in read_frames(on=ON, connections=register, survey=survey).notes)
