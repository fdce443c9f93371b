"""outages: one row per equipment isolated in an outage."""

from __future__ import annotations

from riskscope.schema import common
from riskscope.schema.common import required
from riskscope.schema.model import Column, Table


def _count(name: str, help_: str, low: float, *synonyms: str) -> Column:
    return Column(name, "integer", help_, low=low, high=10000.0, synonyms=synonyms)


TABLE = Table(
    name="outages",
    title="Outages to come",
    help="One row for each equipment to be isolated in each outage.",
    key=("outage_id", "equipment"),
    unique=True,
    file_words=("outage", "shutdown", "shutdowns"),
    columns=(
        Column(
            "outage_id",
            "id",
            "Name of the outage.",
            required=True,
            synonyms=("outage", "outage name", "shutdown"),
            of_site=True,
        ),
        Column(
            "start",
            "date",
            "First day of the outage.",
            required=True,
            planned=True,
            synonyms=("date", "start date", "from"),
        ),
        Column(
            "hours",
            "number",
            "Hours it lasts.",
            quantity="hours",
            required=True,
            low=0.0,
            open_low=True,
            high=1000.0,
            synonyms=("duration", "length"),
        ),
        required(common.EQUIPMENT),
        common.SITE,
        _count("crews", "Crews at work.", 1.0, "teams"),
        _count("crews_per_board", "Crews that can work at one board.", 1.0, "teams per board"),
        _count("max_remakes", "Most remakes that can be done.", 0.0),
        Column("skills", "text", "Skills on hand."),
    ),
)
