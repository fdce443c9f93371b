"""The survey report: what was inspected and not, how, what was found, what to do."""

from __future__ import annotations

import pandas as pd

from riskscope.report import charts
from riskscope.report.blocks import Block, Document, Facts, Figures, Heading, NewPage, Show, Signatures, Table, Text
from riskscope.report.documents.parts import (
    AS_FOUND,
    NOT_YET,
    SEVERITY,
    WHERE,
    Subject,
    appendix,
    cautions,
    day,
    document,
    every_column,
    one_connection,
    survey_again,
    urgent,
)
from riskscope.schema import results as schema
from riskscope.words.render import amount

DETAILS_FROM = 2  # severity from which a connection has its own part

RISES = (
    Show("load_fraction", "load", "share", 0.7),
    Show("rise_similar_k", "over similar", "rise", 0.9),
    Show("rise_similar_full_k", "over similar, full load", "full rise", 0.9),
    Show("rise_ambient_k", "over air", "rise", 0.9),
)


ACTION = Show("action", "action", "text", 1.1)
HOT = (*WHERE, SEVERITY, AS_FOUND, *RISES, ACTION)
UNRATED = (*WHERE, Show("survey_date", "read", "day"), Show("quality_flags", "why", "text", 3), ACTION)
NOT_SURVEYED = (
    *WHERE,
    Show("urgency", "urgency"),
    Show("inspected_on", "board last looked at", "day", 1.2),
    Show("inspection_result", "what could be seen", "text", 1.2),
    ACTION,
    Show("resurvey_reason", "why it is to be read", "text", 2),
)


def findings(subject: Subject) -> list[str]:
    """Ids of the connections told one by one: rated 2 and worse, or urgent."""
    ranking = subject.ranking
    told = (ranking["severity"] >= DETAILS_FROM) | ranking["urgency"].isin(["now", "soon"])
    return ranking.loc[told.fillna(False), "connection_id"].tolist()


def build(subject: Subject) -> Document:
    """The report of a survey."""
    ranking = subject.ranking
    ids = findings(subject)
    hot = ranking[ranking["severity"] >= 1]
    unrated = ranking[ranking["severity"].isna()]
    chart = charts.severity_by_equipment(ranking)
    blocks: list[Block] = [
        Figures(_figures(subject)),
        *urgent(subject),
        cautions(),
        Heading("Survey and conditions"),
        *_conditions(subject),
        Heading("Areas inspected and not accessible"),
        *_areas(subject),
        Heading("What was found"),
        *([chart] if chart else []),
        Table(hot, HOT, empty="No connection is rated 1 or worse."),
        Heading("Every reading", 2),
        Text(
            f"{len(ranking):,} connections have a reading. The list of all of them is in the workbook of "
            "this report, sheet “ranking”.",
            "small",
        ),
        _hidden(ranking, "ranking", every_column(schema.RANKING)),
        NewPage(),
        Heading("Findings, one by one"),
        *(block for connection_id in ids for block in one_connection(subject, connection_id)),
        *([] if ids else [Text("No connection is rated 2 or worse.")]),
        Heading("What could not be rated, and why"),
        Table(unrated, UNRATED, empty="Every reading was rated."),
        *survey_again(subject),
        Heading("Not surveyed"),
        Table(
            subject.results["not_surveyed"],
            NOT_SURVEYED,
            sheet="not surveyed",
            empty="Every connection on record has a reading.",
            everything=every_column(schema.NOT_SURVEYED),
        ),
        NewPage(),
        *appendix(subject),
        Signatures(subject.layout.signature_lines),
    ]
    return document(subject, "Infrared survey report", blocks)


def _hidden(frame: pd.DataFrame, sheet: str, columns: list[Show]) -> Table:
    """A list that only the workbook holds."""
    return Table(frame, [*WHERE], sheet=sheet, everything=columns, most=0)


def _figures(subject: Subject) -> list[tuple[str, str]]:
    bands = subject.results.summary["bands"]
    return [
        (f"{len(subject.results.summary['now']):,}", "must not wait"),
        (f"{bands['4'] + bands['3']:,}", "rated 3 or 4 at full load"),
        (f"{bands['2']:,}", "rated 2"),
        (f"{bands['not rated']:,}", "read, not rated"),
        (f"{len(subject.ranking):,}", "connections read"),
    ]


def _conditions(subject: Subject) -> list[Block]:
    surveys = subject.assessment.tables.get("surveys")
    if surveys is None or surveys.empty:
        return [Text("Surveyor, instrument, its calibration and the conditions are not recorded (table surveys).")]
    blocks: list[Block] = []
    names = {"site": "site", "started": "from", "ended": "to", "surveyor": "surveyor", "instrument": "instrument",
             "instrument_calibrated_on": "instrument calibrated on", "weather": "weather",
             "indoor_c": "indoor temperature", "comment": "remarks"}  # fmt: skip
    for _, row in surveys.iterrows():
        blocks.append(Heading(f"Survey {row['survey_id']}", 2))
        blocks.append(Facts([(title, _value(subject, row, name)) for name, title in names.items()]))
    return blocks


def _value(subject: Subject, row: pd.Series, name: str) -> str:
    value = row.get(name)
    if value is None or pd.isna(value):
        return NOT_YET
    if isinstance(value, pd.Timestamp):
        return day(value)
    if name.endswith("_c"):
        return amount(value, "temperature", subject.units)
    return str(value)


def _areas(subject: Subject) -> list[Block]:
    blocks: list[Block] = []
    surveys = subject.assessment.tables.get("surveys", pd.DataFrame())
    if "areas_not_accessible" in surveys:
        blocked = surveys[surveys["areas_not_accessible"].notna()]
        blocks += [
            Text(f"Not accessible in {row['survey_id']}: {row['areas_not_accessible']}")
            for _, row in blocked.iterrows()
        ]
    inspected = subject.assessment.tables.get("inspections", pd.DataFrame())
    if inspected.empty:
        return [*blocks, Text("What was looked at without a finding is not recorded (table inspections).")]
    columns = [
        Show("equipment", "board"),
        Show("survey_date", "looked at", "day"),
        Show("result", "what could be seen", "text", 1.2),
    ]
    if "comment" in inspected and inspected["comment"].notna().any():
        columns.append(Show("comment", "remarks", "text", 2))
    return [*blocks, Table(inspected, columns, sheet="inspections")]
