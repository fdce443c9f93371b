"""What is asked for, what is in force for it, and the assessment of its tables."""

from __future__ import annotations

import datetime as dt
import logging
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from riskscope.analysis.assess import assess
from riskscope.analysis.assessment import Assessment
from riskscope.errors import UnusableInput
from riskscope.intake.options import Limits, ReadOptions
from riskscope.jobs.kinds import load
from riskscope.schema.tables import Tables
from riskscope.settings import Settings
from riskscope.settings.core import FOLDER_FILE, read_toml
from riskscope.standards import severity as standard_severity
from riskscope.standards.severity import Criteria
from riskscope.store.place import home_of
from riskscope.store.stamp import Actor, Stamp
from riskscope.words.render import Units

log = logging.getLogger("riskscope.assess")
Progress = Callable[[str], None]
LOCAL = Actor("the user of this machine")


@dataclass(frozen=True)
class Request:
    """What to read and how.

    Attributes
    ----------
    folder : Path or None
        Every table in it, as its ``riskscope.toml`` says.
    files : mapping of str to list of Path
        Files named for one table, beside or instead of a folder.
    read_options : ReadOptions
        What the user states of all files.
    options : mapping
        Settings given as options.
    criteria : str or None
        Severity table: a published name or a TOML file.
    on : date
    units : Units
    store : str or None
        A store's file or address, read where no folder and no file is named.
    stamp : Stamp or None
        Who asks, and when; an assessment of a store is kept under it, and not kept without.
    """

    folder: Path | None
    files: Mapping[str, Sequence[Path]]
    read_options: ReadOptions
    options: Mapping[str, Any]
    criteria: str | None
    on: dt.date
    units: Units = Units()
    store: str | None = None
    stamp: Stamp | None = None

    @property
    def actor(self) -> Actor:
        """Who asks; where nobody is named it is the user of this machine."""
        return LOCAL if self.stamp is None else self.stamp.actor

    @property
    def is_from_store(self) -> bool:
        """Whether the rows are those of a store: nothing else is named."""
        return self.store is not None and self.folder is None and not self.files

    @property
    def home(self) -> Path | None:
        """The folder whose ``riskscope.toml`` counts: the one named, else the one the store lies in."""
        if self.folder is not None or not self.is_from_store:
            return self.folder
        return home_of(str(self.store))


@dataclass(frozen=True)
class Terms:
    """What an assessment is made by: settings, limits of reading, severity table, where each comes from."""

    settings: Settings
    limits: Limits
    criteria: Criteria
    origin: Mapping[str, str]


def terms(request: Request) -> Terms:
    """What is in force for a request."""
    settings, origin = load(Settings, request.options, request.home)
    limits, limits_origin = load(Limits, request.options, request.home)
    return Terms(settings, limits, _criteria(request), {**origin, **limits_origin})


def _criteria(request: Request) -> Criteria:
    """The severity table: as the option says, else the folder's ``[criteria]``, else the default."""
    if request.criteria:
        return standard_severity.load(request.criteria)
    path = request.home / FOLDER_FILE if request.home else None
    if path and path.is_file():
        stated = read_toml(path).get("criteria", {})
        if "bands" in stated:
            return standard_severity.parse(stated, str(path))
        unknown = sorted(set(stated) - {"table"})
        if unknown:
            raise UnusableInput(
                f'[criteria] has no use for {unknown[0]!r}: write table = "NAME" or [[criteria.bands]].', file=str(path)
            )
        if "table" in stated:
            return standard_severity.load(str(stated["table"]), request.home)
    return standard_severity.load()


def assess_tables(tables: Tables, request: Request, made: Terms, progress: Progress) -> Assessment:
    """The assessment of tables that were read for a request."""
    if "survey" not in tables:
        raise UnusableInput(
            "no infrared survey was found: nothing to rank.",
            file=str(request.folder or request.store or "") or None,
            hint="A survey has at least connection_id, survey_date and connection_c.",
        )
    progress(f"assessing {len(tables['survey']):,} readings")
    begin = time.perf_counter()
    assessment = assess(tables, on=request.on, settings=made.settings, criteria=made.criteria, origin=made.origin)
    log.info("assessed %d connections in %.2f s", len(assessment.connections), time.perf_counter() - begin)
    return assessment
