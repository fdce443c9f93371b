"""The planner's work list: what to do first, with torque, reason and room to write."""

from __future__ import annotations

from riskscope.report.blocks import Block, Document, Heading, Items, NewPage, Show, Signatures, Table, Text
from riskscope.report.documents.parts import (
    AS_FOUND,
    REASON,
    SEVERITY,
    WHERE,
    WORK,
    Subject,
    appendix,
    cautions,
    document,
    every_column,
    noted,
    survey_again,
    urgent,
)
from riskscope.schema import results as schema
from riskscope.words import codes

TORQUE = (Show("required_nm", "required", "torque", 1.0), Show("required_from", "from", "text", 1.1))

RANK, ACTION = Show("rank", "", "count", 0.4), Show("action", "action", "text", 1.1)
LIKELY = Show("likelihood", "likely loose", "text", 1.15)
HOT = (RANK, *WHERE, Show("action", "action", "text", 1.3), LIKELY, SEVERITY, AS_FOUND, *TORQUE, REASON, WORK)
RECORDS = (RANK, *WHERE, Show("record_now", "record", "text", 1.5), *TORQUE, LIKELY, REASON)


def build(subject: Subject) -> Document:
    """Retighten first in its two sections, the other actions, what to survey again."""
    first = subject.results["retighten_first"]
    hot, records = first[first["section"] == "a"], first[first["section"] == "b"]
    actions = subject.results["other_actions"]
    used = [name for name in codes.ACTIONS if name in {*first["action"], *actions["action"]}]
    everything = every_column(schema.RETIGHTEN_FIRST)
    blocks: list[Block] = [
        *urgent(subject),
        cautions(),
        Heading("Retighten first: hot joints and joints found loose"),
        Text(
            "What must not wait first, then by how likely it is loose (high; medium, or that the siblings cannot tell; "
            "low), by severity and by likelihood. What must be remade stands among them, marked.",
            "small",
        ),
        Table(hot, HOT, sheet="retighten first", empty="No hot or loose joint on record.", everything=everything),
        Heading("Records to check when the board is open anyway"),
        Text("A record alone never justifies an outage.", "small"),
        Table(records, RECORDS, sheet="records to check", empty="Every record is good.", everything=everything),
        *noted(subject),
        Heading("Other actions"),
        Table(
            actions,
            [*WHERE, ACTION, SEVERITY, AS_FOUND, REASON, WORK],
            sheet="other actions",
            empty="None.",
            everything=every_column(schema.OTHER_ACTIONS),
        ),
        *survey_again(subject),
        Heading("How each action is done"),
        Items([f"{name[0].upper()}{name[1:]}: {codes.ACTIONS[name]}" for name in used]),
        Text(codes.WHAT_LIKELIHOOD_IS, "small"),
        NewPage(),
        *appendix(subject),
        Signatures(subject.layout.signature_lines),
    ]
    return document(subject, "Work list: electrical connections", blocks)
