"""Files and frames into checked tables: which file is which table, and all of them together."""

from __future__ import annotations

import datetime as dt
import hashlib
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pandas as pd

from riskscope.errors import Ambiguous, RiskscopeError, UnusableInput, WrongUsage, nearest
from riskscope.intake import headers as find_headers
from riskscope.intake import text as read_text
from riskscope.intake import xlsx as read_xlsx
from riskscope.intake.check import REJECTED_COLUMNS, Checked, Note, check
from riskscope.intake.grid import Grid
from riskscope.intake.headers import Headers
from riskscope.intake.settings import Limits, Ways, ways_from
from riskscope.schema import TABLES, Table
from riskscope.settings.core import FOLDER_FILE, read_toml

TEXT_ENDINGS = (".csv", ".tsv", ".txt")
WORKBOOK_ENDINGS = (".xlsx", ".xlsm")
ENDINGS = TEXT_ENDINGS + WORKBOOK_ENDINGS
NOT_A_TABLE = "none"
ALL_SHEETS = "all"
READ_BY_NAME = ("survey", "surveys", "inspections", "installs", "tools", "connections", "findings",
                "equipment", "outages", "boxes", "thermograms")  # fmt: skip
# Words in the name of a file or sheet that say which table it holds, besides the table's own.
NAME_WORDS = {
    "survey": ("readings", "thermography", "infrared", "ir"),
    "installs": ("install", "torque", "torques", "tightening", "tightenings"),
    "tools": ("tool", "calibration", "calibrations", "wrenches"),
    "connections": ("register", "connection"),
    "findings": ("finding",),
    "outages": ("outage", "shutdown", "shutdowns"),
    "inspections": ("inspection", "inspected"),
}
SURVEY_ORDER = ("connections", "survey", "installs", "findings", "equipment", "inspections", "tools",
                "surveys", "outages", "boxes", "thermograms")  # fmt: skip


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
        path for path in folder.iterdir()
        if path.is_file() and path.suffix.casefold() in ENDINGS
        and not path.name.startswith((".", "~$"))
    )  # fmt: skip


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
                f'[files."{name}"]: there is no such file in the folder.', file=str(path),
                hint=nearest(name, known),
            )  # fmt: skip
        ways[name] = ways_from(values, f'{path}, [files."{name}"]')
    return ways


def read_folder(folder: str | Path, *, on: dt.date | None = None, ways: Ways | None = None,
                limits: Limits | None = None, gap_days: int = 30) -> Intake:  # fmt: skip
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


def read_files(wanted: Sequence[Wanted], *, on: dt.date | None = None,
               limits: Limits | None = None, gap_days: int = 30) -> Intake:  # fmt: skip
    """Files as tables; see `read_folder`."""
    on = on or dt.date.today()  # noqa: DTZ011  (a default of the public API; faces pass it)
    limits = limits or Limits()
    checked: list[Checked] = []
    notes: list[Note] = []
    files: list[InputFile] = []
    for want in wanted:
        if want.ways.table == NOT_A_TABLE:
            notes.append(
                Note(
                    "not read",
                    "not read: riskscope.toml says it holds no table",
                    file=want.path.name,
                )
            )
            continue
        data = load_bytes(want.path, limits)
        sheets = check_file(data, want.path.name, want.ways, want.named, on, limits, notes)
        checked += sheets
        tables = tuple(dict.fromkeys(sheet.table.name for sheet in sheets))
        if tables:
            files.append(InputFile(want.path.name, hashlib.sha256(data).hexdigest(), tables))
    raise_questions(checked)
    intake = assemble(checked, notes, gap_days)
    intake.files = files
    return intake


def load_bytes(path: Path, limits: Limits) -> bytes:
    """A file's bytes, or one sentence."""
    try:
        size = path.stat().st_size
        if size > limits.max_file_mb * 1e6:
            raise UnusableInput(
                f"is {size / 1e6:,.0f} MB; at most {limits.max_file_mb:,.0f} MB are read.",
                file=path.name, hint="Split it, or raise the setting max_file_mb.",
            )  # fmt: skip
        return path.read_bytes()
    except OSError as error:
        raise UnusableInput(f"cannot be read ({error.strerror}).", file=str(path)) from error


def grids(data: bytes, name: str, ways: Ways, limits: Limits) -> list[Grid]:
    """The sheets of a file as text cells, by the ending of its name."""
    ending = Path(name).suffix.casefold()
    if ending in WORKBOOK_ENDINGS:
        sheet = None if ways.sheet in (None, ALL_SHEETS) else ways.sheet
        return read_xlsx.read(data, name, limits, sheet)
    if ending in TEXT_ENDINGS:
        return [read_text.read(data, name, limits)]
    raise UnusableInput(
        f"is of a kind that is not read; there are {', '.join(ENDINGS)}.", file=name
    )


def check_file(data: bytes, name: str, ways: Ways, named: bool, on: dt.date, limits: Limits,
               notes: list[Note]) -> list[Checked]:  # fmt: skip
    """Every sheet of a file that holds a table, checked; what holds none is said in `notes`."""
    sheets = grids(data, name, ways, limits)
    found: list[tuple[Grid, Headers]] = []
    for grid in sheets:
        headers = identify(grid, name, ways, named and len(sheets) == 1)
        if headers is None:
            notes.append(
                Note(
                    "not read", "not read: it fits none of the tables", file=name, sheet=grid.sheet
                )
            )
        else:
            found.append((grid, headers))
    if named and not found:
        table = TABLES[ways.table] if ways.table else TABLES["survey"]
        raise find_headers.explain_lack(find_headers.find(sheets[0], table, ways), sheets[0], table) \
            if sheets else UnusableInput("holds no cells.", file=name)  # fmt: skip
    by_table: dict[str, list[str]] = {}
    for grid, headers in found:
        by_table.setdefault(headers.table.name, []).append(grid.sheet)
    for table_name, sheets_of in by_table.items():
        if len(sheets_of) > 1 and ways.sheet is None:
            shown = ", ".join(repr(sheet) for sheet in sheets_of)
            raise Ambiguous(
                f"sheets {shown} all fit table {table_name}.", file=name,
                hint=f"Give --sheet NAME, or --sheet {ALL_SHEETS} to read them all (sheet in riskscope.toml).",
            )  # fmt: skip
    return [check(grid, headers, ways, on) for grid, headers in found]


def identify(grid: Grid, name: str, ways: Ways, must: bool) -> Headers | None:
    """The table a sheet holds and its headers: as stated, by name, else by its headers."""
    if ways.table:
        if ways.table not in TABLES:
            raise WrongUsage(f"there is no table {ways.table!r}; there are {', '.join(TABLES)}.",
                             file=name, hint=nearest(ways.table, list(TABLES)))  # fmt: skip
        table: Table | None = TABLES[ways.table]
    else:
        table = table_by_name(grid.sheet) or table_by_name(Path(name).stem)
    if table is not None:
        headers = find_headers.find(grid, table, ways)
        if headers is not None and not headers.lacking and _has_one_of(headers):
            return headers
        if must or not grid.sheet:
            raise (
                find_headers.explain_lack(headers, grid, table)
                if (headers is None or headers.lacking)
                else _lacks_one_of(headers, grid)
            )
        return None
    fits = []
    for candidate in TABLES.values():
        headers = find_headers.find(grid, candidate, ways)
        if headers and not headers.lacking and _has_one_of(headers):
            known = len(headers.matches)
            if known >= 3 or not headers.unknown:
                fits.append((known, headers))
    if not fits:
        return None
    most = max(known for known, _ in fits)
    best = [headers for known, headers in fits if known == most]
    if len(best) > 1:
        names = " or ".join(headers.table.name for headers in best)
        raise Ambiguous(f"could be table {names}.", file=name, sheet=grid.sheet or None,
                        hint='Say which in riskscope.toml: [files."NAME"] table = "…".')  # fmt: skip
    return best[0]


RISES = ("connection_c", "rise_similar_k", "rise_ambient_k")


def _has_one_of(headers: Headers) -> bool:
    """Whether a survey has a temperature or a rise, or will have one once its question is answered."""
    if headers.table.name != "survey":
        return True
    return bool(headers.names & set(RISES)) or bool(headers.questions)


def _lacks_one_of(headers: Headers, grid: Grid) -> UnusableInput:
    looked = [s for name in RISES for s in (name, *headers.table.by_name[name].synonyms[:4])]
    found = [h.header for h in headers.matches] + list(headers.unknown.values())
    return UnusableInput(
        f"as table survey: no column of temperatures or rises (looked for: {', '.join(looked)}). "
        f"Headers found: {', '.join(map(repr, found))}.",
        file=grid.file, sheet=grid.sheet or None, line=int(grid.line[headers.row]),
        hint="Rename the header or give a mapping.",
    )  # fmt: skip


def table_by_name(name: str) -> Table | None:
    """The table whose name, or a word for it, stands in the name of a file or sheet."""
    words = [word for word in re.split(r"[^a-z]+", name.casefold()) if word]
    for table in TABLES:
        if table in words:
            return TABLES[table]
    for table, spellings in NAME_WORDS.items():
        if any(word in spellings for word in words):
            return TABLES[table]
    return None


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
        raise Ambiguous(" ".join(question for _, question in open_), file=first.file,
                        sheet=first.sheet or None)  # fmt: skip
    raise Ambiguous("; ".join(f"{sheet.grid.file}: {question}" for sheet, question in open_))


def assemble(checked: Sequence[Checked], notes: list[Note], gap_days: int) -> Intake:
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
        for name in TABLES if name in parts
    }  # fmt: skip
    notes += spell_ids_one_way(frames)
    if "survey" in frames:
        notes += name_surveys(frames, gap_days)
    refused = pd.concat([sheet.rejected for sheet in checked], ignore_index=True) if checked else \
        pd.DataFrame(columns=list(REJECTED_COLUMNS))  # fmt: skip
    return Intake(frames, refused, notes, counts)


ID_FAMILIES = {"isolated_by": "equipment"}


def spell_ids_one_way(frames: dict[str, pd.DataFrame]) -> list[Note]:
    """Ids that differ only in case are one id: the first spelling stands, every merge is listed."""
    notes: list[Note] = []
    places: dict[str, list[tuple[str, str]]] = {}
    for table in SURVEY_ORDER:
        if table in frames:
            for column in TABLES[table].columns:
                if column.kind == "id" and column.name in frames[table]:
                    family = ID_FAMILIES.get(column.name, column.name)
                    places.setdefault(family, []).append((table, column.name))
    for family, where in places.items():
        distinct = pd.unique(
            pd.concat([frames[t][c] for t, c in where]).dropna().astype("str").array
        )
        spelled = pd.Series(distinct, dtype="str")
        key = spelled.str.casefold()
        if key.is_unique:
            continue
        first = spelled.groupby(key, sort=False).transform("first")
        changed = (first != spelled).to_numpy()
        merge = dict(zip(spelled[changed], first[changed], strict=True))
        for table, name in where:
            values = frames[table][name]
            frames[table][name] = (
                values.map(merge).astype("str").where(values.isin(list(merge)), values)
            )
        for old, new in merge.items():
            notes.append(Note("merge", f"{family} {old!r} and {new!r} taken for one: {new!r}"))
    return notes


def name_surveys(frames: dict[str, pd.DataFrame], gap_days: int) -> list[Note]:
    """Fill `survey_id` where it is not given: one per file and site, split at long gaps."""
    survey = frames["survey"]
    if "survey_id" not in survey:
        survey["survey_id"] = pd.Series(np.nan, index=survey.index, dtype="str")
    open_ = survey["survey_id"].isna()
    if not open_.any():
        return []
    site = (
        survey["site"] if "site" in survey else pd.Series(np.nan, index=survey.index, dtype="str")
    )
    if "connections" in frames and "site" in frames["connections"]:
        register = frames["connections"].set_index("connection_id")["site"]
        site = site.where(site.notna(), survey["connection_id"].map(register))
    rows = pd.DataFrame({
        "file": survey["source_file"].str.cat(survey["source_sheet"], sep=" ").str.strip(),
        "site": site.astype("str").fillna(""), "date": survey["survey_date"],
    })[open_]  # fmt: skip
    rows = rows.sort_values(["file", "site", "date"], kind="stable")
    same = (rows["file"] == rows["file"].shift()) & (rows["site"] == rows["site"].shift())
    far = same & (rows["date"].diff().dt.days > gap_days) & (gap_days > 0)
    part = (far | ~same).cumsum()
    begins = rows.groupby(part)["date"].transform("min").dt.strftime("%Y-%m-%d")
    named = rows["file"].str.cat(rows["site"].where(rows["site"] == "", " / " + rows["site"]))
    split = far.groupby([rows["file"], rows["site"]]).transform("any")
    survey.loc[rows.index, "survey_id"] = named.where(~split, named + ", from " + begins)
    notes = []
    if far.any():
        files = rows.loc[far[far].index, "file"].unique()
        notes.append(Note("assumed", f"readings more than {gap_days} days apart taken for separate "
                          "surveys (setting survey_gap_days)", "survey", ", ".join(files)))  # fmt: skip
    return notes


def read_frames(*, on: dt.date | None = None, ways: Ways | None = None, gap_days: int = 30,
                **tables: pd.DataFrame) -> Intake:  # fmt: skip
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
            raise WrongUsage(f"there is no table {name!r}; there are {', '.join(TABLES)}.",
                             hint=nearest(name, list(TABLES)))  # fmt: skip
        grid = frame_grid(frame, name)
        own = Ways(table=name) if ways is None else Ways(table=name).over(ways)
        headers = identify(grid, name, own, True)
        assert headers is not None
        checked.append(check(grid, headers, own, on))
    raise_questions(checked)
    return assemble(checked, [], gap_days)


def frame_grid(frame: pd.DataFrame, name: str) -> Grid:
    """A DataFrame as a grid: its header on line 1, its rows after."""
    columns = []
    for label in frame.columns:
        values = frame[label]
        if pd.api.types.is_datetime64_any_dtype(values):
            text = values.dt.strftime("%Y-%m-%d %H:%M:%S").str.removesuffix(" 00:00:00")
        elif pd.api.types.is_bool_dtype(values):
            text = values.map({True: "yes", False: "no"}).astype("str")
        else:
            text = values.astype("str").where(values.notna())
        columns.append(
            pd.concat([pd.Series([str(label)]), text.fillna("").astype("str")], ignore_index=True)
        )
    cells = pd.concat(columns, axis=1, ignore_index=True) if columns else pd.DataFrame([[""]])
    return Grid(name, "", cells.astype("str"), np.arange(1, len(cells) + 1))


__all__ = ["Intake", "RiskscopeError", "read_files", "read_folder", "read_frames"]
