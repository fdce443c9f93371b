"""rank: read the files, assess them, order the work."""

from __future__ import annotations

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
from riskscope.intake.read import (
    Intake,
    Wanted,
    folder_files,
    folder_others,
    folder_ways,
    read_files,
)
from riskscope.intake.settings import Limits, Ways
from riskscope.report import results
from riskscope.report.results import Results
from riskscope.settings import Settings
from riskscope.settings.core import FOLDER_FILE, Source, fill, gather, read_toml
from riskscope.standards import severity as standard_severity
from riskscope.standards.severity import Criteria
from riskscope.words.render import Reader

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
    """

    folder: Path | None
    files: Mapping[str, Sequence[Path]]
    ways: Ways
    options: Mapping[str, Any]
    criteria: str | None
    on: dt.date
    reader: Reader = Reader()


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


def sources(request: Request) -> tuple[Settings, Limits, dict[str, str]]:
    """Settings and limits in force, and where each comes from."""
    places: list[Source] = gather(request.options, request.folder)
    settings, origin = fill(Settings, places, (Limits,))
    limits, limits_origin = fill(Limits, places, (Settings,))
    return settings, limits, {**origin, **limits_origin}


def criteria_of(request: Request) -> Criteria:
    """The severity table: as the option says, else the folder's ``[criteria]``, else the default."""
    if request.criteria:
        return standard_severity.load(request.criteria)
    path = request.folder / FOLDER_FILE if request.folder else None
    if path and path.is_file():
        stated = read_toml(path).get("criteria", {})
        if "bands" in stated:
            return standard_severity.parse(stated, str(path))
        unknown = sorted(set(stated) - {"table"})
        if unknown:
            raise UnusableInput(f"[criteria] has no use for {unknown[0]!r}: write table = \"NAME\" or [[criteria.bands]].", file=str(path))  # fmt: skip
        if "table" in stated:
            return standard_severity.load(str(stated["table"]), request.folder)
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
        raise WrongUsage("nothing to read: give a folder, or files such as --survey FILE.")
    return files


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
    intake = read_files(
        wanted(request), on=request.on, limits=limits, gap_days=settings.survey_gap_days
    )
    if request.folder is not None:
        intake.notes += folder_others(request.folder)
    if "survey" not in intake:
        raise UnusableInput(
            "no infrared survey was found: nothing to rank.",
            file=str(request.folder) if request.folder else None,
            hint="A survey has at least connection_id, survey_date and connection_c.",
        )  # fmt: skip
    progress(f"assessing {len(intake['survey']):,} readings")
    found = assess(intake, on=request.on, settings=settings, criteria=criteria)
    progress("ordering the work")
    made = results.make(found, intake, on=request.on, settings=settings, criteria=criteria,
                        origin=origin, reader=request.reader)  # fmt: skip
    log.info("rank: %d connections in %.2f s", len(found), time.perf_counter() - begin)
    return Ranked(found, intake, settings, origin, criteria, request.on, made)
