"""Job cards of an outage plan: one a board, in order of the work, with room to write."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd

from riskscope.planning.plan import Plan
from riskscope.report import charts
from riskscope.report.blocks import Block, Caution, Document, Facts, Figures, Heading, Items, NewPage, Show, Table, Text
from riskscope.report.documents.templates import template
from riskscope.report.layout import Layout
from riskscope.schema import TABLES
from riskscope.units import from_inside
from riskscope.words.render import Units, number

CAUTIONS = (
    "Other sources of supply are possible. The person in charge writes the isolation points here, isolates, locks and "
    "tags, and the absence of voltage is verified with a tester proven before and after.",
    "Qualified persons only. Opening covers exposes people to arc flash: wear what the site's rules ask for.",
    "The maker's instructions and the local code govern every torque and procedure. With oxide, discolouration, a "
    "damaged strand or thread, or heat-damaged aluminium: remake, do not tighten.",
    "Check torque: apply 90 % of the required torque. If it moves, it was loose. If it does not, turn no further.",
)  # fmt: skip
BLANK = "________"
MOST_LEFT = 200


def build(
    plan: Plan, work: pd.DataFrame, about: Mapping[str, Any], layout: Layout, units: Units, as_of: str
) -> Document:
    """The plan and its job cards.

    Parameters
    ----------
    work : DataFrame
        Planned work with `required_nm`, `required_from`, `tool_id`, `tool_unit`, `drive_size`.
    about : mapping
        ``sentences materials starts subtitle`` of the plan, in words or numbers.
    """
    drawn = charts.timeline(plan.boards)
    blocks: list[Block] = [
        Figures(
            [
                (f"{len(work):,}", "pieces of work planned"),
                (f"{plan.boards['board'].nunique():,}", "boards opened"),
                (f"{len(plan.left):,}", "not planned"),
                (f"{100 * plan.gap:.1f} %", "below the best possible at most"),
            ]
        ),
        Heading("Do not wait"),
        *_urgent(plan.now),
        Caution(CAUTIONS),
        Heading("The plan"),
        Items(about["sentences"]),
        Table(plan.boards, BOARDS, sheet="boards", empty="No board is opened."),
        *([drawn] if drawn else []),
        Heading("What is not in the plan, and why"),
        *not_planned(plan.left),
        *_come_next(plan.swaps),
        *_materials(about["materials"]),
    ]
    for (outage, board), part in work.groupby(["outage_id", "board"], sort=False):
        blocks += card(str(outage), str(board), part, plan.boards, about, units)
    blocks.append(_sheet(work, units))
    return Document(
        title="Outage plan and job cards",
        subtitle=about["subtitle"],
        blocks=blocks,
        units=units,
        organisation=layout.organisation,
        number=layout.report_number,
        paper=layout.paper,
        day=as_of,
        foot=f"As of {as_of}. The plan orders work; it does not make work safe.",
    )


BOARDS = (
    Show("outage_id", "outage"),
    Show("crew", "crew", "count", 0.5),
    Show("board", "board"),
    Show("begins_min", "from minute", "count"),
    Show("ends_min", "to minute", "count"),
    Show("joints", "joints", "count", 0.6),
)
NOW = (
    Show("connection_id", "connection", "text", 1.5),
    Show("equipment", "board"),
    Show("severity_as_found", "as found", "severity", 0.8),
    Show("action", "action"),
    Show("made_safe", "made safe: do not restore"),
)
NEXT = (
    Show("connection_id", "connection", "text", 1.5),
    Show("instead_of", "instead of", "text", 1.5),
    Show("outage_id", "outage"),
)


def _urgent(now: pd.DataFrame) -> list[Block]:
    if now.empty:
        return [Text("No connection is known that must be dealt with today.")]
    words = "These must be dealt with before any outage: tell the responsible person today."
    return [Text(words, "strong"), Table(now, NOW, sheet="do not wait")]


def _come_next(swaps: pd.DataFrame) -> list[Block]:
    return [Heading("What would come next", 2), Table(swaps, NEXT)] if len(swaps) else []


def _materials(materials: pd.DataFrame) -> list[Block]:
    if materials.empty:
        return []
    columns = [Show("what", "for", "text", 3), Show("count", "remakes", "count")]
    return [Heading("Materials for remakes"), Table(materials, columns, sheet="materials")]


def in_order(left: pd.DataFrame) -> tuple[pd.DataFrame, int]:
    """What is not planned as people read it, and how many rows of it are shown.

    What is urgent, rated 3 or 4, or to be worked on and not rated 2 stands first and is never cut. Then come the
    joints rated 2, found loose or not, and the torque records to check, as many as make `MOST_LEFT` rows in all.
    """
    record, rated_2 = left["action"] == "check torque", left["severity"] == 2
    waits = (record | rated_2) & ~left["urgency"].isin(["now", "soon"])
    parts = [left[~waits], left[waits & ~record], left[waits & record]]
    return pd.concat(parts, ignore_index=True), max(MOST_LEFT, int((~waits).sum()))


def the_rest(left: pd.DataFrame, shown: int) -> str:
    """What a list in this order leaves out, in words; nothing where it is whole."""
    rest = left.iloc[shown:]
    if rest.empty:
        return ""
    records = int((rest["action"] == "check torque").sum())
    return (
        f"{shown:,} of {len(left):,} that are not planned are listed here, among "
        "them all that is urgent or rated 3 or 4. "
        f"Not listed here: {len(rest) - records:,} joints rated 2 and {records:,} "
        "torque records to check. Some of those rated 2 may "
        "have been found loose. Sheet “not planned” of job_cards.xlsx lists every one."
    )


def not_planned(left: pd.DataFrame) -> list[Block]:
    """What is not in the plan and why; of a long list first how much of it is shown."""
    ordered, shown = in_order(left)
    words = the_rest(left, shown)
    return [
        *([Text(words)] if words else []),
        Table(
            ordered,
            [
                Show("connection_id", "connection", "text", 1.5),
                Show("equipment", "board"),
                Show("action", "action"),
                Show("severity", "at full load", "severity", 0.8),
                Show("urgency", "urgency"),
                Show("why", "why", "text", 3),
            ],
            sheet="not planned",
            empty="Everything fits.",
            most=shown,
        ),
    ]


def card(
    outage: str, board: str, part: pd.DataFrame, boards: pd.DataFrame, about: Mapping[str, Any], units: Units
) -> list[Block]:
    """One board in one outage."""
    row = boards[(boards["outage_id"] == outage) & (boards["board"] == board)].iloc[0]
    shown = part.assign(
        torque=torques(part, units),
        order=range(1, len(part) + 1),
        as_found=BLANK,
        as_left=BLANK,
        source=part["required_from"].fillna("see the label or the maker's instructions"),
        tool=part["tool_id"].fillna("no suitable tool on record"),
        conductor=conductors(part),
    )
    is_known = shown["conductor"].ne("").any()
    return [
        NewPage(),
        Heading(f"Job card: {board}, {outage}"),
        Facts(
            [
                ("crew", f"{row['crew']:.0f}"),
                ("outage begins", about["starts"].get(outage, "")),
                ("board planned", f"from minute {row['begins_min']:.0f} to minute {row['ends_min']:.0f}"),
                ("isolation points", f"{BLANK * 3} (written by the person in charge)"),
                ("permit no.", BLANK * 2),
                ("person in charge", BLANK * 2),
            ]
        ),
        Caution(CAUTIONS),
        Table(
            shown,
            [
                Show("order", "", "count", 0.35),
                Show("connection_id", "connection", "text", 1.5),
                *([Show("conductor", "conductor", "text", 0.9)] if is_known else []),
                Show("action", "do", "text", 1.0),
                Show("torque", "torque", "text", 1.0),
                Show("source", "from", "text", 1.2),
                Show("tool", "tool", "text", 1.0),
                Show("drive_size", "bit", "text", 0.8),
                Show("as_found", "as found", "text", 0.8),
                Show("as_left", "as left", "text", 0.8),
            ],
        ),
    ]


def conductors(part: pd.DataFrame) -> pd.Series:
    """Size and material of the conductor of each row, as recorded; empty where neither is."""
    size, material = (part[name].astype("str").fillna("") for name in ("conductor_size", "conductor_material"))
    return (size + " " + material).str.strip()


def torques(part: pd.DataFrame, units: Units) -> list[str]:
    """The torque of each row in its tool's unit, else the reader's; 90 % of it for a check."""
    texts = []
    for torque, unit, action in zip(part["required_nm"], part["tool_unit"], part["action"], strict=True):
        shown = unit if isinstance(unit, str) else units.torque
        value = torque * (0.9 if action == "check torque" else 1.0)
        if pd.isna(torque):
            texts.append("not on record")
        elif action == "remake":
            texts.append(f"{number([from_inside(torque, 'torque', shown)], 1)[0]} {shown} when made")
        else:
            words = " (90 %)" if action == "check torque" else ""
            texts.append(f"{number([from_inside(value, 'torque', shown)], 1)[0]} {shown}{words}")
    return texts


def _sheet(work: pd.DataFrame, units: Units) -> Table:
    """The whole plan as one sheet, to load as work orders elsewhere."""
    columns = [
        Show("outage_id", "outage"),
        Show("crew", "crew", "number"),
        Show("site", "site"),
        Show("board", "board"),
        Show("start_min", "start minute", "number"),
        Show("connection_id", "connection", "text", 1.5),
        Show("action", "action"),
        Show("severity", "severity", "severity"),
        Show("minutes", "minutes", "number"),
        Show("required_nm", "required torque", "torque"),
        Show("required_from", "torque from"),
        Show("tool_id", "tool"),
        Show("isolated_by", "isolated by"),
    ]
    return Table(work, columns, sheet="work orders", most=0)


def materials(work: pd.DataFrame) -> pd.DataFrame:
    """What the remakes of a plan need, counted by conductor and kind of termination."""
    remakes = work[work["action"] == "remake"]
    known = ("termination_kind", "conductor_size", "conductor_material")
    names = [name for name in known if name in remakes and remakes[name].notna().any()]
    words = (
        remakes[names].astype("str").fillna("not recorded").agg(", ".join, axis=1)
        if len(remakes) and names
        else pd.Series([], dtype="str")
    )
    words = words.replace("nan", "not recorded")
    counts = words.value_counts().sort_index()
    return pd.DataFrame({"what": counts.index.astype("str"), "count": counts.to_numpy()})


def findings_sheet(work: pd.DataFrame, starts: Mapping[str, pd.Timestamp]) -> bytes:
    """A findings sheet with the planned connections, for the crew to fill in."""
    rows = pd.DataFrame(
        {
            "connection_id": work["connection_id"],
            "site": work["site"],
            "work_date": work["outage_id"].map(starts),
            "tool_id": work["tool_id"],
            "work_order": work["outage_id"],
        }
    )
    return template(TABLES["findings"], rows)
