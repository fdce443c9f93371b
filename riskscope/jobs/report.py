"""report: a document of an assessment, in the formats asked for; sheets to fill in on site."""

from __future__ import annotations

import contextlib
import functools
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from riskscope.analysis.assessment import Assessment
from riskscope.errors import UnusableInput, WrongUsage
from riskscope.jobs.kinds import load
from riskscope.jobs.rank import Progress, Request
from riskscope.report import charts, pictures
from riskscope.report.blocks import Chart, Document
from riskscope.report.documents import overview, sheets, survey, work
from riskscope.report.documents.parts import Subject
from riskscope.report.layout import Layout
from riskscope.results import years
from riskscope.results.tables import results
from riskscope.words.render import Units

REPORTS: Mapping[str, Callable[[Subject], Document]] = {
    "survey": survey.build,
    "work": work.build,
    "overview": overview.build,
}
SHEETS = ("field-sheet", "findings-sheet")
FORMATS = ("html", "pdf", "xlsx")


def subject(assessment: Assessment, request: Request, folders: Sequence[Path] = ()) -> Subject:
    """The assessment as a report speaks of it.

    Parameters
    ----------
    folders : sequence of Path
        Where pictures are looked for, besides the folder of the files.
    """
    place = request.home
    layout, _ = load(Layout, request.options, place)
    beside = [path.parent for paths in request.files.values() for path in paths]
    where = [*folders, *([place] if place else []), *beside]
    logo = None
    if layout.logo:
        path = pictures.find(layout.logo, where)
        if path is None:
            raise UnusableInput("the logo was not found.", file=layout.logo)
        logo = pictures.load(path)
    return Subject(assessment, request.units, layout, where, logo, _kept(request))


def _kept(request: Request) -> Callable[[str], bytes | None]:
    """Pictures kept in the store the rows come from."""
    if not request.is_from_store:
        return lambda name: None
    from riskscope.store import reading
    from riskscope.store.migrations import open_store

    def find(name: str) -> bytes | None:
        with contextlib.closing(open_store(str(request.store))) as store:
            return reading.picture(store, name)

    return find


def render(document: Document, formats: Sequence[str], progress: Progress = lambda text: None) -> dict[str, bytes]:
    """A document in each format; a chart is drawn once for all of them.

    Raises
    ------
    WrongUsage
        If there is no such format.
    """
    drawn = [0]

    @functools.cache
    def by_place(number: int) -> str:
        drawn[0] += 1
        if drawn[0] % 50 == 0:
            progress(f"drawing chart {drawn[0]:,} of {len(all_charts):,}")
        return charts.svg(all_charts[number])

    all_charts = [block for block in document.blocks if isinstance(block, Chart)]
    places = {id(chart): number for number, chart in enumerate(all_charts)}

    def svg(chart: Chart) -> str:
        return by_place(places[id(chart)])

    made = {}
    for form in formats:
        progress(f"writing {form}")
        if form == "html":
            from riskscope.report.writers import html

            made[form] = html.write(document, svg=svg)
        elif form == "pdf":
            from riskscope.report.writers import pdf

            made[form] = pdf.write(document, svg=svg, progress=progress)
        elif form == "xlsx":
            from riskscope.report.writers import workbook

            made[form] = workbook.write(document)
        else:
            raise WrongUsage(f"there is no format {form!r}; there are {', '.join(FORMATS)}.")
    return made


def sheet(assessment: Assessment, name: str, units: Units) -> bytes:
    """A sheet to fill in on site: ``field-sheet`` or ``findings-sheet``."""
    if name == "field-sheet":
        return sheets.field_sheet(years.due(assessment), assessment.connections)
    made = results(assessment, units)
    return sheets.findings_sheet(made["retighten_first"], made["other_actions"], assessment.connections)
