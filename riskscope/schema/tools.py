"""tools: one row per calibration of a torque tool."""

from __future__ import annotations

from dataclasses import replace

from riskscope.schema import common
from riskscope.schema.common import required, torque
from riskscope.schema.model import Column, Table

TABLE = Table(
    name="tools",
    title="Torque tools",
    help="One row for each calibration of each torque tool.",
    key=("tool_id", "calibrated_on"),
    serves_all=True,
    unique=True,
    file_words=("tool", "calibration", "calibrations", "wrenches"),
    columns=(
        replace(required(common.TOOL_ID), names=""),
        common.SITE,
        torque("range_min", "Lowest marked torque.", "minimum", "min torque", "range from", "lowest torque", "min"),
        torque(
            "range_max",
            "Highest marked torque.",
            "maximum",
            "max torque",
            "range to",
            "capacity",
            "highest torque",
            "max",
        ),
        common.TORQUE_UNIT,
        Column(
            "calibrated_on",
            "date",
            "Day of the calibration.",
            synonyms=("calibrated", "calibration date", "cal date", "date calibrated", "last calibration"),
        ),
        Column(
            "calibration_due",
            "date",
            "Day the next calibration is due.",
            planned=True,
            synonyms=("due", "cal due", "next calibration", "due date", "calibration due date", "valid until"),
        ),
        Column(
            "found_out_of_tolerance_on",
            "date",
            "Day it was found out of tolerance.",
            synonyms=("out of tolerance", "found out of tolerance", "failed on", "out of tolerance on"),
        ),
        Column(
            "accuracy_pct",
            "number",
            "Accuracy of reading, plus or minus.",
            quantity="share",
            low=0.0,
            high=50.0,
            synonyms=("accuracy", "tool accuracy"),
        ),
    ),
)
