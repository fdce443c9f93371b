"""assessed: the assessment of a store as it is now, made once for each change and kept."""

from __future__ import annotations

import contextlib
import dataclasses
import logging
from typing import Any

import pandas as pd

import riskscope
from riskscope.analysis.assessment import Assessment
from riskscope.errors import UnusableInput, WrongUsage
from riskscope.jobs.request import Progress, Request, Terms, assess_tables, terms
from riskscope.results.describe import SENTENCES, describe, described
from riskscope.results.tables import Results, results
from riskscope.schema import results as schema
from riskscope.schema.notes import Note
from riskscope.schema.tables import refused
from riskscope.store import assessments, reading
from riskscope.store.assessments import AssessmentRecord
from riskscope.store.database import Store
from riskscope.store.migrations import open_store
from riskscope.store.stamp import Actor

log = logging.getLogger("riskscope.assessed")
ATTEMPTS = 3
CONNECTIONS, READINGS, WORDS = "connections", "readings", "words"


class Changed(UnusableInput):
    """The store holds other rows now than those an assessment was made of."""


def makings(store: Store, request: Request, made: Terms) -> dict[str, Any]:
    """All that makes an assessment what it is."""
    of_sites = request.actor.sites
    return {
        **({} if of_sites is None else {"sites": sorted(of_sites)}),
        "rows": assessments.state_of(store),
        "as_of": request.on.isoformat(),
        "settings": dataclasses.asdict(made.settings),
        "criteria": dataclasses.asdict(made.criteria),
        "units": dataclasses.asdict(request.units),
        "origin": {field.name: made.origin.get(field.name) for field in dataclasses.fields(made.settings)},
        "likelihood": "prior",
        "version": riskscope.__version__,
    }


def current(store: Store, request: Request, progress: Progress = lambda text: None) -> AssessmentRecord:
    """The record of the store's assessment as it is now: the one kept, else one made and kept now.

    Raises
    ------
    UnusableInput
        If the store has no survey.
    """
    record, _ = _now(store, request, progress)
    if record is None:
        raise UnusableInput("cannot be written to, and an assessment has to be kept in it.", file=store.place)
    return record


def of_store(request: Request, progress: Progress) -> Assessment:
    """The assessment of the store a request names."""
    with contextlib.closing(open_store(str(request.store))) as store:
        for _ in range(ATTEMPTS):
            record, assessment = _now(store, request, progress)
            if assessment is not None:
                return assessment
            assert record is not None
            with contextlib.suppress(Changed):
                return load(store, record, request)
    raise _changing(store)


def _now(store: Store, request: Request, progress: Progress) -> tuple[AssessmentRecord | None, Assessment | None]:
    """The record of now, if one can be kept, and the assessment itself where it had to be made."""
    made = terms(request)
    for _ in range(ATTEMPTS):  # rows may change while they are assessed
        makes = makings(store, request, made)
        record = assessments.find(store, makes)
        if record is not None:
            return record, None
        progress("reading the store")
        tables = reading.tables(store, made.settings.survey_gap_days)
        assessment = _seen(assess_tables(tables, request, made, progress), request)
        if assessments.state_of(store) == makes["rows"]:
            progress("keeping the assessment")
            return _keep(store, assessment, request, makes), assessment
    raise _changing(store)


def _seen(assessment: Assessment, request: Request) -> Assessment:
    """What of an assessment the one who asks may see: of rows that were refused and of files, whole or nothing.

    Raises
    ------
    UnusableInput
        If there is nothing of the sites they see.
    """
    sites = request.actor.sites
    if sites is None:
        return assessment
    mine = sites & set(assessment.connections["site"].dropna())
    if not mine:
        raise UnusableInput("there is nothing here of the sites you see.")
    seen = assessment.of(mine)
    nothing = {"rejected": 0, "set_aside": 0, "warnings": 0}
    counts = {name: {"read": len(rows), "accepted": len(rows), **nothing} for name, rows in seen.tables.items()}
    note = Note("warning", "rejected rows and files are shown to those who see all sites")
    tables = dataclasses.replace(seen.tables, refused=refused(), notes=[note], counts=counts, files=[])
    whole = seen.connections[~seen.connections["only refused"].to_numpy(dtype=bool)].reset_index(drop=True)
    return dataclasses.replace(seen, connections=whole, tables=tables)


def _changing(store: Store) -> UnusableInput:
    words = "the store changes faster than it can be assessed."
    return UnusableInput(words, file=store.place, hint="Try again when the import is done.")


def _keep(store: Store, assessment: Assessment, request: Request, makes: dict[str, Any]) -> AssessmentRecord | None:
    """Keep an assessment with its lists and sentences, so that nothing is worked out again."""
    if request.stamp is None:
        return None
    made = results(assessment, request.units)
    words = described(assessment, request.units)[list(SENTENCES)]
    lists = {**made.tables, CONNECTIONS: assessment.connections, READINGS: assessment.readings, WORDS: words}
    try:
        return assessments.save(
            store, as_of=request.on.isoformat(), made=makes, summary=made.summary, lists=lists, stamp=request.stamp
        )
    except UnusableInput as error:  # a store that can only be read is read all the same
        log.warning("the assessment is not kept: %s", error)
        return None


def load(store: Store, record: AssessmentRecord, request: Request) -> Assessment:
    """A kept assessment as it was made, its rows read again from the store.

    Raises
    ------
    Changed
        If the store holds other rows now than those it was made of.
    """
    made = terms(request)
    tables = reading.tables(store, made.settings.survey_gap_days)
    if assessments.state_of(store) != record.made["rows"]:
        raise Changed("the store has changed meanwhile.", file=store.place, hint="Ask again.")
    _may_read(record, request.actor)
    assessment = Assessment(
        connections=assessments.read(store, record.id, CONNECTIONS),
        readings=assessments.read(store, record.id, READINGS),
        tables=tables,
        settings=made.settings,
        criteria=made.criteria,
        on=request.on,
        origin=made.origin,
        retired=assessments.read(store, record.id, "retired"),
    )
    assessment = _seen(assessment, request)
    words = assessments.read(store, record.id, WORDS)
    assessment.memo["described", request.units] = describe(assessment, assessment.connections, request.units, words)
    lists = {name: assessments.read(store, record.id, name) for name in schema.TABLES}
    assessment.memo["results", request.units] = Results(lists, record.summary)
    return assessment


def read(store: Store, record: AssessmentRecord, name: str, actor: Actor) -> pd.DataFrame:
    """One list of a kept assessment: a result table, `CONNECTIONS`, `READINGS` or `WORDS`."""
    _may_read(record, actor)
    return assessments.read(store, record.id, name)


def _may_read(record: AssessmentRecord, actor: Actor) -> None:
    """Refuses an assessment of other sites than those the reader sees.

    Raises
    ------
    WrongUsage
    """
    actor.needs("viewer", all_sites="sites" not in record.made)
    if actor.sites is not None and not set(record.made["sites"]) <= actor.sites:
        raise WrongUsage(f"{actor.who} does not see the sites of assessment {record.id}.")
