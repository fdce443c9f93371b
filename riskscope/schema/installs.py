"""installs: one row per tightening, or per fastener of it."""

from __future__ import annotations

from riskscope.schema import common
from riskscope.schema.common import torque
from riskscope.schema.model import Column, Table

CONDUCTOR_MATERIALS = {"copper": ("cu",), "aluminium": ("al", "aluminum")}

TABLE = Table(
    name="installs",
    title="Torque records",
    help="One row for each tightening, or for each fastener of it.",
    key=("connection_id", "work_date", "work_time", "kind", "fastener_no"),
    counted=True,
    file_words=("install", "torque", "torques", "tightening", "tightenings"),
    columns=(
        common.CONNECTION_ID,
        common.SITE,
        common.WORK_DATE,
        common.WORK_TIME,
        torque(
            "required_torque",
            "Torque asked for by the maker, or a range.",
            "required",
            "specified torque",
            "torque required",
            "spec torque",
            "torque spec",
            "nominal torque",
            "torque value",
            kind="range",
        ),
        torque(
            "applied_torque",
            "Torque applied: what the tool was set to or read.",
            "applied",
            "torque applied",
            "actual torque",
            "torque",
            "set torque",
            "torque set",
            "tool setting",
        ),
        common.TORQUE_UNIT,
        common.REQUIRED_SOURCE,
        common.TOOL_ID,
        Column(
            "method",
            "choice",
            "How it was tightened.",
            choices={
                "torque tool": ("torque wrench", "torque screwdriver", "wrench", "tool", "calibrated tool"),
                "shear head": ("shear", "breakaway", "breakaway head", "shear bolt"),
                "by feel": ("feel", "hand", "by hand", "hand tight", "screwdriver"),
                "unknown": ("not known", "?"),
            },
            synonyms=("tightening method", "how"),
        ),
        Column(
            "fastener",
            "text",
            "Kind of screw or bolt, such as slotted, hex head, recessed hex.",
            synonyms=("fastener type", "screw type", "bolt type", "screw"),
        ),
        Column(
            "drive_size",
            "text",
            "Size across the flats, or the slot.",
            synonyms=("drive", "key size", "hex size", "socket size", "across flats"),
        ),
        Column("thread", "text", "Thread, such as M8.", synonyms=("bolt size", "thread size")),
        Column(
            "fastener_no",
            "text",
            "Which fastener of the connection.",
            synonyms=("fastener number", "screw no", "bolt no"),
        ),
        Column(
            "conductor_size",
            "text",
            "Conductor size, such as 2/0 AWG or 70 mm².",
            synonyms=("wire size", "cable size", "conductor", "awg"),
        ),
        Column(
            "conductor_material",
            "choice",
            "Conductor material.",
            choices=CONDUCTOR_MATERIALS,
            synonyms=("material", "wire material"),
            lenient=True,
        ),
        common.TERMINATION_KIND,
        Column(
            "tolerance_pct",
            "number",
            "Tolerance of the required torque, plus or minus.",
            quantity="share",
            low=0.0,
            high=50.0,
            synonyms=("tolerance", "torque tolerance"),
        ),
        Column(
            "installer",
            "text",
            "Who tightened it.",
            synonyms=("installed by", "electrician", "technician", "tightened by", "by"),
        ),
        Column(
            "witness_mark",
            "choice",
            "State of the witness mark.",
            choices={"intact": ("ok", "aligned", "good"), "broken": ("moved", "misaligned"), "none": ("no mark", "no")},
            synonyms=("torque mark", "witness line", "mark"),
        ),
        Column(
            "kind",
            "choice",
            "First installation or rework.",
            choices={
                "install": ("installation", "new", "first"),
                "rework": ("retightened", "re-torque", "retorque", "repair"),
            },
            synonyms=("record kind", "work kind", "type of work"),
        ),
        Column("work_order", "text", "Work order.", synonyms=("wo", "work order no", "job no", "job number")),
        common.COMMENT,
    ),
)
