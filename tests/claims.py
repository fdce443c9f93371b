"""Every number a page or a report says of how many there are, against the list behind it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

import pandas as pd

from riskscope.analysis.assessment import Assessment
from riskscope.report.blocks import Block, Caution, Chart, Facts, Figures, Heading, Items, Text
from riskscope.report.charts import MOST_TOLD
from riskscope.results import years
from riskscope.results.tables import results
from riskscope.schema.codes import STATES, WORK_STATES
from riskscope.words.render import Units

# A number that counts: what follows it is one of these.
COUNTED = (
    "connections?",
    "joints?",
    "readings?",
    "findings?",
    "deferrals?",
    "(?:more )?boards?",
    "pieces of work",
    "(?:torque )?records?",
    "must",
    "rated",
    "read",
    "never read",
    "not rated",
    "not planned",
    "due",
    "open",
    "are",
    "is",
    "have",
    "has",
    "more",
    r"of \d[\d,]*",
    "of them",
    "files?",
    *STATES,
    *WORK_STATES,
)
COUNT = re.compile(rf"(?<![\w.,°:/(-])(?<!to )(?<!page )\d+(?:,\d{{3}})*(?= (?:{'|'.join(COUNTED)})\b)")


def unchecked(text: str, assessment: Assessment) -> list[str]:
    """Numbers of a text that count something and are not what the lists hold, each with the words around it."""
    known = assessment.remember("claims", lambda: phrases(assessment))
    for phrase in sorted(known, key=len, reverse=True):
        text = re.sub(rf"(?<![\d,.]){re.escape(phrase)}\b", "", text)
    return [text[max(0, match.start() - 40) : match.end() + 60] for match in COUNT.finditer(text)]


def phrases(assessment: Assessment) -> list[str]:
    """What may be said, with the numbers the lists hold."""
    lists = results(assessment, Units()).tables
    rows, ranking = assessment.connections, lists["ranking"]
    every, read, unread = len(rows), len(ranking), len(lists["not_surveyed"])
    now = int((rows["urgency"] == "now").sum())
    rated = {n: int((ranking["severity"] == n).sum()) for n in range(5)}
    hot, unrated = rated[3] + rated[4], int(ranking["severity"].isna().sum())
    bad = int((rows["record_now"] != "verified").sum())
    due, effects, noted = years.due(assessment), years.effects(assessment), years.noted(assessment, Units())
    rejected = lists["rejected"]
    refused = rejected[rejected["kind"] == "rejected"]
    rejected = refused[refused["table"] == "survey"]
    found, wrenched = (int((refused["table"] == name).sum()) for name in ("findings", "installs"))
    nowhere = rows[["circuit", "device", "group"]].isna().all(axis=1)
    alone = rows["surveyed"] & rows["reference"].isna()
    spoilt = pd.MultiIndex.from_frame(rows[["equipment", "circuit"]]).isin(
        pd.MultiIndex.from_frame(rejected[["equipment", "circuit"]].dropna())
    )
    left = (int((alone & nowhere).sum()), int((alone & spoilt).sum()))
    later = int((assessment.tables["survey"]["survey_date"] > pd.Timestamp(assessment.on)).sum())
    off = int(rejected["reason"].str.contains("may be the hottest").sum())
    out = int(noted["is_run_out"].sum())
    lifted = int((rows["lifted_on"].notna() & rows["work_state"].notna()).sum())
    late = int(rows["is_overdue"].sum())
    repaired = rows["work_state"].isin(["awaiting proof", "proved in part", "proved", "cool, record in doubt"])
    no_limit = rows["is_limit_too_high"] | rows["is_limit_unsaid"]
    too_high = int((no_limit & rows["work_state"].notna() & ~repaired).sum())
    surveyed = int((effects["effect"] != "not re-surveyed").sum())
    cured = int((effects["effect"] == "cured").sum())
    waits = rows["survey_again_by"].notna() | rows["work_state"].eq("awaiting proof")
    open_ = int((rows["urgency"].eq("now") | (rows["urgency"].eq("soon") & ~waits) | (rows["severity"] >= 3)).sum())
    worked = int((ranking["severity"].isna() & ranking["severity_before_work"].notna()).sum())
    return [
        f"{now:,} connections must",
        f"{now:,} connection must",
        f"{now:,} must",
        *(f"{count:,} rated {n}" for n, count in rated.items()),
        f"{hot:,} rated 3 or 4 at",
        f"{hot:,} of {read:,} connections read",
        f"{read:,} connections read",
        f"{read:,} connections have a reading",
        f"{unrated:,} read, not rated",
        f"{unrated:,} read but not rated",
        f"{unrated:,} connections not rated",
        f"{unrated + unread:,} not rated or never read",
        f"{unread:,} never read",
        f"{unread:,} connections never read",
        f"{unread:,} connection never read",
        f"{bad:,} of {every:,} records not verified",
        f"{bad:,} of {every:,} connections have no torque record",
        f"{every - bad:,} of {every:,} torque records verified",
        f"{len(due):,} due, overdue or put off",
        *(f"{int((rows['record_now'] == name).sum()):,} {name}" for name in STATES),
        *(f"{int((rows['work_state'] == name).sum()):,} {name}" for name in WORK_STATES),
        *(
            f"{surveyed:,} {work} surveyed again {cured:,} {verb} cured"
            for work in (
                "pieces of work on joints rated 2 or worse that were",
                "piece of work on joints rated 2 or worse that was",
            )
            for verb in ("is", "are")
        ),
        f"{open_:,} findings that must not wait, are soon or are rated 3 or 4 are still open",
        f"{open_:,} finding that must not wait, is soon or is rated 3 or 4 is still open",
        f"{worked:,} of them worked on since",
        f"{len(rejected):,} readings rejected",
        f"{len(rejected):,} reading rejected",
        *(f"{n:,} {noun} compared with no sibling" for n in left for noun in ("connection", "connections")),
        f"{found:,} findings rejected",
        f"{found:,} finding rejected",
        f"{wrenched:,} torque records rejected",
        f"{wrenched:,} torque record rejected",
        f"{later:,} readings of later days",
        f"{unrated:,} connection not rated",
        f"{off:,} of them perhaps the hottest",
        f"{out:,} deferrals have run out",
        f"{out:,} deferral has run out",
        f"{len(noted):,} of them",
        f"{now:,} of them",
        f"{len(assessment.retired):,} connections are out of use",
        f"{lifted:,} connection is made safe no longer",
        f"{lifted:,} connections are made safe no longer",
        f"{too_high:,} limit makes nothing safe",
        f"{too_high:,} limits make nothing safe",
        f"{late:,} proof is overdue",
        f"{late:,} proofs are overdue",
        f"{ranking.loc[ranking['severity'] >= 3, 'equipment'].nunique() - MOST_TOLD:,} more",
        *more_boards(rows[rows["urgency"] == "now"], 6),
        *more_boards(ranking[ranking["severity"] >= 3], 3),
    ]


def more_boards(rows: pd.DataFrame, told: int) -> list[str]:
    """How many boards a sentence that names so many leaves out."""
    return [f"{rows['equipment'].nunique() - told:,} {word}" for word in ("more boards", "more board")]


def lines(blocks: Sequence[Block]) -> Iterator[str]:
    """Every text of a document that is no table."""
    for block in blocks:
        if isinstance(block, Text | Heading):
            yield block.text
        elif isinstance(block, Items | Caution):
            yield from block.items
        elif isinstance(block, Chart):
            yield block.words
        elif isinstance(block, Figures | Facts):
            yield from (" ".join(row) for row in block.rows)
