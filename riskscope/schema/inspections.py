"""inspections: what was looked at, whether or not anything was written down about it."""

from __future__ import annotations

from riskscope.schema import common
from riskscope.schema.common import required
from riskscope.schema.model import Column, Table

TABLE = Table(
    name="inspections",
    title="Equipment looked at",
    help="What each survey looked at, so that a survey of exceptions is not read as never surveyed.",
    key=("equipment", "survey_date"),
    unique=True,
    file_words=("inspection", "inspected"),
    columns=(
        required(common.EQUIPMENT),
        common.SITE,
        common.SURVEY_DATE,
        Column(
            "result",
            "choice",
            "What could be seen.",
            required=True,
            choices={
                "all seen": ("all", "seen", "complete", "done", "ok"),
                "partly": ("part", "partial", "some"),
                "not accessible": ("no access", "locked", "inaccessible"),
                "not loaded": ("no load", "off", "unloaded"),
            },
            synonyms=("outcome", "seen", "status"),
        ),
        common.SURVEYOR,
        common.COMMENT,
    ),
)
