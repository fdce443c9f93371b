"""check: what was understood of each file, and what it leaves open."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from riskscope.errors import RiskscopeError
from riskscope.intake.check import CheckedSheet
from riskscope.intake.files import Source, load, no_table, sources
from riskscope.intake.options import Limits, ReadOptions
from riskscope.intake.read import check_file
from riskscope.jobs.kinds import load as load_settings
from riskscope.schema.notes import Note


@dataclass
class FileReport:
    """One file: its sheets as they were understood, or the error that stopped it."""

    name: str
    sheets: list[CheckedSheet] = field(default_factory=list)
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
    paths: Sequence[Path], read_options: ReadOptions, on: dt.date, options: Mapping[str, Any]
) -> list[FileReport]:
    """Every file of folders, or single files, as it is understood.

    Parameters
    ----------
    paths : sequence of Path
        Folders and files; the ``riskscope.toml`` beside a file counts too.
    read_options : ReadOptions
        What the user states of all files.
    on : date
    options : mapping
        Settings given as options.

    Raises
    ------
    RiskscopeError
        If a folder cannot be read. What is wrong with a file stands in its report.
    """
    folder = paths[0] if paths[0].is_dir() else paths[0].parent
    limits, _ = load_settings(Limits, options, folder)
    return [_report(source, on, limits) for source in sources(paths, read_options).files]


def _report(source: Source, on: dt.date, limits: Limits) -> FileReport:
    report = FileReport(source.shown)
    if source.is_no_table:
        report.notes.append(no_table(source))
        return report
    try:
        checked = check_file(load(source, limits), on=on, limits=limits)
        report.sheets, report.notes = checked.sheets, checked.notes
    except RiskscopeError as error:
        report.error = error
    return report
