"""findings: what the electrician found and did."""

from __future__ import annotations

from dataclasses import replace

from riskscope.schema import common
from riskscope.schema.common import torque
from riskscope.schema.model import Column, Table


def _resistance(name: str, help_: str, *synonyms: str) -> Column:
    return Column(name, "number", help_, quantity="resistance", low=0.0, high=1e6, synonyms=synonyms)


TABLE = Table(
    name="findings",
    title="Findings",
    help="What the electrician found at a connection and did about it.",
    key=("connection_id", "work_date", "work_time"),
    counted=True,
    file_words=("finding",),
    columns=(
        common.CONNECTION_ID,
        common.SITE,
        common.WORK_DATE,
        Column(
            "as_found",
            "choice",
            "How the joint was found.",
            required=True,
            choices={
                "loose": ("moved", "not tight", "below torque"),
                "tight": ("ok", "did not move", "good"),
                "moved at check": ("moved at 90 %", "moved when checked", "moved at torque check"),
                "damaged": ("burnt", "burned", "broken"),
                "discoloured": ("discolored", "blued", "heat marks"),
                "not checked": ("none", "n/c"),
            },
            synonyms=("found", "condition found", "as found condition", "condition"),
        ),
        Column(
            "action",
            "choice",
            "What was done.",
            required=True,
            choices={
                "tightened": ("retightened", "torqued", "re-torqued", "retorqued"),
                "remade": ("re-made", "re-terminated", "reterminated"),
                "replaced": ("renewed", "new part"),
                "none": ("nothing", "no action", "left"),
            },
            synonyms=("done", "work done", "action taken"),
        ),
        common.WORK_TIME,
        torque("as_found_torque", "Torque at which it moved.", "found torque"),
        torque("as_left_torque", "Torque it was left at.", "left torque", "final torque"),
        replace(
            torque(
                "required_torque",
                "Required torque, or a range; where no record says it.",
                "specified torque",
                "torque required",
                kind="range",
            ),
            lenient=True,
        ),
        replace(common.REQUIRED_SOURCE, synonyms=("torque source", "source of value"), lenient=True),
        common.TORQUE_UNIT,
        common.TOOL_ID,
        _resistance("before_uohm", "Joint resistance before.", "resistance before"),
        _resistance("after_uohm", "Joint resistance after.", "resistance after"),
        Column(
            "minutes",
            "number",
            "Minutes it took.",
            quantity="duration",
            low=0.0,
            high=10000.0,
            synonyms=("time taken",),
        ),
        Column("work_order", "text", "Work order.", synonyms=("wo", "work order no", "job no", "job number")),
        Column("deferred_by", "text", "Who put the work off.", synonyms=("put off by",), says_who=True),
        Column(
            "deferred_until", "date", "Day it is put off to.", planned=True, synonyms=("put off until", "deferred to")
        ),
        Column("photo", "file", "Photograph of it.", synonyms=("photograph", "visual image")),
        common.COMMENT,
    ),
)
