"""The optimiser against brute force, an independent recursion, and known optima; never below greedy."""

from __future__ import annotations

import itertools
import os

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from riskscope import apart
from riskscope.planning.programme import Problem, greedy, solution, solve
from riskscope.planning.settings import Planning
from tests.examples import examples

EXACT = Planning(plan_gap=1e-9)


def is_allowed(problem: Problem, chosen: np.ndarray) -> bool:
    """Every rule of the programme, written out once more."""
    pairs = np.flatnonzero(chosen)
    items = problem.item[pairs]
    if len(set(items.tolist())) < len(items):
        return False
    if not set(np.flatnonzero(problem.must).tolist()) <= set(items.tolist()):
        return False
    for board in range(len(problem.overhead)):
        mine = pairs[problem.board[pairs] == board]
        if problem.minutes[problem.item[mine]].sum() > problem.board_minutes[board] + 1e-9:
            return False
        if len(mine) and not problem.records_alone and problem.record[problem.item[mine]].all():
            return False
    for outage in range(len(problem.crew_minutes)):
        mine = pairs[problem.outage[pairs] == outage]
        opened = sorted(set(problem.board[mine].tolist()))
        used = problem.minutes[problem.item[mine]].sum() + problem.overhead[np.array(opened, dtype=int)].sum()
        if used > problem.crew_minutes[outage] + 1e-9:
            return False
        if problem.remake[problem.item[mine]].sum() > problem.remakes[outage]:
            return False
    return True


def brute_force(problem: Problem) -> tuple[int, float]:
    """Most of the worst band, then the most benefit, over every choice there is."""
    best = (-1, -1.0)
    for bits in itertools.product((False, True), repeat=len(problem.item)):
        chosen = np.array(bits, dtype=bool)
        if is_allowed(problem, chosen):
            items = problem.item[chosen]
            best = max(best, (int(problem.worst[items].sum()), float(problem.benefit[items].sum())))
    return best


@st.composite
def problems(draw: st.DrawFn) -> Problem:
    items, outages, boards = (draw(st.integers(1, 5)), draw(st.integers(1, 2)), draw(st.integers(1, 3)))
    board_of = [draw(st.integers(0, boards - 1)) for _ in range(items)]
    pairs = [(item, outage) for item in range(items) for outage in range(outages) if draw(st.booleans())]
    keys = sorted({(board_of[item], outage) for item, outage in pairs})
    minutes = st.sampled_from([3.0, 6.0, 30.0])
    flags = st.lists(st.booleans(), min_size=items, max_size=items).map(np.array)
    record = draw(flags)
    return Problem(
        item=np.array([item for item, _ in pairs], dtype=np.int64),
        outage=np.array([outage for _, outage in pairs], dtype=np.int64),
        board=np.array([keys.index((board_of[item], outage)) for item, outage in pairs], dtype=np.int64),
        minutes=np.array([draw(minutes) for _ in range(items)]),
        benefit=np.array([draw(st.integers(1, 40)) / 4 for _ in range(items)]),
        worst=draw(flags) & ~record,
        record=record,
        remake=draw(flags),
        must=np.zeros(items, bool),
        board_outage=np.array([outage for _, outage in keys], dtype=np.int64),
        overhead=np.array([draw(st.sampled_from([0.0, 20.0])) for _ in keys]),
        board_minutes=np.array([draw(st.sampled_from([10.0, 40.0, 100.0])) for _ in keys]),
        crew_minutes=np.array([draw(st.sampled_from([30.0, 60.0, 200.0])) for _ in range(outages)]),
        remakes=np.array([draw(st.sampled_from([0.0, 1.0, np.inf])) for _ in range(outages)]),
        records_alone=draw(st.booleans()),
    )


@examples(50)
@given(problem=problems())
def test_as_good_as_every_choice_there_is(problem: Problem) -> None:
    found = solution(problem, EXACT)
    assert is_allowed(problem, found.chosen)
    worst, benefit = brute_force(problem)
    assert found.worst_done == worst
    assert found.benefit == pytest.approx(benefit, abs=1e-6)
    assert found.bound >= found.benefit - 1e-9


@examples(50)
@given(problem=problems())
def test_never_worse_than_the_ranked_list(problem: Problem) -> None:
    order = np.lexsort((-problem.benefit, ~problem.worst))
    ranked = greedy(problem, order)
    found = solution(problem, EXACT)
    items = problem.item[ranked]
    assert is_allowed(problem, ranked)
    assert (found.worst_done, found.benefit + 1e-6) >= (
        int(problem.worst[items].sum()),
        float(problem.benefit[items].sum()),
    )


def knapsack(weights: list[int], values: list[int], capacity: int) -> Problem:
    """One board, one outage, no overhead: the 0/1 knapsack."""
    count = len(weights)
    no = np.zeros(count, bool)
    return Problem(
        item=np.arange(count),
        outage=np.zeros(count, dtype=np.int64),
        board=np.zeros(count, dtype=np.int64),
        minutes=np.array(weights, dtype=float),
        benefit=np.array(values, dtype=float),
        worst=no,
        record=no,
        remake=no,
        must=no,
        board_outage=np.zeros(1, dtype=np.int64),
        overhead=np.zeros(1),
        board_minutes=np.array([float(capacity)]),
        crew_minutes=np.array([float(capacity)]),
        remakes=np.array([np.inf]),
    )


def test_a_published_knapsack() -> None:
    """Kreher and Stinson, Combinatorial Algorithms (1999), as the widely copied instance P01.

    Ten items, capacity 165, optimum 309 with items 1, 2, 3, 4, 6. From memory; the sum of weights
    (165) and values (309) was worked again by hand.
    """
    weights = [23, 31, 29, 44, 53, 38, 63, 85, 89, 82]
    values = [92, 57, 49, 68, 60, 43, 67, 84, 87, 72]
    found = solution(knapsack(weights, values, 165), EXACT)
    assert found.benefit == 309
    assert found.chosen.nonzero()[0].tolist() == [0, 1, 2, 3, 5]


def test_knapsacks_by_dynamic_programming() -> None:
    random = np.random.default_rng(5)
    for _ in range(10):
        weights, values = random.integers(1, 40, 14).tolist(), random.integers(1, 60, 14).tolist()
        capacity = int(sum(weights) * 0.4)
        best = np.zeros(capacity + 1)
        for weight, value in zip(weights, values, strict=True):
            best[weight:] = np.maximum(best[weight:], best[: capacity + 1 - weight] + value)
        assert solution(knapsack(weights, values, capacity), EXACT).benefit == pytest.approx(best[-1])


def test_the_worst_band_comes_first() -> None:
    problem = knapsack([30, 6, 6], [1, 40, 40], 30)
    worst = np.array([True, False, False])
    found = solution(Problem(**{**problem.__dict__, "worst": worst}), EXACT)
    assert found.chosen.tolist() == [True, False, False]


def test_the_same_plan_again() -> None:
    random = np.random.default_rng(1)
    problem = knapsack(random.integers(3, 30, 60).tolist(), random.integers(1, 9, 60).tolist(), 300)
    here, apart_ = solution(problem, Planning()), solve(problem, Planning())
    assert here.chosen.tolist() == apart_.chosen.tolist() == solve(problem, Planning()).chosen.tolist()


def noise(value: int) -> int:
    """What a library may do in the process apart."""
    os.write(1, b"noise of a solver\n")
    print("noise of ours", flush=True)
    return value


def test_what_the_solver_prints_stays_out_of_our_output(capfd: pytest.CaptureFixture) -> None:
    assert apart.compute("tests.planning.test_programme.noise", 1) == 1
    assert apart.compute("tests.planning.test_programme.noise", 2) == 2
    assert capfd.readouterr().out == ""


def test_what_fails_apart_is_told() -> None:
    with pytest.raises(RuntimeError, match=r"programme\.nothing failed apart: Traceback"):
        apart.compute("riskscope.planning.programme.nothing")
