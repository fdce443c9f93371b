"""Random histories of work and readings: no joint is less urgent than the plain rules allow, and what is no right work
makes none that must not wait, or is due soon, less urgent than it would be without it."""

from __future__ import annotations

from collections.abc import Iterable
from random import Random

from hypothesis import given
from hypothesis import strategies as st

from riskscope.schema.codes import URGENCIES
from tests.analysis.plain_rules import history, is_harmless, least_urgent
from tests.analysis.proof_cases import Event, told_of
from tests.examples import examples

COUNT = 400
PLACES = list(URGENCIES)


def shortest(faults: Iterable[tuple[list[Event], object]]) -> str:
    """The shortest history that is wrong, to be read."""
    ordered = sorted(faults, key=lambda fault: len(fault[0]))
    return f"{len(ordered)} wrong, the shortest {ordered[0]}" if ordered else ""


@examples(2)
@given(seed=st.integers(0, 2**32))
def test_no_joint_is_less_urgent_than_the_plain_rules_allow(seed: int) -> None:
    random = Random(seed)
    histories = {str(n): history(random) for n in range(COUNT)}
    made = told_of(histories)
    faults = [
        (events, made[case]) for case, events in histories.items() if PLACES.index(made[case][1]) > least_urgent(events)
    ]
    assert not faults, shortest(faults)


@examples(2)
@given(seed=st.integers(0, 2**32))
def test_what_is_no_right_work_makes_no_joint_less_urgent(seed: int) -> None:
    """Each history with one of its entries, or of its readings that prove nothing, and without it."""
    random = Random(seed)
    with_one: dict[str, list[Event]] = {}
    without: dict[str, list[Event]] = {}
    for number in range(COUNT):
        events = history(random)
        harmless = [at for at in range(1, len(events)) if is_harmless(events, at)]
        if harmless:
            at = random.choice(harmless)
            with_one[f"{number}"], without[f"{number} without"] = events, events[:at] + events[at + 1 :]
    made = told_of({**with_one, **without})
    faults = [
        (events, (made[case], made[f"{case} without"]))
        for case, events in with_one.items()
        if made[f"{case} without"][1] in ("now", "soon")
        and PLACES.index(made[case][1]) > PLACES.index(made[f"{case} without"][1])
    ]
    assert not faults, shortest(faults)


@examples(2)
@given(seed=st.integers(0, 2**32))
def test_what_is_told_of_a_joint_hangs_on_no_other(seed: int) -> None:
    """Each history among others, and alone; with and without what came first."""
    random = Random(seed)
    histories = {str(n): history(random)[n % 2 :] for n in range(COUNT)}
    made = told_of(histories)
    known = [case for case in random.sample(sorted(made), 12) if any(table == "survey" for table, _ in histories[case])]
    faults = [
        (histories[case], (made[case][:3], alone))
        for case in known
        if (alone := told_of({case: histories[case]})[case][:3]) != made[case][:3]
    ]
    assert not faults, shortest(faults)
