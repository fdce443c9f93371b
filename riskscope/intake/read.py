"""Files and frames into checked tables: which file is which table, and all of them together."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Protocol

import pandas as pd

from riskscope.errors import Ambiguous, RiskscopeError, UnusableInput, WrongUsage, nearest
from riskscope.intake.check import REJECTED_COLUMNS, UNIQUE, Checked, check
from riskscope.intake.combine import boards_of_one_id, name_surveys, reject_doubles, spell_ids_one_way
from riskscope.intake.grid import Edit, Grid, edited, frame_grid
from riskscope.intake.layout.identify import Sheet, identify, lack, understand
from riskscope.intake.notes import Note
from riskscope.intake.options import Limits, Ways, ways_from
from riskscope.intake.readers import parquet as read_parquet
from riskscope.intake.readers import text as read_text
from riskscope.intake.readers import xlsx as read_xlsx
from riskscope.schema import TABLES, Table, results
from riskscope.settings.core import FOLDER_FILE, read_toml

TEXT_ENDINGS = (".csv", ".tsv", ".txt")
WORKBOOK_ENDINGS = (".xlsx", ".xlsm")
PARQUET_ENDINGS = (".parquet",)
ENDINGS = TEXT_ENDINGS + WORKBOOK_ENDINGS + PARQUET_ENDINGS
NOT_A_TABLE = "none"
ALL_SHEETS = "all"


@dataclass(frozen=True)
class InputFile:
    """A file that was read, known again by its hash."""

    name: str
    sha256: str
    tables: tuple[str, ...]


@dataclass
class Intake(Mapping[str, pd.DataFrame]):
    """Every table read: a mapping of table name to accepted rows, and all that was not accepted.

    Attributes
    ----------
    frames : dict of str to DataFrame
        Accepted rows in the units used inside, with `source_file`, `source_sheet`, `source_line`.
    refused : DataFrame
        Rejected and set-aside rows with place, reasons and original cells.
    notes : list of Note
    counts : dict of str to dict
        Per table: read, accepted, rejected, set_aside, warnings.
    files : list of InputFile
    """

    frames: dict[str, pd.DataFrame]
    refused: pd.DataFrame
    notes: list[Note]
    counts: dict[str, dict[str, int]]
    files: list[InputFile] = field(default_factory=list)

    def __getitem__(self, table: str) -> pd.DataFrame:
        return self.frames[table]

    def __iter__(self) -> Iterator[str]:
        return iter(self.frames)

    def __len__(self) -> int:
        return len(self.frames)


class Taken(Protocol):
    """One sheet that was checked, just now or when it came into a store."""

    @property
    def table(self) -> Table: ...
    @property
    def file(self) -> str: ...
    @property
    def sheet(self) -> str: ...
    @property
    def accepted(self) -> pd.DataFrame: ...
    @property
    def rejected(self) -> pd.DataFrame: ...
    @property
    def notes(self) -> list[Note]: ...
    @property
    def counts(self) -> dict[str, int]: ...
    def original(self, line: int) -> list[str]:
        """The cells of a line as they stand in the file."""
        ...


@dataclass(frozen=True)
class Wanted:
    """A file to read and what the user states of it."""

    path: Path
    ways: Ways = Ways()
    named: bool = False  # the user named its table; not fitting is an error, not a file left aside


def folder_files(folder: Path) -> list[Path]:
    """The data files of a folder, in order of name."""
    if not folder.is_dir():
        raise UnusableInput("is not a folder.", file=str(folder))
    return sorted(
        path
        for path in folder.iterdir()
        if path.is_file() and path.suffix.casefold() in ENDINGS and not path.name.startswith((".", "~$"))
    )


OTHER_DATA = (".xls", ".xlsb", ".ods", ".numbers", ".pdf", ".doc", ".docx", ".json", ".db")


def folder_others(folder: Path) -> list[Note]:
    """Files of a folder that look like data and are of a kind that is not read, each said."""
    return [
        Note("not read", "NOT READ: of a kind that is not read; save it as XLSX or CSV", file=path.name)
        for path in sorted(folder.iterdir())
        if path.suffix.casefold() in OTHER_DATA and not path.name.startswith((".", "~$"))
    ]


def folder_ways(folder: Path) -> dict[str, Ways]:
    """What `riskscope.toml` of a folder states of its files, by file name."""
    path = folder / FOLDER_FILE
    if not path.is_file():
        return {}
    ways = {}
    for name, values in read_toml(path).get("files", {}).items():
        if not isinstance(values, dict):
            raise UnusableInput(f'[files."{name}"] must be a section.', file=str(path))
        if not (folder / name).is_file():
            known = [file.name for file in folder_files(folder)]
            raise UnusableInput(
                f'[files."{name}"]: there is no such file in the folder.', file=str(path), hint=nearest(name, known)
            )
        ways[name] = ways_from(values, f'{path}, [files."{name}"]')
    return ways


def read_folder(
    folder: str | Path,
    *,
    on: dt.date | None = None,
    ways: Ways | None = None,
    limits: Limits | None = None,
    gap_days: int = 30,
) -> Intake:
    """Every table of a folder of files.

    Parameters
    ----------
    folder : path
        Its ``riskscope.toml`` says how files are read that do not say so themselves.
    on : date, optional
        The day the reading is made; by default today.
    ways : Ways, optional
        Stronger than those of the folder.
    gap_days : int
        Readings of one file further apart belong to different surveys; 0 never splits.

    Raises
    ------
    UnusableInput
        If a file cannot be read at all.
    Ambiguous
        If a file can be read in more than one way; the message says what to type.
    """
    folder = Path(folder)
    stated = folder_ways(folder)
    wanted = []
    for path in folder_files(folder):
        own = stated.get(path.name, Ways())
        wanted.append(Wanted(path, (ways or Ways()).over(own), own.table is not None))
    return read_files(wanted, on=on, limits=limits, gap_days=gap_days)


def read_files(
    wanted: Sequence[Wanted], *, on: dt.date | None = None, limits: Limits | None = None, gap_days: int = 30
) -> Intake:
    """Files as tables; see `read_folder`."""
    on = on or dt.date.today()  # noqa: DTZ011  (a default of the public API; faces pass it)
    limits = limits or Limits()
    checked: list[Checked] = []
    notes: list[Note] = []
    files: list[InputFile] = []
    for want in wanted:
        if want.ways.table == NOT_A_TABLE:
            notes.append(Note("not read", "not read: riskscope.toml says it holds no table", file=want.path.name))
            continue
        data = load_bytes(want.path, limits)
        sheets = check_file(data, shown_name(want.path), want.ways, want.named, on, limits, notes)
        checked += sheets
        tables = tuple(dict.fromkeys(sheet.table.name for sheet in sheets))
        if tables:
            files.append(InputFile(shown_name(want.path), hashlib.sha256(data).hexdigest(), tables))
    raise_questions(checked)
    intake = assemble(checked, notes, gap_days)
    intake.files = files
    return intake


def shown_name(path: Path) -> str:
    """A file's name as text that can be written anywhere."""
    return path.name.encode("utf-8", "backslashreplace").decode("utf-8")


def load_bytes(path: Path, limits: Limits) -> bytes:
    """A file's bytes, or one sentence."""
    try:
        size = path.stat().st_size
        if size > limits.max_file_mb * 1e6:
            raise UnusableInput(
                f"is {size / 1e6:,.0f} MB; at most {limits.max_file_mb:,.0f} MB are read.",
                file=path.name,
                hint="Split it, or raise the setting max_file_mb.",
            )
        return path.read_bytes()
    except OSError as error:
        raise UnusableInput(f"cannot be read ({error.strerror}).", file=str(path)) from error


def grids(data: bytes, name: str, ways: Ways, limits: Limits) -> list[Grid]:
    """The sheets of a file as text cells, by the ending of its name."""
    ending = Path(name).suffix.casefold()
    if ending in WORKBOOK_ENDINGS:
        sheet = None if ways.sheet in (None, ALL_SHEETS) else ways.sheet
        return read_xlsx.read(data, name, limits, sheet)
    if ending in PARQUET_ENDINGS:
        return [read_parquet.read(data, name, limits)]
    if ending in TEXT_ENDINGS:
        return [read_text.read(data, name, limits)]
    raise UnusableInput(f"is of a kind that is not read; there are {', '.join(ENDINGS)}.", file=name)


Reader = Callable[[bytes, str, Ways, Limits], list[Grid]]


def check_file(
    data: bytes,
    name: str,
    ways: Ways,
    named: bool,
    on: dt.date,
    limits: Limits,
    notes: list[Note],
    edits: Sequence[Edit] = (),
    reader: Reader = grids,
) -> list[Checked]:
    """Every sheet of a file that holds a table, checked; what holds none is said in `notes`.

    `edits` are cells corrected by hand; `reader` gives the file's sheets, here or in a process apart.
    """
    sheets = [edited(grid, edits) for grid in reader(data, name, ways, limits)]
    found: list[Sheet] = []
    for grid in sheets:
        if is_own_result(grid):
            notes.append(Note("not read", "not read: a result of riskscope itself", file=name, sheet=grid.sheet))
            continue
        sheet = identify(grid, name, ways, must=len(sheets) == 1)
        if sheet is None:
            notes.append(not_read(grid))
        else:
            found.append(sheet)
    if named and not found:
        table = TABLES[ways.table or "survey"]
        if not sheets:
            raise UnusableInput("holds no cells.", file=name)
        raise lack(understand(sheets[0], table, ways), sheets[0], table)
    by_table: dict[str, list[str]] = {}
    for sheet in found:
        by_table.setdefault(sheet.headers.table.name, []).append(sheet.grid.sheet)
    for table_name, sheets_of in by_table.items():
        if len(sheets_of) > 1 and ways.sheet is None:
            shown = ", ".join(repr(sheet) for sheet in sheets_of)
            line = f'sheet = "{sheets_of[0]}"'
            raise Ambiguous(
                f"sheets {shown} all fit table {table_name}.",
                file=name,
                toml=line,
                hint=f"Give --sheet NAME, or --sheet {ALL_SHEETS} to read them all (in riskscope.toml: {line}).",
            )
    checked = []
    for sheet in found:
        one = check(sheet.grid, sheet.headers, ways, on)
        one.notes[:0] = sheet.notes
        checked.append(one)
    return checked


def not_read(grid: Grid) -> Note:
    """What is said of a sheet that holds no table we know: how much of it, under what headers."""
    filled = [str(cell).strip() for cell in grid.cells.iloc[0] if str(cell).strip()]
    headers = ", ".join(repr(cell[:40]) for cell in filled[:8])
    text = (
        f"NOT READ: {len(grid.cells):,} rows under {headers} fit none of the tables; riskscope.toml can say which it is"
    )
    return Note("not read", text, file=grid.file, sheet=grid.sheet)


def is_own_result(grid: Grid) -> bool:
    """Whether a sheet is a table that riskscope wrote."""
    first = tuple(str(cell) for cell in grid.cells.iloc[0]) if len(grid.cells) else ()
    return any(first == tuple(table.by_name) for table in results.TABLES.values())


def raise_questions(checked: Sequence[Checked]) -> None:
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


def assemble(checked: Sequence[Taken], notes: list[Note], gap_days: int) -> Intake:
    """All sheets together: one frame a table, ids spelled one way, surveys named."""
    parts: dict[str, list[pd.DataFrame]] = {}
    counts: dict[str, dict[str, int]] = {}
    for sheet in checked:
        parts.setdefault(sheet.table.name, []).append(sheet.accepted)
        total = counts.setdefault(sheet.table.name, dict.fromkeys(sheet.counts, 0))
        for key, value in sheet.counts.items():
            total[key] += value
        notes = [*notes, *sheet.notes]
    frames = {
        name: pd.concat(parts[name], ignore_index=True) if len(parts[name]) > 1 else parts[name][0]
        for name in TABLES
        if name in parts
    }
    notes += spell_ids_one_way(frames)
    notes += boards_of_one_id(frames)
    refused = [sheet.rejected for sheet in checked]
    refused.append(_doubles(checked, reject_doubles(frames, UNIQUE), counts))
    if "survey" in frames:
        notes += name_surveys(frames, gap_days)
    columns = pd.DataFrame(columns=list(REJECTED_COLUMNS))
    listed = [part for part in refused if len(part)]
    return Intake(frames, pd.concat(listed, ignore_index=True) if listed else columns, notes, counts)


def _doubles(checked: Sequence[Taken], doubles: pd.DataFrame, counts: dict[str, dict[str, int]]) -> pd.DataFrame:
    """Rows that another file has already, as rejected rows with their original cells."""
    rows = []
    for double in doubles.to_dict("records"):
        place = (double["source_file"], double["source_sheet"])
        sheet = next(s for s in checked if (s.file, s.sheet) == place)
        cells = sheet.original(double["source_line"])
        rows.append(
            (
                "rejected",
                double["table"],
                *place,
                double["source_line"],
                double["reason"],
                json.dumps(cells, ensure_ascii=False),
            )
        )
        counts[double["table"]]["accepted"] -= 1
        counts[double["table"]]["rejected"] += 1
    return pd.DataFrame(rows, columns=list(REJECTED_COLUMNS))


def read_frames(
    *, on: dt.date | None = None, ways: Ways | None = None, gap_days: int = 30, **tables: pd.DataFrame
) -> Intake:
    """Tables from DataFrames, checked as files are: headers as people write them, cells as text.

    Parameters
    ----------
    on : date, optional
        The day the reading is made; by default today.
    **tables : DataFrame
        By table name: ``survey=…, installs=…``.
    """
    on = on or dt.date.today()  # noqa: DTZ011
    checked = []
    for name, frame in tables.items():
        if name not in TABLES:
            raise WrongUsage(
                f"there is no table {name!r}; there are {', '.join(TABLES)}.", hint=nearest(name, list(TABLES))
            )
        grid = frame_grid(frame, name)
        own = Ways(table=name) if ways is None else Ways(table=name).over(ways)
        sheet = identify(grid, name, own, must=True)
        assert sheet is not None
        one = check(sheet.grid, sheet.headers, own, on)
        one.notes[:0] = sheet.notes
        checked.append(one)
    raise_questions(checked)
    return assemble(checked, [], gap_days)


__all__ = ["Intake", "RiskscopeError", "read_files", "read_folder", "read_frames"]
