"""What is not in a plan and why, what would come next, what each outage runs out of."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd

from riskscope.planning.outages import Outage
from riskscope.planning.programme import Problem, Solution
from riskscope.planning.stock import Stock

SWAPS = 3


def left(stock: Stock, problem: Problem, solution: Solution) -> pd.DataFrame:
    """What is not in the plan, each with its reason."""
    items = stock.items
    planned = np.isin(np.arange(len(items)), problem.item[solution.chosen])
    reachable = np.isin(np.arange(len(items)), stock.pairs["item"])
    opened = {(problem.board[pair]) for pair in np.flatnonzero(solution.chosen)}
    has_open = np.zeros(len(items), bool)
    for pair in range(len(problem.item)):
        has_open[problem.item[pair]] |= problem.board[pair] in opened
    offered = {name.casefold() for outage in stock.outages for name in outage.equipment}
    isolated = items["isolated_by"].str.casefold().isin(offered).to_numpy(dtype=bool)
    why = np.select(
        [~isolated, ~reachable, problem.record & ~has_open, problem.remake],
        [
            "its isolation point is in no outage",
            "no crew with the skill for its voltage",
            "a record alone does not open a board",
            "did not fit: hours or remakes of its outages are used for more",
        ],
        "did not fit: the hours of its outages are used for more",
    )
    rest = items[["connection_id", "equipment", "action", "severity", "urgency", "benefit"]].assign(why=why)[~planned]
    both = pd.concat([rest, stock.barred.assign(benefit=np.nan)], ignore_index=True)
    return both.sort_values(
        ["severity", "benefit", "connection_id"], ascending=[False, False, True], kind="stable", na_position="last"
    ).reset_index(drop=True)


def swaps(stock: Stock, problem: Problem, solution: Solution) -> pd.DataFrame:
    """The three exchanges of one for one that would cost the plan least."""
    items = stock.items
    planned = problem.item[solution.chosen]
    out = np.setdiff1d(np.arange(len(items)), planned)
    rows = []
    for item in out[np.argsort(-problem.benefit[out], kind="stable")][:200]:
        for pair in np.flatnonzero(problem.item == item):
            same = np.flatnonzero(
                solution.chosen & (problem.board == problem.board[pair]) & ~problem.must[problem.item]
            )
            fits = problem.minutes[problem.item[same]] >= problem.minutes[item]
            fits &= problem.remake[problem.item[same]] | ~problem.remake[item]
            if fits.any():
                losses = problem.benefit[problem.item[same[fits]]] - problem.benefit[item]
                best = int(losses.argmin())
                rows.append(
                    (
                        items["connection_id"].iloc[item],
                        items["connection_id"].iloc[problem.item[same[fits][best]]],
                        stock.outages[problem.outage[pair]].outage_id,
                        float(losses[best]),
                    )
                )
    frame = pd.DataFrame(rows, columns=["connection_id", "instead_of", "outage_id", "loses"])
    return frame.sort_values(["loses", "connection_id"], kind="stable").head(SWAPS).reset_index(drop=True)


def limits(problem: Problem, solution: Solution, outages: Sequence[Outage]) -> dict[str, str]:
    """What each outage runs out of first."""
    made = {}
    for number, outage in enumerate(outages):
        mine = solution.chosen & (problem.outage == number)
        used = (
            problem.minutes[problem.item[mine]].sum()
            + problem.overhead[solution.opened & (problem.board_outage == number)].sum()
        )
        remakes = problem.remake[problem.item[mine]].sum()
        words = [f"{used:.0f} of {problem.crew_minutes[number]:.0f} crew minutes planned"]
        if remakes >= outage.max_remakes:
            words.append(f"all {outage.max_remakes:.0f} remakes used")
        made[outage.outage_id] = ", ".join(words)
    return made
