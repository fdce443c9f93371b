"""connections: the register of what there is."""

from __future__ import annotations

from riskscope.schema import common
from riskscope.schema.installs import CONDUCTOR_MATERIALS
from riskscope.schema.model import Column, Table

TABLE = Table(
    name="connections",
    title="Register of connections",
    help="One row for each connection there is, surveyed or not.",
    key=("connection_id",),
    unique=True,
    file_words=("register", "connection"),
    columns=(
        common.CONNECTION_ID,
        common.SITE,
        common.EQUIPMENT,
        common.CIRCUIT,
        common.DEVICE,
        common.SIDE,
        common.PHASE,
        common.GROUP,
        common.POINT,
        common.TERMINATION_KIND,
        common.RATED_A,
        Column(
            "limit_c",
            "number",
            "Highest temperature allowed.",
            quantity="temperature",
            low=45.0,
            open_low=True,
            high=500.0,
            synonyms=("temperature limit", "limit", "max allowed temperature"),
        ),
        Column(
            "limit_class",
            "text",
            "Class in the table of temperature limits, such as ul489.",
            synonyms=("class", "temperature class"),
        ),
        Column(
            "criticality",
            "integer",
            "How much it matters: 1 least, 5 most.",
            low=1.0,
            high=5.0,
            synonyms=("importance", "critical"),
        ),
        Column("conductor_size", "text", "Conductor size.", synonyms=("wire size", "cable size")),
        Column(
            "conductor_material",
            "choice",
            "Conductor material.",
            choices=CONDUCTOR_MATERIALS,
            synonyms=("material",),
            lenient=True,
        ),
        Column("plating", "text", "Plating, such as tin, silver or bare."),
        Column(
            "regime",
            "choice",
            "Which family of standards applies.",
            choices={"US": ("usa", "nec"), "IEC": ("eu", "international")},
            lenient=True,
        ),
        common.ISOLATED_BY,
        Column(
            "retighten_allowed",
            "flag",
            "Whether the maker allows tightening again.",
            synonyms=("retightening allowed", "may be retightened"),
        ),
        Column(
            "minutes",
            "number",
            "Minutes its work takes.",
            quantity="duration",
            low=0.0,
            high=10000.0,
            synonyms=("work minutes", "time needed"),
        ),
        common.VOLTAGE,
        common.LOCATION,
        Column(
            "was_id",
            "id",
            "The name it had before: its history is kept.",
            synonyms=("former id", "old id", "previous id", "formerly", "old name"),
            names="connection_id",
            of_site=True,
        ),
        Column(
            "retired_on",
            "date",
            "Day it was taken out of use.",
            synonyms=("retired", "removed on", "taken out of use", "decommissioned", "decommissioned on"),
        ),
        Column(
            "retired_by",
            "text",
            "Who said that it is out of use.",
            synonyms=("removed by", "decommissioned by"),
            says_who=True,
        ),
    ),
)
