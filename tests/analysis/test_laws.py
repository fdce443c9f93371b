"""Laws that hold whatever the numbers: monotone, unit-free, order-free, no false alarm."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from riskscope.analysis.assess import assess as assess_tables
from riskscope.intake.read import read_frames
from riskscope.standards import severity as standard_severity
from tests.build import ON, assess, phases, survey
from tests.examples import examples

temperatures = st.floats(25.0, 110.0).map(lambda t: round(t, 1))
loads = st.floats(5.0, 130.0).map(lambda p: round(p, 0))
RESULTS = ["severity", "severity_as_found", "severity_low", "severity_high", "pattern", "action",
           "urgency", "firm", "resurvey", "quality_flags", "install_state"]  # fmt: skip
quick = examples(5)


def same(left: pd.DataFrame, right: pd.DataFrame) -> None:
    left, right = left.sort_index(), right.sort_index()
    pd.testing.assert_frame_equal(left[RESULTS], right[RESULTS])
    for column in ("rise_rated_k", "exceedance", "rise_low_k", "rise_high_k"):
        np.testing.assert_allclose(left[column].to_numpy(float), right[column].to_numpy(float), rtol=1e-9, atol=1e-9)


@quick
@given(
    others=st.tuples(temperatures, temperatures),
    load=loads,
    air=st.floats(10.0, 40.0),
    start=temperatures,
    steps=st.lists(st.floats(0.1, 15.0), min_size=3, max_size=8),
)
def test_severity_never_falls_when_the_connection_alone_gets_hotter(
    others: tuple[float, float], load: float, air: float, start: float, steps: list[float]
) -> None:
    """While no sibling reads cold: many like sets, one joint hotter in each than in the last."""
    own = start + np.cumsum([0.0, *steps])
    sets = [
        phases(float(t), *others, ambient_c=air, load_pct=load).assign(
            circuit=f"F{n:02d}", connection_id=[f"{n:02d}-{p}" for p in "ABC"]
        )
        for n, t in enumerate(own)
    ]
    found = assess(pd.concat(sets))
    mine = found[[name.endswith("A") for name in found.index]].sort_index()
    cold = found["reads cold"].to_numpy() | found["beside a cold sibling"].to_numpy()
    clear = ~pd.Series(cold, index=found.index).groupby(found["circuit"]).transform("any")
    rated = mine["severity"][clear[mine.index]].dropna().to_numpy()
    assert (np.diff(rated) >= 0).all(), rated


@quick
@given(
    readings=st.lists(st.tuples(temperatures, loads), min_size=2, max_size=6),
    air=st.one_of(st.none(), st.floats(10.0, 40.0).map(lambda t: round(t, 1))),
)
def test_no_unit_of_the_input_changes_a_result(readings: list[tuple[float, float]], air: float | None) -> None:
    celsius = survey(
        *(
            {
                "connection_id": f"C{n}",
                "phase": "ABCABC"[n],
                "Connection temp (°C)": f"{t:.6f}",
                "Load (%)": f"{p:.6f}",
                **({} if air is None else {"Ambient (°C)": f"{air:.6f}"}),
            }
            for n, (t, p) in enumerate(readings)
        )
    )
    fahrenheit = celsius.rename(
        columns={"Connection temp (°C)": "Connection temp (°F)", "Ambient (°C)": "Ambient (°F)"}
    )
    for column in ("Connection temp (°F)", "Ambient (°F)"):
        if column in fahrenheit:
            fahrenheit[column] = [f"{float(v) * 1.8 + 32:.6f}" for v in fahrenheit[column]]
    import riskscope

    read_options = riskscope.ReadOptions(load="percent")
    same(assess(celsius, read_options=read_options), assess(fahrenheit, read_options=read_options))


@quick
@given(
    rows=st.lists(st.tuples(temperatures, loads), min_size=3, max_size=12), shuffle=st.randoms(use_true_random=False)
)
def test_row_order_changes_no_result(rows: list[tuple[float, float]], shuffle: object) -> None:
    frame = survey(
        *(
            {
                "connection_id": f"C{n:02d}",
                "phase": "ABC"[n % 3],
                "circuit": f"F{n // 6}",
                "connection_c": t,
                "load_pct": p,
            }
            for n, (t, p) in enumerate(rows)
        ),
        ambient_c=25.0,
    )
    order = list(range(len(frame)))
    shuffle.shuffle(order)  # type: ignore[attr-defined]
    import riskscope

    read_options = riskscope.ReadOptions(load="percent")
    same(assess(frame, read_options=read_options), assess(frame.iloc[order], read_options=read_options))


def healthy_sets(count: int, random: np.random.Generator, noise_k: float, smallest: float) -> pd.DataFrame:
    """Three-phase sets of equal joints at any load split, whose rise follows I^n, n 1.6 to 2."""
    exponent = np.repeat(random.uniform(1.6, 2.0, count), 3)
    rise = np.repeat(random.uniform(5.0, 48.0, count), 3)
    load = random.uniform(smallest, 1.0, 3 * count)
    joint = 1 + random.normal(0, 0.25, 3 * count) / rise * (noise_k > 0)
    found = rise * joint * load**exponent + random.normal(0, noise_k / np.sqrt(2), 3 * count)
    read = load * (1 + random.normal(0, 0.03, 3 * count) * (noise_k > 0))
    number = np.arange(3 * count)
    return pd.DataFrame(
        {
            "connection_id": [f"S{n // 3:04d}-{'ABC'[n % 3]}" for n in number],
            "survey_date": "2026-05-04",
            "circuit": [f"F{n // 3:04d}" for n in number],
            "phase": [("A", "B", "C")[n % 3] for n in number],
            "connection_c": 25.0 + found,
            "ambient_c": 25.0,
            "load_pct": 100 * read,
        }
    )


def test_healthy_sets_are_never_one_joint_hot_without_noise() -> None:
    found = assess(healthy_sets(3000, np.random.default_rng(3), 0.0, 0.05))
    assert not (found["pattern"] == "one joint hot").any()


def test_healthy_sets_are_seldom_one_joint_hot_with_noise() -> None:
    """With the noise of the method's section on uncertainty, at 40 % load and more: under 2 % of sets.

    0.5 K between two readings, 0.25 K per joint, 3 % of each load.
    """
    found = assess(healthy_sets(3000, np.random.default_rng(4), 0.5, 0.40))
    hot = (found["pattern"] == "one joint hot").groupby(found["circuit"]).any()
    assert hot.mean() < 0.02


def test_healthy_sets_are_never_cold_at_any_load_split() -> None:
    """At unequal loads the square law alone makes the heaviest-loaded healthy phase read cold."""
    found = assess(healthy_sets(3000, np.random.default_rng(5), 0.0, 0.30))
    assert not (found["pattern"] == "one cold").any()


@quick
@given(rows=st.lists(st.tuples(temperatures, loads), min_size=2, max_size=9), air=st.floats(15.0, 35.0))
def test_similar_basis_is_at_most_one_band_above_what_was_seen_and_is_sure(
    rows: list[tuple[float, float]], air: float
) -> None:
    frame = survey(
        *(
            {"connection_id": f"C{n}", "phase": "ABCABCABC"[n], "connection_c": t, "load_pct": p}
            for n, (t, p) in enumerate(rows)
        ),
        ambient_c=air,
    )
    import riskscope

    found = assess(frame, read_options=riskscope.ReadOptions(load="percent"))
    sure = standard_severity.load().severity("similar", found["low_k"].to_numpy(float))
    worst = np.minimum(np.fmax(found["seen"], sure) + 1, 4)
    rated = found["s_similar"]
    assert (rated[rated.notna()] <= worst[rated.notna()]).all()


EITHER_SIDE = 39.999, 40.001  # percent


@quick
@given(
    rises=st.lists(st.tuples(st.floats(0, 60), st.floats(0, 40)), min_size=20, max_size=20),
    beside=st.floats(0.3, 1.0),
    air=st.floats(10.0, 40.0),
    source=st.sampled_from(["measured", "display", "estimated", "unknown"]),
)
def test_at_40_percent_load_no_rating_jumps(
    rises: list[tuple[float, float]], beside: float, air: float, source: str
) -> None:
    """Just below it a joint is never rated worse than just above, nor more than one band less; the low ends agree."""
    sets = [
        phases(air + low + more, air + low, ambient_c=air).assign(
            circuit=f"F{n}-{at}", connection_id=[f"F{n}-{at}-{p}" for p in "AB"], load_pct=[at, at * share]
        )
        for n, (low, more) in enumerate(rises)
        for at in EITHER_SIDE
        for share in ([1.0] if n % 2 else [beside])
    ]
    found = assess(pd.concat(sets).assign(load_source=source))
    below, above = (found[[f"-{at}-" in name for name in found.index]].sort_index() for at in EITHER_SIDE)
    step = above["severity"].to_numpy() - below["severity"].to_numpy()
    assert ((step >= 0) & (step <= 1)).all(), list(zip(below["severity"], above["severity"], strict=True))
    similar = (above["governing_basis"] == "similar").to_numpy() & (below["governing_basis"] == "similar").to_numpy()
    similar &= below.index.str.endswith("A")  # the others carry less
    ends = above["rise_low_k"].to_numpy()[similar], below["rise_low_k"].to_numpy()[similar]
    np.testing.assert_allclose(*ends, rtol=0.01, atol=0.01)


@pytest.mark.parametrize("column", ["severity", "action", "urgency", "pattern"])
def test_one_site_at_a_time_equals_all_at_once(column: str) -> None:
    one = phases(62.0, 35.0, 34.0, ambient_c=30.0, load_pct=60, site="North", group="G")
    two = phases(40.0, 39.0, 52.0, ambient_c=30.0, load_pct=60, site="South", group="G").assign(
        connection_id=["D", "E", "F"]
    )
    together = assess(pd.concat([one, two]))
    apart = pd.concat([assess(one), assess(two)])
    assert together[column].to_dict() == apart[column].to_dict()


@examples(15)
@given(
    st.lists(
        st.fixed_dictionaries(
            {
                "connection_id": st.sampled_from("ABCD"),
                "circuit": st.sampled_from(["F1", "F2", None]),
                "device": st.sampled_from([None, None, "Q1"]),
                "group": st.sampled_from([None, None, "g"]),
                "survey_date": st.sampled_from(["2026-05-04", "2026-05-06"]),
                "survey_time": st.sampled_from([None, "09:00", "15:00"]),
                "survey_id": st.sampled_from(["S", "S", "T"]),
                "cover": st.sampled_from([None, None, "closed"]),
                "load_pct": st.sampled_from([None, 80.0, 30.0]),
                "connection_c": temperatures,
            }
        ),
        min_size=2,
        max_size=20,
    )
)
def test_no_reading_is_lost_wherever_it_says_that_it_stands(rows: list[dict[str, object]]) -> None:
    """Each counts, or is one of the others of one that counts; the hottest of each survey stays known."""
    given_rows = survey(*rows, ambient_c=30.0, equipment="P")
    made = assess_tables(read_frames(on=ON, survey=given_rows), on=ON).readings
    assert (1 + made["other_readings"]).sum() == len(rows)
    own = ["connection_id", "survey_id"]
    hottest = made[["connection_c", "hottest_other_c"]].max(axis=1).groupby([made[name] for name in own]).max()
    wanted = given_rows.groupby(own)["connection_c"].max()
    assert hottest.to_dict() == pytest.approx(wanted.to_dict())
