"""A row is the same row again whatever its case, spacing or place in the file."""

from __future__ import annotations

import datetime as dt

import pandas as pd
import pytest

import riskscope
from riskscope.intake.identity import row_keys, shared
from riskscope.intake.read import read_frames
from riskscope.schema import TABLES

ON = dt.date(2026, 6, 1)


def keys(table: str, *rows: dict[str, object]) -> list[str]:
    intake = read_frames(on=ON, **{table: pd.DataFrame(list(rows))})
    return row_keys(table, intake[table]).tolist()


READING = {"connection_id": "A", "survey_date": "2026-05-04", "connection_c": 40, "survey_id": "S"}
RECORD = {"connection_id": "A", "work_date": "2025-05-04"}


def test_case_and_spaces_make_no_difference() -> None:
    once = keys("survey", READING)
    again = keys("survey", {**READING, "connection_id": " a ", "connection_c": 41})
    assert once == again


@pytest.mark.parametrize(
    "change", [{"connection_id": "B"}, {"survey_date": "2026-05-05"}, {"survey_id": "T"}, {"survey_time": "9:00"},
               {"image": "IR-1"}]
)  # fmt: skip
def test_each_part_of_the_key_counts(change: dict[str, object]) -> None:
    assert keys("survey", READING) != keys("survey", {**READING, **change})


def test_rows_alike_in_all_else_are_counted() -> None:
    first, second, other = keys("installs", RECORD, RECORD, {**RECORD, "fastener_no": "2"})
    assert first != second
    assert first.removesuffix("1") == second.removesuffix("2")
    assert other.endswith(" | 1")


def test_a_bar_in_an_id_does_not_run_two_parts_together() -> None:
    assert keys("tools", {"tool_id": "A |", "calibrated_on": ""}) != keys(
        "tools", {"tool_id": "A", "calibrated_on": ""}
    )


def test_every_key_is_distinct_in_the_demo() -> None:
    from riskscope import demo

    intake = riskscope.read(demo.folder(), on=dt.date(2026, 11, 1))
    for table in TABLES:
        if table in intake:
            assert row_keys(table, intake[table]).is_unique, table


@pytest.mark.parametrize(
    ("ours", "theirs", "same"),
    [("Works", "Works", True), ("Works", "Yard", False), (None, "Yard", True), ("Works", None, True)],
    ids=["one site", "two sites", "ours not said", "theirs not said"],
)
def test_a_row_of_another_site_is_another_row(ours: str | None, theirs: str | None, same: bool) -> None:
    new, held = (
        pd.DataFrame([{**RECORD, "work_date": pd.Timestamp("2025-05-04"), "site": site}]) for site in (ours, theirs)
    )
    frames = [frame.astype({"connection_id": "str", "site": "str"}) for frame in (new, held)]
    assert shared("installs", *frames).tolist() == [same]
