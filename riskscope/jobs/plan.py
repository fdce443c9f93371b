"""plan: what to do in the outages, as data, as lists and as job cards."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import pandas as pd

from riskscope.analysis.assessment import Assessment
from riskscope.jobs.kinds import load
from riskscope.jobs.rank import Progress, Request
from riskscope.jobs.report import render
from riskscope.planning import plan as planning
from riskscope.planning.candidates import PLANNED
from riskscope.planning.plan import Plan
from riskscope.planning.settings import Planning
from riskscope.planning.tools import suitable
from riskscope.report.documents import cards
from riskscope.report.documents.cards import in_order, the_rest
from riskscope.report.documents.parts import day
from riskscope.report.layout import Layout
from riskscope.words.plain import as_csv

FORMATS = ("html", "pdf", "xlsx")
__all__ = [
    "Choices",
    "OutagePlan",
    "documents",
    "files",
    "findings_sheet",
    "in_order",
    "make",
    "outage_rows",
    "sentences",
    "the_rest",
]


@dataclass(frozen=True)
class Choices:
    """What the planner asks for beside the tables."""

    must: tuple[str, ...] = ()
    must_not: tuple[str, ...] = ()
    records_alone: bool = False
    one_more_hour: bool = False
    learned: bool = False


@dataclass(frozen=True)
class OutagePlan:
    """A plan, its work with torques and tools, what one more crew-hour gains."""

    plan: Plan
    work: pd.DataFrame
    gains: dict[str, float]
    planning: Planning
    likelihood: str = "assumed priors"
    elsewhere: int = 0  # rated 3 or 4 or urgent, but nothing to tighten or remake

    def as_data(self) -> dict[str, object]:
        """For a machine."""
        data = planning.as_data(self.plan)
        data["likelihood"] = self.likelihood
        data["gain_of_one_more_crew_hour"] = self.gains
        return data


def make(
    assessment: Assessment, request: Request, choices: Choices, progress: Progress = lambda text: None
) -> OutagePlan:
    """The plan of the outages in the tables.

    Raises
    ------
    UnusableInput
        If there is no outage, or what must be done cannot be.
    """
    settings, _ = load(Planning, request.options, request.home)
    given = {"must": choices.must, "must_not": choices.must_not, "records_alone": choices.records_alone}
    likelihood = "assumed priors"
    if choices.learned:
        from riskscope.jobs.learn import learn

        speaks = learn(assessment, progress).speaks
        rows = assessment.connections.assign(likelihood_loose=speaks.probability(assessment.connections))
        likelihood = speaks.name
        assessment = dataclasses.replace(assessment, connections=rows, likelihood=likelihood, memo={})
    progress("planning the outages")
    made = planning.make(assessment, settings, **given)  # type: ignore[arg-type]
    gains: dict[str, float] = {}
    if choices.one_more_hour:
        progress("planning each outage again with one more crew-hour")
        gains = planning.one_more_hour(assessment, settings, made, **given)
    return OutagePlan(made, _work(made, assessment), gains, settings, likelihood, _elsewhere(assessment.connections))


def _elsewhere(connections: pd.DataFrame) -> int:
    """How many are rated 3 or 4 or urgent and call for something else than work a plan knows."""
    pressing = (connections["severity"] >= 3) | connections["urgency"].isin(["now", "soon"])
    return int((pressing & ~connections["action"].isin(PLANNED)).sum())


def _work(made: Plan, assessment: Assessment) -> pd.DataFrame:
    """The planned work with what a crew must know: torque, its source, tool, bit, materials."""
    about = assessment.connections.set_index("connection_id")
    names = [
        name
        for name in ("site", "required_nm", "required_from", "termination_kind", "conductor_size", "conductor_material")
        if name in about
    ]
    work = made.work.join(about[names], on="connection_id")
    installs = assessment.tables.get("installs", pd.DataFrame())
    if "drive_size" in installs:
        last = (
            installs.dropna(subset=["drive_size"])
            .sort_values("work_date", kind="stable")
            .drop_duplicates("connection_id", keep="last")
            .set_index("connection_id")
        )
        work["drive_size"] = work["connection_id"].map(last["drive_size"])
    else:
        work["drive_size"] = pd.Series(pd.NA, index=work.index, dtype="str")
    starts = {outage.outage_id: outage.start for outage in made.outages}
    days = work["outage_id"].map(starts)
    return work.join(suitable(work["required_nm"], days, work["site"], assessment.tables, assessment.settings))


def outage_rows(tables: Mapping[str, pd.DataFrame]) -> pd.DataFrame:
    """One row an outage: ``outage_id start hours crews isolates``; empty where there is none."""
    table = tables.get("outages")
    rows = (
        []
        if table is None or table.empty
        else [
            (outage.outage_id, outage.start, outage.hours, outage.crews, ", ".join(outage.equipment))
            for outage in planning.outages_of(table)
        ]
    )
    return pd.DataFrame(rows, columns=["outage_id", "start", "hours", "crews", "isolates"])


def sentences(planned: OutagePlan) -> list[str]:
    """How good the plan is and what binds it, in words."""
    plan = planned.plan
    lines = [
        f"The plan is {plan.status}: at most {100 * plan.gap:.1f} % below the best there can be.",
        f"It does {plan.worst_done} of the worst severity; the plain ranked list cut "
        f"at the same hours does {plan.greedy_worst}, "
        f"with {_share(plan.greedy_benefit, plan.benefit)} of its benefit.",
        "Benefit is chance of cure × severity weight × criticality ÷ 3: assumptions, settings of the plan; "
        f"likelihoods by {planned.likelihood}.",
    ]
    if planned.elsewhere:
        lines.append(
            f"Rated 3 or 4, or urgent, and in no plan because they call for something else than tightening or remaking "
            f"(inspect, check load or circuit, survey again): {planned.elsewhere:,}. See the list of other actions."
        )
    lines += [f"{name}: {words}." for name, words in plan.limits.items()]
    lines += [
        f"{name}: {100 * share:.0f} % of the hours left free so that each crew's boards fit one after the other."
        for name, share in plan.cut.items()
    ]
    lines += [
        f"{name}: one more crew-hour gains {100 * gain / max(plan.benefit, 1e-9):.1f} % benefit."
        for name, gain in planned.gains.items()
    ]
    costs = plan.boards["outage_cost"].dropna() if len(plan.boards) else pd.Series(dtype=float)
    if len(costs):
        lines.append(
            f"Boards opened cost {costs.sum():,.0f} by the register's outage costs: "
            "an assumption, not part of the choice."
        )
    return lines


def _share(part: float, whole: float) -> str:
    return "all" if whole <= 0 or part >= whole - 1e-9 else f"{100 * part / whole:.0f} %"


def documents(
    planned: OutagePlan,
    assessment: Assessment,
    request: Request,
    formats: Sequence[str] = FORMATS,
    progress: Progress = lambda text: None,
) -> dict[str, bytes]:
    """The plan with its job cards, in each format."""
    layout, _ = load(Layout, request.options, request.home)
    plan = planned.plan
    about = {
        "sentences": sentences(planned),
        "materials": cards.materials(planned.work),
        "starts": {outage.outage_id: day(outage.start) for outage in plan.outages},
        "subtitle": "; ".join(
            f"{outage.outage_id}: {day(outage.start)}, {outage.hours:g} h, {outage.crews} crews"
            for outage in plan.outages
        ),
    }
    made = cards.build(plan, planned.work, about, layout, request.units, day(assessment.on))
    return render(made, formats, progress)


def files(
    planned: OutagePlan, assessment: Assessment, request: Request, out: Path, progress: Progress = lambda text: None
) -> dict[Path, bytes]:
    """Everything `riskscope plan --out` writes, by its path."""
    made = {
        out / f"job_cards.{form}": data
        for form, data in documents(planned, assessment, request, progress=progress).items()
    }
    made[out / "plan.csv"] = as_csv(planned.work)
    made[out / "not_planned.csv"] = as_csv(planned.plan.left)
    made[out / "plan.json"] = (json.dumps(planned.as_data(), ensure_ascii=False, indent=2, default=str) + "\n").encode(
        "utf-8"
    )
    made[out / "findings_sheet.xlsx"] = findings_sheet(planned)
    return made


def findings_sheet(planned: OutagePlan) -> bytes:
    """A findings sheet with the planned connections, for the crews to fill in."""
    starts = {outage.outage_id: outage.start for outage in planned.plan.outages}
    return cards.findings_sheet(planned.work, starts)
