"""The plan of one or several outages: what to do where, who does it, what did not fit and why."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from riskscope.analysis.assessment import Assessment
from riskscope.errors import UnusableInput
from riskscope.planning import candidates as find
from riskscope.planning.outages import Outage, outages_of
from riskscope.planning.programme import Problem, Solution, greedy, solve
from riskscope.planning.remainder import left, limits, swaps
from riskscope.planning.settings import Planning
from riskscope.planning.stock import Stock, pairs_of, problem_of, why_infeasible
from riskscope.planning.timeline import late, timeline_of
from riskscope.units import Floats

FITS_AGAIN = 6  # times the hours are cut until each crew's boards fit one after the other


@dataclass(frozen=True)
class Plan:
    """What to do in the outages, and how good that is.

    Attributes
    ----------
    work : DataFrame
        ``outage_id crew board start_min connection_id action section severity minutes benefit``, in
        order of the work.
    boards : DataFrame
        ``outage_id board crew begins_min ends_min setup_min restore_min joints``.
    left : DataFrame
        ``connection_id equipment action severity urgency benefit why`` of what is not in the plan.
    swaps : DataFrame
        ``connection_id instead_of outage_id loses``: what would have come next.
    now : DataFrame
        What must not wait for any outage.
    outages : tuple of Outage
    benefit, bound, greedy_benefit : float
    status : str
    limits : dict of str to str
        By outage: what binds it.
    cut : dict of str to float
        Share of the hours that was left free so that the boards fit one after the other.
    """

    work: pd.DataFrame
    boards: pd.DataFrame
    left: pd.DataFrame
    swaps: pd.DataFrame
    now: pd.DataFrame
    outages: tuple[Outage, ...]
    benefit: float
    bound: float
    greedy_benefit: float
    greedy_worst: int
    worst_done: int
    status: str
    limits: Mapping[str, str]
    cut: Mapping[str, float]

    @property
    def gap(self) -> float:
        return 0.0 if self.bound <= 0 else max(0.0, (self.bound - self.benefit) / self.bound)


def make(
    assessment: Assessment,
    settings: Planning,
    *,
    must: Sequence[str] = (),
    must_not: Sequence[str] = (),
    records_alone: bool = False,
) -> Plan:
    """The plan of all outages in the table ``outages``.

    Parameters
    ----------
    assessment : Assessment
        Its tables hold ``outages``.
    settings : Planning
    must, must_not : sequence of str
        Connections that have to be in the plan, or may not.
    records_alone : bool
        Whether a board may be opened for records alone.

    Raises
    ------
    UnusableInput
        If there is no outage, or what must be done cannot be: which limit, in words.
    """
    stock = _stock(assessment, settings, must, must_not)
    cut = np.ones(len(stock.outages))
    for _ in range(FITS_AGAIN):
        problem, board_names = problem_of(stock, settings, cut, records_alone)
        solution = solve(problem, settings)
        if solution.status == "infeasible":
            raise UnusableInput(why_infeasible(stock))
        timeline = timeline_of(problem, solution, board_names, stock.outages)
        too_long = late(timeline, stock.outages)
        if not too_long.any():
            break
        cut = np.where(too_long, cut * 0.93, cut)
    rows = assessment.connections
    columns = ["connection_id", "equipment", "action", "severity", "severity_as_found", "made_safe"]
    now = rows[rows["urgency"] == "now"].reindex(columns=columns)
    return _plan(stock, problem, solution, timeline, cut, now.reset_index(drop=True))


def _stock(assessment: Assessment, settings: Planning, must: Sequence[str], must_not: Sequence[str]) -> Stock:
    """What there is to plan; see `make`."""
    tables = assessment.tables
    if "outages" not in tables:
        raise UnusableInput(
            "there is no table outages: nothing to plan.", hint="It needs outage_id, start, hours and equipment."
        )
    outages = outages_of(tables["outages"])
    must, must_not = ([assessment.find(name) for name in names] for names in (must, must_not))
    items, barred = find.candidates(assessment.connections, tables, settings, must_not)
    known = items["connection_id"]
    for name in must:
        if name not in set(known):
            why = barred.loc[barred["connection_id"] == name, "why"]
            reason = why.iloc[0] if len(why) else "it needs no work with an outage"
            raise UnusableInput(f"{name} must be done, but cannot be planned: {reason}.")
    required = known.isin(must).to_numpy(dtype=bool)
    boards = find.boards(tables, sorted(items["equipment"].unique()), settings)
    return Stock(items, barred, pairs_of(items, outages), outages, boards, required)


def _plan(
    stock: Stock, problem: Problem, solution: Solution, timeline: pd.DataFrame, cut: Floats, now: pd.DataFrame
) -> Plan:
    items, outages, boards = stock.items, stock.outages, stock.boards
    chosen = np.flatnonzero(solution.chosen)
    work = items.iloc[problem.item[chosen]].copy().assign(place=problem.board[chosen])
    work = work.merge(timeline[["place", "outage_id", "board", "crew", "begins_min"]], on="place", how="left")
    worst_first = work.sort_values(
        ["outage_id", "crew", "begins_min", "board", "severity", "benefit", "connection_id"],
        ascending=[True, True, True, True, False, False, True],
        kind="stable",
    )
    setup = worst_first["board"].map(boards["setup_min"]).to_numpy(dtype=float)
    done = worst_first.groupby(["outage_id", "board"], sort=False)["minutes"].cumsum() - worst_first["minutes"]
    worst_first["start_min"] = worst_first["begins_min"] + setup + done
    order = np.lexsort((items["connection_id"], -items["benefit"], -items["severity"].fillna(0.0)))
    ranked = greedy(problem, order)
    columns = ["outage_id", "crew", "board", "start_min", "connection_id", "action", "section", "severity", "minutes",
               "chance", "benefit", "isolated_by"]  # fmt: skip
    shown = timeline.assign(
        setup_min=timeline["board"].map(boards["setup_min"]),
        restore_min=timeline["board"].map(boards["restore_min"]),
        outage_cost=timeline["board"].map(boards["outage_cost"]),
    ).drop(columns=["outage", "place"])
    return Plan(
        work=worst_first[columns].reset_index(drop=True),
        boards=shown.reset_index(drop=True),
        left=left(stock, problem, solution),
        swaps=swaps(stock, problem, solution),
        now=now,
        outages=outages,
        benefit=solution.benefit,
        bound=solution.bound,
        greedy_benefit=float(problem.benefit[problem.item[ranked]].sum()),
        greedy_worst=int(problem.worst[problem.item[ranked]].sum()),
        worst_done=solution.worst_done,
        status=solution.status,
        limits=limits(problem, solution, outages),
        cut={outage.outage_id: float(1 - share) for outage, share in zip(outages, cut, strict=True) if share < 1},
    )


def one_more_hour(assessment: Assessment, settings: Planning, plan: Plan, **choices: object) -> dict[str, float]:
    """By outage: what the plan would gain with one more hour of one crew; each is solved again."""
    gains = {}
    for outage in plan.outages:
        longer = assessment.tables["outages"].copy()
        mine = longer["outage_id"] == outage.outage_id
        longer.loc[mine, "hours"] = outage.hours + 1.0 / outage.crews
        accepted = {**assessment.tables, "outages": longer}
        tables = dataclasses.replace(assessment.tables, accepted=accepted)
        again = make(dataclasses.replace(assessment, tables=tables, memo={}), settings, **choices)  # type: ignore[arg-type]
        gains[outage.outage_id] = max(0.0, again.benefit - plan.benefit)
    return gains


def as_data(plan: Plan) -> dict[str, object]:
    """The plan for a machine."""

    def rows(frame: pd.DataFrame) -> list[dict[str, object]]:
        return [
            {key: None if not isinstance(value, str) and pd.isna(value) else value for key, value in row.items()}
            for row in frame.to_dict("records")
        ]

    return {
        "do_not_wait": rows(plan.now),
        "work": rows(plan.work),
        "boards": rows(plan.boards),
        "left": rows(plan.left),
        "swaps": rows(plan.swaps),
        "benefit": plan.benefit,
        "bound": plan.bound,
        "gap": plan.gap,
        "status": plan.status,
        "worst_done": plan.worst_done,
        "ranked_list_benefit": plan.greedy_benefit,
        "ranked_list_worst_done": plan.greedy_worst,
        "limits": dict(plan.limits),
        "outages": [
            {
                **dataclasses.asdict(outage),
                "start": str(outage.start.date()),
                "max_remakes": None if np.isinf(outage.max_remakes) else outage.max_remakes,
            }
            for outage in plan.outages
        ],
    }
