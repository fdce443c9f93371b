"""thermograms: one row per picture file and how its numbers become temperatures."""

from __future__ import annotations

from riskscope.schema import common
from riskscope.schema.common import required, temperature
from riskscope.schema.model import Column, Table

TABLE = Table(
    name="thermograms",
    title="Thermograms",
    help="One row for each thermogram: open forms only, and how its numbers become temperatures.",
    key=("image",),
    columns=(
        required(common.IMAGE),
        Column(
            "form",
            "choice",
            "Form of the file.",
            required=True,
            choices={
                "matrix": ("csv", "temperature matrix"),
                "counts": ("16-bit", "tiff", "png16"),
                "palette": ("picture", "false colour"),
            },
        ),
        Column(
            "matrix_unit",
            "choice",
            "Unit of a temperature matrix.",
            choices={"°C": ("c",), "°F": ("f",), "K": ("kelvin",)},
        ),
        Column("gain", "number", "Temperature per count."),
        Column("offset", "number", "Temperature at count 0."),
        temperature("scale_min_c", "Lowest temperature of a palette picture's scale."),
        temperature("scale_max_c", "Highest temperature of a palette picture's scale."),
        common.SURVEY_ID,
        common.COMMENT,
    ),
)
