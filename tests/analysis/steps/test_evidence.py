"""What the surveys say of each joint: who is a member of which set, which surveys count, and when nobody can tell.

The formula itself is held in tests/physics/test_evidence.py.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pandas as pd
import pytest

from riskscope.physics.evidence import Assumed, Read, log_odds, of_known_air
from riskscope.settings import Settings
from tests.build import assess, good_record, phases, survey

EVEN = {"ambient_c": 30.0, "load_pct": 60.0}


def factors(rises: list[float], loads: list[float], priors: list[float], u_loads: list[float] | None = None) -> Any:
    """Logarithms of the factors of one set, by the physics alone."""
    rise, load, prior = (np.array(values)[:, np.newaxis] for values in (rises, loads, priors))
    u_load = np.full(rise.shape, 0.03) if u_loads is None else np.array(u_loads)[:, np.newaxis]
    read = Read(rise, np.full(rise.shape, math.sqrt(0.5**2 / 2 + 0.25**2)), load, u_load)
    odds = log_odds(read, prior, of_known_air((1.6, 2.0), 1.0), Assumed())
    return (odds - np.log(prior / (1 - prior)))[:, 0]


def test_all_siblings_speak_at_once_each_by_its_own_record() -> None:
    """A 30 K unrecorded, B and C 12 and 13 K verified (0.03)."""
    found = assess(phases(60.0, 42.0, 43.0, **EVEN), **good_record("B", "C"))
    assert found["evidence"].to_numpy() == pytest.approx(factors([30.0, 12.0, 13.0], [0.6] * 3, [0.3, 0.03, 0.03]))
    odds = 0.3 / 0.7 * math.exp(found.loc["A", "evidence"])
    assert found.loc["A", "likelihood_loose"] == pytest.approx(odds / (1 + odds))


@pytest.mark.parametrize("flag", [{"cover": "closed"}, {"load_steady_min": 5.0}, {"wind_ms": 4.0, "place": "outdoor"}])
def test_an_unfit_reading_says_nothing_of_itself_and_nothing_of_others(flag: dict[str, object]) -> None:
    readings = phases(60.0, 42.0, 43.0, **EVEN)
    for name, value in flag.items():
        readings[name] = pd.Series([value, None, None], dtype=object)
    found = assess(readings)
    assert math.isnan(found.loc["A", "evidence"])
    assert found["evidence"].to_numpy()[1:] == pytest.approx(factors([12.0, 13.0], [0.6] * 2, [0.3] * 2))


def test_behind_one_window_siblings_speak_among_themselves_but_not_of_their_level() -> None:
    behind = assess(phases(60.0, 42.0, 43.0, cover="window", **EVEN))
    open_ = assess(phases(60.0, 42.0, 43.0, **EVEN))
    assert behind.loc["A", "evidence"] > 2
    assert behind.loc["B", "evidence"] < 0
    assert behind.loc["A", "evidence"] != pytest.approx(open_.loc["A", "evidence"])


def test_of_one_behind_a_window_beside_two_that_are_not_nothing_is_known() -> None:
    readings = phases(60.0, 42.0, 43.0, **EVEN).assign(cover=["window", "open", "open"])
    assert math.isnan(assess(readings).loc["A", "evidence"])


def test_of_unequal_surfaces_one_factor_is_not_that_of_all() -> None:
    """Emissivity 0.5 of all is one factor; of one 0.4 it is not."""
    same = phases(60.0, 42.0, 43.0, emissivity=0.5, camera_emissivity=0.95, reflected_c=30.0, **EVEN)
    assert assess(same)["evidence"].notna().all()
    assert assess(same.assign(emissivity=[0.4, 0.5, 0.5]))["evidence"].isna().all()


def test_an_unknown_load_is_that_of_the_siblings_and_less_sure() -> None:
    """p = 0.6 by the others, u(p)/p 0.25 in place of 0.03."""
    readings = phases(60.0, 42.0, 43.0, ambient_c=30.0).assign(load_pct=[np.nan, 60.0, 60.0])
    expected = factors([30.0, 12.0, 13.0], [0.6] * 3, [0.3] * 3, [0.25, 0.03, 0.03])
    assert assess(readings)["evidence"].to_numpy() == pytest.approx(expected)
    nothing = assess(phases(60.0, 42.0, 43.0, ambient_c=30.0))
    assert nothing["evidence"].to_numpy() == pytest.approx(
        factors([30.0, 12.0, 13.0], [1.0] * 3, [0.3] * 3, [0.25] * 3)
    )


def test_the_air_of_a_sibling_is_that_of_one_without() -> None:
    readings = phases(60.0, 42.0, 43.0, load_pct=60.0).assign(ambient_c=[np.nan, 30.0, 30.0])
    assert assess(readings)["evidence"].to_numpy() == pytest.approx(factors([30.0, 12.0, 13.0], [0.6] * 3, [0.3] * 3))


def test_without_any_air_the_differences_speak_and_one_alone_does_not() -> None:
    found = assess(phases(60.0, 42.0, 43.0, load_pct=60.0))
    assert found.loc["A", "evidence"] > 2 > 0 > found.loc["B", "evidence"]
    assert math.isnan(assess(phases(60.0, load_pct=60.0)).loc["A", "evidence"])


def test_a_similar_component_is_one_more_with_its_own_load() -> None:
    """A 30 K, the similar component 12 K at 30 of 100 A where A carries 60: π 0.03."""
    readings = phases(60.0, similar_c=42.0, ambient_c=30.0, load_a=60.0, rated_a=100.0, similar_load_a=30.0)
    expected = factors([30.0, 12.0], [0.6, 0.3], [0.3, 0.03])
    assert assess(readings).loc["A", "evidence"] == pytest.approx(expected[0])


def test_a_similar_component_that_is_a_sibling_counts_once() -> None:
    """42 °C is B; another at 41.5 °C is one more, the same one for A and C."""
    alone = assess(phases(60.0, 42.0, 43.0, **EVEN))["evidence"]
    twice = phases(60.0, 42.0, 43.0, **EVEN).assign(similar_c=[42.0, np.nan, 42.0])
    assert assess(twice)["evidence"].to_numpy() == pytest.approx(alone.to_numpy())
    another = phases(60.0, 42.0, 43.0, **EVEN).assign(similar_c=[41.5, np.nan, 41.5])
    expected = factors([30.0, 12.0, 13.0, 11.5], [0.6] * 4, [0.3, 0.3, 0.3, 0.03])
    assert assess(another)["evidence"].to_numpy() == pytest.approx(expected[:3])


def test_only_a_rise_over_similar_is_a_pair_of_its_own() -> None:
    hot = survey({"connection_id": "A", "phase": "A", "rise_similar_k": 20.0, "load_pct": 60.0})
    assert assess(hot).loc["A", "evidence"] > 2


THREE = ("2024-05-04", "2025-05-04", "2026-05-04")


def surveys(*of_a: float, days: tuple[str, ...] = THREE, **more: object) -> pd.DataFrame:
    """Joint A at these temperatures, year by year, beside B and C at 42 and 43 °C."""
    return pd.concat(
        [
            phases(heat, 42.0, 43.0, survey_id=day, **EVEN, **more).assign(survey_date=day)
            for heat, day in zip(of_a, days[-len(of_a) :], strict=True)
        ],
        ignore_index=True,
    )


def alone(heat: float) -> float:
    """The factor of A in one survey, a logarithm."""
    return float(factors([heat - 30.0, 12.0, 13.0], [0.6] * 3, [0.3] * 3)[0])


def test_earlier_surveys_count_seven_tenths_and_half_and_older_ones_nothing() -> None:
    row = assess(surveys(47.0, 46.0, 48.0)).loc["A"]
    said = [row[f"evidence_{name}"] for name in ("latest", "before", "third")]
    assert said == pytest.approx([alone(48.0), alone(46.0), alone(47.0)])
    assert row["evidence"] == pytest.approx(alone(48.0) + 0.7 * alone(46.0) + 0.5 * alone(47.0))
    assert [row[f"evidence_{name}_on"].date().isoformat() for name in ("before", "third")] == [THREE[1], THREE[0]]
    four = assess(surveys(48.5, 47.0, 46.0, 48.0, days=("2023-05-04", *THREE)))
    assert four.loc["A", "evidence"] == pytest.approx(row["evidence"])


def test_old_health_hides_no_new_damage() -> None:
    row = assess(surveys(42.0, 42.0, 48.0)).loc["A"]
    assert alone(42.0) < 0 < alone(48.0)
    assert row["evidence"] == pytest.approx(alone(48.0))


def test_old_heat_counts_beside_a_cool_latest_one() -> None:
    row = assess(surveys(46.0, 42.0)).loc["A"]
    assert row["evidence"] == pytest.approx(alone(42.0) + 0.7 * alone(46.0))


def test_only_surveys_since_the_last_work_count_and_a_sibling_has_the_record_of_then() -> None:
    """B and C verified since 2025-09-01: unrecorded before it."""
    record = good_record("A", work_date="2025-09-01")
    record["tools"]["calibrated_on"] = "2025-06-01"
    row = assess(surveys(46.0, 42.0), **record).loc["A"]
    assert math.isnan(row["evidence_before"])
    others = good_record("B", "C", work_date="2025-09-01")
    others["tools"]["calibrated_on"] = "2025-06-01"
    row = assess(surveys(46.0, 42.0), **others).loc["A"]
    assert row["evidence_before"] == pytest.approx(alone(46.0))
    assert row["evidence_latest"] == pytest.approx(factors([12.0, 12.0, 13.0], [0.6] * 3, [0.3, 0.03, 0.03])[0])


def test_after_work_that_answers_the_reading_says_nothing() -> None:
    record = good_record("A", work_date="2026-05-10")
    record["tools"]["calibrated_on"] = "2026-01-10"
    row = assess(phases(60.0, 42.0, 43.0, **EVEN), **record).loc["A"]
    assert row["severity_before_work"] == 4
    assert math.isnan(row["evidence"])
    assert row["likelihood_loose"] == pytest.approx(0.03)


def test_no_reading_speaks_against_what_was_found_loose_by_hand() -> None:
    loose = pd.DataFrame([{"connection_id": "A", "work_date": "2026-05-10", "as_found": "loose", "action": "none"}])
    row = assess(phases(42.0, 42.0, 43.0, **EVEN), findings=loose).loc["A"]
    assert row["evidence_latest"] < 0
    assert (row["evidence"], row["likelihood_loose"]) == (0.0, pytest.approx(0.95))


def test_all_its_assumptions_are_settings() -> None:
    readings = phases(70.0, 71.0, 70.0, **EVEN)
    plain = assess(readings).loc["A", "evidence"]
    for name, value in (
        ("evidence_excess", 3.0),
        ("evidence_excess_spread", 0.3),
        ("evidence_level_k", 15.0),
        ("evidence_level_spread", 0.3),
        ("evidence_spread", 0.2),
        ("evidence_one_fate", 0.5),
        ("prior_unrecorded", 0.6),
    ):
        changed = assess(readings, settings=Settings(**{name: value})).loc["A", "evidence"]
        assert changed != pytest.approx(plain, rel=1e-3), name


@pytest.mark.parametrize(
    ("readings", "untold"),
    [
        (phases(42.0, 42.0, 43.0, **EVEN), None),
        (phases(42.0, ambient_c=30.0, load_pct=60.0), "no siblings"),
        (phases(42.0, 42.0, 43.0, **EVEN).assign(cover="closed"), "nothing speaks"),
        (phases(88.0, 88.0, 87.0, ambient_c=30.0, load_pct=60.0), "all hot"),
        (phases(42.0, similar_c=42.0, ambient_c=30.0, load_pct=90.0), "similar alone"),
        (phases(60.0, 42.0, 43.0, **EVEN), "rated hot"),
    ],
    ids=["even", "only the air", "nothing speaks", "all hot", "the similar component alone", "rated hot all the same"],
)
def test_where_the_siblings_cannot_tell(readings: pd.DataFrame, untold: str | None) -> None:
    said = assess(readings).loc["A", "cannot_tell"]
    assert said == untold or (untold is None and pd.isna(said))


def test_what_reads_cold_is_no_sign_of_a_bad_joint_and_speaks_of_the_others() -> None:
    """A and B 24 and 25 K, C 8 K at like load: C is no likelier loose by that, A and B are likelier than alone."""
    found = assess(phases(54.0, 55.0, 38.0, ambient_c=30.0, load_pct=80), **good_record("A", "B"))
    assert found["pattern"].tolist()[2] == "one cold"
    assert math.isnan(found.loc["C", "evidence"])
    assert found.loc["C", "likelihood_loose"] == pytest.approx(0.30)
    assert found.loc["A", "evidence"] > assess(phases(54.0, 55.0, ambient_c=30.0, load_pct=80)).loc["A", "evidence"]


def test_old_surveys_alone_make_no_joint_low() -> None:
    """Cool in 2025, through a cover in 2026: the siblings of today say nothing."""
    rows = surveys(42.0, 42.0)
    rows["cover"] = np.where(rows["survey_date"] == THREE[2], "closed", "open")
    row = assess(rows).loc["A"]
    assert math.isnan(row["evidence_latest"])
    assert (row["evidence"], row["cannot_tell"]) == (0.0, "nothing speaks")


def test_a_similar_component_that_is_clearly_hotter_than_its_joint_is_no_member() -> None:
    """43.7 °C beside B at 38 is no healthy component: A at 43.5 stays as likely."""
    plain = assess(phases(43.5, 38.0, 38.0, **EVEN))["evidence"]
    made = assess(phases(43.5, 38.0, 38.0, **EVEN).assign(similar_c=[np.nan, 43.7, np.nan]))["evidence"]
    assert made.to_numpy() == pytest.approx(plain.to_numpy())


def test_low_is_not_said_of_what_is_rated_3_beside_its_siblings() -> None:
    """39 and 28 K over the air at 80 %: 17 K at full load is 3, a ratio of 40 to 29 no hot joint."""
    row = assess(phases(69.0, 58.0, 58.0, ambient_c=30.0, load_pct=80)).loc["A"]
    assert (row["severity"], row["pattern"], row["governing_basis"]) == (3, "all warm, load explains it", "similar")
    assert row["cannot_tell"] == "rated hot"


def test_a_record_that_a_rejected_finding_doubts_counts_as_doubtful() -> None:
    """Verified at the reading (0.03); a finding of which nobody knows what was found may say loose: 0.25."""
    unread = pd.DataFrame([{"connection_id": "A", "work_date": "2026-05-10", "as_found": "??", "action": "none"}])
    record = good_record("A")
    before = assess(phases(42.0, 42.0, 43.0, **EVEN), **record).loc["A"]
    after = assess(phases(42.0, 42.0, 43.0, **EVEN), **record, findings=unread).loc["A"]
    assert (before["likelihood_state"], after["record_now"], after["likelihood_state"]) == (
        "verified",
        "doubtful",
        "doubtful",
    )
    assert after["likelihood_loose"] > before["likelihood_loose"]
