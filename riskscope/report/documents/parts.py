"""What several reports say: whose they are, the figures, one connection, the appendix."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pandas as pd

import riskscope
from riskscope.analysis.assessment import Assessment
from riskscope.errors import UnusableInput
from riskscope.report import charts, pictures
from riskscope.report.blocks import Block, Caution, Document, Facts, Heading, Items, Picture, Show, Table, Text
from riskscope.report.layout import Layout
from riskscope.results import years
from riskscope.results.describe import described
from riskscope.results.lists import urgent_first
from riskscope.results.story import described_one, photographs, reading, siblings, story
from riskscope.results.tables import Results, left_out, results
from riskscope.schema import Table as SchemaTable
from riskscope.schema import results as schema
from riskscope.standards.severity import Band
from riskscope.words import codes
from riskscope.words.render import Units, between, many, quantity

KINDS = {"temperature": "temperature", "difference": "rise", "torque": "torque", "current": "current"}
UNIT_ENDS = ("_k", "_c", "_nm", "_a")
NOT_YET = "not recorded"


@dataclass(frozen=True)
class Subject:
    """An assessment a report speaks of, in whose units, and where its pictures are."""

    assessment: Assessment
    units: Units
    layout: Layout
    folders: Sequence[Path] = ()
    logo: bytes | None = None
    kept: Callable[[str], bytes | None] = lambda name: None  # pictures kept with the survey

    @property
    def on(self) -> dt.date:
        return self.assessment.on

    @property
    def results(self) -> Results:
        return results(self.assessment, self.units)

    @property
    def ranking(self) -> pd.DataFrame:
        return self.results["ranking"]


def document(subject: Subject, title: str, blocks: Sequence[Block]) -> Document:
    """Blocks under the organisation's name."""
    return Document(
        title=title,
        subtitle=_subtitle(subject),
        blocks=blocks,
        units=subject.units,
        organisation=subject.layout.organisation,
        number=subject.layout.report_number,
        paper=subject.layout.paper,
        day=day(subject.on),
        logo=subject.logo,
        foot=f"Made by riskscope {riskscope.__version__} as of {day(subject.on)}. It orders work; it does "
        "not make work safe. The maker's instructions and the local code govern.",
        keywords=("infrared survey", "electrical connections", "torque records"),
    )


def day(value: object) -> str:
    """A day as it is written."""
    return str(quantity([value], "day", None)[0])  # type: ignore[arg-type]


def _subtitle(subject: Subject) -> str:
    sites = [str(site) for site in subject.ranking["site"].dropna().unique()]
    dates = pd.to_datetime(subject.ranking["survey_date"]).dropna()
    span = ""
    if len(dates):
        first, last = day(dates.min()), day(dates.max())
        span = f", readings of {last}" if first == last else f", readings from {first} to {last}"
    where = ", ".join(sites[:4]) + (f" and {len(sites) - 4} more sites" if len(sites) > 4 else "")
    return f"{where or 'Site not recorded'}{span}, as of {day(subject.on)}"


def every_column(table: SchemaTable) -> list[Show]:
    """All columns of a result table, for a workbook."""
    shows = []
    for column in table.columns:
        kind = KINDS.get(column.quantity or "", "text")
        if column.name.startswith("severity") and column.name != "severity_label" and column.is_number:
            kind = "severity"
        elif column.kind == "date":
            kind = "day"
        elif column.is_number and kind == "text":
            kind = "number"
        title = column.name
        if kind in {"temperature", "rise", "torque", "current"}:
            title = next((title.removesuffix(end) for end in UNIT_ENDS if title.endswith(end)), title)
        weight = (
            4.0
            if column.name
            in {"reason", "resurvey_reason", "quality_flags", "install_reasons", "record_now_reasons", "work"}
            else 1.0
        )
        shows.append(Show(column.name, title.replace("_", " "), kind, weight))
    return shows


def survey_again(subject: Subject) -> list[Block]:
    """Connections whose reading says too little, and why."""
    return [
        Heading("Survey again"),
        Table(
            subject.results["resurvey"],
            [*WHERE, *RESURVEY],
            sheet="survey again",
            empty="Nothing.",
            everything=every_column(schema.RESURVEY),
        ),
    ]


def cautions() -> Block:
    """The cautions that stand before any advice."""
    return Caution(list(codes.CAUTIONS))


def must_not_wait(assessment: Assessment, units: Units) -> pd.DataFrame:
    """Every connection with urgency now, with a reading or without, worst first."""
    rows = described(assessment, units)
    return urgent_first(rows[rows["urgency"] == "now"])


def on_boards(rows: pd.DataFrame, most: int = 6) -> str:
    """On which boards connections are, the most first: all of them are told, so that the numbers add up."""
    counts = rows["equipment"].value_counts()
    told = [f"{name} ({count})" for name, count in counts.head(most).items()]
    rest, nowhere = counts.iloc[most:], int(rows["equipment"].isna().sum())
    told += [f"and {many(len(rest), 'more board')} ({rest.sum()})"] if len(rest) else []
    return ", ".join(told + ([f"board not recorded ({nowhere})"] if nowhere else []))


def run_out(subject: Subject) -> list[Block]:
    """What has run out: deferrals, proofs, what was made safe."""
    return [Text(words, "strong") for words in years.said_first(subject.assessment, subject.units)]


def urgent(subject: Subject) -> list[Block]:
    """What must not wait, above everything, with what has run out."""
    now = must_not_wait(subject.assessment, subject.units)
    blocks: list[Block] = [*run_out(subject), Heading("Now: do not wait for the outage")]
    said = left_out(subject.assessment)
    beside: list[Block] = [Text(said)] if said else []
    if now.empty:
        return [*blocks, Text("No connection is known that must be dealt with today."), *beside]
    columns = [*WHERE, SEVERITY, AS_FOUND, Show("action", "action", "text", 1.2), REASON, WORK]
    told = Text(years.told_words(now))
    return [*blocks, Text(codes.URGENCY["now"], "strong"), told, *beside, Table(now, columns, sheet="now")]


def noted(subject: Subject) -> list[Block]:
    """What was put off, who was told and what was made safe, with the days that are left."""
    return [
        Heading("Put off, told, made safe"),
        Table(
            years.noted(subject.assessment, subject.units),
            [*WHERE, SEVERITY, Show("action", "action", "text", 1.1), *NOTED],
            sheet="put off and told",
            empty="Nothing is put off, and no notice is on record since a reading.",
        ),
    ]


def out_of_use(subject: Subject) -> list[Block]:
    """What the register says is out of use: it is in no other list."""
    gone = years.out_of_use(subject.assessment, subject.units)
    return [Heading("Out of use by the register, and in no other list"), Items(gone)] if gone else []


NOTED = (Show("days_left", "days left", "count", 0.7), Show("work", "from work to proof", "text", 4.0))
SEVERITY = Show("severity", "at full load", "severity", 0.75)
BEFORE_WORK = Show("severity_before_work", "before the work", "count", 0.75)
AS_FOUND = Show("severity_as_found", "as found", "severity", 0.75)
REASON = Show("reason", "why", "text", 4.0)
WORK = Show("work", "from work to proof", "text", 2.0)
RESURVEY = (
    SEVERITY,
    BEFORE_WORK,
    Show("survey_date", "last read", "day", 1.1),
    Show("resurvey_reason", "why", "text", 3),
)
WHERE = (Show("connection_id", "connection", "text", 1.7), Show("equipment", "board", "text", 1.0))


def one_connection(subject: Subject, connection_id: str) -> list[Block]:
    """One finding: picture, numbers, siblings, what was seen and what to do."""
    row = described_one(subject.assessment, connection_id, subject.units).iloc[0]
    rated = "not rated" if pd.isna(row["severity"]) else f"severity {row['severity']:.0f} at full load"
    as_found = "" if pd.isna(row["severity_as_found"]) else f", {row['severity_as_found']:.0f} as found"
    blocks: list[Block] = [Heading(f"{connection_id}: {row['action']}, {rated}{as_found}", 3)]
    blocks += _picture(subject, row)
    blocks.append(Facts(_numbers(subject, row)))
    chart = charts.siblings(siblings(subject.assessment, row), subject.units)
    if chart is not None:
        blocks.append(chart)
    for title, lines in story(subject.assessment, connection_id, subject.units):
        if title in TOLD:
            blocks.append(Text(title, "strong"))
            blocks.append(Items([line for line in lines if not line.startswith(IN_APPENDIX)]))
    return blocks


IN_APPENDIX = ("Table: ", "Bands over ")
TOLD = ("Reading", "Severity", "What the siblings show", "Torque record and what was done", "What to do")


def _numbers(subject: Subject, row: pd.Series) -> list[tuple[str, str]]:
    def show(name: str, kind: str) -> str:
        return str(quantity([row.get(name)], kind, subject.units)[0])

    because = f" ({row['record_now_reasons']})" if row["record_now_reasons"] else ""
    source = f"{row['source_file']}" + (f", sheet {row['source_sheet']}" if row["source_sheet"] else "")
    return [
        (
            "where",
            ", ".join(
                str(row[name])
                for name in ("site", "equipment", "circuit", "device", "side", "phase")
                if not pd.isna(row[name])
            )
            or NOT_YET,
        ),
        ("read", f"{show('survey_date', 'day')}, {source}, line {row['source_line']:.0f}"),
        ("temperatures", f"connection {show('connection_c', 'temperature')}, air {show('ambient_c', 'temperature')}"),
        ("load", f"{show('load_fraction', 'share')} of {show('full_load_a', 'current')}"),
        (
            "rise over similar",
            f"{show('rise_similar_k', 'rise')} as found, {show('rise_similar_full_k', 'full rise')} at full load",
        ),
        (
            "rise over the air",
            f"{show('rise_ambient_k', 'rise')} as found, {show('rise_ambient_full_k', 'full rise')} at full load",
        ),
        (
            "rated rise",
            f"{show('rise_rated_k', 'full rise')}, "
            f"{between(show('rise_low_k', 'full rise'), show('rise_high_k', 'full rise'))}, "
            f"{'firm' if row['firm'] in (True, 'yes') else 'not firm'}",
        ),
        ("severity table", f"{subject.assessment.criteria.title}, {subject.assessment.criteria.edition}"),
        (
            "temperature limit",
            (
                f"{show('limit_c', 'temperature')} ({row['limit_from']}); at full "
                f"load {show('projected_c', 'full temperature')}"
            ),
        ),
        ("probable cause", codes.PATTERNS.get(str(row["pattern"]), NOT_YET)),
        (
            "torque record",
            f"{row['record_now']}{because}; required {show('required_nm', 'torque')}, "
            f"applied {show('applied_now_nm', 'torque')}",
        ),
        ("from work to proof", row["work"] or NOT_YET),
        ("action", f"{row['action']}: {row['reason']}"),
    ]


def _picture(subject: Subject, row: pd.Series) -> list[Block]:
    read = reading(subject.assessment, row)
    name = None if read is None else read.get("image")
    named = [] if name is None or pd.isna(name) else [(str(name), f"{name}, {row['connection_id']}")]
    named += photographs(subject.assessment, row["connection_id"], subject.units)
    return [_one_picture(subject, name, caption) for name, caption in named]


def _one_picture(subject: Subject, name: str, caption: str) -> Block:
    """A picture kept beside the files or in the store; a sentence where there is none that can be shown."""
    path = pictures.find(name, subject.folders)
    try:
        if path is not None:
            return Picture(pictures.load(path), caption)
        data = subject.kept(name)
        if data is None:
            return Text(f"Picture {name}: not found beside the files.", "small")
        return Picture(pictures.load_bytes(data, name), caption)
    except UnusableInput as error:
        return Text(f"Picture {name}: {error.message}", "small")


def appendix(subject: Subject) -> list[Block]:
    """Method in plain words, criteria, settings, what was read and what was not."""
    criteria, settings, made = subject.assessment.criteria, subject.assessment.settings, subject.results.summary
    changed = [
        (name, f"{value} (from {subject.assessment.origin[name]})")
        for name, value in dataclasses.asdict(settings).items()
        if subject.assessment.origin.get(name, "default") != "default"
    ]
    rejected = subject.results["rejected"]
    blocks: list[Block] = [
        Heading("How the ratings come about"),
        Items(METHOD),
        Facts(
            [
                ("severity table", f"{criteria.title}, {criteria.edition}"),
                *(
                    (f"band {band.severity} over {band.basis}", f"{_limits(band)}: {band.meaning}")
                    for band in criteria.bands
                ),
            ]
        ),
        Text("Severity at full load is our step; the table speaks of the load found. Both are always shown.", "small"),
        Heading("Settings that differ from the default", 2),
        Facts(changed) if changed else Text("None: every setting has its default."),
        Heading("Assumptions and remarks on the files", 2),
        Items([str(note) for note in subject.assessment.tables.notes])
        if subject.assessment.tables.notes
        else Text("None."),
        Heading("Files read", 2),
        Table(
            _files(made),
            [
                Show("file", "file", "text", 2),
                Show("tables", "tables", "text", 1.5),
                Show("sha256", "SHA-256", "text", 4),
            ],
            sheet="sources",
        ),
        Heading("Rows not used", 2),
        Table(
            rejected[rejected["kind"] == "rejected"],
            [
                Show("file", "file", "text", 1.2),
                Show("sheet", "sheet", "text", 0.8),
                Show("line", "line", "count", 0.6),
                Show("reason", "why", "text", 3),
                Show("cells", "original cells", "text", 3),
            ],
            sheet="rows not used",
            empty="Every row was used.",
            everything=every_column(schema.REJECTED),
        ),
        Heading("Every setting", 2),
        Table(
            _settings(subject),
            [Show("name", "setting", "text", 1.5), Show("value", "value"), Show("origin", "from")],
            sheet="settings",
        ),
    ]
    return blocks


def _settings(subject: Subject) -> pd.DataFrame:
    values = dataclasses.asdict(subject.assessment.settings)
    return pd.DataFrame(
        {
            "name": list(values),
            "value": [str(value) for value in values.values()],
            "origin": [subject.assessment.origin.get(name, "default") for name in values],
        }
    )


def _files(made: Mapping[str, Any]) -> pd.DataFrame:
    rows = [(file["file"], ", ".join(file["tables"]), file["sha256"]) for file in made["input_files"]]
    return pd.DataFrame(rows, columns=["file", "tables", "sha256"])


def _limits(band: Band) -> str:
    if band.printed:
        return f"{band.printed} ({band.status})"
    top = "" if band.up_to_k is None else f" up to {band.up_to_k:g} K"
    return f"above {band.from_k:g} K{top} ({band.status})"


METHOD = (
    "Rise over similar is the connection less the similar component, else less the coolest sibling of "
    "comparable load in the same survey. Rise over the air is the connection less the air.",
    "At full load a rise is divided by the square of the load fraction, the square-law approximation; "
    "exponents from 1.6 bound the interval. Phases of unlike load are each taken to full load by their own load.",
    "The severity as found is what the published table says of the reading. The severity at full load "
    "goes at most one band above what was seen or is sure. Below 40 % load the factor stays that of 40 %, at its low "
    "end. Over its temperature limit now is always 4.",
    "Not rated is not 0: a closed cover, no load or no reference gives no severity and a line in a list.",
    "A torque record is verified only where the required torque was applied with a tool that was calibrated "
    "and in range; everything else is named.",
    "Likelihood is that of a loose or badly made joint: what is assumed for its record, and what the rises of all its "
    "siblings at once say of it, in this survey and the two before since its last work. It rests on our assumptions "
    "and is never a chance of failure.",
)  # fmt: skip
