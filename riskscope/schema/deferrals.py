"""deferrals: who put work off, until when and why."""

from __future__ import annotations

from riskscope.schema import common
from riskscope.schema.model import Column, Table

TABLE = Table(
    name="deferrals",
    title="Put off",
    help="Work that somebody decided to leave for now: who, until when, why. It never makes a joint less urgent.",
    key=("connection_id", "decided_on"),
    counted=True,
    file_words=("deferral", "deferred", "postponed"),
    columns=(
        common.CONNECTION_ID,
        common.SITE,
        Column(
            "decided_on",
            "date",
            "Day it was decided.",
            required=True,
            synonyms=("date", "decision date", "date decided", "put off on", "deferred on"),
        ),
        Column(
            "deferred_by",
            "text",
            "Who decided it.",
            required=True,
            synonyms=("put off by", "decided by", "postponed by", "by", "who"),
        ),
        Column(
            "until",
            "date",
            "Day it is put off to; it counts through that day.",
            required=True,
            planned=True,
            synonyms=("put off until", "deferred until", "deferred to", "postponed to"),
        ),
        Column("reason", "text", "Why it can wait.", required=True, synonyms=("why", "justification"), says_why=True),
        Column("withdrawn", "flag", "Whether this ends what was put off before.", synonyms=("ended", "cancelled")),
        common.COMMENT,
    ),
)
