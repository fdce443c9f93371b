"""Nothing dangerous leaves the list by a slip: only work that was asked for and recorded right, proof, a corrected
reading or the end of a connection take a joint out of what must not wait.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from riskscope.analysis.proof.visits import DONE
from riskscope.schema.codes import URGENCIES
from tests.analysis.proof_cases import Event, defer, read, right, tell, tighten, told_of, visit
from tests.examples import examples

RETIGHTEN = read("2026-05-04", 62.0)  # 4 as found, no record
REMAKE = read("2026-05-04", 91.0)  # over its limit of 90 °C
LESS = st.one_of(st.just(0), st.integers(5, 39))  # under half of the 80 % of the finding: it proves nothing
OFF = read("2026-05-04", 91.0, 5)  # over its limit at hardly any load: as at full load
TIGHT = [tighten("2026-02-01"), read("2026-05-04", 55.0)]  # hot though tight: no tightening is the answer
UNDER = tighten("2026-01-15", applied=15.0)  # on record before, so that the required torque is known
days = st.integers(5, 28).map(lambda day: f"2026-05-{day:02d}")
late = st.integers(29, 31).map(lambda day: f"2026-05-{day:02d}")
times = st.sampled_from([None, "08:00", "16:00"])


def timed(
    make: Callable[..., Event], column: str, of: st.SearchStrategy[str] = days, **more: Any
) -> st.SearchStrategy[Event]:
    def event(day: str, time: str | None, given: dict[str, Any]) -> Event:
        return make(day, **given, **({column: time} if time else {}))

    drawn = {name: value if isinstance(value, st.SearchStrategy) else st.just(value) for name, value in more.items()}
    return st.builds(event, of, times, st.fixed_dictionaries(drawn))


def one(
    make: Callable[..., Event], column: str, of: st.SearchStrategy[str] = days, **more: Any
) -> st.SearchStrategy[list[Event]]:
    return timed(make, column, of, **more).map(lambda event: [event])


untils = st.sampled_from(["2026-05-20", "2026-06-01", "2026-09-01", "2031-05-10"])
COOL = st.sampled_from([20.0, 31.0, 34.5, 60.0])
WARM = st.sampled_from([42.0, 46.0, 55.0, 62.0])  # rated 2 or worse at any of these loads


def entries(of: st.SearchStrategy[str]) -> list[st.SearchStrategy[list[Event]]]:
    """What people type that is no right work, on days like these."""
    return [
        st.builds(lambda day, until: [defer(day, until)], of, untils),
        st.builds(lambda day: [tell(day)], of),
        st.builds(lambda day: [tell(day, made_safe="switched off and locked")], of),
        st.builds(lambda day: [tell(day, made_safe="load limited", limited_to_a=10)], of),
        one(visit, "work_time", of, as_found=st.sampled_from(["loose", "not checked"]), action="none"),
        one(visit, "work_time", of, as_found="loose", action="tightened"),
        one(tighten, "work_time", of, applied=st.sampled_from([1.0, 10.0, 22.0, 40.0])),
        one(tighten, "work_time", of, tool_id="T9"),
        one(tighten, "work_time", of, applied=None, method="by feel"),
    ]


UNFIT = [
    one(read, "survey_time", celsius=COOL, load=st.integers(5, 100), cover="closed"),
    one(read, "survey_time", celsius=COOL, load=st.integers(5, 100), load_steady_min=5),
    one(read, "survey_time", celsius=COOL, load=st.integers(5, 100), emissivity=0.2),
    one(read, "survey_time", celsius=COOL, load=st.integers(5, 19)),  # of what is hot at 40 % or more: under half
    one(read, "survey_time", celsius=COOL, load=None),
]
HOT_UNFIT = [
    one(
        read, "survey_time", celsius=st.sampled_from([42.0, 62.0, 91.0, 120.0]), load=st.sampled_from([0, 3, 9, 15, 39])
    ),
    one(read, "survey_time", celsius=st.sampled_from([62.0, 91.0]), load=st.integers(5, 100), cover="closed"),
    one(read, "survey_time", celsius=WARM, load=st.integers(5, 100), survey_id="S"),
    one(read, "survey_time", celsius=COOL, load=LESS, survey_id="S"),
]
HARMLESS = [
    *HOT_UNFIT,
    *entries(days),
    *UNFIT,
    one(visit, "work_time", as_found="tight", action="none"),
    one(read, "survey_time", celsius=COOL, load=LESS),
    one(read, "survey_time", celsius=WARM, load=st.integers(40, 100)),
    one(read, "survey_time", celsius=st.just(91.0), load=st.integers(40, 80), siblings=(90.0, 90.5)),
    st.builds(lambda day: [right(day, "tight", "remade"), visit(day, "loose", "none")], days),
    st.builds(lambda day: [right(day, "tight", "tightened"), visit(day, "tight", "none")], days),
]
WITHOUT_TORQUE = [one(visit, "work_time", as_found="loose", action=st.sampled_from(["remade", "replaced"]))]
RIGHT = [
    one(tighten, "work_time"),
    one(right, "work_time", as_found=st.sampled_from(["tight", "loose"]), action=st.sampled_from(DONE)),
]
ANY_READING = [one(read, "survey_time", celsius=st.one_of(COOL, WARM, st.just(91.0)), load=st.integers(20, 100))]
MORE_FOR_REMAKE = [one(tighten, "work_time"), one(right, "work_time", as_found="tight", action="tightened")]


@examples(3)
@given(
    cases=st.lists(
        st.lists(st.builds(read, days, COOL, st.integers(5, 63)), min_size=1, max_size=5).map(
            lambda e: [RETIGHTEN, *e]
        ),
        min_size=10,
        max_size=10,
    )
)
def test_without_work_no_reading_at_less_than_four_fifths_of_the_current_takes_it_back(
    cases: list[list[Event]],
) -> None:
    stays_now(cases)


def histories(
    findings: list[list[Event]], events: list[st.SearchStrategy[list[Event]]]
) -> st.SearchStrategy[list[list[Event]]]:
    after = st.lists(st.one_of(events), min_size=1, max_size=6)
    first = st.sampled_from(findings)
    history = st.builds(lambda found, parts: [*found, *(event for part in parts for event in part)], first, after)
    return st.lists(history, min_size=10, max_size=10)


@examples(5)
@given(cases=histories([[RETIGHTEN], [OFF]], HARMLESS + WITHOUT_TORQUE))
def test_a_joint_that_must_not_wait_stays_so(cases: list[list[Event]]) -> None:
    stays_now(cases)


@examples(5)
@given(cases=histories([[REMAKE], [OFF], TIGHT], HARMLESS + MORE_FOR_REMAKE))
def test_a_joint_that_is_to_be_remade_stays_so_whatever_is_tightened(cases: list[list[Event]]) -> None:
    stays_now(cases)


def stays_now(cases: list[list[Event]]) -> None:
    made = told_of({str(number): case for number, case in enumerate(cases)})
    assert len(made) == len(cases), "none is gone"
    for number, case in enumerate(cases):
        assert made[str(number)][1] == "now", (case, made[str(number)])


def a_kind_of(*kinds: list[st.SearchStrategy[list[Event]]]) -> st.SearchStrategy[list[Event]]:
    """Each kind as often as the others, however many sorts it has."""
    return st.sampled_from(kinds).flatmap(st.one_of)


@examples(4)
@given(
    cases=st.lists(
        st.tuples(
            st.sampled_from([RETIGHTEN, REMAKE, OFF]),
            st.lists(a_kind_of(ANY_READING, RIGHT, HARMLESS), min_size=1, max_size=4),
            a_kind_of(UNFIT, entries(late)),
        ),
        min_size=10,
        max_size=10,
    )
)
def test_an_unfit_reading_or_an_entry_that_is_no_right_work_makes_nothing_better(
    cases: list[tuple[Event, list[list[Event]], list[Event]]],
) -> None:
    """Whatever was read and worked before: with one more of these no joint is less urgent than without it."""
    histories = {}
    for number, (finding, parts, more) in enumerate(cases):
        history = [UNDER, finding, *(event for part in parts for event in part)]
        histories |= {f"{number}": history, f"{number} and more": [*history, *more]}
    made = told_of(histories)
    urgencies = list(URGENCIES)
    for number, case in enumerate(cases):
        before, after = made[f"{number}"], made[f"{number} and more"]
        assert urgencies.index(after[1]) <= urgencies.index(before[1]), (case, before, after)
