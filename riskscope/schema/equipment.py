"""equipment: one row per board or other equipment."""

from __future__ import annotations

from riskscope.schema import common
from riskscope.schema.common import required
from riskscope.schema.model import Column, Table

TABLE = Table(
    name="equipment",
    title="Equipment",
    help="One row for each board, panel or other equipment.",
    key=("equipment",),
    unique=True,
    columns=(
        required(common.EQUIPMENT),
        common.SITE,
        common.ISOLATED_BY,
        Column(
            "setup_min",
            "number",
            "Minutes to isolate, lock and prove it dead.",
            quantity="duration",
            low=0.0,
            high=10000.0,
            synonyms=("set up", "setup", "setup minutes"),
        ),
        Column(
            "restore_min",
            "number",
            "Minutes to restore it.",
            quantity="duration",
            low=0.0,
            high=10000.0,
            synonyms=("restore", "restore minutes"),
        ),
        Column(
            "equipment_condition",
            "integer",
            "Physical condition: 1 good, 3 poor.",
            low=1.0,
            high=3.0,
            synonyms=("condition", "physical condition"),
        ),
        Column("outage_cost", "number", "Cost of an outage of it.", low=0.0, high=1e12, synonyms=("cost of outage",)),
        common.LOCATION,
        common.VOLTAGE,
    ),
)
