"""Which files are read, once each, and with which options: the one planner of files.

What a user states of all files goes before what ``riskscope.toml`` beside a file says of it.
"""

from __future__ import annotations

import hashlib
import stat
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from riskscope.errors import UnusableInput, nearest
from riskscope.intake.grid import Edit
from riskscope.intake.options import Limits, ReadOptions, read_options_from
from riskscope.schema.notes import Note
from riskscope.settings.core import FOLDER_FILE, read_toml

TEXT_ENDINGS = (".csv", ".tsv", ".txt")
WORKBOOK_ENDINGS = (".xlsx", ".xlsm")
PARQUET_ENDINGS = (".parquet",)
ENDINGS = TEXT_ENDINGS + WORKBOOK_ENDINGS + PARQUET_ENDINGS
OTHER_DATA = (".xls", ".xlsb", ".ods", ".numbers", ".pdf", ".doc", ".docx", ".json", ".db")
NOT_A_TABLE = "none"


@dataclass(frozen=True)
class Source:
    """A file to read and how; one that is `named` is meant to hold the table its options state."""

    path: Path
    read_options: ReadOptions = ReadOptions()
    called: str = ""  # where another that is read with it has its name

    @property
    def named(self) -> bool:
        """Whether its table is stated: not fitting is an error then, not a file left aside."""
        return self.read_options.table is not None

    @property
    def shown(self) -> str:
        """Its name as text that can be written anywhere."""
        return (self.called or self.path.name).encode("utf-8", "backslashreplace").decode("utf-8")

    @property
    def is_no_table(self) -> bool:
        """Whether the user says that it holds no table."""
        return self.read_options.table == NOT_A_TABLE


@dataclass(frozen=True)
class FileContent:
    """A file as it is, how it is to be read, and the cells of it corrected by hand."""

    name: str
    data: bytes = field(repr=False)
    read_options: ReadOptions = ReadOptions()
    edits: tuple[Edit, ...] = ()

    @property
    def sha256(self) -> str:
        """By which it is known again."""
        return hashlib.sha256(self.data).hexdigest()


@dataclass(frozen=True)
class Sources:
    """The files to read, and what is said of those beside them that are not."""

    files: list[Source]
    notes: list[Note] = field(default_factory=list)


def sources(
    paths: Iterable[Path], stated: ReadOptions | None = None, named: Mapping[str, Sequence[Path]] | None = None
) -> Sources:
    """Every file of the folders and files given, in order, each with its options.

    Parameters
    ----------
    paths : iterable of Path
        Folders, whose data files are read, and single files. The ``riskscope.toml`` of a folder, or beside
        a file, says how its files are read that do not say so themselves.
    stated : ReadOptions, optional
        What the user states of all files; stronger than ``riskscope.toml``.
    named : mapping of str to list of Path, optional
        Table -> files the user says hold it.

    Raises
    ------
    UnusableInput
        If a folder cannot be read, or its ``riskscope.toml`` names a file that is not there.
    """
    stated = stated or ReadOptions()
    files: list[Source] = []
    notes: list[Note] = []
    for path in paths:
        if not path.is_dir():
            files.append(Source(path, stated.over(beside(path))))
            continue
        own = of_folder(path)
        files += [Source(file, stated.over(own.get(file.name, ReadOptions()))) for file in data_files(path)]
        notes += [not_read(file) for file in other_files(path)]
        notes += [
            no_file(entry) for entry in _entries(path) if entry.suffix.casefold() in ENDINGS and not entry.is_file()
        ]
    for table, named_paths in (named or {}).items():
        files += [Source(path, ReadOptions(table=table).over(stated).over(beside(path))) for path in named_paths]
    return Sources(files, notes)


def folder_of(path: str | Path) -> Path:
    """A path that has to be a folder.

    Raises
    ------
    UnusableInput
        If it is none.
    """
    if not Path(path).is_dir():
        raise UnusableInput("is not a folder.", file=str(path))
    return Path(path)


def data_files(folder: Path) -> list[Path]:
    """The data files of a folder, in order of name."""
    return _of_kinds(folder, ENDINGS)


def other_files(folder: Path) -> list[Path]:
    """Files of a folder that look like data and are of a kind that is not read."""
    return _of_kinds(folder, OTHER_DATA)


def _of_kinds(folder: Path, endings: tuple[str, ...]) -> list[Path]:
    return [path for path in _entries(folder) if path.is_file() and path.suffix.casefold() in endings]


def _entries(folder: Path) -> list[Path]:
    return sorted(path for path in folder_of(folder).iterdir() if not path.name.startswith((".", "~$")))


def not_read(path: Path) -> Note:
    return Note("not read", "NOT READ: of a kind that is not read; save it as XLSX or CSV", file=path.name)


def no_file(path: Path) -> Note:
    return Note("not read", "NOT READ: it is no file that can be read (a folder, or a link to nothing)", file=path.name)


def no_table(source: Source) -> Note:
    return Note("not read", "not read: riskscope.toml says it holds no table", file=source.shown)


def of_folder(folder: Path) -> dict[str, ReadOptions]:
    """What ``riskscope.toml`` of a folder states of its files, by file name."""
    read_options = {name: _options(folder, name, values) for name, values in _sections(folder).items()}
    for name in read_options:
        if not (folder / name).is_file():
            raise UnusableInput(
                f'[files."{name}"]: there is no such file in the folder.',
                file=str(folder / FOLDER_FILE),
                hint=nearest(name, [file.name for file in data_files(folder)]),
            )
    return read_options


def beside(path: Path) -> ReadOptions:
    """What ``riskscope.toml`` in the folder of a file states of it."""
    values = _sections(path.parent).get(path.name)
    return ReadOptions() if values is None else _options(path.parent, path.name, values)


def _sections(folder: Path) -> dict[str, object]:
    path = folder / FOLDER_FILE
    sections = read_toml(path).get("files", {}) if path.is_file() else {}
    if not isinstance(sections, dict):
        raise UnusableInput('files must be sections such as [files."survey.csv"].', file=str(path))
    return sections


def _options(folder: Path, name: str, values: object) -> ReadOptions:
    if not isinstance(values, dict):
        raise UnusableInput(f'[files."{name}"] must be a section.', file=str(folder / FOLDER_FILE))
    return read_options_from(values, f'{folder / FOLDER_FILE}, [files."{name}"]')


def told_apart(files: Sequence[Source]) -> list[Source]:
    """The same files, those of one name called by their folder too, and by a number where that is one as well."""
    by_folder = [f"{source.path.resolve().parent.name}/{source.path.name}" for source in files]
    names, folders = (Counter(every) for every in ([source.path.name for source in files], by_folder))
    made = []
    for number, (source, name) in enumerate(zip(files, by_folder, strict=True), start=1):
        called = name if folders[name] == 1 else f"{number}: {name}"
        made.append(replace(source, called=called) if names[source.path.name] > 1 else source)
    return made


def load(source: Source, limits: Limits) -> FileContent:
    """A file and its bytes, or one sentence."""
    return FileContent(source.shown, load_bytes(source.path, limits), source.read_options)


def load_bytes(path: Path, limits: Limits) -> bytes:
    """A file's bytes, or one sentence."""
    try:
        about = path.stat()
        if not stat.S_ISREG(about.st_mode):
            raise UnusableInput("is no regular file.", file=str(path))
        size = about.st_size
        if size > limits.max_file_mb * 1e6:
            raise UnusableInput(
                f"is {size / 1e6:,.0f} MB; at most {limits.max_file_mb:,.0f} MB are read.",
                file=path.name,
                hint="Split it, or raise the setting max_file_mb.",
            )
        return path.read_bytes()
    except OSError as error:
        raise UnusableInput(f"cannot be read ({error.strerror}).", file=str(path)) from error
