"""Trends, effects of work, recall and what is due, by literal rows."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any

import pandas as pd
import pytest

from riskscope.analysis.assess import assess as assess_tables
from riskscope.analysis.years import effects as over_time
from riskscope.analysis.years.due import due
from riskscope.analysis.years.recall import out_of_tolerance, tightened_with
from riskscope.analysis.years.slopes import trends as find_trends
from riskscope.intake.read import read_frames
from riskscope.results.years import noted
from riskscope.settings import Settings
from riskscope.standards import severity
from riskscope.words.render import Units
from tests.build import phases

ON = dt.date(2026, 6, 1)
OPEN = "open finding; look again"
SETTINGS, CRITERIA = Settings(), severity.load()


def years(*hot: float, first: int = 2022, **common: Any) -> pd.DataFrame:
    """A survey a year, from 2022, of three phases at full load: A at these temperatures, B and C at 40."""
    return pd.concat(
        [
            phases(t, 40.0, 40.0, ambient_c=30.0, load_pct=100, **common).assign(survey_date=f"{first + n}-05-01")
            for n, t in enumerate(hot)
        ]
    )


def read(survey: pd.DataFrame, **tables: pd.DataFrame) -> Any:
    return read_frames(on=ON, survey=survey, **tables)


def readings(tables: Any) -> pd.DataFrame:
    return assess_tables(tables, on=ON, settings=SETTINGS, criteria=CRITERIA).readings


def trends(tables: Any, urgent: Sequence[str] = ()) -> pd.DataFrame:
    work = over_time.works(tables, ON)
    return find_trends(readings(tables), work, CRITERIA, SETTINGS, ON, urgent).set_index("connection_id")


def finding(day: str, as_found: str = "loose", action: str = "tightened", **more: Any) -> pd.DataFrame:
    return pd.DataFrame([{"connection_id": "A", "work_date": day, "as_found": as_found, "action": action, **more}])


def test_slope_and_the_day_of_the_next_band() -> None:
    """6, 8, 10, 12, 14 K over similar: 2 K a year, ± 1.96 · 0.61 / √10 by the readings; from 14 K to above 15 K."""
    row = trends(read(years(46.0, 48.0, 50.0, 52.0, 54.0, first=2021))).loc["A"]
    assert row["slope_k_per_year"] == pytest.approx(2.0, rel=0.01)
    assert (row["surveys"], row["next_band_k"], row["load_fraction"]) == (5, 15.0, 1.0)
    ends = [row[f"slope_{end}_k_per_year"] for end in ("low", "high")]
    assert [end - 2.0 for end in ends] == pytest.approx([-0.5, 0.5], abs=0.12)
    for name, slope in (("earliest", ends[1]), ("latest", ends[0])):
        wait = (row[f"next_band_{name}"] - pd.Timestamp("2025-05-01")).days / 365.25
        assert wait == pytest.approx(max(1.0 / slope, (ON - dt.date(2025, 5, 1)).days / 365.25), abs=0.02)


def test_two_surveys_give_a_change_with_its_interval_and_no_slope() -> None:
    """4 K and 6 K over similar, each ± 0.61 and 3 % of its load: 2 K more, ± 1.96 · √2 · 0.61 and a little."""
    row = trends(read(years(44.0, 46.0))).loc["A"]
    assert (row["surveys"], row["change_k"]) == (2, pytest.approx(2.0))
    assert row["change_low_k"] == pytest.approx(0.2, abs=0.15)
    assert pd.isna(row["slope_k_per_year"])
    assert pd.isna(trends(read(years(44.0))).loc["A", "change_k"])


@pytest.mark.parametrize(("hot", "slope"), [((44.0, 46.0, 48.0), False), ((44.0, 46.0, 48.0, 50.0), True)])
def test_a_slope_needs_four_surveys_and_a_date_five(hot: tuple[float, ...], slope: bool) -> None:
    row = trends(read(years(*hot))).loc["A"]
    assert pd.notna(row["slope_k_per_year"]) == slope
    assert row[["next_band_earliest", "next_band_latest"]].isna().all()


def test_a_date_is_told_only_while_it_rises_not_beyond_the_span_seen_and_never_for_what_is_urgent() -> None:
    rising = read(years(46.0, 48.0, 50.0, 52.0, 54.0, first=2021))
    assert trends(rising, urgent=["A"]).loc["A", ["next_band_earliest", "next_band_latest"]].isna().all()
    slow = trends(read(years(44.0, 44.3, 44.6, 44.9, 45.2, first=2021))).loc["A"]
    assert slow["slope_k_per_year"] == pytest.approx(0.3, abs=0.01)
    assert slow[["next_band_earliest", "next_band_latest"]].isna().all()
    falling = trends(read(years(54.0, 52.0, 50.0, 48.0, 46.0, first=2021))).loc["A"]
    assert pd.isna(falling["next_band_earliest"])


def loads(*of_a: tuple[float, dict[str, float]]) -> pd.DataFrame:
    """A at these rises over 30 °C air beside nothing, year by year, each at its load."""
    return pd.concat(
        [
            phases(30.0 + rise, ambient_c=30.0, **load).assign(survey_date=f"{2022 + n}-05-01")
            for n, (rise, load) in enumerate(of_a)
        ]
    )


def test_rises_are_told_at_the_current_of_the_latest_by_ampere() -> None:
    """20 K at 100 A, then 5 K at 50: 20 · 0.5^1.8 = 5.74, between 5 and 6.6; another full load changes nothing."""
    same = loads((20.0, {"load_a": 100.0, "max_load_a": 200.0}), (5.0, {"load_a": 50.0, "max_load_a": 60.0}))
    row = trends(read(same)).loc["A"]
    assert row["change_k"] == pytest.approx(5.0 - 20.0 * 0.5**1.8)
    assert row["change_low_k"] < 5.0 - 20.0 * 0.5**1.6 < 0 < row["change_high_k"]
    assert row["last_rise_k"] == 5.0


def test_a_reading_at_less_than_half_or_more_than_twice_the_current_is_left_out_and_counted() -> None:
    rows = loads((20.0, {"load_a": 100.0}), (2.0, {"load_a": 40.0}), (20.0, {"load_a": 90.0})).assign(rated_a=200.0)
    row = trends(read(rows)).loc["A"]
    assert (row["surveys"], row["left_out"]) == (2, 1)
    assert row["change_k"] == pytest.approx(20.0 - 20.0 * 0.9**1.8)


@pytest.mark.parametrize("loads_pct", [(41.0, 39.0), (39.0, 41.0)])
def test_a_load_that_crosses_40_percent_alone_is_no_change(loads_pct: tuple[float, float]) -> None:
    """24 K at 40 % by the square law on either side of it."""
    rows = loads(*((24.0 * (pct / 40.0) ** 2, {"load_pct": pct}) for pct in loads_pct))
    row = trends(read(rows)).loc["A"]
    assert row["change_low_k"] < 0 < row["change_high_k"]
    assert abs(row["change_k"]) < 0.3


def test_work_begins_a_new_series() -> None:
    tables = read(years(44.0, 48.0, 52.0, 42.0, 43.0), findings=finding("2024-10-01"))
    row = trends(tables).loc["A"]
    assert (row["surveys"], row["first_date"]) == (2, pd.Timestamp("2025-05-01"))
    assert row["since"] == pd.Timestamp("2024-10-01")
    assert trends(tables).loc["B", "surveys"] == 5


@pytest.mark.parametrize(
    ("after", "effect"), [(40.2, "cured"), (44.5, "improved"), (52.0, "not cured"), (None, "not re-surveyed")]
)
def test_what_work_has_done(after: float | None, effect: str) -> None:
    """12 K over similar before: severity 2. After: 0.2 K, 4.5 K (still 2), 12 K, or nothing read."""
    hot = [52.0] if after is None else [52.0, after]
    tables = read(years(*hot), findings=finding("2022-10-01"))
    effects = over_time.work_effects(readings(tables), over_time.works(tables, ON), SETTINGS)
    [row] = effects.to_dict("records")
    assert (row["connection_id"], row["before_severity"], row["effect"]) == ("A", 2, effect)


@pytest.mark.parametrize(("action", "effect"), [("tightened", "not re-surveyed"), ("remade", "cured")])
def test_what_is_over_its_limit_is_cured_by_a_remake_alone(action: str, effect: str) -> None:
    tables = read(years(95.0, 40.2), findings=finding("2022-10-01", "loose", action))
    effects = over_time.work_effects(readings(tables), over_time.works(tables, ON), SETTINGS)
    assert effects["effect"].tolist() == [effect]


def test_a_reading_after_the_next_work_speaks_of_that_work() -> None:
    findings = pd.concat([finding("2022-10-01"), finding("2022-12-01", action="remade")])
    tables = read(years(52.0, 40.0), findings=findings)
    effects = over_time.work_effects(readings(tables), over_time.works(tables, ON), SETTINGS)
    assert effects["effect"].tolist() == ["not re-surveyed", "cured"]


def test_work_on_a_healthy_joint_is_not_listed() -> None:
    tables = read(years(40.0, 40.0), findings=finding("2022-10-01"))
    assert over_time.work_effects(readings(tables), over_time.works(tables, ON), SETTINGS).empty


INSTALLS = pd.DataFrame(
    [
        {"connection_id": "A", "work_date": "2024-03-01", "applied_torque": 20, "torque_unit": "N·m", "tool_id": "T5"},
        {"connection_id": "B", "work_date": "2024-09-01", "applied_torque": 20, "torque_unit": "N·m", "tool_id": "t5"},
        {"connection_id": "C", "work_date": "2025-04-01", "applied_torque": 20, "torque_unit": "N·m", "tool_id": "T5"},
        {"connection_id": "A", "work_date": "2024-08-01", "applied_torque": 20, "torque_unit": "N·m", "tool_id": "T5"},
        {"connection_id": "A", "work_date": "2025-08-01", "applied_torque": 20, "torque_unit": "N·m", "tool_id": "T6"},
    ]
)
TOOLS = pd.DataFrame(
    [
        {"tool_id": "T5", "calibrated_on": "2024-03-01"},
        {"tool_id": "T5", "calibrated_on": "2025-03-10", "found_out_of_tolerance_on": "2025-03-10"},
    ]
)


def test_recall_is_what_was_tightened_after_the_last_good_date_worst_first() -> None:
    tables = read(years(52.0), installs=INSTALLS, tools=TOOLS)
    [(tool, good, bad)] = out_of_tolerance(tables)
    assert (tool, good, bad) == ("T5", dt.date(2024, 3, 1), dt.date(2025, 3, 10))
    found = assess_tables(tables, on=ON).connections
    listed = tightened_with(found, tables, tool, good, bad)
    assert listed["connection_id"].tolist() == ["A", "B"]
    assert listed["work_date"].dt.strftime("%Y-%m-%d").tolist() == ["2024-08-01", "2024-09-01"]
    assert listed["reworked"].tolist() == [True, False]


def due_rows(survey: pd.DataFrame, **tables: pd.DataFrame) -> dict[str, str]:
    given = read(survey, **tables)
    frame = due(assess_tables(given, on=ON).connections, given, SETTINGS, ON)
    return dict(zip(frame["connection_id"], frame["due"], strict=True))


RECENT = phases(40.0, 40.0, 40.0, ambient_c=30.0, load_pct=80, equipment="B1").assign(survey_date="2025-11-01")


def test_read_within_its_interval_is_not_due() -> None:
    assert due_rows(RECENT) == {}


def test_never_surveyed_unless_its_board_was_seen_whole() -> None:
    register = pd.DataFrame({"connection_id": ["Z", "Y"], "equipment": ["B1", "B2"]})
    seen = pd.DataFrame({"equipment": ["B1"], "survey_date": ["2026-05-01"], "result": ["all seen"]})
    assert due_rows(RECENT, connections=register) == {"Z": "never surveyed", "Y": "never surveyed"}
    assert due_rows(RECENT, connections=register, inspections=seen) == {"Y": "never surveyed"}


@pytest.mark.parametrize(("condition", "due_"), [(1, {}), (3, dict.fromkeys("ABC", "past its interval"))])
def test_poor_equipment_is_due_after_six_months(condition: int, due_: dict[str, str]) -> None:
    """Read on 1 November 2025; on 1 June 2026 seven months have passed."""
    equipment = pd.DataFrame({"equipment": ["B1"], "equipment_condition": [condition]})
    assert due_rows(RECENT, equipment=equipment) == due_


def test_a_deferral_hides_no_open_finding_and_is_said_first_when_it_has_run_out() -> None:
    hot = phases(70.0, 40.0, 40.0, ambient_c=30.0, load_pct=80).assign(survey_date="2026-05-01")

    def deferred(until: str) -> pd.DataFrame:
        return finding("2026-05-10", "not checked", "none", deferred_by="P. Lowe", deferred_until=until)

    assert due_rows(hot) == {"A": OPEN}
    assert due_rows(hot, findings=deferred("2026-09-01")) == {"A": OPEN}
    assert due_rows(hot, findings=deferred("2026-05-20")) == {"A": "deferral run out; " + OPEN}
    complete = deferred("2026-09-01").assign(comment="no part")
    assert due_rows(hot, findings=complete) == {"A": OPEN + "; put off"}
    assert due_of(hot, findings=deferred("2026-09-01")).loc["A", "days_left"] != 92  # not put off without a reason
    assert due_of(hot, findings=complete).loc["A", "days_left"] == 92
    assert due_rows(hot, findings=deferred("2026-09-01").assign(comment="n/a")) == {"A": OPEN}


def test_what_is_put_off_or_told_stands_in_due_though_nothing_else_is_due() -> None:
    """A at 8 K over its siblings at 80 %: a 2, which is due by nothing but what was decided."""
    rows = {"connection_id": "A", "decided_on": "2026-05-20", "deferred_by": "P. Lowe"}
    put_off = pd.DataFrame([{**rows, "until": "2026-06-11", "reason": "no part"}])
    told = pd.DataFrame([{"connection_id": "A", "told_on": "2026-05-21", "told": "R. Fenwick", "by": "P. Lowe"}])
    warm = phases(48.0, 40.0, 40.0, ambient_c=30.0, load_pct=80).assign(survey_date="2026-05-01")
    assert due_rows(warm) == {}
    given = read(warm, deferrals=put_off, notices=told)
    (row,) = due(assess_tables(given, on=ON).connections, given, SETTINGS, ON).to_dict("records")
    assert (row["due"], row["days_left"], row["deferral_reason"], row["told"]) == (
        "put off",
        10,
        "no part",
        "R. Fenwick",
    )


def test_route_order_and_age() -> None:
    hot = phases(70.0, 40.0, 40.0, ambient_c=30.0, load_pct=80, equipment="B2").assign(survey_date="2026-05-01")
    other = hot.assign(equipment="B1", connection_id=["D", "E", "F"])
    given = read(pd.concat([hot, other]))
    frame = due(assess_tables(given, on=ON).connections, given, SETTINGS, ON)
    assert frame["connection_id"].tolist() == ["D", "A"]
    assert frame["age_days"].tolist() == [31, 31]


def survey_on(*days: str, hot: tuple[float, ...], **common: Any) -> pd.DataFrame:
    return pd.concat(
        [
            phases(t, 40.0, 40.0, ambient_c=30.0, load_pct=100, **common).assign(survey_date=day)
            for t, day in zip(hot, days, strict=True)
        ]
    )


def test_one_piece_of_work_a_day_and_the_larger_counts() -> None:
    findings = pd.concat(
        [
            finding("2025-10-01", action="replaced"),
            finding("2025-10-01", action="none"),
            finding("2026-06-01"),
            finding("2025-12-01", action="remade"),
        ]
    )
    installs = pd.DataFrame({"connection_id": ["A", "A"], "work_date": ["2025-10-01", "2025-12-01"]})
    found = over_time.works(read(years(44.0), findings=findings, installs=installs), ON)
    assert found.assign(work_date=found["work_date"].dt.strftime("%Y-%m-%d")).to_numpy().tolist() == [
        ["A", "2025-10-01", "replaced"],
        ["A", "2025-12-01", "remade"],
        ["A", "2026-06-01", "tightened"],
    ]


def test_work_counts_from_its_own_day_on() -> None:
    tables = read(years(44.0), findings=finding("2026-05-20"))
    assert len(over_time.works(tables, dt.date(2026, 5, 20))) == 1
    assert len(over_time.works(tables, dt.date(2026, 5, 19))) == 0


def test_a_reading_on_the_day_of_work_belongs_to_what_came_after() -> None:
    row = trends(read(years(44.0, 46.0, 42.0, 43.0), findings=finding("2024-05-01"))).loc["A"]
    assert (row["surveys"], row["first_date"]) == (2, pd.Timestamp("2024-05-01"))


def test_the_rise_over_the_air_where_a_reading_has_no_other() -> None:
    """14, 16, 18 K over the air; in one year B and C were not read."""
    readings = years(44.0, 46.0, 48.0)
    lone = readings[(readings["survey_date"] != "2023-05-01") | (readings["connection_id"] == "A")]
    row = trends(read(lone)).loc["A"]
    assert (row["basis"], row["last_rise_k"], row["next_band_k"]) == ("ambient", 18.0, 20.0)
    assert trends(read(readings)).loc["A", "basis"] == "similar"


@pytest.mark.parametrize(
    ("last", "band"), [(50.0, 15.0), (54.9, 15.0), (55.0, None), (43.0, 15.0), (42.9, 3.0), (40.5, 1.0)]
)
def test_the_next_band_above_a_rise(last: float, band: float | None) -> None:
    """Bands over similar begin above 0 (1 K), 3 and 15 K; a rise at an edge looks to the band after it."""
    row = trends(read(years(last, last, last))).loc["A"]
    assert row["next_band_k"] == band or (band is None and pd.isna(row["next_band_k"]))


def test_a_falling_or_a_hardly_rising_trend_reaches_nothing() -> None:
    falling, flat = (trends(read(years(50.0, 48.0, 46.0))).loc["A"], trends(read(years(46.0, 46.02, 46.04))).loc["A"])
    assert pd.isna(falling["next_band_earliest"])
    assert pd.isna(flat["next_band_latest"]), "9 K at 0.02 K a year is more than a hundred years"


def test_what_should_have_been_reached_is_reached_today() -> None:
    """2.5 K a year; 14 K on 1 May 2024 would have been 15 K in September 2024."""
    row = trends(read(years(44.0, 46.5, 49.0, 51.5, 54.0, first=2020))).loc["A"]
    assert row["next_band_earliest"] == pd.Timestamp(ON)


def test_a_reading_without_load_is_no_part_of_a_trend() -> None:
    readings = years(44.0, 46.0, 48.0, 50.0)
    readings.loc[readings["survey_date"] == "2024-05-01", "load_pct"] = 0
    assert trends(read(readings)).loc["A", "surveys"] == 3


@pytest.mark.parametrize(("before", "listed"), [(43.0, 0), (43.1, 1)], ids=["3 K, 1", "3.1 K, 2"])
def test_effects_are_of_work_on_what_was_rated_2(before: float, listed: int) -> None:
    tables = read(years(before, 40.0), findings=finding("2022-10-01"))
    assert len(over_time.work_effects(readings(tables), over_time.works(tables, ON), SETTINGS)) == listed


@pytest.mark.parametrize(
    ("day", "effect"),
    [("2022-05-01", "none listed"), ("2023-05-01", "not re-surveyed"), ("2023-04-30", "cured")],
    ids=["on the day of the reading before", "on the day of the reading after", "between"],
)
def test_a_reading_on_the_day_of_the_work_speaks_for_neither_side(day: str, effect: str) -> None:
    tables = read(years(52.0, 40.0), findings=finding(day))
    effects = over_time.work_effects(readings(tables), over_time.works(tables, ON), SETTINGS)
    assert effects["effect"].tolist() == ([] if effect == "none listed" else [effect])


@pytest.mark.parametrize(
    ("after", "effect"), [(50.0, "not cured"), (49.8, "improved"), (43.0, "cured"), (43.1, "improved")]
)
def test_improved_by_more_than_the_uncertainty_of_both(after: float, effect: str) -> None:
    """12 K before, from 10.80 to 13.85; 10 K after, from 8.80 to 11.68: half of each, 1.53 and 1.44: 2.10."""
    tables = read(years(52.0, after), findings=finding("2022-10-01"))
    effects = over_time.work_effects(readings(tables), over_time.works(tables, ON), SETTINGS)
    row = effects.iloc[0]
    if after == 43.0:  # 3 K is 1, but (13 + 1) / (10 + 1) is no hot joint: cured
        assert row["after_severity"] == 1
    assert row["effect"] == effect


def test_bands_now_and_at_the_reading_before() -> None:
    """Three readings of A: 4 first, then 2, then 1. B and C stay 0. D was read once."""
    survey = pd.concat(
        [years(60.0, 50.0, 42.0), years(60.0).assign(connection_id=["D", "E", "F"], circuit="F2").head(1)]
    )
    found = over_time.bands_before(readings(read(survey))).set_index("severity")
    assert found["now"].to_dict() == {"4": 0, "3": 0, "2": 0, "1": 1, "0": 2, "not rated": 0}
    assert found["before"].to_dict() == {"4": 0, "3": 0, "2": 1, "1": 0, "0": 2, "not rated": 0}


def test_not_rated_is_counted_apart_from_0() -> None:
    survey = years(60.0, 50.0)
    survey.loc[(survey["survey_date"] == "2023-05-01") & (survey["connection_id"] == "A"), "load_pct"] = 0
    found = over_time.bands_before(readings(read(survey))).set_index("severity")
    assert (found.loc["not rated", "now"], found.loc["4", "before"]) == (1, 1)


@pytest.mark.parametrize(
    ("good", "until", "ids"),
    [
        (dt.date(2024, 3, 1), dt.date(2024, 9, 1), ["A", "B"]),
        (dt.date(2024, 3, 1), dt.date(2024, 8, 31), ["A"]),
        (dt.date(2024, 2, 29), dt.date(2024, 9, 1), ["A", "A", "B"]),
        (None, dt.date(2026, 1, 1), ["C", "A", "A", "B"]),
    ],
    ids=["after its good day to the last", "to the day before", "its good day not included", "no good day known"],
)
def test_recall_of_a_tool(good: dt.date | None, until: dt.date, ids: list[str]) -> None:
    """C is rated 2, A and B 0: the worst first."""
    tables = read(phases(40.0, 40.0, 52.0, ambient_c=30.0, load_pct=100), installs=INSTALLS, tools=TOOLS)
    listed = tightened_with(assess_tables(tables, on=ON).connections, tables, "t5", good, until)
    assert listed["connection_id"].tolist() == ids
    assert listed["severity"].tolist() == [2.0 if name == "C" else 0.0 for name in ids]


def test_recall_lists_what_was_left_at_a_torque_and_the_not_rated_last() -> None:
    findings = pd.DataFrame(
        [
            {
                "connection_id": name,
                "work_date": "2024-06-01",
                "as_found": "loose",
                "action": "tightened",
                "as_left_torque": 18,
                "torque_unit": "N·m",
                "tool_id": "T5",
            }
            for name in ("Z", "B", "A")
        ]
    )
    tables = read(years(52.0), findings=findings)
    listed = tightened_with(assess_tables(tables, on=ON).connections, tables, "T5", None, ON)
    assert listed["connection_id"].tolist() == ["A", "B", "Z"]
    assert listed["applied_nm"].tolist() == [18.0] * 3


def hot_joint(**common: Any) -> pd.DataFrame:
    return phases(70.0, 40.0, 40.0, ambient_c=30.0, load_pct=80, **common).assign(survey_date="2026-05-01")


@pytest.mark.parametrize(
    ("until", "due_"), [("2026-06-01", {"A": OPEN}), ("2026-05-31", {"A": "deferral run out; " + OPEN})]
)
def test_a_deferral_holds_through_its_last_day(until: str, due_: dict[str, str]) -> None:
    put_off = finding("2026-05-10", "not checked", "none", deferred_by="P. Lowe", deferred_until=until)
    assert due_rows(hot_joint(), findings=put_off) == due_


def test_the_last_deferral_counts_and_work_since_ends_it() -> None:
    both = pd.concat(
        [
            finding("2026-05-10", "not checked", "none", deferred_by="P. Lowe", deferred_until=until).assign(
                work_date=day
            )
            for day, until in (("2026-05-12", "2026-09-01"), ("2026-05-10", "2026-05-15"))
        ]
    )
    assert due_rows(hot_joint(), findings=both) == {"A": OPEN}
    worked = pd.concat([both.assign(deferred_until="2026-05-25"), finding("2026-05-20")])
    assert due_rows(hot_joint(), findings=worked) == {"A": OPEN + "; survey again"}, "worked on without a torque"


@pytest.mark.parametrize(("temperature", "due_"), [(48.0, {}), (54.0, {"A": OPEN})], ids=["2", "3 or 4"])
def test_an_open_finding_is_of_severity_3_or_4(temperature: float, due_: dict[str, str]) -> None:
    """8 K at 90 % is 9.9 K at full load: 2. 14 K is 17.3 K, not for sure above 15 K: 3."""
    rows = phases(temperature, 40.0, 40.0, ambient_c=30.0, load_pct=90).assign(survey_date="2026-05-01")
    assert due_rows(rows) == due_


def test_an_urgent_finding_makes_its_whole_board_poor() -> None:
    """Read seven months ago: within 12 months, past the 6 of a board that has a joint to be dealt with now."""
    urgent = hot_joint(equipment="B1").assign(connection_id=["U", "V", "W"], circuit="F2")
    assert due_rows(pd.concat([RECENT, urgent])) == {**dict.fromkeys("ABC", "past its interval"), "U": OPEN}
    elsewhere = urgent.assign(equipment="B2")
    assert due_rows(pd.concat([RECENT, elsewhere])) == {"U": OPEN}


@pytest.mark.parametrize(
    ("day", "due_"),
    [("2026-06-01", {"Y": "never surveyed"}), ("2026-06-02", {"Z": "never surveyed", "Y": "never surveyed"})],
)
def test_a_board_is_seen_from_its_own_day_on(day: str, due_: dict[str, str]) -> None:
    register = pd.DataFrame({"connection_id": ["Z", "Y"], "equipment": ["B1", "B2"]})
    seen = pd.DataFrame(
        {"equipment": ["B1", "B1"], "survey_date": [day, "2026-06-01"], "result": ["all seen", "not accessible"]}
    )
    given = read_frames(on=dt.date(2026, 6, 2), survey=RECENT, connections=register, inspections=seen)
    frame = due(assess_tables(given, on=ON).connections, given, SETTINGS, ON)
    assert dict(zip(frame["connection_id"], frame["due"], strict=True)) == due_


def test_the_latest_look_at_a_board_counts() -> None:
    seen = pd.DataFrame(
        {"equipment": ["B1", "B1"], "survey_date": ["2026-05-01", "2024-05-01"], "result": ["all seen"] * 2}
    )
    old = RECENT.assign(survey_date="2024-11-01")
    assert due_rows(old, inspections=seen) == {}


def test_a_joint_still_hotter_than_its_siblings_is_not_cured() -> None:
    """3 K after the work is 1, but (8 + 1) / (5 + 1) = 1.5 and a low end of 1.8 K: one joint hot still."""
    after = phases(38.0, 35.0, 35.0, ambient_c=30.0, load_pct=100).assign(survey_date="2023-05-01")
    tables = read(pd.concat([years(55.0), after]), findings=finding("2022-10-01"))
    effects = over_time.work_effects(readings(tables), over_time.works(tables, ON), SETTINGS)
    assert effects[["after_severity", "effect"]].to_numpy().tolist() == [[1, "improved"]]


def test_a_closed_cover_is_no_part_of_a_trend() -> None:
    survey = years(44.0, 46.0, 48.0, 50.0).assign(cover="open")
    survey.loc[survey["survey_date"] == "2024-05-01", "cover"] = "closed"
    assert trends(read(survey)).loc["A", "surveys"] == 3


def due_of(readings: pd.DataFrame, **tables: pd.DataFrame) -> pd.DataFrame:
    given = read(readings, **tables)
    return due(assess_tables(given, on=ON).connections, given, SETTINGS, ON).set_index("connection_id")


def test_what_must_not_wait_is_due_first_then_in_route_order() -> None:
    urgent = hot_joint(equipment="B9").assign(connection_id=["Z", "Y", "X"], circuit="F9")
    register = pd.DataFrame({"connection_id": ["M"], "equipment": ["B1"]})
    assert due_of(pd.concat([RECENT.assign(survey_date="2025-01-01"), urgent]), connections=register).index[
        :2
    ].tolist() == ["Z", "A"]


def test_what_is_soon_is_due_before_what_is_past_its_interval() -> None:
    """Z was cooled without work: soon. The others were read 17 months ago, on a board that comes before its."""
    cooled = survey_on("2026-04-01", "2026-05-30", hot=(80.0, 41.0), equipment="B9", circuit="F9")
    cooled["connection_id"] = cooled["connection_id"].map({"A": "Z", "B": "Y", "C": "X"})
    made = due_of(pd.concat([RECENT.assign(survey_date="2025-01-01"), cooled]))
    assert (made.loc["Z", "urgency"], made.loc["A", "due"]) == ("soon", "past its interval")
    assert made.index.tolist().index("Z") < made.index.tolist().index("A")


def test_an_open_finding_is_as_old_as_its_first_reading_and_due_from_then() -> None:
    """Hot on 1 March and on 1 May: 92 days, not 31. Must not wait: due from the day it was found."""
    twice = survey_on("2026-03-01", "2026-05-01", hot=(80.0, 80.0))
    row = due_of(twice).loc["A"]
    assert (row["age_days"], row["due_on"]) == (92, pd.Timestamp("2026-03-01"))


def test_what_was_seen_is_as_old_as_the_look_that_found_it() -> None:
    """Cool on 1 May, found loose on 20 May and left: soon, open for 12 days, due 30 days after it was found."""
    cool = survey_on("2026-05-01", hot=(40.5,))
    row = due_of(cool, findings=finding("2026-05-20", "loose", "none")).loc["A"]
    assert (row["due"], row["age_days"], row["due_on"]) == (OPEN, 12, pd.Timestamp("2026-06-19"))
    damaged = due_of(cool, findings=finding("2026-05-20", "damaged", "none")).loc["A"]
    assert (damaged["urgency"], damaged["age_days"], damaged["due_on"]) == ("now", 12, pd.Timestamp("2026-05-20"))


def test_a_doubtful_repair_makes_a_finding_no_younger() -> None:
    cool = survey_on("2026-05-01", hot=(40.5,))
    looks = pd.concat([finding("2026-05-20", "damaged", "none"), finding("2026-05-25", "damaged", "remade")])
    row = due_of(cool, findings=looks).loc["A"]
    assert (row["urgency"], row["age_days"], row["due_on"]) == ("now", 12, pd.Timestamp("2026-05-20"))


def test_looseness_is_no_younger_by_work_that_is_in_doubt() -> None:
    """Found loose and tightened to a torque of which nobody knows what was required; read cool since, and before."""
    tightened = finding("2026-05-04", "loose", "tightened", as_left_torque=31, torque_unit="N·m", tool_id="T6")
    given = read(survey_on("2026-03-01", "2026-05-30", hot=(40.5, 40.5)), findings=tightened)
    made = assess_tables(given, on=ON)
    row = due(made.connections, given, SETTINGS, ON).set_index("connection_id").loc["A"]
    assert (row["urgency"], row["work_state"], row["age_days"]) == ("soon", "open", 28)
    assert row["due_on"] == pd.Timestamp("2026-06-03")
    state = made.connections.set_index("connection_id").loc["A"]
    assert state["work_state_since"] == pd.Timestamp("2026-05-04")


def test_a_lock_of_before_the_last_reading_is_asked_about() -> None:
    notice = {"connection_id": ["A"], "told_on": ["2026-04-20"], "told": ["R"], "by": ["P"]}
    locked = pd.DataFrame(notice | {"made_safe": ["switched off and locked"]})
    given = read(survey_on("2026-05-01", hot=(80.0,)), notices=locked)
    made = assess_tables(given, on=ON)
    row = due(made.connections, given, SETTINGS, ON).set_index("connection_id").loc["A"]
    assert row["made_safe"] == "switched off and locked earlier and not lifted on record: say whether it still is"
    assert noted(made, Units())["connection_id"].tolist() == ["A"]


@pytest.mark.parametrize(
    ("load", "effect"), [(50, "cured"), (40, "not re-surveyed"), (39, "not re-surveyed")], ids=["half", "less", "39 %"]
)
def test_only_a_reading_that_could_prove_it_cures(load: int, effect: str) -> None:
    """Hot at 100 %: half of that is 50 %."""
    hot, cool = survey_on("2026-03-01", hot=(80.0,)), survey_on("2026-05-01", hot=(40.0,)).assign(load_pct=load)
    tables = read(pd.concat([hot, cool]), findings=finding("2026-04-01", "damaged", "remade"))
    (row,) = over_time.work_effects(readings(tables), over_time.works(tables, ON), SETTINGS).to_dict("records")
    assert row["effect"] == effect


def test_a_later_fit_reading_says_what_an_unfit_one_does_not() -> None:
    days, loads = ("2025-03-01", "2025-10-01", "2026-05-20"), (100, 20, 80)
    parts = [
        survey_on(day, hot=(t,)).assign(load_pct=load)
        for day, t, load in zip(days, (80.0, 32.0, 40.0), loads, strict=True)
    ]
    tables = read(pd.concat(parts), findings=finding("2025-04-01", "damaged", "remade"))
    (row,) = over_time.work_effects(readings(tables), over_time.works(tables, ON), SETTINGS).to_dict("records")
    assert (row["effect"], row["after_date"]) == ("cured", pd.Timestamp("2026-05-20"))


@pytest.mark.parametrize(("load", "listed"), [(30, 1), (49, 1), (50, 0), (100, 0)])
def test_a_reading_before_the_work_that_is_not_fit_takes_nothing_back(load: int, listed: int) -> None:
    """Hot at 100 %, cool at this load, then remade and hot again: as far as the cool one proves nothing, not cured."""
    parts = [
        survey_on(day, hot=(t,)).assign(load_pct=of)
        for day, t, of in (("2025-03-01", 80.0, 100), ("2025-10-01", 40.0, load), ("2026-05-20", 80.0, 100))
    ]
    done = pd.concat([finding("2026-03-15").assign(connection_id="B"), finding("2026-04-01")])
    tables = read(pd.concat(parts), findings=done)
    effects = over_time.work_effects(readings(tables), over_time.works(tables, ON), SETTINGS)
    assert effects["effect"].tolist() == ["not cured"] * listed
    assert effects["before_date"].tolist() == [pd.Timestamp("2025-03-01")] * listed


def test_last_seen_is_the_last_look_though_it_takes_nothing_back() -> None:
    again = survey_on("2026-05-20", hot=(31.0,)).assign(load_pct=10)
    row = due_of(pd.concat([survey_on("2026-03-01", hot=(80.0,)), again])).loc["A"]
    assert (row["urgency"], row["last_seen"]) == ("now", pd.Timestamp("2026-05-20"))


@pytest.mark.parametrize(("found", "due_"), [("damaged", OPEN), ("loose", "open finding")], ids=["now", "soon"])
def test_what_was_seen_on_a_cool_joint_is_looked_at_again_by_its_urgency(found: str, due_: str) -> None:
    """Read 12 days ago: past 7 days, not past 30."""
    row = due_of(survey_on("2026-05-20", hot=(40.5,)), findings=finding("2026-05-25", found, "none")).loc["A"]
    assert row["due"] == due_


def test_when_a_joint_that_was_made_safe_is_read_is_for_who_made_it_safe() -> None:
    """A was remade right and locked: no day is set for its proof, and none is overdue."""
    work = finding("2026-05-10", "loose", "remade").assign(as_left_torque=25.0, torque_unit="N·m", tool_id="T1")
    tools = pd.DataFrame([{"tool_id": "T1", "range_min": 5, "range_max": 50, "torque_unit": "N·m"}])
    record = {"connection_id": "A", "work_date": "2026-02-01", "required_torque": 25.0, "applied_torque": 10.0}
    given = {
        "findings": work,
        "tools": tools.assign(calibrated_on="2026-01-10"),
        "installs": pd.DataFrame([record | {"torque_unit": "N·m", "tool_id": "T1"}]),
    }
    notice = {"connection_id": "A", "told_on": "2026-05-12", "told": "R", "by": "P"}
    locked = pd.DataFrame([notice | {"made_safe": "switched off and locked"}])
    hot = survey_on("2026-05-01", hot=(80.0,))
    open_, safe = due_of(hot, **given).loc["A"], due_of(hot, **given, notices=locked).loc["A"]
    assert ("proof overdue" in open_["due"], open_["due_on"]) == (True, pd.Timestamp("2026-05-17"))
    assert ("proof overdue" in safe["due"], pd.isna(safe["due_on"])) == (False, True)


OTHER = {"survey_id": "X", "survey_time": "10:00"}


@pytest.mark.parametrize(
    ("after", "effect"),
    [
        ([{"connection_c": 34.0}], "cured"),
        ([{"connection_c": 34.0, **OTHER}, {"connection_c": 62.0}], "not cured"),
        ([{"connection_c": 34.0, **OTHER}, {"connection_c": 62.0, "survey_time": "09:00"}], "not cured"),
        ([{"connection_c": 34.0}, {"connection_c": "OL"}], "not re-surveyed"),
        ([{"connection_c": 26.0}], "not re-surveyed"),
    ],
    ids=[
        "cool",
        "hot on the same day, at a time nobody knows",
        "hot earlier that day",
        "off the scale too",
        "below air",
    ],
)
def test_what_proves_nothing_cures_nothing(after: list[dict[str, Any]], effect: str) -> None:
    """62 °C beside 35 in 30 °C air at 80 %, tightened on 12 May, read on 20 May."""
    head = {"equipment": "P", "circuit": "F1", "ambient_c": 30.0, "load_pct": 80}
    before = [
        {"connection_id": name, "survey_date": "2026-05-04", "connection_c": c} for name, c in (("A", 62), ("B", 35))
    ]
    later = [{"connection_id": "A", "survey_date": "2026-05-20", **row} for row in after]
    beside = {"connection_id": "B", "survey_date": "2026-05-20", "connection_c": 35.0}
    rows = pd.DataFrame([{**head, "phase": row["connection_id"], **row} for row in (*before, *later, beside)])
    made = read(rows.astype({"connection_c": "str"}), findings=finding("2026-05-12"))
    effects = over_time.work_effects(readings(made), over_time.works(made, ON), SETTINGS)
    assert effects["effect"].tolist() == [effect]


def test_beside_siblings_that_grow_hot_a_trend_is_over_the_air() -> None:
    """A 20 to 45 K over the air with B and C; and B alone at 10 K beside A that grows hot: no fall of 25 K."""
    together = pd.concat(
        [
            phases(t, t, t, ambient_c=30.0, load_pct=50).assign(survey_date=f"{2024 + n}-05-01")
            for n, t in enumerate((50.0, 75.0))
        ]
    )
    assert trends(read(together)).loc["A", ["basis", "change_k"]].tolist() == ["ambient", pytest.approx(25.0)]
    one_hot = trends(read(years(45.0, 70.0).query("phase != 'C'"))).loc["B"]
    assert (one_hot["basis"], one_hot["change_k"]) == ("ambient", pytest.approx(0.0))
