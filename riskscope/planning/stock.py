"""What a plan is made of, and the programme it becomes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from riskscope.planning.outages import Outage
from riskscope.planning.programme import Problem
from riskscope.planning.settings import Planning
from riskscope.units import Floats

MEDIUM_VOLTAGE_V = 1000.0
SKILL_MV = "medium voltage"


@dataclass(frozen=True)
class Stock:
    """What a plan is made of.

    Attributes
    ----------
    items : DataFrame
        The candidates, as `riskscope.planning.candidates.candidates` gives them.
    barred : DataFrame
        What cannot be a candidate, and why.
    pairs : DataFrame
        ``item outage``: every candidate with every outage in which it can be done.
    outages : tuple of Outage
    boards : DataFrame
        By board: ``setup_min restore_min outage_cost``.
    required : ndarray of bool
        Candidates that have to be in the plan.
    """

    items: pd.DataFrame
    barred: pd.DataFrame
    pairs: pd.DataFrame
    outages: tuple[Outage, ...]
    boards: pd.DataFrame
    required: NDArray[np.bool_]


def pairs_of(items: pd.DataFrame, outages: Sequence[Outage]) -> pd.DataFrame:
    """Every candidate with every outage in which it is isolated and somebody can do it."""
    rows = []
    for number, outage in enumerate(outages):
        off = {name.casefold() for name in outage.equipment}
        isolated = items["isolated_by"].str.casefold().isin(off)
        skilled = (
            ~(items["voltage_v"] > MEDIUM_VOLTAGE_V) | (SKILL_MV in outage.skills.casefold()) | (outage.skills == "")
        )
        at = np.flatnonzero((isolated & skilled).to_numpy(dtype=bool))
        rows.append(pd.DataFrame({"item": at, "outage": number}))
    return pd.concat(rows, ignore_index=True)


def problem_of(
    stock: Stock, settings: Planning, cut: Floats, records_alone: bool
) -> tuple[Problem, list[tuple[str, int]]]:
    """The programme to solve, and its boards: name and outage of each."""
    items, pairs, outages, boards = stock.items, stock.pairs, stock.outages, stock.boards
    names = items["equipment"].to_numpy()[pairs["item"]]
    keys = list(zip(names, pairs["outage"].tolist(), strict=True))
    board_names = sorted(set(keys))
    place = {key: number for number, key in enumerate(board_names)}
    outage_of = np.array([outage for _, outage in board_names], dtype=np.int64)
    setup = np.array([boards.loc[name, "setup_min"] for name, _ in board_names], dtype=float)
    restore = np.array([boards.loc[name, "restore_min"] for name, _ in board_names], dtype=float)
    hours = np.array([outage.hours for outage in outages])
    per_board = np.array([outage.crews_per_board for outage in outages], dtype=float)
    crews = np.array([outage.crews for outage in outages], dtype=float)
    overhead = setup + restore
    left = (
        np.maximum(60.0 * hours[outage_of] - overhead, 0.0) * per_board[outage_of] if len(board_names) else np.zeros(0)
    )
    severity = items["severity"].fillna(0.0).to_numpy()
    present = severity[pairs["item"]] if len(pairs) else np.zeros(0)
    worst = severity == (present.max() if len(present) and present.max() >= 1 else np.inf)
    problem = Problem(
        item=pairs["item"].to_numpy(dtype=np.int64),
        outage=pairs["outage"].to_numpy(dtype=np.int64),
        board=np.array([place[key] for key in keys], dtype=np.int64),
        minutes=items["minutes"].to_numpy(dtype=float),
        benefit=items["benefit"].to_numpy(dtype=float),
        worst=worst,
        record=(items["section"] == "b").to_numpy(dtype=bool),
        remake=(items["action"] == "remake").to_numpy(dtype=bool),
        must=stock.required,
        board_outage=outage_of,
        overhead=overhead,
        board_minutes=left,
        crew_minutes=60.0 * hours * crews * settings.crew_use * cut,
        remakes=np.array([outage.max_remakes for outage in outages]),
        records_alone=records_alone,
    )
    return problem, board_names


def why_infeasible(stock: Stock) -> str:
    """Which limit what must be done breaks, in words."""
    items, pairs, outages, boards = stock.items, stock.pairs, stock.outages, stock.boards
    for item in np.flatnonzero(stock.required):
        name = items["connection_id"].iloc[item]
        mine = pairs[pairs["item"] == item]
        if mine.empty:
            return f"{name} must be done, but no outage isolates {items['isolated_by'].iloc[item]}."
        board = items["equipment"].iloc[item]
        needs = boards.loc[board, ["setup_min", "restore_min"]].sum() + items["minutes"].iloc[item]
        longest = max(outages[number].hours for number in mine["outage"])
        if needs > 60 * longest:
            return (
                f"{name} must be done, but {board} takes {needs:.0f} min and the "
                f"longest outage of it lasts {longest:g} h."
            )
    limited = [outage.outage_id for outage in outages if np.isfinite(outage.max_remakes)]
    remakes = int((stock.required & (items["action"] == "remake").to_numpy()).sum())
    allowed = sum(outage.max_remakes for outage in outages)
    if limited and remakes > allowed:
        return f"{remakes} remakes must be done, but the outages allow {allowed:.0f} (max_remakes)."
    return "What must be done does not fit into the crews' hours: ask for less, or give more hours or crews."
