"""Who is compared with whom, and which sibling reads cold; each limit from both sides, by hand."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import pytest

from riskscope.intake.options import ReadOptions
from riskscope.settings import Settings
from tests.build import assess, phases, survey


def rows(*readings: tuple[str, float, float], **common: Any) -> pd.DataFrame:
    """(phase, temperature, load in percent) of one group; the air is at 30 °C."""
    return survey(
        *({"connection_id": p, "phase": p, "connection_c": t, "load_pct": load} for p, t, load in readings),
        **{"group": "g", "ambient_c": 30.0, **common},
    )


def reference(found: pd.DataFrame, connection: str = "A") -> str | None:
    """The sibling a connection is compared with."""
    if found.loc[connection, "reference"] != "sibling":
        return None
    return str(found.iloc[int(found.loc[connection, "sibling"])]["connection_id"])


@pytest.mark.parametrize(
    ("load", "other", "wanted"),
    [(80, 40, "B"), (80, 39.9, None), (40, 80, "B"), (40, 80.2, None), (19, 10, "B"), (19, 9.9, None)],
    ids=[
        "half its load",
        "less than half",
        "twice its load",
        "more than twice",
        "a tenth of full load",
        "less than that",
    ],
)
def test_which_sibling_can_be_a_reference(load: float, other: float, wanted: str | None) -> None:
    assert reference(assess(rows(("A", 50.0, load), ("B", 40.0, other)))) == wanted


@pytest.mark.parametrize(("other", "alike"), [(90.0, True), (89.9, False)])
def test_loads_within_a_tenth_of_the_larger_are_alike(other: float, alike: bool) -> None:
    assert assess(rows(("A", 50.0, 100), ("B", 40.0, other))).loc["A", "alike"] == alike


@pytest.mark.parametrize(
    "flag",
    [{"load_steady_min": 5}, {"cover": "closed"}, {"wind_ms": 3.0}, {"emissivity": 0.5, "camera_emissivity": 0.5}],
)
def test_an_unfit_sibling_is_no_reference(flag: dict[str, Any]) -> None:
    readings = rows(("A", 50.0, 80), ("B", 40.0, 80), ("C", 42.0, 80))
    for name, value in flag.items():
        readings[name] = [np.nan, value, np.nan] if not isinstance(value, str) else ["", value, ""]
    assert reference(assess(readings)) == "C"


def test_what_is_rated_as_found_only_is_compared_at_like_loads_only() -> None:
    readings = rows(("A", 50.0, 80), ("B", 40.0, 60), ("C", 44.0, 80))
    readings["load_steady_min"] = [5, 60, 60]
    assert reference(assess(readings)) == "C"
    assert reference(assess(readings.head(2))) is None


def test_the_reference_is_the_lowest_at_full_load_each_by_its_own_load() -> None:
    """B: 12 K at 100 % is 12; C: 10 K at 80 % is 15.6 K at full load."""
    found = assess(rows(("A", 60.0, 100), ("B", 42.0, 100), ("C", 40.0, 80)))
    assert reference(found) == "B"
    assert found.loc["A", "rise_alike_k"] == pytest.approx(18.0)


def test_without_the_air_the_coolest_at_like_load_is_the_reference() -> None:
    found = assess(rows(("A", 60.0, 100), ("B", 42.0, 100), ("C", 38.0, 70), ambient_c=None))
    assert reference(found) == "B"
    assert found.loc["A", "rise_similar_found_k"] == 18.0
    assert pd.isna(found.loc["A", "resistance_ratio"]), "no ratio without the air"


@pytest.mark.parametrize(
    ("b", "c"),
    [
        ({"phase": "N"}, None),
        ({"phase": "PE"}, None),
        ({"phase": "DC+"}, None),
        ({"point": "bus joint"}, None),
        ({"group": "h"}, None),
        ({"site": "elsewhere"}, None),
        ({"survey_id": "another"}, None),
        ({"phase": ""}, "B"),
        ({"phase": "L2"}, "B"),
    ],
    ids=[
        "neutral",
        "earth",
        "pole",
        "another kind of point",
        "another group",
        "another site",
        "another survey",
        "no phase in a named group",
        "a line phase of another name",
    ],
)
def test_who_is_a_sibling(b: dict[str, str], c: str | None) -> None:
    base = {"group": "g", "point": "termination", "site": "here", "survey_id": "one", "load_pct": 80, "ambient_c": 30.0}
    found = assess(
        survey(
            {"connection_id": "A", "phase": "A", "connection_c": 50.0, **base},
            {"connection_id": "B", "phase": "B", "connection_c": 40.0, **base, **b},
            circuit=None,
        )
    )
    assert reference(found) == c


@pytest.mark.parametrize(
    ("place", "siblings"),
    [
        ({"circuit": "F1"}, True),
        ({"device": "Q1"}, True),
        ({"equipment": "B1"}, False),
        ({"side": "line", "circuit": "F1"}, True),
    ],
    ids=["of a circuit", "of a device", "of a board alone", "of a side"],
)
def test_siblings_without_a_group(place: dict[str, str], siblings: bool) -> None:
    found = assess(rows(("A", 50.0, 80), ("B", 40.0, 80), **{"group": "", "circuit": "", **place}))
    assert (reference(found) == "B") == siblings
    apart = rows(("A", 50.0, 80), ("B", 40.0, 80), **{"group": "", "circuit": "", **place})
    name = next(iter(place))
    apart[name] = ["one", "two"] if name != "side" else ["line", "load"]
    assert reference(assess(apart)) is None


@pytest.mark.parametrize(("largest", "compared"), [(3, True), (2, False)])
def test_a_group_that_is_too_large_is_not_compared(largest: int, compared: bool) -> None:
    readings = rows(("A", 50.0, 80), ("B", 40.0, 80), ("C", 41.0, 80))
    found = assess(readings, settings=Settings(group_max=largest))
    assert (reference(found) is not None) == compared


# rises of C, B, A over the air at full load: the next is 20, or 9
@pytest.mark.parametrize(
    ("rises", "cold"),
    [
        ((15.9, 20.0, 25.0), True), ((16.0, 20.0, 25.0), False), ((15.9, 20.0, 25.1), False),
        ((7.0, 9.0, 9.0), True), ((7.1, 9.0, 9.0), False), ((20.0, 20.0, 25.0), False),
    ],
    ids=["below 0.8 of the next", "at 0.8", "the others do not agree", "2 K short", "less than 2 K short", "as warm"],
)  # fmt: skip
def test_one_sibling_that_reads_cold(rises: tuple[float, float, float], cold: bool) -> None:
    readings = rows(*((p, 30.0 + rise, 100) for p, rise in zip("CBA", rises, strict=True)))
    found = assess(readings)
    assert found["reads cold"].to_dict() == {"A": False, "B": False, "C": cold}
    assert found["beside a cold sibling"].to_dict() == {"A": cold, "B": cold, "C": False}
    expected = "C" if rises[0] < rises[1] and not cold else "B"
    assert reference(found) == expected, "a cold one is passed over"


def test_a_sibling_that_cannot_be_compared_does_not_hide_a_cold_one() -> None:
    """At 20 % against 100 % D is not comparable, and its hot reading says nothing of whether the others agree."""
    found = assess(rows(("A", 50.0, 100), ("B", 51.0, 100), ("C", 40.0, 100), ("D", 80.0, 20)))
    assert found["reads cold"].to_dict() == {"A": False, "B": False, "C": True, "D": False}


def test_a_group_without_numbers_leaves_the_others_rated() -> None:
    """0 K at next to no load is 0 times infinity: no number, and no reason to stop."""
    absurd = rows(("A", 30.0, 1e-250), ("B", 30.0, 1e-250), ("C", 30.0, 1e-250), group="absurd")
    sound = rows(("D", 60.0, 100), ("E", 61.0, 100), ("F", 40.0, 100), group="sound").assign(phase=["A", "B", "C"])
    both, percent = pd.concat([absurd, sound], ignore_index=True), ReadOptions(load="percent")
    with np.errstate(over="ignore", invalid="ignore"):
        found = assess(both, settings=Settings(reference_load_min=0.0), read_options=percent)
    assert found["reads cold"].to_dict() == {**dict.fromkeys("ABCDE", False), "F": True}


def test_two_siblings_cannot_tell_which_is_cold() -> None:
    assert not assess(rows(("A", 50.0, 100), ("B", 35.0, 100)))["reads cold"].any()


@pytest.mark.parametrize(("load", "cold"), [(50, True), (49.9, False)], ids=["half the largest load", "less"])
def test_a_light_sibling_is_not_comparable_for_cold(load: float, cold: bool) -> None:
    """C: 4 K short of 0.5² · 20 K. Of less than half the largest load it is no one's measure."""
    readings = rows(("A", 50.0, 100), ("B", 50.0, 100), ("C", 31.0, load))
    assert assess(readings)["reads cold"].any() == cold


@pytest.mark.parametrize("change", [{"load_pct": np.nan}, {"ambient_c": np.nan}, {"load_steady_min": 5}])
def test_what_is_not_known_or_unfit_is_not_counted_among_three(change: dict[str, float]) -> None:
    readings = rows(("A", 50.0, 100), ("B", 50.0, 100), ("C", 35.0, 100))
    for name, value in change.items():
        readings[name] = readings.get(name, 60.0)
        readings.loc[0, name] = value
    assert not assess(readings)["reads cold"].any()


def test_a_closed_cover_over_the_coolest_other_closed_cover() -> None:
    readings = rows(("A", 33.0, 80), ("B", 31.5, 80), ("C", 31.4, 80), ("L1", 20.0, 80), cover="closed")
    readings.loc[3, "cover"] = "open"
    found = assess(readings)
    assert found["cover_rise_k"].to_dict() == pytest.approx({"A": 1.6, "B": 0.1, "C": -0.1, "L1": np.nan}, nan_ok=True)


def registered(part: str, **of: str) -> dict[str, pd.DataFrame]:
    """A register that says this part of the place of some joints; of one with an empty text it says nothing of it."""
    rows_ = [{"connection_id": joint, "circuit": "F1", "phase": joint, part: value} for joint, value in of.items()]
    return {"connections": pd.DataFrame(rows_)}


PARTS = {
    "group": ("G1", "G2"),
    "device": ("Q1", "Q2"),
    "side": ("line", "load"),
    "point": ("conductor", "busbar joint"),
}


@pytest.mark.parametrize("part", PARTS)
def test_what_the_register_says_of_the_others_only_parts_no_joint_from_them(part: str) -> None:
    """62 °C beside 35 and 34: of A the register says nothing, its row lacking or its cell empty."""
    readings = survey(
        *({"connection_id": p, "phase": p, "connection_c": t} for p, t in zip("ABC", (62.0, 35.0, 34.0), strict=True)),
        ambient_c=30.0,
        load_pct=80,
        equipment="P",
    )
    here, there = PARTS[part]
    for register in ({"B": here, "C": here}, {"A": "", "B": here, "C": here}, {"A": here}, {"B": here, "C": there}):
        made = assess(readings, **registered(part, **register))
        assert (reference(made), made.loc["A", "severity"]) == ("C", 4.0), register


@pytest.mark.parametrize("part", PARTS)
def test_joints_that_the_register_says_are_elsewhere_are_no_siblings(part: str) -> None:
    readings = rows(("A", 62.0, 80), ("B", 35.0, 80), ("C", 34.0, 80), group=None, equipment="P")
    here, there = PARTS[part]
    assert reference(assess(readings, **registered(part, A=here, B=here, C=there))) == "B"
    assert reference(assess(readings, **registered(part, A="", B=here, C=there))) is None


@pytest.mark.parametrize("part", PARTS)
def test_what_the_survey_says_of_some_parts_them(part: str) -> None:
    readings = rows(("A", 62.0, 80), ("B", 35.0, 80), ("C", 34.0, 80), group=None, equipment="P")
    readings[part] = [PARTS[part][0], None, PARTS[part][0]]
    assert reference(assess(readings)) == "C"
    assert reference(assess(readings), "B") is None
    readings[part] = [PARTS[part][0], None, None]
    made = assess(readings, **registered(part, B=PARTS[part][1]))
    assert [reference(made, joint) for joint in "ABC"] == [None, None, None]


def test_a_board_that_is_not_registered_whole_is_parted_where_it_is() -> None:
    """Of Q1 the register says all; A of circuit F2, which it lacks, takes nothing from that."""
    one = rows(("A", 62.0, 80), ("B", 35.0, 80), ("C", 34.0, 80), group=None, equipment="P")
    other = one.assign(connection_id=["A2", "B2", "C2"], circuit="F2")
    register = registered("device", A="Q1", B="Q1", C="Q2", B2="Q3", C2="Q3")["connections"]
    register.loc[register["connection_id"].str.endswith("2"), "circuit"] = "F2"
    made = assess(pd.concat([one, other]), connections=register)
    assert [reference(made, joint) for joint in ("A", "A2")] == ["B", "C2"]


@pytest.mark.parametrize("lacking", ["A", "C"])
def test_a_joint_without_a_phase_is_compared_with_those_whose_phase_the_register_says(lacking: str) -> None:
    """The survey says no phase; of one joint the register has no row, or no phase in it."""
    readings = survey(
        *({"connection_id": p, "connection_c": t} for p, t in zip("ABC", (62.0, 35.0, 34.0), strict=True)),
        ambient_c=30.0,
        load_pct=80,
        equipment="P",
    )
    register = pd.DataFrame([{"connection_id": p, "circuit": "F1", "phase": p} for p in "ABC"])
    empty = register.assign(phase=register["phase"].where(register["phase"] != lacking))
    for connections in (register, register[register["connection_id"] != lacking], empty):
        made = assess(readings, connections=connections)
        assert (reference(made), made.loc["A", "severity"]) == ("C", 4.0)


def test_a_neutral_of_the_register_stays_no_line_phase() -> None:
    readings = survey(
        *({"connection_id": p, "connection_c": t} for p, t in zip("ABN", (62.0, 61.0, 32.0), strict=True)),
        ambient_c=30.0,
        load_pct=80,
        equipment="P",
    )
    register = pd.DataFrame([{"connection_id": p, "circuit": "F1", "phase": p} for p in "ABN"])
    assert reference(assess(readings, connections=register)) == "B"


def of_ids_alone(*register: tuple[str, ...]) -> pd.DataFrame:
    """62 °C beside 35 and 34 in a survey of ids; the register's rows are (id, board, circuit, phase, rated current)."""
    readings = survey(
        *({"connection_id": p, "connection_c": t} for p, t in zip("ABC", (62.0, 35.0, 34.0), strict=True)),
        ambient_c=30.0,
        load_pct=80,
        circuit=None,
    )
    names = ["connection_id", "equipment", "circuit", "phase", "rated_a"]
    return assess(readings, connections=pd.DataFrame(register, columns=names))


OTHERS = (("B", "P1", "F1", "B", "100"), ("C", "P1", "F1", "C", "100"))


@pytest.mark.parametrize(
    ("rejected", "sibling", "board"),
    [
        ([("A", "p1", "f1", "A", "100x")], "C", "P1"),
        ([("a ", "P1", "F1", "A", "100x"), ("A", "P1", "F1", "A", "1OO")], "C", "P1"),
        ([("A", "P1", "F2", "A", "100x")], None, "P1"),
        ([("A", "P1", "F1", "A", "100x"), ("A", "P1", "F2", "A", "100x")], None, "P1"),
        ([("A", "P1", "F1", "A", "100x"), ("A", "P1", None, None, "1x")], "C", "P1"),
        ([("A", "P1", "F1", "A", "100x"), ("A", "P1", "F1", "B", "1x")], "C", "P1"),
        ([("A", None, None, None, "100"), ("A", "P1", "F1", "A", "1x")], "C", "P1"),
        ([("A.", "P1", "F1", "A", "100x")], None, None),
    ],
    ids=[
        "another case",
        "twice",
        "elsewhere",
        "two places",
        "one says less",
        "two phases",
        "another row counts",
        "another id",
    ],
)
def test_a_rejected_row_of_the_register_still_says_where_its_connection_is(
    rejected: list[tuple[str, ...]], sibling: str | None, board: str | None
) -> None:
    made = of_ids_alone(*rejected, *OTHERS)
    assert reference(made) == sibling
    assert made["equipment"].fillna("").loc["A"] == (board or "")


@pytest.mark.parametrize(
    ("part", "others", "sibling"),
    [
        ("circuit", "F 1", "C"),
        ("circuit", "f-1", "C"),
        ("circuit", "F2", None),
        ("circuit", "F1+", None),
        ("equipment", "MCC1", "C"),
        ("equipment", "MCC 1", "C"),
        ("equipment", "MCC-11", None),
        ("device", "Q 1", "C"),
        ("device", "Q1.1", None),
    ],
)
def test_a_place_is_one_whatever_stands_between_letters_and_digits(part: str, others: str, sibling: str | None) -> None:
    readings = rows(("A", 62.0, 80), ("B", 35.0, 80), ("C", 34.0, 80), group=None, equipment="MCC-1", device="Q1")
    readings[part] = [readings[part].iloc[0] if part != "circuit" else "F1", others, others]
    readings["circuit"] = readings["circuit"].fillna("F1")
    assert reference(assess(readings)) == sibling


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("1.1", "11"), ("1-1", "11"), ("1/2", "12"), ("1 1", "11"), ("DC+ F1", "DC- F1"), ("+F1", "-F1"),
        ("F1 (+)", "F1 (-)"), ("F1+", "F1-"), ("F+1", "F1"), ("F1'", "F1"), ("*", "#"), ("A B", "AB"),
    ],
)  # fmt: skip
def test_names_that_differ_in_more_are_two_circuits(one: str, other: str) -> None:
    readings = rows(("A", 62.0, 80), ("B", 35.0, 80), group=None, equipment="P")
    assert reference(assess(readings.assign(circuit=[one, other]))) is None


def wires(*names: str, **register: list[str | None]) -> pd.DataFrame:
    """A at 50 °C beside wires at 31 °C, in 30 °C air at 80 % load: without a reference 20 K over the air, a 2."""
    heats = [50.0] + [31.0] * (len(names) - 1)
    readings = survey(
        *(
            {"connection_id": f"J{n}", "phase": phase, "connection_c": heat}
            for n, (phase, heat) in enumerate(zip(names, heats, strict=True))
        ),
        ambient_c=30.0,
        load_pct=80,
        equipment="P",
    )
    if not register:
        return assess(readings)
    count = len(register["phase"])
    place = {"connection_id": [f"J{n}" for n in range(count)], "equipment": "P", "circuit": "F1"}
    return assess(readings, connections=pd.DataFrame({**place, **register}))


def test_the_poles_of_a_direct_current_circuit_are_siblings_unless_it_has_a_third_wire() -> None:
    assert reference(wires("DC+", "DC-"), "J0") == "J1"
    assert reference(wires("DC+", "DC-"), "J1") == "J0"
    for third in ("N", "A"):
        assert reference(wires("DC+", "DC-", third), "J0") is None
    assert reference(wires("DC+", "PE"), "J0") is None
    pole = wires("DC+", "DC-").loc["J0"]
    assert pole["beside its other wire"]
    assert pole["s_ambient"] <= pole["severity"]


def test_line_and_neutral_are_siblings_where_the_register_has_no_other_wire() -> None:
    assert reference(wires("A", "N", phase=["A", "N"]), "J0") == "J1"
    assert reference(wires("A", "N", "PE", phase=["A", "N", "PE"]), "J0") == "J1"
    assert reference(wires("A", "N"), "J0") is None, "no register: phases B and C may not have been read"
    assert reference(wires("A", "N", phase=["A", "N", "B"]), "J0") is None
    assert reference(wires("A", "N", phase=["A", "N", None]), "J0") is None, "nobody knows what the third is"
    assert reference(wires("A", "N", phase=["A"]), "J0") is None
    assert reference(wires("A", "B", "N", phase=["A", "B", "N"]), "J2") is None
    both = wires("A", "N", phase=["A", "N"]).loc["J0"]
    assert both["beside its other wire"]
    assert both["s_ambient"] == wires("A", "N").loc["J0", "severity"] <= both["severity"]
    other = {"connection_id": ["K0", "K1"], "equipment": "P", "circuit": "F2", "phase": ["A", "N"]}
    readings = wires("A", "N")[["connection_id", "phase", "connection_c", "ambient_c", "load_pct", "circuit"]]
    elsewhere = assess(readings.assign(survey_date="2026-05-04", equipment="P"), connections=pd.DataFrame(other))
    assert reference(elsewhere, "J0") is None, "another circuit has two wires, not this one"


def of_conductors(*sizes: str | None, column: str = "conductor_size") -> pd.DataFrame:
    """A 62, B 50 and C 34 °C in 30 °C air at 80 %."""
    register = pd.DataFrame({"connection_id": list("ABC"), "circuit": "F1", column: list(sizes)})
    return assess(phases(62.0, 50.0, 34.0, ambient_c=30.0, load_pct=80), connections=register)


def test_no_entry_of_a_conductor_takes_a_reference_away() -> None:
    """Two hot joints of one size beside two cool ones of another, or of another spelling: 16 K, now."""
    heats = {"A": 48.0, "B": 47.0, "C": 33.0, "D": 32.0}
    readings = survey(
        *({"connection_id": name, "phase": "A", "connection_c": heat} for name, heat in heats.items()),
        group="G",
        ambient_c=25.0,
        load_pct=80,
    )
    plain = assess(readings).loc["A"]
    assert (plain["severity"], plain["urgency"]) == (4, "now")
    for sizes in (("95", "95", "70", "70"), ("70 sq.mm", "70 sq.mm", "70 mm²", "70 mm²"), ("70,0", "070", "70", "70")):
        register = pd.DataFrame({"connection_id": list("ABCD"), "circuit": "F1", "conductor_size": list(sizes)})
        row = assess(readings, connections=register).loc["A"]
        assert (row["severity"], row["urgency"]) == (4, "now")
        assert row["likelihood_loose"] == pytest.approx(plain["likelihood_loose"])


def test_of_another_conductor_it_is_said() -> None:
    made = of_conductors("95", "95", "50")
    assert [reference(made, joint) for joint in "ABC"] == ["C", "C", "B"]
    assert made["reference of another conductor"].tolist() == [True, True, True]


def test_two_records_of_a_day_that_say_two_sizes_say_none() -> None:
    rows = [
        {
            "connection_id": n,
            "work_date": "2025-01-01",
            "conductor_size": size,
            "required_torque": 20,
            "applied_torque": 20,
            "torque_unit": "N·m",
            "fastener": k,
        }
        for n, sizes in (("A", ("95", "70")), ("C", ("70", "70")))
        for k, size in enumerate(sizes)
    ]
    for installs in (pd.DataFrame(rows), pd.DataFrame(rows[::-1])):
        made = assess(phases(62.0, 50.0, 34.0, ambient_c=30.0, load_pct=80), installs=installs)
        assert not made["reference of another conductor"].any()


@pytest.mark.parametrize("sizes", [("95", "95 mm²", "95mm2"), ("95", None, None), ("4/0 AWG", "4/0", "4/0awg")])
def test_conductors_are_alike_unless_they_are_known_to_differ(sizes: tuple[str | None, ...]) -> None:
    made = of_conductors(*sizes)
    assert reference(made) == "C"
    assert not made["reference of another conductor"].any()


def test_beside_another_conductor_alone_it_is_also_judged_by_the_air() -> None:
    """A and B aluminium and copper at 62 and 61 °C: 1 K over similar, but 32 K over the air is a 3."""
    register = pd.DataFrame({"connection_id": ["A", "B"], "circuit": "F1", "conductor_material": ["AL", "CU"]})
    readings = phases(62.0, 61.0, ambient_c=30.0, load_pct=100)
    made = assess(readings, connections=register)
    assert (made.loc["A", "severity"], made.loc["A", "governing_basis"]) == (3.0, "ambient")
    assert assess(readings).loc["A", "severity"] <= 1


def lugs(**more: object) -> pd.DataFrame:
    """Two lugs of phase A and one of B on the load side of one breaker."""
    readings = survey(
        *(
            {"connection_id": name, "phase": phase, "connection_c": heat}
            for name, phase, heat in (("A1", "A", 60.0), ("A2", "A", 40.0), ("B1", "B", 41.0))
        ),
        ambient_c=30.0,
        device="Q1",
        side="load",
        rated_a=400.0,
    )
    return assess(readings.assign(**more))


def test_of_parallel_lugs_without_a_current_of_each_nothing_is_said() -> None:
    shared = lugs(load_pct=60.0)
    assert shared["parallel lugs"].tolist() == [True, True, False]
    assert shared["evidence"].isna().tolist() == [True, True, False]
    assert lugs(load_a=[240.0, None, 230.0])["parallel lugs"].tolist() == [True, True, False]
    copied = lugs(load_a=[240.0, 240.0, 230.0])
    assert copied["parallel lugs"].tolist() == [True, True, False], "that of the phase, written down twice"
    assert lugs(load_pct=60.0, group="G1")["parallel lugs"].tolist() == [True, True, False]
    measured = lugs(load_a=[240.0, 180.0, 230.0])
    assert not measured["parallel lugs"].any()
    assert measured["evidence"].notna().all()
    in_series = lugs(load_pct=60.0, side=["line", "load", "load"])
    assert not in_series["parallel lugs"].any()
