"""Files and frames into checked tables: the way in."""

from __future__ import annotations

import contextlib
import datetime as dt
from collections.abc import Callable, Generator, Sequence
from dataclasses import dataclass, field

import pandas as pd

from riskscope import apart
from riskscope.errors import Ambiguous, UnusableInput, WrongUsage, nearest
from riskscope.intake.check import CheckedSheet, check
from riskscope.intake.combine import combine
from riskscope.intake.files import FileContent, Source, load, no_table, told_apart
from riskscope.intake.grid import Grid, edited, frame_grid
from riskscope.intake.layout.identify import Sheet, identify, lack, understand
from riskscope.intake.options import Limits, ReadOptions
from riskscope.intake.readers.by_ending import ALL_SHEETS
from riskscope.schema import TABLES, results
from riskscope.schema.notes import Note
from riskscope.schema.tables import InputFile, Tables

GridReader = Callable[[bytes, str, ReadOptions, Limits], list[Grid]]


@dataclass(frozen=True)
class CheckedFile:
    """One file: its sheets that hold a table, checked, and what is said of the others."""

    sheets: list[CheckedSheet] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)


def read_files(
    files: Sequence[Source],
    *,
    on: dt.date,
    limits: Limits | None = None,
    gap_days: int = 30,
    notes: Sequence[Note] = (),
) -> Tables:
    """Files as tables.

    Parameters
    ----------
    files : sequence of Source
        What is read, each with its options: `riskscope.intake.files.sources` makes them.
    on : date
        The day the reading is made.
    gap_days : int
        Readings of one file further apart belong to different surveys; 0 never splits.
    notes : sequence of Note
        What is said of files beside them.

    Raises
    ------
    UnusableInput
        If a file cannot be read at all.
    Ambiguous
        If a file can be read in more than one way; the message says what to type.
    """
    limits, files = limits or Limits(), told_apart(files)
    checked: list[CheckedSheet] = []
    said = list(notes)
    read: list[InputFile] = []
    said += [no_table(source) for source in files if source.is_no_table]
    with contextlib.closing(_read_ahead([source for source in files if not source.is_no_table], limits)) as ready:
        for content, grids in ready:
            file = _checked(content, grids, on)
            checked += file.sheets
            said += file.notes
            tables = tuple(dict.fromkeys(sheet.table.name for sheet in file.sheets))
            if tables:
                read.append(InputFile(content.name, content.sha256, tables))
    raise_questions(checked)
    return combine(checked, said, read, gap_days)


class _Ahead:
    """A file that is read apart until it is its turn, and what it holds then, or why it cannot be read."""

    def __init__(self, source: Source, limits: Limits) -> None:
        self.asked: apart.Asked | None = None
        self.fault: UnusableInput | None = None
        try:
            self.content = load(source, limits)
            self.asked = _asked(self.content.data, self.content.name, self.content.read_options, limits)
        except UnusableInput as error:
            self.fault = error

    def turn(self) -> tuple[FileContent, list[Grid]]:
        if self.fault is not None:
            raise self.fault
        asked, self.asked = self.asked, None
        assert asked is not None
        return self.content, apart.result(asked, self.content.name)

    def drop(self) -> None:
        if self.asked is not None:
            self.asked.drop()


def _read_ahead(files: Sequence[Source], limits: Limits) -> Generator[tuple[FileContent, list[Grid]], None, None]:
    """Each file and its sheets, in order; while one is checked the next is read, and two are in memory."""
    following = _Ahead(files[0], limits) if files else None
    try:
        for source in (*files[1:], None):
            if following is None:
                return
            ready = following.turn()
            following = None if source is None else _Ahead(source, limits)
            yield ready
    finally:
        if following is not None:
            following.drop()


def grids_apart(data: bytes, name: str, read_options: ReadOptions, limits: Limits) -> list[Grid]:
    """The sheets of a file as text cells, read in the limited process.

    Raises
    ------
    UnusableInput
        If it is of a kind that is not read, damaged, or beyond the limits.
    """
    made: list[Grid] = apart.result(_asked(data, name, read_options, limits), name)
    return made


def _asked(data: bytes, name: str, read_options: ReadOptions, limits: Limits) -> apart.Asked:
    function, arguments = "riskscope.intake.readers.by_ending.grids", (data, name, read_options, limits)
    return apart.Asked(function, arguments, limits.reader_memory_mb, limits.reader_s)


def check_file(content: FileContent, *, on: dt.date, limits: Limits, reader: GridReader = grids_apart) -> CheckedFile:
    """Every sheet of a file that holds a table, checked; what holds none is said in the notes.

    Parameters
    ----------
    on : date
        The day dates are checked against.
    limits : Limits
    reader : callable
        Gives the file's sheets.

    Raises
    ------
    UnusableInput
        If it cannot be read, or its table is stated and it does not fit.
    Ambiguous
        If several sheets fit one table, or one sheet several tables.
    """
    return _checked(content, reader(content.data, content.name, content.read_options, limits), on)


def _checked(content: FileContent, grids: Sequence[Grid], on: dt.date) -> CheckedFile:
    name, read_options = content.name, content.read_options
    sheets = [edited(grid, content.edits) for grid in grids]
    notes: list[Note] = []
    understood: list[Sheet] = []
    for grid in sheets:
        first = _first_row(grid)
        if is_own_result(first):
            notes.append(Note("not read", "not read: a result of riskscope itself", file=name, sheet=grid.sheet))
            continue
        if is_own_help(first):
            continue
        sheet = identify(grid, name, read_options, must=len(sheets) == 1)
        if sheet is None:
            notes.append(not_read(grid))
        else:
            understood.append(sheet)
    if read_options.table is not None and not understood:
        table = TABLES[read_options.table]
        if not sheets:
            raise UnusableInput("holds no cells.", file=name)
        raise lack(understand(sheets[0], table, read_options), sheets[0], table)
    if read_options.sheet is None:
        _one_sheet_a_table(understood, name)
    checked = []
    for sheet in understood:
        checked.append(check(sheet.grid, sheet.headers, read_options, on))
        checked[-1].notes[:0] = sheet.notes
    return CheckedFile(checked, notes)


def _one_sheet_a_table(understood: Sequence[Sheet], name: str) -> None:
    by_table: dict[str, list[str]] = {}
    for sheet in understood:
        by_table.setdefault(sheet.headers.table.name, []).append(sheet.grid.sheet)
    for table, names in by_table.items():
        if len(names) > 1:
            shown = ", ".join(map(repr, names))
            line = f'sheet = "{names[0]}"'
            raise Ambiguous(
                f"sheets {shown} all fit table {table}.",
                file=name,
                toml=line,
                hint=f"Give --sheet NAME, or --sheet {ALL_SHEETS} to read them all (in riskscope.toml: {line}).",
            )


def not_read(grid: Grid) -> Note:
    """What is said of a sheet that holds no table we know: how much of it, under what headers."""
    filled = [str(cell).strip() for cell in grid.cells.iloc[0] if str(cell).strip()]
    headers = ", ".join(repr(cell[:40]) for cell in filled[:8])
    text = (
        f"NOT READ: {len(grid.cells):,} rows under {headers} fit none of the tables; riskscope.toml can say which it is"
    )
    return Note("not read", text, file=grid.file, sheet=grid.sheet)


def _first_row(grid: Grid) -> tuple[str, ...]:
    return tuple(map(str, grid.cells.iloc[0].tolist())) if len(grid.cells) else ()


def is_own_result(first: tuple[str, ...]) -> bool:
    """Whether a sheet that begins with this row is a table that riskscope wrote."""
    return any(first == tuple(table.by_name) for table in results.TABLES.values())


def is_own_help(first: tuple[str, ...]) -> bool:
    """Whether a sheet that begins with this row says how to fill in a template, as riskscope wrote it."""
    return any(first[:2] == (table.sheet_title, table.help) for table in TABLES.values())


def raise_questions(checked: Sequence[CheckedSheet]) -> None:
    """One error that lists every open question of every file.

    Raises
    ------
    Ambiguous
    """
    open_ = [(sheet, question) for sheet in checked for question in sheet.questions]
    if not open_:
        return
    first = open_[0][0].grid
    if len({sheet.grid.file for sheet, _ in open_}) == 1:
        raise Ambiguous(" ".join(str(question) for _, question in open_), file=first.file, sheet=first.sheet or None)
    raise Ambiguous("; ".join(f"{sheet.grid.file}: {question}" for sheet, question in open_))


def read_frames(
    *, on: dt.date, read_options: ReadOptions | None = None, gap_days: int = 30, **tables: pd.DataFrame
) -> Tables:
    """Tables from DataFrames, checked as files are: headers as people write them, cells as text.

    Parameters
    ----------
    on : date
        The day the reading is made.
    **tables : DataFrame
        By table name: ``survey=…, installs=…``.
    """
    checked = []
    for name, frame in tables.items():
        if name not in TABLES:
            raise WrongUsage(
                f"there is no table {name!r}; there are {', '.join(TABLES)}.", hint=nearest(name, list(TABLES))
            )
        grid = frame_grid(frame, name)
        own = ReadOptions(table=name) if read_options is None else ReadOptions(table=name).over(read_options)
        sheet = identify(grid, name, own, must=True)
        assert sheet is not None
        checked.append(check(sheet.grid, sheet.headers, own, on))
        checked[-1].notes[:0] = sheet.notes
    raise_questions(checked)
    return combine(checked, [], [], gap_days)
