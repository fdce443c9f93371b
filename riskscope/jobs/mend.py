"""mend: cells of an import corrected by hand; its file is checked again, and no other line is read otherwise."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Sequence

import pandas as pd

from riskscope.errors import UnusableInput
from riskscope.intake.cells.parsed import missing
from riskscope.intake.check import CheckedSheet
from riskscope.intake.combine import AnySheet
from riskscope.intake.grid import Edit
from riskscope.intake.options import Limits
from riskscope.intake.read import CheckedFile, check_file
from riskscope.jobs.sites import doubt
from riskscope.jobs.taken_back import changed
from riskscope.store import corrections
from riskscope.store import reading as held
from riskscope.store.database import Store
from riskscope.store.reading import Import
from riskscope.store.stamp import Actor, Stamp

Place = tuple[str, int]  # sheet and line


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


MOST_LINES = 20
EMPTIED = "What stood in an emptied cell counts for nothing then."
GONE, OTHER = "would no longer count", "read otherwise now"
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
        lines = [edit.line for edit in edits if edit.sheet == sheet.sheet]
        is_wide = _is_wide(held_sheet, sheet)
        free = [line for line in lines if (sheet.sheet, line) in never_counted and not is_wide]
        lost, other = _read_otherwise(held_sheet, sheet, lines, free)
        if len(lost):
            line = int(lost["source_line"].iloc[0])
            why = sheet.rejected.loc[sheet.rejected["line"] == line, "reason"]
            why = why[why.str.startswith(f"phase {lost['phase'].iloc[0]}")] if is_wide else why
            words = f": {why.iloc[0]}" if len(why) else ""
            raise UnusableInput(f"with this line {line}, which counts now, would no longer count{words}.")
        if len(other):
            line = int(other["source_line"].iloc[0])
            raise UnusableInput(f"this would change how line {line} is read, too.", hint=ONE_WAY)


def _is_wide(*sheets: AnySheet) -> bool:
    return any(_lines(sheet).duplicated().any() for sheet in sheets)


def _read_otherwise(
    before: AnySheet, after: AnySheet, mended: Collection[int], free: Collection[int]
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Rows of a sheet that counted before cells of it were mended and no longer do, and those read otherwise.

    Parameters
    ----------
    mended : collection of int
        Lines that may be read otherwise.
    free : collection of int
        Lines that need not count any more.
    """
    made, held_rows = after.accepted, before.accepted
    now, was = (_each(rows, is_wide=_is_wide(before, after)) for rows in (made, held_rows))
    lost = held_rows[~was.isin(now) & ~held_rows["source_line"].isin(list(free))]
    at = was.get_indexer(now)
    both = (at >= 0) & ~made["source_line"].isin(list(mended)).to_numpy()
    columns = [name for name in made if name in held_rows and name != "source_file"]
    rows, old = made[both][columns], held_rows.iloc[at[both]][columns].set_axis(made.index[both])
    differ = ~((rows == old) | (rows.isna() & old.isna())).all(axis=1)
    return lost, rows[differ]


def others_changed(file: str, came: Sequence[AnySheet], mended: Sequence[AnySheet], edits: Sequence[Edit]) -> str:
    """A sentence of lines of a file that nobody mended and that are read otherwise since others were; else empty."""
    before = {(sheet.table.name, sheet.sheet): sheet for sheet in came}
    parts = []
    for sheet in mended:
        if (was := before.get((sheet.table.name, sheet.sheet))) is None:
            continue
        lines = [edit.line for edit in edits if edit.sheet == sheet.sheet]
        lost, other = _read_otherwise(was, sheet, lines, lines)
        where = f" of sheet {sheet.sheet}" if sheet.sheet else ""
        parts += [f"{_numbers(rows)}{where} {words}" for rows, words in ((lost, GONE), (other, OTHER)) if len(rows)]
    if not parts:
        return ""
    return (
        f"By the cells mended in {file} other lines of it change, which nobody mended: {'; '.join(parts)}. Make sure."
    )


def _numbers(rows: pd.DataFrame) -> str:
    """The lines of rows, with the connections they are of: line 3 (B1/F1/A), line 4 (B1/F1/B) and 7 more."""
    ids = rows.get("connection_id", pd.Series(None, rows.index, dtype="str"))
    named = [
        f"line {line:.0f}" + ("" if pd.isna(name) else f" ({name})")
        for line, name in zip(rows["source_line"].head(MOST_LINES), ids, strict=False)
    ]
    return ", ".join(named) + (f" and {len(rows) - MOST_LINES:,} more" if len(rows) > MOST_LINES else "")


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
    """What correcting these cells would change in what must not wait, and that some say nothing then; empty if neither.

    Raises
    ------
    RiskscopeError
        As `mend`.
    """
    actor.needs("keeper")
    _, checked = _with_cells(store, import_id, more, limits)
    sheets = corrections.with_dismissed(store, import_id, checked.sheets, is_mended=True)
    old, new = (missing(pd.Series([getattr(edit, name) for edit in more], dtype="str")) for name in ("old", "new"))
    words = EMPTIED if (new & ~old).any() else ""
    return f"{words} {changed(store, actor, mended={import_id: sheets}, on=on)}".strip()


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
