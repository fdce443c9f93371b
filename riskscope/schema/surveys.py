"""surveys: one row per survey, its instrument and conditions."""

from __future__ import annotations

from riskscope.schema import common
from riskscope.schema.common import required, temperature
from riskscope.schema.model import Column, Table

TABLE = Table(
    name="surveys",
    title="Surveys",
    help="One row for each survey: who, when, with what instrument, in what conditions.",
    key=("survey_id",),
    serves_all=True,
    unique=True,
    columns=(
        required(common.SURVEY_ID),
        common.SITE,
        Column("started", "date", "First day.", synonyms=("start", "start date", "from")),
        Column("ended", "date", "Last day.", synonyms=("end", "end date", "to")),
        common.SURVEYOR,
        Column("instrument", "text", "Instrument used.", synonyms=("camera", "imager")),
        Column(
            "instrument_calibrated_on",
            "date",
            "Day the instrument was last calibrated.",
            synonyms=("camera calibrated", "camera calibration date", "instrument calibration date"),
        ),
        Column("weather", "text", "Weather, for what stands outdoors."),
        temperature("indoor_c", "Air temperature indoors.", "indoor temperature"),
        Column(
            "areas_not_accessible",
            "text",
            "What could not be looked at.",
            synonyms=("not accessible", "areas not inspected"),
        ),
        common.COMMENT,
    ),
)
