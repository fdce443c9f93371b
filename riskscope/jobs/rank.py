"""rank: read the files, assess them, order the work."""

from __future__ import annotations

import contextlib
import datetime as dt
import logging
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pandas as pd

from riskscope.analysis.assess import assess
from riskscope.errors import UnusableInput, WrongUsage
from riskscope.intake.options import Limits, Ways
from riskscope.intake.read import Intake, Wanted, folder_files, folder_others, folder_ways, read_files
from riskscope.jobs.kinds import load
from riskscope.results import tables as results
from riskscope.results.tables import Results
from riskscope.settings import Settings
from riskscope.settings.core import FOLDER_FILE, read_toml
from riskscope.standards import severity as standard_severity
from riskscope.standards.severity import Criteria
from riskscope.words.render import Units

log = logging.getLogger("riskscope.rank")
Progress = Callable[[str], None]


@dataclass(frozen=True)
class Request:
    """What to read and how.

    Attributes
    ----------
    folder : Path or None
        Every table in it, as its ``riskscope.toml`` says.
    files : mapping of str to list of Path
        Files named for one table, beside or instead of a folder.
    ways : Ways
        What the user states of all files.
    options : mapping
        Settings given as options.
    criteria : str or None
        Severity table: a published name or a TOML file.
    store : str or None
        A store's file or address, read where no folder and no file is named.
    """

    folder: Path | None
    files: Mapping[str, Sequence[Path]]
    ways: Ways
    options: Mapping[str, Any]
    criteria: str | None
    on: dt.date
    units: Units = Units()
    store: str | None = None


@dataclass(frozen=True)
class Ranked:
    """An assessment with all that made it."""

    found: pd.DataFrame
    intake: Intake
    settings: Settings
    origin: Mapping[str, str]
    criteria: Criteria
    on: dt.date
    results: Results


def home(request: Request) -> Path | None:
    """The folder whose ``riskscope.toml`` counts: the one named, else the one the store lies in."""
    if request.folder is not None or not is_from_store(request):
        return request.folder
    return Path() if "://" in str(request.store) else Path(str(request.store)).parent


def is_from_store(request: Request) -> bool:
    """Whether the rows are those of a store: nothing else is named."""
    return request.store is not None and request.folder is None and not request.files


def sources(request: Request) -> tuple[Settings, Limits, dict[str, str]]:
    """Settings and limits in force, and where each comes from."""
    settings, origin = load(Settings, request.options, home(request))
    limits, limits_origin = load(Limits, request.options, home(request))
    return settings, limits, {**origin, **limits_origin}


def criteria_of(request: Request) -> Criteria:
    """The severity table: as the option says, else the folder's ``[criteria]``, else the default."""
    if request.criteria:
        return standard_severity.load(request.criteria)
    folder = home(request)
    path = folder / FOLDER_FILE if folder else None
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
            return standard_severity.load(str(stated["table"]), folder)
    return standard_severity.load()


def wanted(request: Request) -> list[Wanted]:
    """Every file to read, with what is stated of it."""
    files: list[Wanted] = []
    if request.folder is not None:
        stated = folder_ways(request.folder)
        for path in folder_files(request.folder):
            own = stated.get(path.name, Ways())
            files.append(Wanted(path, request.ways.over(own), own.table is not None))
        if not files and not request.files:
            raise UnusableInput("holds no CSV, TSV or XLSX file.", file=str(request.folder))
    for table, paths in request.files.items():
        for path in paths:
            files.append(Wanted(path, Ways(table=table).over(request.ways), named=True))
    if not files:
        raise WrongUsage("nothing to read: give a folder, files such as --survey FILE, or a store (--store).")
    return files


def read(request: Request, settings: Settings, limits: Limits) -> Intake:
    """The tables a request names: of a store, or of files."""
    if is_from_store(request):
        from riskscope.store import reading as held
        from riskscope.store.migrations import open_store

        with contextlib.closing(open_store(str(request.store))) as store:
            return held.intake(store, settings.survey_gap_days)
    gap = settings.survey_gap_days
    intake = read_files(wanted(request), on=request.on, limits=limits, gap_days=gap)
    if request.folder is not None:
        intake.notes += folder_others(request.folder)
    return intake


def rank(request: Request, progress: Progress = lambda text: None) -> Ranked:
    """Read, assess and order.

    Raises
    ------
    RiskscopeError
        With one sentence, where the input cannot be used.
    """
    begin = time.perf_counter()
    settings, limits, origin = sources(request)
    criteria = criteria_of(request)
    progress("reading files")
    intake = read(request, settings, limits)
    if "survey" not in intake:
        raise UnusableInput(
            "no infrared survey was found: nothing to rank.",
            file=str(request.folder or request.store or "") or None,
            hint="A survey has at least connection_id, survey_date and connection_c.",
        )
    progress(f"assessing {len(intake['survey']):,} readings")
    found = assess(intake, on=request.on, settings=settings, criteria=criteria)
    progress("ordering the work")
    made = results.make(
        found, intake, on=request.on, settings=settings, criteria=criteria, origin=origin, units=request.units
    )
    log.info("rank: %d connections in %.2f s", len(found), time.perf_counter() - begin)
    return Ranked(found, intake, settings, origin, criteria, request.on, made)
