"""Names as people type them and as they are shown, ``MSB/F1/A @ Works``: taken apart into name and site."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd

from riskscope.intake.cells.parsed import everywhere, holds
from riskscope.intake.registers import UNKNOWN, is_unknown, own_names
from riskscope.schema import TABLES, Column, Table
from riskscope.schema.common import AT
from riskscope.schema.notes import Note

FILE = "file: "  # while tables are put together: of which file a row is, named unlike every other
NO_SITES = ("unknown", "not known", "tbc", "tbd", "tba")  # words that say that a site is not known
MOST_NAMED = 3


def take_off(frames: dict[str, pd.DataFrame]) -> list[Note]:
    """Names that were typed as they are shown, ``MSB/F1/A @ Works``, become name and site again.

    Only where it ends in a site that is known. A row that says another in its column is of neither.
    """
    for table, frame in frames.items():
        if "site" in frame:
            open_ = is_unknown(frame["site"]) | frame["site"].str.casefold().isin(NO_SITES)
            frames[table] = frame.assign(site=frame["site"].mask(open_.to_numpy(dtype=bool)))
    known = {site.casefold(): site for site in sites_named(frames)}
    taken, against = [], []
    boards_first = sorted(named_columns(frames), key=lambda place: place[1].name != "equipment")
    for table, column in boards_first:  # ids may be built of their names
        frame = frames[table]
        typed = frame[column.name]
        if column.names or not holds(typed, AT):
            continue
        name, site = _parts(typed, known)
        if site.isna().all():
            continue
        own = said_site(frame)
        if column.name == "equipment" and "connection_id" in frame:
            frame = frame.assign(connection_id=_named_by_board(frame["connection_id"], typed, name))
        site = site.mask(site == UNKNOWN, unknown_of(frame)).where(own.isna() | ~is_unknown(site))
        differs = site.notna() & own.notna() & (site.str.casefold() != own.str.casefold())
        taken += [f"{column.name} {shown!r}" for shown in pd.unique(typed[site.notna() & ~differs & ~is_unknown(site)])]
        against += [f"{column.name} {shown!r}" for shown in pd.unique(typed[differs])]
        own = own.fillna(site).mask(differs, unknown_of(frame))
        frames[table] = frame.assign(**{column.name: name, "site": own})
    return [
        *note_of(taken, "taken for a name and its site: {}"),
        *note_of(against, "the column site says another, taken for neither: {}", "warning"),
    ]


def bare_references(frames: dict[str, pd.DataFrame]) -> None:
    """A tool or board that a row names as it is shown, ``T1 @ Works``, is the one listed for that site or for all."""
    for table, column in list(named_columns(frames)):
        typed = frames[table][column.name]
        if not column.names or not holds(typed, AT):
            continue
        known = {site.casefold(): site for site in sites_named(frames)}
        distinct = typed[has_at(typed)].drop_duplicates()
        own = [
            names_of(TABLES[t], frames[t]) for t, c in named_columns(frames) if c.name == column.names and not c.names
        ]
        listed = pd.concat([*own, pd.DataFrame(columns=[column.names, "site"])]).dropna(subset=[column.names])
        spelled = {name.casefold(): name for name in listed[column.names]}
        there = set(zip(listed[column.names].str.casefold(), listed["site"].str.casefold().fillna(""), strict=True))
        meant = {}
        for shown, name, site in zip(distinct, *_parts(distinct, known), strict=True):
            key = name.casefold()
            if shown.casefold() in spelled:
                meant[shown] = spelled[shown.casefold()]
            elif isinstance(site, str) and {(key, site.casefold()), (key, "")} & there:
                meant[shown] = spelled[key]
        frames[table] = frames[table].assign(**{column.name: typed.map(meant).astype("str").fillna(typed)})


def names_of(table: Table, frame: pd.DataFrame) -> pd.DataFrame:
    """The names that rows of a table have of their own, and their sites: one column each, each combination once."""
    names = [column.name for column in own_names(table) if column.name in frame]
    return frame[names].assign(site=said_site(frame)).drop_duplicates(ignore_index=True)


def named_columns(frames: dict[str, pd.DataFrame]) -> Iterator[tuple[str, Column]]:
    """The columns whose names are unique only within a site, of the tables that can say a site."""
    for table in TABLES.values():
        if table.name in frames and "site" in table.by_name:
            for column in table.columns:
                if column.of_site and column.name in frames[table.name]:
                    yield table.name, column


def sites_named(frames: dict[str, pd.DataFrame]) -> list[str]:
    """Every site named, in order, each once whatever its case."""
    named = [frame["site"].dropna() for frame in frames.values() if "site" in frame]
    return one_spelling(pd.concat(named)) if named else []


def one_spelling(names: pd.Series) -> list[str]:
    """Names in order, those that differ in case only once, as first met."""
    distinct = names.drop_duplicates()
    return [name for name in distinct[~distinct.str.casefold().duplicated()] if not name.startswith(UNKNOWN)]


def said_site(frame: pd.DataFrame) -> pd.Series:
    """The site each row says."""
    return frame["site"] if "site" in frame else everywhere(None, frame.index)


def unknown_of(frame: pd.DataFrame) -> pd.Series:
    """The site of rows of which it is not known: one for each file."""
    if FILE not in frame:
        return pd.Series(UNKNOWN, index=frame.index, dtype="str")
    return f"{UNKNOWN} (" + frame[FILE].astype("str") + ")"


def has_at(values: pd.Series) -> pd.Series:
    return values.astype("str").str.contains(AT, regex=False).fillna(False).astype(bool)


def _parts(values: pd.Series, known: dict[str, str]) -> tuple[pd.Series, pd.Series]:
    """Each name and the known site behind it; no site where there is none."""
    name, site = values, pd.Series(np.nan, index=values.index, dtype="str")
    if not holds(values.astype("str"), AT):
        return name, site
    folded = values.str.casefold()
    for key in sorted(known, key=len, reverse=True):  # a site may end in the name of another
        is_of = (site.isna() & folded.str.endswith(f"{AT}{key}")).fillna(False).to_numpy(dtype=bool)
        name = name.where(~is_of, values.str.rsplit(AT, n=key.count(AT) + 1).str[0])
        site = site.where(~is_of, known[key])
    typed = values.astype("str").str.extract(r"^(.*\S) @ (\?(?: \(.*\))?)$")
    open_ = (site.isna() & typed[1].notna()).to_numpy(dtype=bool)
    return name.where(~open_, typed[0]), site.where(~open_, typed[1])


def _named_by_board(ids: pd.Series, typed: pd.Series, board: pd.Series) -> pd.Series:
    """Ids that begin with their board as it was typed, ``MSB @ Works/F1/A``, with its name alone: ``MSB/F1/A``."""
    for shown, name in pd.DataFrame({"typed": typed, "board": board})[typed != board].drop_duplicates().dropna().values:
        begins = ((typed == shown) & ids.str.startswith(shown)).to_numpy(dtype=bool)
        ids = ids.where(~begins, name + ids.str.slice(len(shown)))
    return ids


def note_of(words: list[str], text: str, kind: str = "assumed") -> list[Note]:
    """One note that lists the first few; none where there are none."""
    if not words:
        return []
    more = f" and {len(words) - MOST_NAMED:,} more" if len(words) > MOST_NAMED else ""
    return [Note(kind, text.format("; ".join(words[:MOST_NAMED]) + more), count=len(words))]
