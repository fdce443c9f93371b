"""bring in: files into a store, each in one transaction; what is there already is not doubled."""

from __future__ import annotations

import datetime as dt
import hashlib
import logging
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from riskscope.errors import RiskscopeError, UnusableInput
from riskscope.intake.grid import Edit
from riskscope.intake.notes import Note
from riskscope.intake.options import Limits, Ways
from riskscope.intake.read import (
    NOT_A_TABLE,
    Taken,
    Wanted,
    check_file,
    folder_files,
    folder_others,
    folder_ways,
    load_bytes,
    raise_questions,
    shown_name,
)
from riskscope.jobs.kinds import load
from riskscope.jobs.rank import Progress
from riskscope.store import corrections, imports
from riskscope.store import reading as held
from riskscope.store.database import Stamp, Store
from riskscope.store.reading import Import, Overlap

log = logging.getLogger("riskscope.bring_in")


@dataclass
class Brought:
    """What became of one file.

    `outcome` is ``new``, ``there`` (the same file was brought in before), ``no table`` or
    ``failed``; with the import, what was said of the file, or the error.
    """

    file: str
    outcome: str
    made: Import | None = None
    notes: list[Note] = field(default_factory=list)
    error: RiskscopeError | None = None


@dataclass(frozen=True)
class Decision:
    """What the user says of a file that shares rows with earlier imports."""

    supersedes: tuple[int, ...] = ()
    beside: bool = False


def wanted(paths: Sequence[Path], ways: Ways) -> tuple[list[Wanted], list[Note]]:
    """Every file of the folders and files named, with what is stated of it."""
    files: list[Wanted] = []
    notes: list[Note] = []
    for path in paths:
        folder = path if path.is_dir() else path.parent
        stated = folder_ways(folder) if folder.is_dir() else {}
        for file in folder_files(path) if path.is_dir() else [path]:
            own = stated.get(file.name, Ways())
            files.append(Wanted(file, ways.over(own), (ways.table or own.table) is not None))
        if path.is_dir():
            notes += folder_others(path)
    return files, notes


def bring_in(
    store: Store,
    files: Sequence[Wanted],
    *,
    on: dt.date,
    options: Mapping[str, Any],
    stamp: Stamp,
    decision: Decision | None = None,
    progress: Progress = lambda text: None,
) -> list[Brought]:
    """Bring in files, one after the other; a file that fails leaves the others be.

    Parameters
    ----------
    store : Store
    files : sequence of Wanted
    on : date
        The day dates are checked against.
    options : mapping
        Settings given as options.
    stamp : Stamp
        Who brings them in, and when.
    decision : Decision, optional
        What is to become of earlier imports that share rows.
    """
    limits, _ = load(Limits, options)
    done = []
    for want in files:
        name = shown_name(want.path)
        progress(f"bringing in {name}")
        if want.ways.table == NOT_A_TABLE:
            done.append(
                Brought(
                    name,
                    "no table",
                    notes=[Note("not read", "not read: riskscope.toml says it holds no table", file=name)],
                )
            )
            continue
        try:
            data = load_bytes(want.path, limits)
            done.append(
                one_file(
                    store,
                    data,
                    name,
                    want.ways,
                    named=want.named,
                    on=on,
                    limits=limits,
                    stamp=stamp,
                    decision=decision or Decision(),
                )
            )
        except RiskscopeError as error:
            done.append(Brought(name, "failed", error=error))
        log.info("bring in: %s: %s", name, done[-1].outcome)
    return done


def one_file(
    store: Store,
    data: bytes,
    name: str,
    ways: Ways,
    *,
    named: bool,
    on: dt.date,
    limits: Limits,
    stamp: Stamp,
    decision: Decision,
    edits: Sequence[Edit] = (),
    sheets: Sequence[Taken] | None = None,
) -> Brought:
    """Bring in one file given as bytes.

    Parameters
    ----------
    edits : sequence of Edit
        Cells corrected by hand before it came in.
    sheets : sequence of Checked, optional
        The file as it was checked with these ways and edits; checked here by default.

    Raises
    ------
    RiskscopeError
        If it cannot be read, leaves something open, or shares rows with an import that counts and
        nothing was decided.
    """
    sha256 = hashlib.sha256(data).hexdigest()
    there = held.find(store, sha256)
    if there is not None:
        return Brought(name, "there", there)
    notes: list[Note] = []
    if sheets is None:
        checked = check_file(data, name, ways, named, on, limits, notes, edits)
        raise_questions(checked)
        sheets = checked
    if not sheets:
        return Brought(name, "no table", notes=notes)
    if not decision.beside:
        _decide(held.overlaps(store, sheets), decision, name)
    made, new = imports.add(
        store,
        data=data,
        sha256=sha256,
        name=name,
        ways=ways,
        sheets=sheets,
        as_of=on.isoformat(),
        stamp=stamp,
        supersedes=decision.supersedes,
        corrections=edits,
    )
    for sheet in sheets:
        notes += sheet.notes
    return Brought(name, "new" if new else "there", made, notes)


def overlapping(store: Store, data: bytes, sheets: Sequence[Taken]) -> list[Overlap]:
    """What a file shares with the imports that count; nothing where the very file is there already."""
    if held.find(store, hashlib.sha256(data).hexdigest()) is not None:
        return []
    return held.overlaps(store, sheets)


def _decide(found: Sequence[Overlap], decision: Decision, name: str) -> None:
    """Refuse a file whose rows are in the store already, unless it supersedes those.

    Raises
    ------
    UnusableInput
    """
    open_ = [one for one in found if one.import_id not in decision.supersedes]
    if open_:
        raise UnusableInput(
            overlap_words(open_[0]),
            file=name,
            rule="overlap",
            value=open_[0].import_id,
            hint=f"Give --supersedes {open_[0].import_id} if this file replaces that one, or --beside to keep both.",
        )


def overlap_words(overlap: Overlap) -> str:
    """One sentence of what a file has in common with an import."""
    most = "is the same list again" if overlap.is_most else "has rows that are there already"
    return (
        f"{most}: {overlap.common:,} of its {overlap.new:,} rows of table {overlap.table} are also in "
        f"import {overlap.import_id} ({overlap.shown}, {overlap.held:,} rows)."
    )


def mend(store: Store, import_id: int, more: Sequence[Edit], *, limits: Limits, stamp: Stamp) -> Import:
    """Correct cells of an import: the file is checked again with them.

    Raises
    ------
    RiskscopeError
        If a cell is not there or was changed by somebody else, or the file could not be read so.
    """
    one = held.get(store, import_id)
    known = held.edits(store, import_id)
    data = held.content(store, one.sha256)
    checked = check_file(
        data,
        one.name,
        one.ways,
        one.ways.table is not None,
        dt.date.fromisoformat(one.as_of),
        limits,
        [],
        [*known, *more],
    )
    raise_questions(checked)
    corrections.correct(store, import_id, known, more, checked, stamp)
    return held.get(store, import_id)
