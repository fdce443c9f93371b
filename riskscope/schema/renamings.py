"""renamings: connections that were renamed, or two names that turned out to be one connection."""

from __future__ import annotations

from riskscope.schema import common
from riskscope.schema.model import Column, Table

TABLE = Table(
    name="renamings",
    title="Renamings",
    help="A connection that has another name now, or two names of one connection: what is known of either is of it.",
    key=("connection_id", "was_id", "renamed_on"),
    counted=True,
    file_words=("renaming", "renamed"),
    columns=(
        common.CONNECTION_ID,
        common.SITE,
        Column(
            "was_id",
            "id",
            "The name that is used no longer.",
            required=True,
            synonyms=("former id", "old id", "previous id", "formerly", "old name"),
            names="connection_id",
            of_site=True,
        ),
        Column(
            "renamed_on", "date", "Day it was decided.", required=True, synonyms=("date", "date renamed", "changed on")
        ),
        Column("renamed_by", "text", "Who decided it.", required=True, synonyms=("by", "who", "changed by")),
        Column(
            "reason",
            "text",
            "Why it is one connection.",
            required=True,
            synonyms=("why", "justification"),
            says_why=True,
        ),
        common.COMMENT,
    ),
)
