"""check: what was understood of each file, and what it leaves open."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from riskscope.errors import RiskscopeError
from riskscope.intake.check import Checked
from riskscope.intake.notes import Note
from riskscope.intake.options import Limits, Ways
from riskscope.intake.read import NOT_A_TABLE, Wanted, check_file, folder_files, folder_ways, load_bytes, shown_name
from riskscope.jobs.kinds import load


@dataclass
class FileReport:
    """One file: its sheets as they were understood, or the error that stopped it."""

    name: str
    sheets: list[Checked] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)
    error: RiskscopeError | None = None

    @property
    def is_open(self) -> bool:
        """Whether it cannot be used as it stands."""
        return self.error is not None or any(sheet.questions for sheet in self.sheets)

    @property
    def rejected(self) -> int:
        return sum(sheet.counts["rejected"] for sheet in self.sheets)

    @property
    def toml(self) -> list[str]:
        """Lines for ``riskscope.toml`` that settle what it leaves open."""
        lines = [question.toml for sheet in self.sheets for question in sheet.questions]
        if self.error is not None and self.error.toml:
            lines.append(self.error.toml)
        return [f'[files."{self.name}"]', *dict.fromkeys(lines)] if lines else []


def check(
    path: Path, ways: Ways, on: dt.date, options: Mapping[str, Any], table: str | None = None
) -> list[FileReport]:
    """Every file of a folder, or one file, as it is understood.

    Parameters
    ----------
    path : Path
        A folder or a file; the ``riskscope.toml`` beside a file counts too.
    ways : Ways
        What the user states of all files.
    on : date
    options : mapping
        Settings given as options.
    table : str, optional
        The table a single file holds.

    Raises
    ------
    RiskscopeError
        If the folder cannot be read. What is wrong with a file stands in its report.
    """
    folder = path if path.is_dir() else path.parent
    limits, _ = load(Limits, options, folder)
    stated = folder_ways(folder)
    reports = []
    for file in folder_files(path) if path.is_dir() else [path]:
        own = ways.over(stated.get(file.name, Ways()))
        if table is not None:
            own = Ways(table=table).over(own)
        reports.append(_one(Wanted(file, own, own.table is not None), on, limits))
    return reports


def _one(want: Wanted, on: dt.date, limits: Limits) -> FileReport:
    report = FileReport(shown_name(want.path))
    if want.ways.table == NOT_A_TABLE:
        report.notes.append(Note("not read", "not read: riskscope.toml says it holds no table", file=report.name))
        return report
    try:
        data = load_bytes(want.path, limits)
        report.sheets = check_file(data, report.name, want.ways, want.named, on, limits, report.notes)
    except RiskscopeError as error:
        report.error = error
    return report
