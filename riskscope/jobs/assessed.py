"""assessed: the assessment of a store as it is now, made once for each change and kept."""

from __future__ import annotations

import contextlib
import dataclasses
import datetime as dt
from collections.abc import Mapping
from typing import Any

import pandas as pd

import riskscope
from riskscope.analysis.assess import assess_readings
from riskscope.errors import UnusableInput
from riskscope.jobs.rank import Progress, Ranked, Request, criteria_of, rank, sources
from riskscope.results import tables as results
from riskscope.settings import Settings
from riskscope.standards.severity import Criteria
from riskscope.store import assessments
from riskscope.store import reading as held
from riskscope.store.assessments import Assessment
from riskscope.store.database import Stamp, Store
from riskscope.store.migrations import open_store
from riskscope.words.render import Units

FOUND = "found"
READINGS = "readings"


def makings(store: Store, on: dt.date, settings: Settings, criteria: Criteria, units: Units) -> dict[str, Any]:
    """All that makes an assessment what it is."""
    return {
        "rows": assessments.state_of(store),
        "as_of": on.isoformat(),
        "settings": dataclasses.asdict(settings),
        "criteria": dataclasses.asdict(criteria),
        "units": dataclasses.asdict(units),
        "likelihood": "prior",
        "version": riskscope.__version__,
    }


def keep(store: Store, ranked: Ranked, units: Units, stamp: Stamp, rows: str) -> Assessment | None:
    """Keep an assessment that was made of a store's rows; None where they have changed since.

    Parameters
    ----------
    rows : str
        The state of the store (`makings`) before its rows were read.
    """
    made = makings(store, ranked.on, ranked.settings, ranked.criteria, units)
    if made["rows"] != rows:
        return None
    there = assessments.find(store, made)
    if there is not None:
        return there
    readings = assess_readings(ranked.intake, on=ranked.on, settings=ranked.settings, criteria=ranked.criteria)
    lists = {**ranked.results.tables, FOUND: ranked.found, READINGS: readings}
    return assessments.save(
        store, as_of=ranked.on.isoformat(), made=made, summary=ranked.results.summary, lists=lists, stamp=stamp
    )


def current(store: Store, request: Request, stamp: Stamp, progress: Progress = lambda text: None) -> Assessment:
    """The assessment of the store as it is now: the one kept, else one made now.

    Raises
    ------
    UnusableInput
        If the store has no survey.
    """
    settings, _, _ = sources(request)
    criteria = criteria_of(request)
    for _ in range(3):  # rows may change while they are assessed
        made = makings(store, request.on, settings, criteria, request.units)
        there = assessments.find(store, made)
        if there is not None:
            return there
        kept = keep(store, rank(request, progress), request.units, stamp, made["rows"])
        if kept is not None:
            return kept
    raise UnusableInput(
        "the store changes faster than it can be assessed.", file=store.place, hint="Try again when the import is done."
    )


def read(store: Store, assessment_id: int, name: str) -> pd.DataFrame:
    """One list of a kept assessment: a result table, `FOUND` or `READINGS`."""
    return assessments.read(store, assessment_id, name)


def before(store: Store, one: Assessment) -> Assessment | None:
    """The last assessment made of other rows before this one: what has changed since."""
    earlier = [
        other for other in assessments.listed(store) if other.id < one.id and other.made["rows"] != one.made["rows"]
    ]
    return earlier[-1] if earlier else None


def rank_and_keep(request: Request, stamp: Stamp, progress: Progress) -> Ranked:
    """`rank` from a store, the assessment kept in it."""
    with contextlib.closing(open_store(str(request.store))) as store:
        rows = assessments.state_of(store)
        ranked = rank(request, progress)
        keep(store, ranked, request.units, stamp, rows)
    return ranked


def as_ranked(store: Store, one: Assessment, request: Request) -> Ranked:
    """A kept assessment in the form `rank` gives, its rows read again from the store."""
    settings, _, origin = sources(request)
    tables: Mapping[str, pd.DataFrame] = {name: assessments.read(store, one.id, name) for name in results.schema.TABLES}
    return Ranked(
        found=assessments.read(store, one.id, FOUND),
        intake=held.intake(store, settings.survey_gap_days),
        settings=settings,
        origin=origin,
        criteria=criteria_of(request),
        on=request.on,
        results=results.Results(tables, one.summary),
    )
