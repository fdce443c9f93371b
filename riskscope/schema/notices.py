"""notices: who was told of a joint that must not wait, and how it was made safe."""

from __future__ import annotations

from riskscope.schema import common
from riskscope.schema.model import Column, Table

MADE_SAFE = {
    "load limited": ("limited", "load reduced", "reduced load"),
    "switched off and locked": ("switched off", "locked off", "locked out", "isolated and locked"),
    "lifted": ("restored", "no longer", "unlocked", "limit lifted"),
}
TABLE = Table(
    name="notices",
    title="Told",
    help="Who was told of a joint that must not wait, and whether it was made safe. It counts from its reading on.",
    key=("connection_id", "told_on"),
    counted=True,
    file_words=("notice", "notified"),
    columns=(
        common.CONNECTION_ID,
        common.SITE,
        Column(
            "told_on",
            "date",
            "Day they were told.",
            required=True,
            synonyms=("date", "date told", "notified on", "date notified"),
        ),
        Column(
            "told",
            "text",
            "Who was told.",
            required=True,
            synonyms=("who was told", "notified", "person told", "told to"),
        ),
        Column("by", "text", "Who told them.", required=True, synonyms=("told by", "notified by", "who told")),
        Column(
            "made_safe",
            "choice",
            "How it was made safe, or that this is lifted; empty where it was not.",
            choices=MADE_SAFE,
            synonyms=("made safe by", "measure", "how made safe"),
        ),
        Column(
            "limited_to_a",
            "number",
            "Current the load was limited to.",
            quantity="current",
            low=0.0,
            high=20000.0,
            synonyms=("limited to", "load limit", "limit"),
        ),
        Column("note", "text", "Anything else.", synonyms=("notes", "comment", "remark", "remarks")),
    ),
)
