"""Which reading counts, and what register and boards add to it; by literal rows."""

from __future__ import annotations

import datetime as dt
import itertools
from typing import Any

import pandas as pd
import pytest

from tests.build import assess, good_record, phases, survey

DAY_1, DAY_2 = "2026-05-04", "2026-05-05"


def counted(*rows: dict[str, Any], **more: Any) -> pd.Series:
    """The reading of A that counts, of several in one survey."""
    base = {"connection_id": "A", "survey_id": "S", "ambient_c": 30.0, "load_pct": 80}
    return assess(survey(*({**base, **row} for row in rows), circuit=None), **more).loc["A"]


@pytest.mark.parametrize(
    ("rows", "temperature"),
    [
        ([(DAY_1, "", 48.0), (DAY_2, "09:00", 45.0), (DAY_2, "14:00", 41.0)], 41.0),
        ([(DAY_1, "15:00", 48.0), (DAY_2, "", 41.0), (DAY_2, "14:00", 45.0)], 45.0),
        ([(DAY_1, "09:00", 41.0), (DAY_2, "09:00", 45.0)], 45.0),
        ([(DAY_2, "09:00", 41.0), (DAY_1, "14:00", 48.0)], 41.0),
    ],
    ids=["times of the last day count", "one of the last day has none: the hotter of it", "the later day",
         "the later day, though cooler and above"],
)  # fmt: skip
def test_of_a_survey_the_last_of_readings_rated_alike_counts(
    rows: list[tuple[str, str, float]], temperature: float
) -> None:
    """11 to 18 K over the air are all rated 2."""
    found = counted(*({"survey_date": day, "survey_time": time, "connection_c": t} for day, time, t in rows))
    assert found["connection_c"] == temperature
    assert found["other_readings"] == len(rows) - 1
    assert found["hottest_other_c"] == max(t for *_, t in rows)


@pytest.mark.parametrize(
    ("morning", "afternoon", "counts"),
    [((95.0, 80), (29.0, 15), 95.0), ((60.0, 80), (62.0, 100), 62.0), ((55.0, 80), (30.0, 80), 55.0),
     ((30.0, 80), (55.0, 80), 55.0)],
    ids=["over its limit in the morning, cool at little load", "rated alike", "the worse is the earlier", "the later"],
)  # fmt: skip
def test_of_a_survey_the_reading_that_is_rated_worse_counts(
    morning: tuple[float, float], afternoon: tuple[float, float], counts: float
) -> None:
    rows = [
        {"survey_time": time, "connection_c": celsius, "load_pct": load}
        for time, (celsius, load) in (("09:00", morning), ("15:00", afternoon))
    ]
    assert counted(*rows)["connection_c"] == counts


def test_each_of_two_rounds_is_compared_with_its_own_siblings() -> None:
    """In the morning A is 20 K over B and C, in the afternoon all are alike and hotter: the morning counts for A."""
    rows = pd.concat(
        [
            phases(60.0, 40.0, 40.0, survey_time="09:00", survey_id="S", ambient_c=30.0, load_pct=80),
            phases(63.0, 63.0, 63.0, survey_time="15:00", survey_id="S", ambient_c=45.0, load_pct=80),
        ]
    )
    found = assess(rows)
    assert found["connection_c"].to_dict() == {"A": 60.0, "B": 63.0, "C": 63.0}
    assert found.loc["A", "rise_similar_found_k"] == 20.0
    assert found.loc["B", "rise_similar_found_k"] == 0.0
    assert (found["group_code"] == found["group_code"].iloc[0]).all()


def test_a_sibling_without_a_second_reading_is_what_the_second_is_compared_with() -> None:
    rows = pd.concat(
        [
            phases(60.0, 40.0, survey_time="09:00", survey_id="S", ambient_c=30.0, load_pct=80),
            phases(42.0, survey_time="15:00", survey_id="S", ambient_c=30.0, load_pct=80),
        ]
    )
    found = assess(rows)
    assert (found.loc["A", "connection_c"], found.loc["A", "rise_similar_found_k"]) == (60.0, 20.0)
    assert found.loc["B", "connection_c"] == 40.0


def test_a_reading_that_is_compared_several_times_is_one_of_its_survey() -> None:
    """Without times each is rated in its pass, and once more beside the coolest of each sibling."""
    rows = pd.concat([phases(60.0, 40.0, ambient_c=30.0, load_pct=80), phases(58.0, 41.0, ambient_c=30.0, load_pct=80)])
    found = assess(rows)
    assert found["other_readings"].to_dict() == {"A": 1, "B": 1}
    assert found["hottest_other_c"].to_dict() == {"A": 60.0, "B": 41.0}


@pytest.mark.parametrize("more", [0, 1, 2])
def test_what_is_unfit_takes_no_fit_reading_out_of_its_pass(more: int) -> None:
    """A 50 beside B, that was read at 33 and at 49, nobody wrote down at which loads: closed readings change nothing.

    Without times A, read once, stands beside B in both of its passes: 17 K over it.
    """
    read = [("A", 50.0, "open"), ("B", 33.0, "open"), ("B", 49.0, "open")]
    read += [("A", 34.0 + n, "closed") for n in range(more)]
    rows = ({"connection_id": p, "phase": p, "connection_c": t, "cover": cover} for p, t, cover in read)
    row = assess(survey(*rows, ambient_c=30.0)).loc["A"]
    assert (row["connection_c"], row["rise_similar_found_k"]) == (50.0, 17.0)


@pytest.mark.parametrize("hotter", [62.0, 50.0])
@pytest.mark.parametrize(
    ("unfit", "fit"),
    [
        ({"cover": "closed"}, {"cover": "open"}),
        ({"emissivity": 0.2}, {"emissivity": 0.95}),
        ({"load_steady_min": 5, "survey_time": "09:00"}, {}),
    ],
    ids=["closed covers", "bright metal", "not steady, at a known time"],
)
def test_without_times_a_fit_reading_is_compared_with_fit_ones(
    hotter: float, unfit: dict[str, object], fit: dict[str, object]
) -> None:
    """All covers closed, then all open, at loads nobody wrote down: what was read open stands beside open ones."""
    rounds = [phases(36.0, 36.0, 36.0, ambient_c=30.0, **unfit), phases(hotter, 35.0, 34.0, ambient_c=30.0, **fit)]
    row = assess(pd.concat(rounds)).loc["A"]
    assert (row["reference"], row["rise_similar_found_k"]) == ("sibling", hotter - 34.0)


@pytest.mark.parametrize("where", ["circuit", "device", "group"])
@pytest.mark.parametrize("other", ["here", None])
@pytest.mark.parametrize("first", [0, 1])
def test_an_id_that_stands_at_two_places_is_rated_by_the_worse(where: str, other: str | None, first: int) -> None:
    rows = [{"connection_id": "X", "connection_c": 34.0, where: other}, {"connection_c": 95.0, where: "there"}]
    rows = [{"connection_id": "X", "circuit": "F1", **row} for row in rows]
    found = assess(survey(*rows[first:], *rows[:first], ambient_c=30.0, load_pct=80)).loc["X"]
    assert (found["connection_c"], found["urgency"], found["other_readings"]) == (95.0, "now", 1)


@pytest.mark.parametrize(
    ("read", "urgency"),
    [
        ([("B", 13, 35.0, 60), ("A", 12, 62.0, None), ("A", 12, 35.0, 80), ("A", 13, 35.0, 60), ("B", 12, 62.0, 60)],
         {"A": "now", "B": "now"}),
        ([("B", 12, 35.0, 80), ("C", 13, 50.0, 30), ("B", 13, 35.0, 45), ("C", 12, 35.0, 80)],
         {"B": "next outage", "C": "soon"}),
    ],
    ids=["two siblings alike on the second day", "a sibling as warm at two loads"],
)  # fmt: skip
def test_the_order_of_the_lines_changes_no_rating(
    read: list[tuple[str, int, float, float | None]], urgency: dict[str, str]
) -> None:
    """Without times; each order of the lines on a board of its own, and the worse counts."""
    rows = [
        {
            "connection_id": f"{n}/{p}",
            "phase": p,
            "equipment": str(n),
            "survey_date": f"2026-05-{day}",
            "connection_c": t,
            "load_pct": load,
        }
        for n, order in enumerate(itertools.permutations(read))
        for p, day, t, load in order
    ]
    made = assess(survey(*rows, ambient_c=30.0, survey_id="S"))
    of_joint = made.groupby(made["connection_id"].str[-1])["urgency"].unique().map(list).to_dict()
    assert of_joint == {name: [worst] for name, worst in urgency.items()}


def test_a_reading_before_work_and_one_after_it_are_both_kept() -> None:
    rows = pd.concat(
        [
            phases(60.0, 40.0, survey_date="2026-05-04", survey_id="S", ambient_c=30.0, load_pct=80),
            phases(41.0, 40.0, survey_date="2026-05-12", survey_id="S", ambient_c=30.0, load_pct=80),
        ]
    )
    work = good_record("A", work_date="2026-05-08")
    work["tools"]["calibrated_on"] = "2026-01-10"
    row = assess(rows, **work).loc["A"]
    assert (row["connection_c"], row["work_state"]) == (41.0, "proved")


@pytest.mark.parametrize("rise", ["rise_similar_k", "rise_ambient_k"])
def test_readings_of_rises_alone_are_compared_by_them(rise: str) -> None:
    rows = [{"connection_c": None, "ambient_c": None, rise: k} for k in (8.0, 12.0, 10.0)]
    assert counted(*rows)["rise_surveyor_k" if rise == "rise_similar_k" else "rise_ambient_found_k"] == 12.0


def test_equal_readings_the_last_line_counts() -> None:
    found = counted({"connection_c": 50.0, "load_pct": 60}, {"connection_c": 50.0, "load_pct": 70})
    assert found["load_fraction"] == pytest.approx(0.70)


def test_one_reading_has_no_other() -> None:
    found = counted({"connection_c": 50.0})
    assert found["other_readings"] == 0
    assert pd.isna(found["hottest_other_c"])


def test_two_surveys_are_two_readings_and_the_latest_stands() -> None:
    found = counted({"connection_c": 60.0, "survey_date": "2025-05-04", "survey_id": "R"}, {"connection_c": 45.0})
    assert (found["connection_c"], found["other_readings"]) == (45.0, 0)


@pytest.mark.parametrize(("day", "temperature"), [(dt.date(2026, 5, 4), 45.0), (dt.date(2026, 5, 3), 60.0)])
def test_a_reading_counts_from_its_own_day_on(day: dt.date, temperature: float) -> None:
    rows = survey(
        {"connection_id": "A", "survey_date": "2025-05-04", "connection_c": 60.0},
        {"connection_id": "A", "survey_date": "2026-05-04", "connection_c": 45.0},
        circuit=None,
    )
    assert assess(rows, on=day).loc["A", "connection_c"] == temperature


def test_places_come_from_the_survey_then_the_register_then_the_board() -> None:
    register = pd.DataFrame(
        [
            {"connection_id": "A", "equipment": "B1", "circuit": "F9", "phase": "A", "rated_a": 100},
            {"connection_id": "B", "equipment": "B1", "circuit": "F9", "phase": "B", "rated_a": 100},
            {"connection_id": "C", "equipment": "B2", "circuit": "F1", "phase": "A", "rated_a": 100},
        ]
    )
    boards = pd.DataFrame({"equipment": ["B1", "B3", "B2"], "site": ["North", "North", "South"]})
    rows = survey(
        {"connection_id": "D", "equipment": "B2", "circuit": "F2", "connection_c": 40.0, "load_a": 80},
        {"connection_id": "A", "equipment": "B3", "connection_c": 50.0, "load_a": 80},
        {"connection_id": "B", "connection_c": 40.0, "load_a": 80},
        ambient_c=30.0,
        circuit=None,
    )
    found = assess(rows, connections=register, equipment=boards).loc[["A", "B", "D"]]
    assert found[["equipment", "circuit", "site"]].to_numpy().tolist() == [
        ["B3", "F9", "North"],
        ["B1", "F9", "North"],
        ["B2", "F2", "South"],
    ]
    found = found.loc[["A", "B"]]
    assert found["full_load_a"].tolist() == [100.0, 100.0]
    assert found["full_load_from"].tolist() == ["rated_a, register"] * 2


def test_a_sibling_read_at_another_load_too_makes_no_third_one_look_cold() -> None:
    """Read in what order is not known. B at 60 °C is 25 K over C at like load; A was read at 150 A beside that."""
    rows = [("A", 60.0, 300), ("B", 60.0, 280), ("C", 35.0, 300), ("A", 50.0, 300), ("B", 40.0, 300)]
    for more in ([], [("A", 40.0, 150)]):
        given = [
            {"connection_id": name, "phase": name, "connection_c": celsius, "load_a": load}
            for name, celsius, load in [*rows, *more]
        ]
        made = assess(survey(*given, circuit="F1", survey_id="S", ambient_c=30.0, rated_a=400))
        assert made.loc["B", "rise_similar_found_k"] == 25.0
        assert made.loc["B", "urgency"] == "now"
