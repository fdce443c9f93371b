"""bring in: files into a store, each in one transaction; what is there already is not doubled."""

from __future__ import annotations

import datetime as dt
import functools
import logging
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from riskscope.errors import RiskscopeError, UnusableInput
from riskscope.intake.check import CheckedSheet
from riskscope.intake.combine import AnySheet
from riskscope.intake.files import FileContent, Source, load, no_table, sources
from riskscope.intake.grid import Edit
from riskscope.intake.options import Limits, ReadOptions
from riskscope.intake.read import CheckedFile, check_file, raise_questions
from riskscope.jobs.kinds import load as load_settings
from riskscope.jobs.rank import Progress
from riskscope.jobs.sites import doubt, new_site, site_question
from riskscope.jobs.taken_back import taken_back
from riskscope.schema import TABLES
from riskscope.schema.notes import HOTTEST, Note
from riskscope.store import imports
from riskscope.store import reading as held
from riskscope.store.database import Store
from riskscope.store.overlaps import Overlap, in_common, overlaps
from riskscope.store.reading import Import
from riskscope.store.stamp import Actor, Stamp
from riskscope.words.render import many

__all__ = [
    "Decision",
    "Edit",
    "FileContent",
    "FileOutcome",
    "Limits",
    "ReadOptions",
    "Ready",
    "already",
    "bring_in",
    "limits_of",
    "one_file",
    "overlap_words",
    "overlapping",
    "several",
    "sources",
    "to_write",
]

log = logging.getLogger("riskscope.bring_in")
MENDED_THERE = "its cells are corrected in the app under Records, Rejected rows."
MOST_REFUSED = 8  # rejected rows that are told


@dataclass
class FileOutcome:
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


def bring_in(
    store: Store,
    files: Sequence[Source],
    *,
    on: dt.date,
    options: Mapping[str, Any],
    stamp: Stamp,
    decision: Decision | None = None,
    progress: Progress = lambda text: None,
) -> list[FileOutcome]:
    """Bring in files, one after the other; a file that fails leaves the others be.

    Parameters
    ----------
    files : sequence of Source
        From `riskscope.intake.files.sources`.
    on : date
        The day dates are checked against.
    options : mapping
        Settings given as options; weaker than them the ``riskscope.toml`` beside the store counts.
    stamp : Stamp
        Who brings them in, and when.
    decision : Decision, optional
        What is to become of earlier imports that share rows.
    """
    limits, _ = load_settings(Limits, options, store.home)
    if decision is not None and decision.supersedes:
        return _in_place(store, files, on=on, limits=limits, stamp=stamp, decision=decision, progress=progress)
    bring = functools.partial(_outcome, store, on=on, limits=limits, stamp=stamp, decision=decision)
    done = []
    for source in files:
        progress(f"bringing in {source.shown}")
        done.append(bring(source))
    for place, source in enumerate(files):  # a register that came in after it may say what a file leaves open
        if done[place].outcome == "failed" and any(later.outcome == "new" for later in done[place + 1 :]):
            progress(f"bringing in {source.shown} again")
            done[place] = bring(source)
    return done


def _outcome(
    store: Store, source: Source, *, on: dt.date, limits: Limits, stamp: Stamp, decision: Decision | None
) -> FileOutcome:
    if source.is_no_table:
        return FileOutcome(source.shown, "no table", notes=[no_table(source)])
    try:
        made = one_file(store, load(source, limits), on=on, limits=limits, stamp=stamp, decision=decision)
    except RiskscopeError as error:
        made = FileOutcome(source.shown, "failed", error=error)
    log.info("bring in: %s: %s", source.shown, made.outcome)
    return made


def _in_place(
    store: Store,
    files: Sequence[Source],
    *,
    on: dt.date,
    limits: Limits,
    stamp: Stamp,
    decision: Decision,
    progress: Progress,
) -> list[FileOutcome]:
    """Files that replace imports together: all of them come in, or none."""
    progress(f"bringing in {', '.join(source.shown for source in files)}")
    read = [source for source in files if not source.is_no_table]
    try:
        ready = [Ready.read(load(source, limits), on, limits, decision) for source in read]
        made = iter(several(store, ready, on=on, stamp=stamp))
    except RiskscopeError as error:
        made = iter([FileOutcome(source.shown, "failed", error=_of_all(error, source, len(read))) for source in read])
    return [
        FileOutcome(source.shown, "no table", notes=[no_table(source)]) if source.is_no_table else next(made)
        for source in files
    ]


def _of_all(error: RiskscopeError, source: Source, count: int) -> RiskscopeError:
    """What keeps a file out of those that come in together or not at all."""
    if count < 2 or error.file in {None, source.shown, source.shown.rpartition("/")[2]}:
        return error
    return UnusableInput(f"comes in together with the others or not at all, and {error}", file=source.shown)


@dataclass(frozen=True)
class Ready:
    """A checked file, and what the user says of it.

    Raises
    ------
    RiskscopeError
        By `read`: if it cannot be read or leaves something open.
    """

    content: FileContent
    checked: CheckedFile
    decision: Decision

    @classmethod
    def read(cls, content: FileContent, on: dt.date, limits: Limits, decision: Decision) -> Ready:
        checked = check_file(content, on=on, limits=limits)
        raise_questions(checked.sheets)
        return cls(content, checked, decision)


def one_file(
    store: Store,
    content: FileContent,
    *,
    on: dt.date,
    limits: Limits,
    stamp: Stamp,
    decision: Decision | None = None,
    checked: CheckedFile | None = None,
) -> FileOutcome:
    """Bring in one file given as bytes.

    Parameters
    ----------
    checked : CheckedFile, optional
        The file as it was checked with its options and edits; checked here by default.

    Raises
    ------
    RiskscopeError
        If it cannot be read, leaves something open, or shares rows with an import that counts and
        nothing was decided.
    """
    decision = decision or Decision()
    there = held.find(store, content)
    if there is not None:
        stamp.actor.needs("keeper" if decision.supersedes else "surveyor")
        return FileOutcome(content.name, "there", there)
    ready = Ready.read(content, on, limits, decision) if checked is None else Ready(content, checked, decision)
    (made,) = several(store, [ready], on=on, stamp=stamp)
    return made


def several(store: Store, ready: Sequence[Ready], *, on: dt.date, stamp: Stamp) -> list[FileOutcome]:
    """Bring in checked files, all or none: what they replace is replaced by them together.

    Raises
    ------
    RiskscopeError
        If one shares rows with another, or with an import that counts and nothing was decided, or if rows would be of
        no known site.
    """
    going = sorted({number for file in ready for number in file.decision.supersedes})
    stamp.actor.needs("keeper" if going else "surveyor")
    there = [held.find(store, file.content) for file in ready]
    new = to_write(store, stamp.actor, ready)
    sheets = [sheet for file in new for sheet in file.checked.sheets]
    for file in new:
        site_question(store, file.content.name, file.checked.sheets, going)
        if not file.decision.beside:
            _decide(overlaps(store, file.checked.sheets), going, file.content.name)
    if new:
        doubt(store, ", ".join(file.content.name for file in new), sheets, going)
    gone = ""
    if going and new:
        _like(store, going, sheets)
        gone = taken_back(store, stamp.actor, going, [file.checked.sheets for file in new], on=on)
    about_sites = [new_site(store, file.content) for file in new]
    day = on.isoformat()
    arrivals = [imports.Arrival(file.content, file.checked.sheets, day, file.decision.supersedes) for file in new]
    made = iter(imports.add_all(store, arrivals, stamp))
    sites = iter(about_sites)
    outcomes = []
    for file, was in zip(ready, there, strict=True):
        notes, name = list(file.checked.notes), file.content.name
        if was is not None:
            outcomes.append(FileOutcome(name, "there", was))
        elif not file.checked.sheets:
            outcomes.append(FileOutcome(name, "no table", notes=notes))
        else:
            entry, is_new = next(made)
            notes += [Note("warning", gone)] if gone and file is new[-1] else []
            notes += next(sites) + [note for sheet in file.checked.sheets for note in sheet.notes + _refused(sheet)]
            outcomes.append(FileOutcome(name, "new" if is_new else "there", entry, notes))
    return outcomes


def already(store: Store, actor: Actor, content: FileContent) -> str:
    """What is to be known of a file that is in the store already; empty if it is not."""
    actor.needs("viewer")
    there = held.find(store, content)
    if there is None:
        return ""
    counts = "" if there.state == "active" else ", AND ITS ROWS DO NOT COUNT: undo what took its place, and they do"
    return f"It is in the store already, as import {there.id}{counts}. Nothing of it is taken again; {MENDED_THERE}"


def to_write(store: Store, actor: Actor, ready: Sequence[Ready]) -> list[Ready]:
    """Of files that are to come in at once those that are new.

    Raises
    ------
    UnusableInput
        If two share rows; if imports are to be replaced and one is in the store already and would not count; if cells
        were mended in one that is there.
    """
    actor.needs("viewer")
    going = {number for file in ready for number in file.decision.supersedes}
    new: list[Ready] = []
    for file in ready:
        name, there = file.content.name, held.find(store, file.content)
        if going and there is not None and (there.state != "active" or there.id in going):
            raise UnusableInput(
                f"is in the store already, as import {there.id}, and would not count: nothing can come in so.",
                file=name,
                hint="Leave it out, or undo what took its place first."
                if there.state != "active"
                else "Leave it out, or keep its import.",
            )
        if there is not None and file.content.edits:
            raise UnusableInput(f"is in the store already, as import {there.id}: {MENDED_THERE}", file=name)
        if there is not None or not file.checked.sheets:
            continue
        for other in new:
            if common := in_common(file.checked.sheets, other.checked.sheets):
                raise UnusableInput(
                    f"has {many(common, 'row')} that {'is' if common == 1 else 'are'} in {other.content.name} too: "
                    "they cannot come in at once.",
                    file=name,
                    hint="Bring in one of them, then the other, and say what shall become of the rows.",
                )
        new.append(file)
    return new


def _refused(sheet: CheckedSheet) -> list[Note]:
    """The first rows that were rejected and why, readings that may be the hottest before the others."""
    rows = sheet.rejected[sheet.rejected["kind"] == "rejected"]
    hot = rows["reason"].str.contains(HOTTEST, regex=False).to_numpy(dtype=bool)
    rows = rows.iloc[np.argsort(~hot, kind="stable")]
    where = f"sheet {sheet.sheet}, " if sheet.sheet else ""
    said = [f"{where}line {row['line']:.0f}: {row['reason']}" for row in rows.head(MOST_REFUSED).to_dict("records")]
    if len(rows) > MOST_REFUSED:
        said.append(f"{len(rows) - MOST_REFUSED:,} more rows are rejected")
    return [Note("warning", words) for words in said]


def _like(store: Store, supersedes: Collection[int], sheets: Sequence[AnySheet]) -> None:
    """Refuses what is to replace an import it has no table in common with.

    Raises
    ------
    UnusableInput
    """
    mine = {sheet.table.name for sheet in sheets}
    for its in held.listed(store):
        if its.id in supersedes and not mine & set(its.tables):
            words = f"holds {', '.join(sorted(mine))}, import {its.id} {', '.join(its.tables)}: it cannot replace it."
            raise UnusableInput(words, file=sheets[0].file)


def overlapping(store: Store, actor: Actor, content: FileContent, sheets: Sequence[AnySheet]) -> list[Overlap]:
    """What a file shares with the imports that count; nothing where the very file is there already."""
    actor.needs("viewer")
    if held.find(store, content) is not None:
        return []
    return overlaps(store, sheets)


def limits_of(store: Store) -> Limits:
    """The limits of reading in force for a store: ``riskscope.toml`` beside it counts."""
    limits, _ = load_settings(Limits, {}, store.home)
    return limits


def _decide(common: Sequence[Overlap], going: Collection[int], name: str) -> None:
    """Refuse a file whose rows are in the store already, unless those are superseded.

    Raises
    ------
    UnusableInput
    """
    open_ = [overlap for overlap in common if overlap.import_id not in going]
    if open_:
        raise UnusableInput(
            overlap_words(open_[0]),
            file=name,
            value=open_[0].import_id,
            hint=f"Give --supersedes {open_[0].import_id} if this file replaces that one, or --beside to keep both.",
        )


def overlap_words(overlap: Overlap) -> str:
    """One sentence of what a file has in common with an import."""
    most = "is the same list again" if overlap.is_most else "has rows that are there already"
    twice = " Kept beside it, these are rejected: the earlier count." if TABLES[overlap.table].unique else ""
    return (
        f"{most}: {overlap.common:,} of its {overlap.new:,} rows of table {overlap.table} are also in "
        f"import {overlap.import_id} ({overlap.shown}, {overlap.held:,} rows).{twice}"
    )
