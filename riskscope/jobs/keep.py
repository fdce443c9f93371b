"""keep: what a store holds, copies of it, and whether it is still what was brought in."""

from __future__ import annotations

import contextlib
import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pandas as pd

from riskscope.errors import RiskscopeError
from riskscope.intake.grid import Edit, Grid
from riskscope.intake.options import Limits
from riskscope.intake.read import check_file
from riskscope.jobs.kinds import load
from riskscope.schema import TABLES
from riskscope.schema.tables import EXTRA
from riskscope.settings import Settings
from riskscope.store import assessments, copies, corrections, export, imports
from riskscope.store import reading as held
from riskscope.store.assessments import AssessmentRecord
from riskscope.store.database import Store, connect
from riskscope.store.migrations import open_store
from riskscope.store.place import place_of
from riskscope.store.reading import Import
from riskscope.store.stamp import Actor, Stamp

__all__ = ["Actor", "AssessmentRecord", "Import", "Stamp", "Store", "backup", "check", "export_tables", "listed",
           "open_store", "opened", "place_of", "restore", "undo"]  # fmt: skip


@contextlib.contextmanager
def opened(given: str | None, *, create: bool = False) -> Iterator[Store]:
    """The store meant by an option, the environment or the folder at hand; closed afterwards."""
    store = open_store(place_of(given), create=create)
    try:
        yield store
    finally:
        store.close()


def listed(store: Store, actor: Actor) -> list[Import]:
    """Every import, in order."""
    actor.needs("viewer")
    return held.listed(store)


def undo(store: Store, import_id: int, stamp: Stamp) -> tuple[list[Import], list[int]]:
    """Take an import back: it and those that go with it, and the imports that count again."""
    stamp.actor.needs("keeper")
    gone, again = imports.undo(store, import_id, stamp)
    return [held.get(store, number) for number in gone], again


def together(store: Store, actor: Actor, import_id: int) -> list[int]:
    """The imports that are taken back with this one: itself, and those that replaced others together with it."""
    actor.needs("viewer")
    return held.together(store, import_id)


def export_tables(store: Store, actor: Actor, folder: Path, form: str, options: Mapping[str, Any]) -> list[Path]:
    """Every row that counts, one file or sheet a table, to be read again without loss."""
    actor.needs("viewer")
    settings, _ = load(Settings, options)
    tables = held.tables(store, settings.survey_gap_days)
    return export.write(tables.accepted, tables.refused, folder, form)


def backup(store: Store, actor: Actor, path: Path) -> Path:
    """The whole store as one file."""
    actor.needs("keeper")
    copies.backup(store, path)
    return path


def restore(path: Path, given: str | None, actor: Actor) -> str:
    """Bring a backup back where no store is yet; the place of the store."""
    actor.needs("keeper")
    store = connect(place_of(given), create=True)
    try:
        copies.restore(path, store)
    finally:
        store.close()
    with opened(given) as restored:
        return restored.place


def refused(store: Store, actor: Actor) -> pd.DataFrame:
    """Rows refused by the imports that count, with their state."""
    actor.needs("viewer")
    return corrections.refused_rows(store)


def dismiss(store: Store, refused_id: int, note: str, stamp: Stamp) -> None:
    """Settle a refused row with a note."""
    stamp.actor.needs("keeper")
    corrections.dismiss(store, refused_id, note, stamp)


def keep_picture(store: Store, name: str, data: bytes, stamp: Stamp) -> None:
    """Keep a picture, for the pages and the reports."""
    stamp.actor.needs("surveyor")
    imports.keep_picture(store, name, data, stamp)


def state(store: Store, actor: Actor) -> str:
    """What counts now, as a hash: it changes with every import, undo, correction, dismissal."""
    actor.needs("viewer", all_sites=False)
    return assessments.state_of(store)


def last_change(store: Store, actor: Actor) -> tuple[str, str]:
    """Who changed last what counts, and when."""
    actor.needs("viewer", all_sites=False)
    who, at = held.last_change(store)
    return (who if actor.sites is None else "somebody"), at


def picture(store: Store, actor: Actor, name: str) -> bytes | None:
    """A picture kept under a name; None where there is none."""
    actor.needs("viewer")
    return held.picture(store, name)


def edits(store: Store, actor: Actor, import_id: int) -> list[Edit]:
    """The cells of an import corrected by hand."""
    actor.needs("viewer")
    return held.edits(store, import_id)


def cells_of(store: Store, actor: Actor, import_id: int, sheet: str, line: int) -> list[tuple[int, str, str]]:
    """The cells of a line as corrected so far: place, header above it, text."""
    actor.needs("viewer")
    grid = next(grid for grid in held.grids_of(store, import_id) if grid.sheet == sheet)
    at = int((grid.line == line).argmax())
    row = [str(cell) for cell in grid.cells.iloc[at]]
    about = held.get(store, import_id)
    names = {name.casefold() for table in about.tables for name in TABLES[table].by_name}
    heads = max(range(min(at, 60) or 1), key=lambda n: _headers_in(grid, n, names))
    titles = [str(cell) for cell in grid.cells.iloc[heads]]
    wide = max((n + 1 for n, (cell, title) in enumerate(zip(row, titles, strict=True)) if cell or title), default=0)
    return [(n, titles[n], row[n]) for n in range(wide)]


def _headers_in(grid: Grid, row: int, names: set[str]) -> tuple[int, int]:
    """How much a row looks like headers: known names, then filled cells without digits."""
    cells = [str(cell).strip() for cell in grid.cells.iloc[row]]
    return (
        sum(cell.casefold() in names for cell in cells),
        sum(bool(cell) and not any(c.isdigit() for c in cell) for cell in cells),
    )


@dataclass(frozen=True)
class Finding:
    """One thing `check` found wrong with an import."""

    import_id: int
    name: str
    words: str


def check(store: Store, actor: Actor) -> tuple[int, list[Finding]]:
    """Read each kept file again and compare its rows with those of the store.

    Returns
    -------
    int
        Imports looked at.
    list of Finding
        What differs; empty where all is as it was brought in.
    """
    actor.needs("viewer")
    findings: list[Finding] = []
    every = held.listed(store)
    for held_import in every:
        findings += [Finding(held_import.id, held_import.shown, words) for words in _differences(store, held_import)]
    return len(every), findings


def _differences(store: Store, about: Import) -> list[str]:
    content = held.content_of(store, about, held.edits(store, about.id))
    if content.sha256 != about.sha256:
        return ["the kept file is not the one that was brought in: its hash differs"]
    try:
        now = check_file(content, on=dt.date.fromisoformat(about.as_of), limits=Limits()).sheets
    except RiskscopeError as error:
        return [f"the kept file cannot be read again: {error}"]
    kept = held.sheets_of(store, about.id)
    if [(s.table.name, s.sheet) for s in now] != [(s.table.name, s.sheet) for s in kept]:
        return ["its sheets are read as other tables now"]
    words = []
    for new, old in zip(now, kept, strict=True):
        where = f"table {new.table.name}" + (f", sheet {new.sheet}" if new.sheet else "")
        words += [f"{where}: {text}" for text in _compare(new.accepted, old.accepted)]
        if set(old.rejected["line"]) != set(new.rejected["line"]):
            words.append(f"{where}: other rows are refused now")
    return words


def _compare(new: pd.DataFrame, old: pd.DataFrame) -> Sequence[str]:
    if len(new) != len(old):
        return [f"{len(old):,} rows are stored, {len(new):,} are read now"]
    learned = sorted(set(new) - set(old))
    if learned and all(name.startswith(EXTRA) for name in set(old) - set(new)):
        return [
            f"{', '.join(learned)} is understood now and was not when it came in: undo the import and bring the "
            "file in again to use it"
        ]
    if sorted(new) != sorted(old):
        return [f"columns {', '.join(sorted(set(new) ^ set(old)))} differ"]
    words = []
    for name in new:
        if name == "source_file":
            continue
        a, b = new[name], old[name]
        differ = ~((a == b) | (a.isna() & b.isna())).to_numpy(dtype=bool)
        if differ.any():
            lines = new.loc[differ, "source_line"].head(3).tolist()
            words.append(f"column {name} differs in {differ.sum():,} rows (line {lines[0]} first)")
    return words
