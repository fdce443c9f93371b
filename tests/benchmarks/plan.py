"""5,000 candidate actions on 300 boards in 6 outages: ``python -m tests.benchmarks.plan``.

Goal: a first plan within 60 s on two cores at a gap of at most 1 %, or the gap stated.
"""

from __future__ import annotations

import time

import numpy as np

from riskscope.planning.programme import Problem, greedy, solve
from riskscope.planning.settings import Planning


def problem(items: int = 5000, boards: int = 300, outages: int = 6) -> Problem:
    random = np.random.default_rng(11)
    board_of = random.integers(0, boards, items)
    where = [random.choice(outages, size=random.integers(1, 3), replace=False) for _ in range(boards)]
    pairs = [(item, int(outage)) for item in range(items) for outage in where[board_of[item]]]
    keys = sorted({(int(board_of[item]), outage) for item, outage in pairs})
    place = {key: number for number, key in enumerate(keys)}
    action = random.choice(3, items, p=[0.3, 0.1, 0.6])  # retighten, remake, check
    severity = np.where(action == 2, 0, random.choice([2, 3, 4], items, p=[0.6, 0.25, 0.15]))
    chance = np.where(action == 1, 0.9, random.uniform(0.02, 0.57, items))
    hours = random.choice([8.0, 12.0, 24.0], outages)
    overhead = random.choice([45.0, 60.0, 90.0, 120.0], len(keys))
    outage_of = np.array([outage for _, outage in keys])
    return Problem(
        item=np.array([item for item, _ in pairs]),
        outage=np.array([outage for _, outage in pairs]),
        board=np.array([place[int(board_of[item]), outage] for item, outage in pairs]),
        minutes=np.choose(action, [6.0, 30.0, 3.0]),
        benefit=chance * 2.0**severity * random.integers(1, 6, items) / 3,
        worst=severity == 4,
        record=action == 2,
        remake=action == 1,
        must=np.zeros(items, bool),
        board_outage=outage_of,
        overhead=overhead,
        board_minutes=np.maximum(60 * hours[outage_of] - overhead, 0),
        crew_minutes=60 * hours * random.integers(2, 8, outages) * 0.85,
        remakes=np.full(outages, 40.0),
    )


if __name__ == "__main__":
    made = problem()
    begin = time.perf_counter()
    found = solve(made, Planning())
    seconds = time.perf_counter() - begin
    ranked = greedy(made, np.lexsort((-made.benefit, ~made.worst)))
    share = made.benefit[made.item[ranked]].sum() / found.benefit
    print(
        f"{len(made.minutes):,} actions, {len(made.overhead):,} boards in outages: {seconds:.1f} s (goal 60), gap "
        f"{100 * found.gap:.2f} % (goal 1), {found.status}; worst band {found.worst_done} (ranked list "
        f"{int(made.worst[made.item[ranked]].sum())}), ranked list has {100 * share:.0f} % of the benefit"
    )
