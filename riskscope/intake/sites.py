"""Names that stand on several sites are told apart by their site, wherever they are shown: ``MSB/F1/A @ Works``.

A name (of a connection, a board, a tool, a survey) is unique within its site. Where it stands on one site
only it stays as it is. A row that does not say on which of several sites it is, is refused.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from riskscope.schema import TABLES, Column, Table
from riskscope.schema.notes import Note

AT = " @ "
MOST_NAMED = 3
Bools = NDArray[np.bool_]


def take_off(frames: dict[str, pd.DataFrame]) -> pd.DataFrame:
    """Names that were typed as they are shown, ``MSB/F1/A @ Works``, become name and site again.

    Only where it ends in a site that is known.

    Returns
    -------
    DataFrame
        Rows taken out because they contradict themselves: ``table source_file source_sheet source_line reason``.
    """
    known = {site.casefold(): site for site in _sites(frames)}
    refused = []
    for table, column in _named(frames):
        frame = frames[table]
        name, site = _parts(frame[column.name], known)
        if site.isna().all() or column.names:
            continue
        own = frame["site"] if "site" in frame else pd.Series(np.nan, index=frame.index, dtype="str")
        against = (site.notna() & own.notna() & (site.str.casefold() != own.str.casefold())).to_numpy(dtype=bool)
        frame = frame.assign(**{column.name: name, "site": own.where(own.notna(), site)})
        reason = f"{column.name} says " + site + ", site says " + own
        frames[table], gone = _without(frame, against, table, reason)
        refused.append(gone)
    return pd.concat(refused, ignore_index=True) if refused else _nothing()


def tell_apart(frames: dict[str, pd.DataFrame]) -> tuple[list[Note], pd.DataFrame]:
    """Every name that stands on several sites gets its site behind it; spelled one way they must be already.

    Returns
    -------
    list of Note
    DataFrame
        Rows taken out because they do not say on which site: ``table source_file source_sheet source_line reason``.
    """
    if len(_sites(frames)) < 2:
        return [], _nothing()
    notes: list[Note] = []
    refused = []
    of_rows = {table: _site_of(frames, table) for table in frames}
    for kind in dict.fromkeys(column.names or column.name for _, column in _named(frames)):
        places = [(table, column) for table, column in _named(frames) if (column.names or column.name) == kind]
        several = _several(frames, of_rows, [(t, c.name) for t, c in places if not c.names])
        if several.empty:
            continue
        shown = "; ".join(f"{name} on {sites}" for name, sites in several.head(MOST_NAMED).items())
        more = f" and {len(several) - MOST_NAMED:,} more" if len(several) > MOST_NAMED else ""
        text = f"the same {kind} stands on several sites and is told apart as NAME{AT}SITE: {shown}{more}"
        notes.append(Note("assumed", text, column=""))
        for table, column in places:
            frame, site = frames[table], of_rows[table]
            clash = frame[column.name].isin(several.index).to_numpy(dtype=bool)
            known = clash & site.notna().to_numpy(dtype=bool)
            told = frame[column.name].where(~known, frame[column.name] + AT + site.astype("str"))
            frame = frame.assign(**{column.name: told})
            lost = clash & ~known & (not column.names)
            reason = (
                f"{kind} "
                + frame[column.name].astype("str")
                + " stands on several sites ("
                + frame[column.name].map(several).astype("str")
                + "): give the site, or write NAME"
                + AT
                + "SITE"
            )
            frames[table], gone = _without(frame, lost, table, reason)
            of_rows[table] = site[~lost].reset_index(drop=True)
            refused.append(gone)
    return notes, pd.concat(refused, ignore_index=True) if refused else _nothing()


def own_names(table: Table) -> list[Column]:
    """The columns of a table that name a thing of a site, where the table can say which site."""
    if "site" not in table.by_name:
        return []
    return [column for column in table.columns if column.of_site and not column.names]


def names_of(table: Table, frame: pd.DataFrame) -> pd.DataFrame:
    """The names in checked rows of a table and their sites: ``kind name site``, each once."""
    site = frame.get("site", pd.Series(np.nan, index=frame.index, dtype="str"))
    parts = [
        pd.DataFrame({"kind": column.name, "name": frame[column.name], "site": site}).dropna(subset=["name"])
        for column in own_names(table)
        if column.name in frame
    ]
    empty = pd.DataFrame({"kind": [], "name": [], "site": []}, dtype="str")
    return pd.concat(parts, ignore_index=True).drop_duplicates() if parts else empty


def unsettled(known: pd.DataFrame, own: pd.DataFrame) -> list[str]:
    """Names of `own` without a site that could be of several: it has to be asked.

    A name that stands on one site only is settled. A connection that stands on none is not, a board or a
    tool is: nothing is joined to it by mistake.

    Parameters
    ----------
    known, own : DataFrame
        ``kind name site`` of all there is, and of what came in last.
    """
    named = known.dropna(subset=["site"])
    sites = named["site"].str.casefold()
    if sites.nunique() < 2:
        return []
    count = sites.groupby(named["kind"] + AT + named["name"].str.casefold()).nunique()
    behind = tuple(f"{AT}{site}" for site in sites.unique())
    open_ = own[own["site"].isna()]
    folded = open_["name"].str.casefold()
    stands_on = (open_["kind"] + AT + folded).map(count).fillna(0)
    lost = (stands_on > 1) | ((stands_on == 0) & (open_["kind"] == "connection_id"))
    return open_.loc[(lost & ~folded.str.endswith(behind)).to_numpy(dtype=bool), "name"].drop_duplicates().tolist()


def _named(frames: dict[str, pd.DataFrame]) -> Iterator[tuple[str, Column]]:
    """The columns whose names are unique only within a site, of the tables that can say a site."""
    for table in TABLES.values():
        if table.name in frames and "site" in table.by_name:
            for column in table.columns:
                if column.of_site and column.name in frames[table.name]:
                    yield table.name, column


def _sites(frames: dict[str, pd.DataFrame]) -> list[str]:
    """Every site named, in order, each once whatever its case."""
    named = [frame["site"].dropna() for frame in frames.values() if "site" in frame]
    every = pd.unique(pd.concat(named)) if named else []
    return list({site.casefold(): site for site in reversed(every)}.values())


def _parts(values: pd.Series, known: dict[str, str]) -> tuple[pd.Series, pd.Series]:
    """Each name and the known site behind it; no site where there is none."""
    if not known or not values.str.contains(AT, regex=False).fillna(False).any():
        return values, pd.Series(np.nan, index=values.index, dtype="str")
    parts = values.str.rsplit(AT, n=1, expand=True)
    site = parts[1].str.strip().str.casefold().map(known).astype("str")
    return parts[0].str.strip().where(site.notna(), values), site


def _site_of(frames: dict[str, pd.DataFrame], table: str) -> pd.Series:
    """The site of each row: its own, else that of its board where the board stands on one site only."""
    frame = frames[table]
    none = pd.Series(np.nan, index=frame.index, dtype="str")
    site = frame.get("site", none)
    boards = frames.get("equipment")
    if table == "equipment" or boards is None or "site" not in boards or "equipment" not in frame:
        return site
    single = boards.dropna(subset=["site"]).groupby("equipment")["site"].agg(["nunique", "first"])
    by_board = single.loc[single["nunique"] == 1, "first"]
    return site.where(site.notna(), frame["equipment"].map(by_board).astype("str"))


def _several(
    frames: dict[str, pd.DataFrame], of_rows: dict[str, pd.Series], places: list[tuple[str, str]]
) -> pd.Series:
    """Names that stand on more than one site, by name: the sites, in words.

    By the sites that rows state, wherever they stand; or by the boards of one table. A register and a survey that
    have one connection on boards of two sites contradict each other: it is one connection, moved or mistyped.
    """
    stated = [
        pd.DataFrame({"name": frames[table][column], "site": frames[table]["site"]})
        for table, column in places
        if "site" in frames[table]
    ]
    by_table = [pd.DataFrame({"name": frames[table][column], "site": of_rows[table]}) for table, column in places]
    parts = [_doubled(pairs) for pairs in ([pd.concat(stated)] if stated else []) + by_table]
    several = pd.concat(parts).drop_duplicates().sort_values(["name", "site"], kind="stable")
    return several.groupby("name", sort=True)["site"].agg(" and ".join)


def _doubled(pairs: pd.DataFrame) -> pd.DataFrame:
    """Of names and sites those names that have more than one site."""
    pairs = pairs.dropna().drop_duplicates()
    return pairs[pairs["name"].duplicated(keep=False)]


def _without(frame: pd.DataFrame, mask: Bools, table: str, reason: pd.Series) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The frame without some rows, and those rows as refused."""
    if not mask.any():
        return frame, _nothing()
    gone = frame.loc[mask, ["source_file", "source_sheet", "source_line"]].assign(table=table, reason=reason[mask])
    return frame[~mask].reset_index(drop=True), gone


def _nothing() -> pd.DataFrame:
    return pd.DataFrame({"table": [], "source_file": [], "source_sheet": [], "source_line": [], "reason": []})
