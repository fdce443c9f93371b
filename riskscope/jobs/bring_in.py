"""bring in: files into a store, each in one transaction; what is there already is not doubled."""

from __future__ import annotations

import datetime as dt
import functools
import logging
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

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
from riskscope.jobs.taken_back import changed, taken_back
from riskscope.schema.notes import HOTTEST, Note
from riskscope.store import corrections, imports
from riskscope.store import reading as held
from riskscope.store.database import Store
from riskscope.store.reading import Import, Overlap
from riskscope.store.stamp import Actor, Stamp

__all__ = [
    "Decision",
    "Edit",
    "FileContent",
    "FileOutcome",
    "Limits",
    "ReadOptions",
    "bring_in",
    "limits_of",
    "mend",
    "one_file",
    "overlap_words",
    "overlapping",
    "sources",
]

log = logging.getLogger("riskscope.bring_in")
MOST_REFUSED = 8  # rejected rows that are told
Place = tuple[str, int]  # sheet and line


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
    stamp.actor.needs("keeper" if decision.supersedes else "surveyor")
    there = held.find(store, content)
    if there is not None:
        return FileOutcome(content.name, "there", there)
    if checked is None:
        checked = check_file(content, on=on, limits=limits)
        raise_questions(checked.sheets)
    notes = list(checked.notes)
    if not checked.sheets:
        return FileOutcome(content.name, "no table", notes=notes)
    site_question(store, content.name, checked.sheets, decision.supersedes)
    if not decision.beside:
        _decide(held.overlaps(store, checked.sheets), decision, content.name)
    doubt(store, content.name, checked.sheets, decision.supersedes)
    if decision.supersedes:
        _like(store, decision.supersedes, checked)
        gone = taken_back(store, stamp.actor, decision.supersedes, checked.sheets, on=on)
        notes += [Note("warning", gone)] if gone else []
    notes += new_site(store, content)
    made, new = imports.add(
        store, content, checked.sheets, as_of=on.isoformat(), stamp=stamp, supersedes=decision.supersedes
    )
    for sheet in checked.sheets:
        notes += sheet.notes + _refused(sheet)
    return FileOutcome(content.name, "new" if new else "there", made, notes)


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


def _like(store: Store, supersedes: Collection[int], checked: CheckedFile) -> None:
    """Refuses a file that is to replace an import it has no table in common with.

    Raises
    ------
    UnusableInput
    """
    mine = {sheet.table.name for sheet in checked.sheets}
    for its in held.listed(store):
        if its.id in supersedes and not mine & set(its.tables):
            words = f"holds {', '.join(sorted(mine))}, import {its.id} {', '.join(its.tables)}: it cannot replace it."
            raise UnusableInput(words, file=checked.sheets[0].file)


def overlapping(store: Store, actor: Actor, content: FileContent, sheets: Sequence[AnySheet]) -> list[Overlap]:
    """What a file shares with the imports that count; nothing where the very file is there already."""
    actor.needs("viewer")
    if held.find(store, content) is not None:
        return []
    return held.overlaps(store, sheets)


def limits_of(store: Store) -> Limits:
    """The limits of reading in force for a store: ``riskscope.toml`` beside it counts."""
    limits, _ = load_settings(Limits, {}, store.home)
    return limits


def _decide(overlaps: Sequence[Overlap], decision: Decision, name: str) -> None:
    """Refuse a file whose rows are in the store already, unless it supersedes those.

    Raises
    ------
    UnusableInput
    """
    open_ = [overlap for overlap in overlaps if overlap.import_id not in decision.supersedes]
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
    return (
        f"{most}: {overlap.common:,} of its {overlap.new:,} rows of table {overlap.table} are also in "
        f"import {overlap.import_id} ({overlap.shown}, {overlap.held:,} rows)."
    )


def _of_rows(before: Sequence[AnySheet], edits: Sequence[Edit]) -> None:
    """Refuses corrections of what is no row of a table: headers, titles, sheets that are not there.

    Raises
    ------
    UnusableInput
    """
    rows = {
        (sheet.sheet, int(line))
        for sheet in before
        for line in [*sheet.accepted["source_line"], *sheet.rejected.loc[sheet.rejected["kind"] == "rejected", "line"]]
    }
    for edit in edits:
        if (edit.sheet, edit.line) not in rows:
            raise UnusableInput(f"line {edit.line} is no row of a table: only the cells of rows can be corrected.")


ONE_WAY = "Write it so that it can be read one way only, such as 2026-02-01, 41.5 °C, 25 N·m."


def _leave_the_rest(
    before: Sequence[AnySheet], after: Sequence[CheckedSheet], edits: Sequence[Edit], never_counted: Collection[Place]
) -> None:
    """Refuses corrections that leave something open, or that would change how other lines are read.

    Parameters
    ----------
    never_counted : collection of (sheet, line)
        Lines that were corrected before and refused as the file came: a correction of theirs may be taken back. Of a
        line of several phases no phase that counts may go.

    Raises
    ------
    UnusableInput
    """
    open_ = [question for sheet in after for question in sheet.questions]
    if open_:
        column = f"column {open_[0].column}: " if open_[0].column else ""
        raise UnusableInput(f"{column}{open_[0].text.rstrip('.')}.", hint=ONE_WAY)
    old = {(sheet.table.name, sheet.sheet): sheet for sheet in before}
    if set(old) != {(sheet.table.name, sheet.sheet) for sheet in after}:
        raise UnusableInput("with this the file would be read as other tables.")
    for sheet in after:
        held_sheet = old[sheet.table.name, sheet.sheet]
        made, held_rows = sheet.accepted, held_sheet.accepted
        lines = [edit.line for edit in edits if edit.sheet == sheet.sheet]
        is_wide = any(_lines(part).duplicated().any() for part in (held_sheet, sheet))
        now, was = (_each(rows, is_wide=is_wide) for rows in (made, held_rows))
        free = [line for line in lines if (sheet.sheet, line) in never_counted and not is_wide]
        lost = held_rows[~was.isin(now) & ~held_rows["source_line"].isin(free)]
        if len(lost):
            line = int(lost["source_line"].iloc[0])
            why = sheet.rejected.loc[sheet.rejected["line"] == line, "reason"]
            why = why[why.str.startswith(f"phase {lost['phase'].iloc[0]}")] if is_wide else why
            words = f": {why.iloc[0]}" if len(why) else ""
            raise UnusableInput(f"with this line {line}, which counts now, would no longer count{words}.")
        at = was.get_indexer(now)
        both = (at >= 0) & ~made["source_line"].isin(lines).to_numpy()
        columns = [name for name in made if name in held_rows and name != "source_file"]
        rows, before_ = made[both][columns], held_rows.iloc[at[both]][columns].set_axis(made.index[both])
        differ = ~((rows == before_) | (rows.isna() & before_.isna())).all(axis=1)
        if differ.any():
            line = int(rows["source_line"][differ].iloc[0])
            raise UnusableInput(f"this would change how line {line} is read, too.", hint=ONE_WAY)


def _lines(sheet: AnySheet | CheckedSheet) -> pd.Series:
    """The line of every row of a sheet that counts or was rejected: of a wide sheet once for each phase."""
    rejected = sheet.rejected.loc[sheet.rejected["kind"] == "rejected", "line"]
    return pd.concat([sheet.accepted["source_line"], rejected]).astype("int64")


def _each(rows: pd.DataFrame, *, is_wide: bool) -> pd.MultiIndex:
    """What tells the rows of a sheet apart: the line, of a wide sheet with the phase."""
    phase = rows["phase"].astype("str").fillna("") if is_wide and "phase" in rows else ""
    return pd.MultiIndex.from_frame(pd.DataFrame({"line": rows["source_line"], "phase": phase}))


def mend(store: Store, import_id: int, more: Sequence[Edit], *, limits: Limits, stamp: Stamp) -> Import:
    """Correct cells of an import: the file is checked again with them.

    Raises
    ------
    RiskscopeError
        If a cell is not there or was changed by somebody else, or the file could not be read so.
    """
    stamp.actor.needs("keeper")
    known, checked = _with_cells(store, import_id, more, limits)
    corrections.correct(store, import_id, known, more, checked.sheets, stamp)
    return held.get(store, import_id)


def mend_changes(
    store: Store, import_id: int, more: Sequence[Edit], *, limits: Limits, actor: Actor, on: dt.date
) -> str:
    """What correcting these cells would change in what must not wait; empty if nothing.

    Raises
    ------
    RiskscopeError
        As `mend`.
    """
    actor.needs("keeper")
    _, checked = _with_cells(store, import_id, more, limits)
    return changed(store, actor, [import_id], checked.sheets, on=on)


def _with_cells(store: Store, import_id: int, more: Sequence[Edit], limits: Limits) -> tuple[list[Edit], CheckedFile]:
    """The edits there were, and the file checked again with more."""
    before = held.get(store, import_id)
    known = held.edits(store, import_id)
    _of_rows(held.sheets_of(store, import_id), more)
    content = held.content_of(store, before, [*known, *more])
    on = dt.date.fromisoformat(before.as_of)
    checked = check_file(content, on=on, limits=limits)
    again = {(edit.sheet, edit.line) for edit in known} & {(edit.sheet, edit.line) for edit in more}
    came = check_file(held.content_of(store, before, []), on=on, limits=limits).sheets if again else []
    never = {(sheet.sheet, int(line)) for sheet in came for line in sheet.rejected.query("kind == 'rejected'")["line"]}
    _leave_the_rest(held.sheets_of(store, import_id), checked.sheets, more, again & never)
    doubt(store, before.name, checked.sheets, [import_id])
    return known, checked
