"""sites: on which site the rows of a store are, asked before they come in, said later, and told where it is open."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Collection, Mapping, Sequence

import pandas as pd

from riskscope.errors import Ambiguous, UnusableInput
from riskscope.intake.combine import AnySheet
from riskscope.intake.files import FileContent
from riskscope.intake.options import Limits
from riskscope.intake.read import CheckedFile, check_file, raise_questions
from riskscope.intake.sites import undecided
from riskscope.intake.typed_names import names_of, one_spelling
from riskscope.jobs.taken_back import changed
from riskscope.schema.common import AT
from riskscope.schema.notes import Note
from riskscope.store import corrections, imports
from riskscope.store import reading as held
from riskscope.store.database import Store
from riskscope.store.reading import Import
from riskscope.store.stamp import Actor, Stamp

NEW = 0  # stands for the import that is not made yet
Names = Mapping[str, pd.DataFrame]


def site_question(store: Store, name: str, sheets: Sequence[AnySheet], without: Collection[int] = ()) -> None:
    """Asks where there are several sites and rows of a file do not say on which they are.

    Parameters
    ----------
    without : collection of int
        Imports it takes the place of.

    Raises
    ------
    Ambiguous
    """
    lost = _open_with(store, sheets, without)
    lost = lost[lost["import"] == NEW]
    if len(lost):
        there = one_spelling(pd.Series([*_named(store), *_sites(_names(sheets))], dtype="str"))
        raise Ambiguous(
            f"does not say the site of {_few(lost)}; there are {', '.join(sorted(there))}.",
            file=name,
            toml='site = "NAME"',
            hint='Give --site NAME (in riskscope.toml: site = "NAME"), a column site, or write NAME @ SITE.',
        )


def doubt(store: Store, name: str, sheets: Sequence[AnySheet], without: Collection[int] = ()) -> None:
    """Refuses what would leave rows that count now without a site.

    Parameters
    ----------
    without : collection of int
        Imports it takes the place of.

    Raises
    ------
    UnusableInput
    """
    lost = _open_with(store, sheets, without)
    if len(lost):
        lost = _not_in(lost, undecided(_as_new(held.names(store), without)))
    if lost.empty:
        return
    numbers = _numbers(lost[lost["import"] != NEW])
    where = f"{_imports_say(numbers)} not say" if numbers else "it does not say"
    raise UnusableInput(
        f"cannot come in so: {where} the site of {_few(lost)}, which could no longer be told apart.",
        file=name,
        hint="Say it first, in the app under Records, Imports. By command: "
        f"riskscope store site NAME {' '.join(numbers)}"
        if numbers
        else "Give its site.",
    )


def open_sites(store: Store, actor: Actor) -> str:
    """What is of no known site because it does not say it, in words; empty where there is none."""
    actor.needs("viewer")
    if not _could_be_open(store, {}):
        return ""
    lost = undecided(held.names(store))
    if lost.empty:
        return ""
    return f"Kept apart, as NAME @ ?: {_imports_say(_numbers(lost))} not say the site of {_few(lost)}."


def unsaid(store: Store, actor: Actor) -> list[int]:
    """Imports that count and have rows that do not say their site."""
    actor.needs("viewer")
    parts = [frame.loc[frame["site"].isna(), "import"] for frame in held.names(store).values()]
    return sorted({int(number) for number in pd.concat(parts)})


def named(store: Store, actor: Actor) -> list[str]:
    """The sites that are named."""
    actor.needs("viewer")
    return _named(store)


def _named(store: Store) -> list[str]:
    return sorted(one_spelling(pd.Series(held.sites(store), dtype="str")))


def new_site(store: Store, content: FileContent) -> list[Note]:
    """A note where a file is stated to be of a site that the store does not know, though it knows others."""
    site, known = content.read_options.site, _named(store)
    if not site or not known or site.casefold() in {name.casefold() for name in known}:
        return []
    return [Note("warning", f"site {site!r} is new in this store, which knows {', '.join(known)}: is it spelled so?")]


def site_changes(
    store: Store, import_ids: Sequence[int], site: str, *, limits: Limits, actor: Actor, on: dt.date
) -> str:
    """What must not wait that would change if these imports were read again for a site; empty if nothing.

    Raises
    ------
    RiskscopeError
        As `give_site`.
    """
    actor.needs("keeper")
    read = _read_again(store, import_ids, site, limits)
    words = [note.text[0].upper() + note.text[1:] for note in new_site(store, read[0][0])] if read else []
    files = [
        corrections.with_dismissed(store, number, checked.sheets, is_mended=False)
        for number, (_, checked) in zip(import_ids, read, strict=True)
    ]
    return " ".join([*words, changed(store, actor, import_ids, files, on=on)]).strip()


def give_site(store: Store, import_ids: Sequence[int], site: str, *, limits: Limits, stamp: Stamp) -> list[Import]:
    """Imports read again for a site, all or none: rows that do not say theirs are on it. As they were they are
    superseded.

    Where rows of other imports are of no known site afterwards, `open_sites` says so.

    Raises
    ------
    RiskscopeError
        If one does not count, was given for this site already, or is named twice.
    """
    stamp.actor.needs("keeper")
    read = _read_again(store, import_ids, site, limits)
    arrivals = [
        imports.Arrival(content, checked.sheets, held.get(store, number).as_of, [number])
        for number, (content, checked) in zip(import_ids, read, strict=True)
    ]
    made = [entry for entry, _ in imports.add_all(store, arrivals, stamp)]
    for number, entry in zip(import_ids, made, strict=True):
        corrections.keep_dismissed(store, number, entry.id)
    return made


def _read_again(
    store: Store, import_ids: Sequence[int], site: str, limits: Limits
) -> list[tuple[FileContent, CheckedFile]]:
    """The kept files of imports as they are read for a site."""
    twice = sorted({number for number in import_ids if list(import_ids).count(number) > 1})
    if twice:
        raise UnusableInput(f"import {twice[0]} is named twice; nothing was changed.", file=store.place)
    read = [_one_again(store, number, site, limits) for number in import_ids]
    first: dict[str, int] = {}
    for number, (content, _) in zip(import_ids, read, strict=True):
        if (same := first.setdefault(content.sha256, number)) != number:
            raise UnusableInput(
                f"imports {same} and {number} are one file, and would both be of {site!r}; nothing was changed.",
                file=store.place,
                hint=f"Undo one of them first: riskscope store undo {number}",
            )
    return read


def _one_again(store: Store, import_id: int, site: str, limits: Limits) -> tuple[FileContent, CheckedFile]:
    before = held.get(store, import_id)
    if before.state != "active":
        raise UnusableInput(f"import {import_id} does not count now; nothing was changed.", file=store.place)
    content = held.content_of(store, before, held.edits(store, import_id))
    content = dataclasses.replace(content, read_options=dataclasses.replace(content.read_options, site=site))
    there = held.find(store, content)
    if there is not None and there.state == "superseded":
        raise UnusableInput(
            f"import {there.id} held this file for site {site!r} and was superseded by import {there.superseded_by}.",
            file=store.place,
            hint=f"riskscope store undo {there.superseded_by} brings it back.",
        )
    if there is not None:
        raise UnusableInput(f"import {there.id} holds this file for site {site!r} already.", file=store.place)
    checked = check_file(content, on=dt.date.fromisoformat(before.as_of), limits=limits)
    raise_questions(checked.sheets)
    return content, checked


def _open_with(store: Store, sheets: Sequence[AnySheet], without: Collection[int]) -> pd.DataFrame:
    """What would be of no known site with these sheets in the place of some imports: as `undecided`."""
    own = _names(sheets)
    if not _could_be_open(store, own):
        return undecided({})
    return undecided(_together(_without(held.names(store), without), own))


def _could_be_open(store: Store, own: Names) -> bool:
    """Whether any row can want a site: there are several, or one and readings that do not say it."""
    there = one_spelling(pd.Series([*_named(store), *_sites(own)], dtype="str"))
    if len(there) != 1:
        return len(there) > 1
    unsaid = {table: frame[frame["site"].isna()] for table, frame in own.items()}
    names = [rows[name] for rows in unsaid.values() for name in rows if name not in ("site", "import")]
    return (
        len(unsaid.get("survey", ())) > 0
        or any(values.str.contains(AT, regex=False).any() for values in names)
        or held.has_unsaid_readings(store)
    )


def _names(sheets: Sequence[AnySheet]) -> Names:
    """As `riskscope.store.reading.names`, of sheets that are not in a store yet."""
    parts: dict[str, list[pd.DataFrame]] = {}
    for sheet in sheets:
        parts.setdefault(sheet.table.name, []).append(names_of(sheet.table, sheet.accepted))
    return {table: pd.concat(frames, ignore_index=True).assign(**{"import": NEW}) for table, frames in parts.items()}


def _together(*several: Names) -> Names:
    tables = dict.fromkeys(table for names in several for table in names)
    return {t: pd.concat([names[t] for names in several if t in names], ignore_index=True) for t in tables}


def _without(names: Names, numbers: Collection[int]) -> Names:
    return {table: frame[~frame["import"].isin(list(numbers))] for table, frame in names.items()}


def _sites(names: Names) -> list[str]:
    every = [frame["site"].dropna() for frame in names.values()]
    return sorted(one_spelling(pd.concat(every))) if every else []


def _not_in(rows: pd.DataFrame, others: pd.DataFrame) -> pd.DataFrame:
    return rows[~pd.MultiIndex.from_frame(rows).isin(pd.MultiIndex.from_frame(others))]


def _as_new(names: Names, numbers: Collection[int]) -> Names:
    """The names, those of some imports as of the one that takes their place."""
    return {
        t: f.assign(**{"import": f["import"].where(~f["import"].isin(list(numbers)), NEW)}) for t, f in names.items()
    }


def _few(rows: pd.DataFrame) -> str:
    names = rows["name"].drop_duplicates()
    return f"{names.iloc[0]!r}" + (f" and {len(names) - 1:,} more" if len(names) > 1 else "")


def _numbers(rows: pd.DataFrame) -> list[str]:
    return [str(number) for number in sorted({int(number) for number in rows["import"]})]


def _imports_say(numbers: Sequence[str]) -> str:
    return (
        f"imports {', '.join(numbers)} of the store do"
        if len(numbers) > 1
        else f"import {numbers[0]} of the store does"
    )
