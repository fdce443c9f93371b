"""The mixed-integer programme: which joints in which outage, within board time, crew hours and limits."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from riskscope import apart
from riskscope.planning.settings import Planning
from riskscope.units import Floats

Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Problem:
    """What may be chosen: pairs of a candidate and an outage, and the boards they open.

    Attributes
    ----------
    item, outage, board : ndarray of int, shape (pairs,)
        Of each pair; a board is one board in one outage.
    minutes, benefit : ndarray, shape (items,)
    worst, record, remake, must : ndarray of bool, shape (items,)
    board_outage : ndarray of int, shape (boards,)
    overhead, board_minutes : ndarray, shape (boards,)
        Minutes to isolate and restore; minutes of work a board can take. [min]
    crew_minutes, remakes : ndarray, shape (outages,)
        Minutes all crews can be planned for; most remakes, infinite where not limited.
    records_alone : bool
        Whether a board may be opened for records alone.
    """

    item: Ints
    outage: Ints
    board: Ints
    minutes: Floats
    benefit: Floats
    worst: NDArray[np.bool_]
    record: NDArray[np.bool_]
    remake: NDArray[np.bool_]
    must: NDArray[np.bool_]
    board_outage: Ints
    overhead: Floats
    board_minutes: Floats
    crew_minutes: Floats
    remakes: Floats
    records_alone: bool = False


@dataclass(frozen=True)
class Solution:
    """A plan of a problem and how good it is.

    Attributes
    ----------
    chosen : ndarray of bool, shape (pairs,)
    opened : ndarray of bool, shape (boards,)
    benefit, bound : float
        Of the plan; the most any plan could have.
    status : str
        ``within the gap``, ``stopped by the node limit`` or ``infeasible``.
    worst_done : int
        Items of the worst band in the plan.
    """

    chosen: NDArray[np.bool_]
    opened: NDArray[np.bool_]
    benefit: float
    bound: float
    status: str
    worst_done: int

    @property
    def gap(self) -> float:
        """How far below the bound, as a share of it."""
        return 0.0 if self.bound <= 0 else max(0.0, (self.bound - self.benefit) / self.bound)


def solve(problem: Problem, settings: Planning) -> Solution:
    """First as many of the worst band as fit, then the most benefit.

    The same problem gives the same plan: the search stops by gap and by nodes, never by the clock. It runs
    apart, because the solver now and then prints a line where our output goes.
    """
    made: Solution = apart.compute("riskscope.planning.programme.solution", problem, settings)
    return made


def solution(problem: Problem, settings: Planning) -> Solution:
    """What `solve` gives, in this process."""
    pairs, boards = len(problem.item), len(problem.overhead)
    if not pairs:
        infeasible = bool(problem.must.any())
        return Solution(
            np.zeros(0, bool), np.zeros(boards, bool), 0.0, 0.0, "infeasible" if infeasible else "within the gap", 0
        )
    rows, low, high = _constraints(problem)
    worst = problem.worst[problem.item].astype(float)
    value = problem.benefit[problem.item]
    stopped = 0
    if worst.any():
        first = _milp(worst, boards, rows, low, high, settings)
        if first is None:
            return _none(problem)
        stopped = first.status
        least = round(float(worst @ first.x[:pairs].round()))
        rows = _stack(rows, worst, boards)
        low, high = np.append(low, least), np.append(high, np.inf)
    second = _milp(value, boards, rows, low, high, settings)
    if second is None:
        return _none(problem)
    x = second.x.round().astype(bool)
    chosen, opened = x[:pairs], x[pairs:]
    opened = np.isin(np.arange(boards), problem.board[chosen]) & opened
    benefit = float(value @ chosen)
    bound = benefit if second.mip_dual_bound is None else max(benefit, -float(second.mip_dual_bound))
    status = "within the gap" if stopped == 0 and second.status == 0 else "stopped by the node limit"
    return Solution(chosen, opened, benefit, bound, status, int(worst @ chosen))


def _none(problem: Problem) -> Solution:
    return Solution(np.zeros(len(problem.item), bool), np.zeros(len(problem.overhead), bool), 0.0, 0.0, "infeasible", 0)


def _constraints(problem: Problem) -> tuple[Any, Floats, Floats]:
    """Rows of A and their bounds, for the pairs and then the boards."""
    from scipy.sparse import coo_array, csr_array, hstack, vstack

    pairs, boards, outages = len(problem.item), len(problem.overhead), len(problem.crew_minutes)
    place = np.arange(pairs)
    minutes = problem.minutes[problem.item]

    def by(groups: Ints, values: Floats, count: int) -> Any:
        return csr_array(coo_array((values, (groups, place)), shape=(count, pairs)))

    ones = np.ones(pairs)
    blocks: list[Any] = []
    low: list[Floats] = []
    high: list[Floats] = []

    def add(left: Any, right: Any, lower: Floats, upper: Floats) -> None:
        blocks.append(hstack([left, right]))
        low.append(lower)
        high.append(upper)

    items = len(problem.minutes)
    at_most_once = by(problem.item, ones, items)
    add(at_most_once, csr_array((items, boards)), problem.must.astype(float), np.ones(items))
    opens = csr_array(coo_array((-ones, (place, problem.board)), shape=(pairs, boards)))
    add(
        csr_array(coo_array((ones, (place, place)), shape=(pairs, pairs))),
        opens,
        np.full(pairs, -np.inf),
        np.zeros(pairs),
    )
    add(
        by(problem.board, minutes, boards), csr_array((boards, boards)), np.full(boards, -np.inf), problem.board_minutes
    )
    crew = csr_array(coo_array((problem.overhead, (problem.board_outage, np.arange(boards))), shape=(outages, boards)))
    add(by(problem.outage, minutes, outages), crew, np.full(outages, -np.inf), problem.crew_minutes)
    limited = np.isfinite(problem.remakes)
    if limited.any():
        made = by(problem.outage, problem.remake[problem.item].astype(float), outages)[limited]
        add(made, csr_array((int(limited.sum()), boards)), np.full(limited.sum(), -np.inf), problem.remakes[limited])
    if not problem.records_alone:
        hot = (~problem.record[problem.item]).astype(float)
        eye = csr_array(coo_array((-np.ones(boards), (np.arange(boards), np.arange(boards))), shape=(boards, boards)))
        add(by(problem.board, hot, boards), eye, np.zeros(boards), np.full(boards, np.inf))
    return vstack(blocks, format="csr"), np.concatenate(low), np.concatenate(high)


def _stack(rows: Any, values: Floats, boards: int) -> Any:
    from scipy.sparse import csr_array, vstack

    return vstack([rows, csr_array(np.append(values, np.zeros(boards))[None, :])], format="csr")


def _milp(value: Floats, boards: int, rows: Any, low: Floats, high: Floats, settings: Planning) -> Any:
    """The best 0/1 choice; None where there is none."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    result = milp(
        -np.append(value, np.zeros(boards)),
        integrality=np.ones(len(value) + boards),
        bounds=Bounds(0, 1),
        constraints=LinearConstraint(rows, low, high),
        options={"mip_rel_gap": settings.plan_gap, "node_limit": settings.plan_nodes, "disp": False},
    )
    return result if result.x is not None else None


def greedy(problem: Problem, order: Ints) -> NDArray[np.bool_]:
    """The plain ranked list cut at the same hours: each item, in order, where it still fits.

    Parameters
    ----------
    order : ndarray of int
        Items, most urgent first.

    Returns
    -------
    ndarray of bool, shape (pairs,)
    """
    chosen = np.zeros(len(problem.item), bool)
    board_left, crew_left, remakes = (problem.board_minutes.copy(), problem.crew_minutes.copy(), problem.remakes.copy())
    opened = np.zeros(len(problem.overhead), bool)
    mine: dict[int, list[int]] = {}
    for pair, item in enumerate(problem.item.tolist()):
        mine.setdefault(item, []).append(pair)
    for item in order.tolist():
        for pair in mine.get(item, []):
            board, outage, minutes = (problem.board[pair], problem.outage[pair], problem.minutes[item])
            cost = minutes + (0.0 if opened[board] else problem.overhead[board])
            alone = problem.record[item] and not opened[board] and not problem.records_alone
            if (
                alone
                or minutes > board_left[board]
                or cost > crew_left[outage]
                or (problem.remake[item] and remakes[outage] < 1)
            ):
                continue
            board_left[board] -= minutes
            crew_left[outage] -= cost
            remakes[outage] -= problem.remake[item]
            opened[board] = chosen[pair] = True
            break
    return chosen
