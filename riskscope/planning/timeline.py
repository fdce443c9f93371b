"""When each crew does which board, and whether it can be done in time."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from riskscope.planning.outages import Outage
from riskscope.planning.programme import Problem, Solution


def timeline_of(
    problem: Problem, solution: Solution, board_names: Sequence[tuple[str, int]], outages: Sequence[Outage]
) -> pd.DataFrame:
    """Each crew's boards, longest first: a board has its crew for as long as it takes."""
    minutes = np.zeros(len(board_names))
    joints = np.zeros(len(board_names), dtype=int)
    np.add.at(minutes, problem.board[solution.chosen], problem.minutes[problem.item[solution.chosen]])
    np.add.at(joints, problem.board[solution.chosen], 1)
    rows = []
    for number, outage in enumerate(outages):
        mine = [b for b in range(len(board_names)) if problem.board_outage[b] == number and joints[b]]
        teams = max(1, outage.crews // outage.crews_per_board)
        free = np.zeros(teams)
        length = {b: problem.overhead[b] + minutes[b] / outage.crews_per_board for b in mine}
        for b in sorted(mine, key=lambda b: (-length[b], board_names[b][0])):
            team = int(free.argmin())
            rows.append(
                (
                    number,
                    outage.outage_id,
                    board_names[b][0],
                    b,
                    team + 1,
                    free[team],
                    free[team] + length[b],
                    joints[b],
                )
            )
            free[team] += length[b]
    return pd.DataFrame(
        rows, columns=["outage", "outage_id", "board", "place", "crew", "begins_min", "ends_min", "joints"]
    )


def late(timeline: pd.DataFrame, outages: Sequence[Outage]) -> NDArray[np.bool_]:
    """Outages in which a crew would need longer than there is."""
    ends = timeline.groupby("outage")["ends_min"].max()
    return np.array([ends.get(number, 0.0) > 60.0 * outage.hours + 1e-6 for number, outage in enumerate(outages)])
