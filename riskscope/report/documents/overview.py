"""The manager's page: how many, where, what has changed, what these numbers cannot say."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd

from riskscope.report import charts
from riskscope.report.blocks import Block, Document, Figures, Heading, Items, NewPage, Show, Table, Text
from riskscope.report.documents.parts import (
    REASON,
    WHERE,
    WORK,
    Subject,
    cautions,
    document,
    every_column,
    must_not_wait,
    noted,
    on_boards,
    out_of_use,
    run_out,
)
from riskscope.results import years
from riskscope.results.tables import left_out
from riskscope.schema import results as schema
from riskscope.words.render import many


def build(subject: Subject) -> Document:
    """One page of figures, then the lists behind them in the workbook."""
    due, effects = years.due(subject.assessment), years.effects(subject.assessment)
    now = must_not_wait(subject.assessment, subject.units)
    said = left_out(subject.assessment)
    by_board, records = (charts.severity_by_equipment(subject.ranking), charts.coverage(subject.results["coverage"]))
    done = charts.cured(effects)
    blocks: list[Block] = [
        *run_out(subject),
        Figures(figures(subject, due)),
        Heading("Deal with now"),
        *([Text(years.told_words(now))] if len(now) else []),
        Table(
            now,
            [*WHERE, Show("severity", "at full load", "severity", 0.8), Show("action", "action"), REASON, WORK],
            sheet="now",
            empty="Nothing that must be dealt with today.",
        ),
        *([Text(said)] if said else []),
        *stands_at(subject),
        *noted(subject),
        *out_of_use(subject),
        Heading("What matters"),
        Items(sentences(subject.results.summary, subject.ranking, due, effects)),
        cautions(),
        NewPage(),
        Heading("Severity by board"),
        *([by_board] if by_board else [Text("No reading.")]),
        Heading("Torque records by board"),
        *([records] if records else [Text("No record.")]),
        Heading("What work has cured"),
        Text(CURED_IS, "small"),
        *([done] if done else [Text("No work on a connection that was rated 2 or worse.")]),
        Table(years.share_cured(subject.assessment), CURED, sheet="cured", empty="None."),
        Heading("Lists behind the figures"),
        Text("The workbook of this report holds each list whole: ranking, due, coverage, cured.", "small"),
        Table(subject.ranking, [*WHERE], sheet="ranking", everything=every_column(schema.RANKING), most=0),
        Table(due, [*WHERE], sheet="due", everything=every_column(schema.DUE), most=0),
        Table(
            subject.results["coverage"],
            [Show("equipment", "board")],
            sheet="coverage",
            everything=every_column(schema.COVERAGE),
            most=0,
        ),
    ]
    return document(subject, "Electrical connections: the state of risk", blocks)


CURED_IS = "By its heat before and after, whatever its record: what is proved also needs a record that is right."
CURED = [
    Show("what", "work", "text", 1.2),
    Show("works", "done", "count"),
    Show("cured", "cured", "count"),
    Show("improved", "improved", "count"),
    Show("not_cured", "not cured", "count"),
    Show("not_resurveyed", "no fit reading since", "count", 1.4),
    Show("share_cured", "cured, of those read", "share", 1.5),
]


def figures(subject: Subject, due: pd.DataFrame) -> list[tuple[str, str]]:
    """The large numbers."""
    summary = subject.results.summary
    bands, records = summary["bands"], summary["records"]
    known = sum(records.values())
    return [
        (f"{len(summary['now']):,}", "must be dealt with now"),
        (f"{bands['3'] + bands['4']:,}", "rated 3 or 4 at full load"),
        (f"{bands['not rated'] + summary['not_surveyed']:,}", "not rated or never read"),
        (f"{records['verified']:,} of {known:,}", "torque records verified"),
        (f"{due['connection_id'].nunique():,}", "due, overdue or put off"),
    ]


def sentences(summary: Mapping[str, Any], ranking: pd.DataFrame, due: pd.DataFrame, effects: pd.DataFrame) -> list[str]:
    """Five sentences that matter, the last of them what the numbers cannot say."""
    now, bands = len(summary["now"]), summary["bands"]
    boards = on_boards(ranking[(ranking["severity"] >= 3).to_numpy(dtype=bool, na_value=False)], 3)
    known = sum(summary["records"].values())
    bad = known - summary["records"]["verified"]
    rated = effects[effects["effect"] != "not re-surveyed"] if len(effects) else effects
    cured = int((rated["effect"] == "cured").sum()) if len(rated) else 0
    open_ = int(due["due"].str.contains("open", na=False).sum()) if len(due) else 0
    worked = int((ranking["severity"].isna() & ranking["severity_before_work"].notna()).sum())
    unsaid = [
        many(summary["not_surveyed"], "connection never read", "connections never read"),
        f"{bands['not rated']:,} read but not rated" + (f", {worked:,} of them worked on since" if worked else ""),
    ]
    return [
        f"{many(now, 'connection')} must be dealt with now"
        + ("." if not now else ": tell the responsible person today; they reduce load or switch off."),
        f"{bands['3'] + bands['4']:,} of {len(ranking):,} connections read are rated 3 or 4 at full load"
        + (f", on {boards}." if boards else "."),
        f"{bad:,} of {known:,} connections have no torque record that can be relied on.",
        (
            f"Of {many(len(rated), 'piece of work', 'pieces of work')} on joints rated 2 or worse that "
            f"{'was' if len(rated) == 1 else 'were'} surveyed again {cured:,} "
            f"{'is' if cured == 1 else 'are'} cured; "
            if len(rated)
            else "No work on a joint rated 2 or worse was surveyed again; "
        )
        + many(
            open_,
            "finding that must not wait, is soon or is rated 3 or 4 is still open.",
            "findings that must not wait, are soon or are rated 3 or 4 are still open.",
        ),
        "These numbers do not say when a joint will fail or how likely that is, and of what was not rated they say "
        f"nothing: {'; '.join(unsaid)}.",
    ]


def stands_at(subject: Subject) -> list[Block]:
    """How many stand where between work and proof, each counted once."""
    counts = [f"{count:,} {name}" for name, count in subject.results.summary["work_states"].items() if count]
    if not counts:
        return []
    words = "Each connection is counted once, in the first state that holds."
    return [Heading("From work to proof"), Text(f"{', '.join(counts)}. {words}")]
