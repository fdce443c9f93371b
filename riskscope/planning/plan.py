"""The plan of one or several outages: what to do where, who does it, what did not fit and why."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from riskscope.errors import UnusableInput, nearest
from riskscope.planning import candidates as find
from riskscope.planning.programme import Problem, Solution, greedy, solve
from riskscope.planning.settings import Planning

FITS_AGAIN = 6  # times the hours are cut until each crew's boards fit one after the other
MEDIUM_VOLTAGE_V = 1000.0
SKILL_MV = "medium voltage"
SWAPS = 3


@dataclass(frozen=True)
class Outage:
    """One outage: its hours, crews, limits and the boards that are isolated."""

    outage_id: str
    start: pd.Timestamp
    hours: float
    crews: int
    crews_per_board: int
    max_remakes: float
    skills: str
    equipment: tuple[str, ...]


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


def outages_of(table: pd.DataFrame) -> tuple[Outage, ...]:
    """The outages of a checked table, by id; missing crews, crews per board are 1.

    Raises
    ------
    UnusableInput
        If the rows of one outage contradict each other, or an outage has no hours.
    """
    made = []
    for name, rows in table.groupby("outage_id", sort=True):
        values: dict[str, Any] = {}
        for column, default in (
            ("start", None),
            ("hours", None),
            ("crews", 1.0),
            ("crews_per_board", 1.0),
            ("max_remakes", np.inf),
            ("skills", ""),
        ):
            given = rows[column].dropna().unique() if column in rows else []
            if len(given) > 1:
                raise UnusableInput(f"outage {name}: {column} is not the same in all its rows.")
            values[column] = given[0] if len(given) else default
        if not values["hours"] > 0:
            raise UnusableInput(f"outage {name} lasts {values['hours']:g} h: nothing fits.")
        if not values["crews"] >= 1:
            raise UnusableInput(f"outage {name} has no crew: nothing can be done.")
        made.append(
            Outage(
                str(name),
                pd.Timestamp(values["start"]),
                float(values["hours"]),
                int(values["crews"]),
                max(1, int(values["crews_per_board"])),
                float(values["max_remakes"]),
                str(values["skills"]),
                tuple(dict.fromkeys(rows["equipment"].dropna().astype("str"))),
            )
        )
    if not made:
        raise UnusableInput(
            "there is no outage to plan.", hint="The table outages needs a row for each board that is isolated."
        )
    return tuple(made)


def make(
    found: pd.DataFrame,
    tables: Mapping[str, pd.DataFrame],
    settings: Planning,
    *,
    must: Sequence[str] = (),
    must_not: Sequence[str] = (),
    records_alone: bool = False,
) -> Plan:
    """The plan of all outages in the table ``outages``.

    Parameters
    ----------
    found : DataFrame
        From `riskscope.assess`.
    tables : mapping
        The same tables; `outages` is needed.
    must, must_not : sequence of str
        Connections that have to be in the plan, or may not.
    records_alone : bool
        Whether a board may be opened for records alone.

    Raises
    ------
    UnusableInput
        If there is no outage, or what must be done cannot be: which limit, in words.
    """
    if "outages" not in tables:
        raise UnusableInput(
            "there is no table outages: nothing to plan.", hint="It needs outage_id, start, hours and equipment."
        )
    outages = outages_of(tables["outages"])
    items, barred = find.candidates(found, tables, settings, must_not)
    known = items["connection_id"].str.casefold()
    for name in must:
        if name.casefold() not in set(known):
            why = barred.loc[barred["connection_id"].str.casefold() == name.casefold(), "why"]
            reason = why.iloc[0] if len(why) else "it needs no work with an outage"
            raise UnusableInput(
                f"{name} must be done, but cannot be planned: {reason}.",
                hint=nearest(name, items["connection_id"].tolist()),
            )
    required = known.isin({name.casefold() for name in must}).to_numpy(dtype=bool)
    pairs = _pairs(items, outages)
    boards = find.boards(tables, sorted(items["equipment"].unique()), settings)
    cut = np.ones(len(outages))
    for _ in range(FITS_AGAIN):
        problem, board_names = _problem(items, pairs, outages, boards, required, settings, cut, records_alone)
        solution = solve(problem, settings)
        if solution.status == "infeasible":
            raise UnusableInput(_why_infeasible(items, pairs, outages, boards, required, settings))
        timeline = _timeline(problem, solution, board_names, outages)
        late = _late(timeline, outages)
        if not late.any():
            break
        cut = np.where(late, cut * 0.93, cut)
    return _plan(found, items, barred, pairs, outages, boards, problem, solution, timeline, board_names, cut, settings)


def _pairs(items: pd.DataFrame, outages: Sequence[Outage]) -> pd.DataFrame:
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


def _problem(
    items: pd.DataFrame,
    pairs: pd.DataFrame,
    outages: Sequence[Outage],
    boards: pd.DataFrame,
    required: np.ndarray,
    settings: Planning,
    cut: np.ndarray,
    records_alone: bool,
) -> tuple[Problem, list[tuple[str, int]]]:
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
        must=required,
        board_outage=outage_of,
        overhead=overhead,
        board_minutes=left,
        crew_minutes=60.0 * hours * crews * settings.crew_use * cut,
        remakes=np.array([outage.max_remakes for outage in outages]),
        records_alone=records_alone,
    )
    return problem, board_names


def _timeline(
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


def _late(timeline: pd.DataFrame, outages: Sequence[Outage]) -> np.ndarray:
    """Outages in which a crew would need longer than there is."""
    ends = timeline.groupby("outage")["ends_min"].max()
    return np.array([ends.get(number, 0.0) > 60.0 * outage.hours + 1e-6 for number, outage in enumerate(outages)])


def _why_infeasible(
    items: pd.DataFrame,
    pairs: pd.DataFrame,
    outages: Sequence[Outage],
    boards: pd.DataFrame,
    required: np.ndarray,
    settings: Planning,
) -> str:
    """Which limit what must be done breaks, in words."""
    for item in np.flatnonzero(required):
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
    remakes = int((required & (items["action"] == "remake").to_numpy()).sum())
    allowed = sum(outage.max_remakes for outage in outages)
    if limited and remakes > allowed:
        return f"{remakes} remakes must be done, but the outages allow {allowed:.0f} (max_remakes)."
    return "What must be done does not fit into the crews' hours: ask for less, or give more hours or crews."


def _plan(
    found: pd.DataFrame,
    items: pd.DataFrame,
    barred: pd.DataFrame,
    pairs: pd.DataFrame,
    outages: Sequence[Outage],
    boards: pd.DataFrame,
    problem: Problem,
    solution: Solution,
    timeline: pd.DataFrame,
    board_names: Sequence[tuple[str, int]],
    cut: np.ndarray,
    settings: Planning,
) -> Plan:
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
    left = _left(items, barred, pairs, problem, solution, outages)
    now = found[found["urgency"] == "now"][["connection_id", "equipment", "action", "severity", "severity_as_found"]]
    return Plan(
        work=worst_first[columns].reset_index(drop=True),
        boards=shown.reset_index(drop=True),
        left=left,
        swaps=_swaps(items, pairs, problem, solution, outages),
        now=now.reset_index(drop=True),
        outages=tuple(outages),
        benefit=solution.benefit,
        bound=solution.bound,
        greedy_benefit=float(problem.benefit[problem.item[ranked]].sum()),
        greedy_worst=int(problem.worst[problem.item[ranked]].sum()),
        worst_done=solution.worst_done,
        status=solution.status,
        limits=_limits(problem, solution, outages),
        cut={outage.outage_id: float(1 - share) for outage, share in zip(outages, cut, strict=True) if share < 1},
    )


def _limits(problem: Problem, solution: Solution, outages: Sequence[Outage]) -> dict[str, str]:
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


def _left(
    items: pd.DataFrame,
    barred: pd.DataFrame,
    pairs: pd.DataFrame,
    problem: Problem,
    solution: Solution,
    outages: Sequence[Outage],
) -> pd.DataFrame:
    """What is not in the plan, each with its reason."""
    planned = np.isin(np.arange(len(items)), problem.item[solution.chosen])
    reachable = np.isin(np.arange(len(items)), pairs["item"])
    opened = {(problem.board[pair]) for pair in np.flatnonzero(solution.chosen)}
    has_open = np.zeros(len(items), bool)
    for pair in range(len(problem.item)):
        has_open[problem.item[pair]] |= problem.board[pair] in opened
    offered = {name.casefold() for outage in outages for name in outage.equipment}
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
    both = pd.concat([rest, barred.assign(benefit=np.nan)], ignore_index=True)
    return both.sort_values(
        ["severity", "benefit", "connection_id"], ascending=[False, False, True], kind="stable", na_position="last"
    ).reset_index(drop=True)


def _swaps(
    items: pd.DataFrame, pairs: pd.DataFrame, problem: Problem, solution: Solution, outages: Sequence[Outage]
) -> pd.DataFrame:
    """The three exchanges of one for one that would cost the plan least."""
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
                        outages[problem.outage[pair]].outage_id,
                        float(losses[best]),
                    )
                )
    frame = pd.DataFrame(rows, columns=["connection_id", "instead_of", "outage_id", "loses"])
    return frame.sort_values(["loses", "connection_id"], kind="stable").head(SWAPS).reset_index(drop=True)


def one_more_hour(
    found: pd.DataFrame, tables: Mapping[str, pd.DataFrame], settings: Planning, plan: Plan, **choices: object
) -> dict[str, float]:
    """By outage: what the plan would gain with one more hour of one crew; each is solved again."""
    gains = {}
    for outage in plan.outages:
        longer = tables["outages"].copy()
        mine = longer["outage_id"] == outage.outage_id
        longer.loc[mine, "hours"] = outage.hours + 1.0 / outage.crews
        again = make(found, {**tables, "outages": longer}, settings, **choices)  # type: ignore[arg-type]
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
