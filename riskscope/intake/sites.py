"""Names that stand on several sites are told apart by their site, wherever they are shown: ``MSB/F1/A @ Works``.

A name (of a connection, a board, a tool, a survey) is unique within its site. Where it stands on one site
only it stays as it is. A row that does not say on which of several sites it is, is refused.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from riskscope.schema import TABLES, Column, Table
from riskscope.schema.notes import Note

AT = " @ "
REMEDY = f"give the site, or write NAME{AT}SITE"
SHEET = "sheet: "  # while tables are put together: which of the sheets a row is of; files may share a name
MOST_NAMED = 3
REGISTERS = ("connections", "equipment")  # the lists that say where things stand
SURVEYED = ("survey", "connections")  # what makes a connection known, other than a record of work
Bools = NDArray[np.bool_]


def own_names(table: Table) -> list[Column]:
    """The columns of a table that name a thing of a site, where the table can say which site."""
    if "site" not in table.by_name:
        return []
    return [column for column in table.columns if column.of_site and not column.names]


OWN = [column.name for table in TABLES.values() for column in own_names(table)]
LISTED_ONCE = {name for name in OWN if OWN.count(name) == 1}  # names that one table only has: of tools, of outages


def take_off(frames: dict[str, pd.DataFrame]) -> tuple[list[Note], pd.DataFrame]:
    """Names that were typed as they are shown, ``MSB/F1/A @ Works``, become name and site again.

    Only where it ends in a site that is known.

    Returns
    -------
    list of Note
    DataFrame
        Rows taken out because they contradict themselves: ``table source_line reason`` and the number of the sheet.
    """
    known = {site.casefold(): site for site in sites_named(frames)}
    refused = []
    taken = []
    for table, column in _named(frames):
        frame = frames[table]
        name, site = _parts(frame[column.name], known)
        if site.isna().all() or column.names:
            continue
        own = frame["site"] if "site" in frame else pd.Series(np.nan, index=frame.index, dtype="str")
        against = (site.notna() & own.notna() & (site.str.casefold() != own.str.casefold())).to_numpy(dtype=bool)
        taken += [f"{column.name} {shown!r}" for shown in pd.unique(frame[column.name][site.notna() & ~against])]
        frame = frame.assign(**{column.name: name, "site": own.where(own.notna(), site)})
        reason = f"{column.name} says " + site + ", site says " + own
        frames[table], gone = _without(frame, against, table, reason)
        refused.append(gone)
    return _said(taken, "taken for a name and its site: {}"), _together(refused)


def tell_apart(frames: dict[str, pd.DataFrame]) -> tuple[list[Note], pd.DataFrame]:
    """Every name that stands on several sites gets its site behind it; spelled one way they must be already.

    Returns
    -------
    list of Note
    DataFrame
        Rows taken out because they do not say on which site: ``table source_line reason`` and the number of the sheet.
    """
    sites = sites_named(frames)
    if len(sites) < 2:
        return (_of_the_only(frames, sites[0]) if sites else []), _nothing()
    notes: list[Note] = []
    settled = _settled(frames)
    of_rows = {table: _site_of(frame, settled) for table, frame in frames.items()}
    refused = [_unsaid_readings(frames, of_rows, sites)]
    of_rows = _by_connection(frames, of_rows)
    refused += _half_said(frames, of_rows)
    for kind in dict.fromkeys(column.names or column.name for _, column in _named(frames)):
        places = [(table, column) for table, column in _named(frames) if (column.names or column.name) == kind]
        if not any(not column.names for _, column in places):
            continue
        several = _several(frames, of_rows, places)
        if several.empty:
            continue
        words = [f"{name} on {where}" for name, where in several.items()]
        notes += _said(words, f"the same {kind} stands on several sites and is told apart as NAME{AT}SITE: {{}}")
        if kind == "connection_id":
            notes += _by_a_record_only(frames, of_rows, several)
        for table, column in places:
            frame, site = frames[table], of_rows[table]
            clash = frame[column.name].isin(several.index).to_numpy(dtype=bool)
            known = clash & site.notna().to_numpy(dtype=bool)
            told = frame[column.name].where(~known, frame[column.name] + AT + site.astype("str"))
            reason = (
                f"{kind} "
                + frame[column.name].astype("str")
                + " stands on several sites ("
                + frame[column.name].map(several).astype("str")
                + f"): {REMEDY}"
            )
            frames[table] = frame.assign(**{column.name: told})
            refused.append(_take_out(frames, of_rows, table, clash & ~known & (not column.names), reason))
    return notes, _together(refused)


def _of_the_only(frames: dict[str, pd.DataFrame], site: str) -> list[Note]:
    """Where one site is named, the readings of a survey that leave it out are of it."""
    survey = frames.get("survey")
    if survey is None or "site" not in survey or survey["site"].isna().all() or survey["site"].notna().all():
        return []
    count = int(survey["site"].isna().sum())
    frames["survey"] = survey.assign(site=survey["site"].fillna(site))
    text = f"{count:,} readings do not say their site; taken to be of {site}, the only one named"
    return [Note("assumed", text, "survey", column="site", count=count)]


def _unsaid_readings(frames: dict[str, pd.DataFrame], of_rows: dict[str, pd.Series], sites: list[str]) -> pd.DataFrame:
    """Takes out the readings that could be of either site; gives them as refused."""
    if "survey" not in frames:
        return _nothing()
    lost = of_rows["survey"].isna().to_numpy(dtype=bool)
    reason = f"the reading does not say on which of several sites ({', '.join(sorted(sites))}): {REMEDY}"
    return _take_out(frames, of_rows, "survey", lost, pd.Series(reason, index=frames["survey"].index))


def _half_said(frames: dict[str, pd.DataFrame], of_rows: dict[str, pd.Series]) -> list[pd.DataFrame]:
    """Takes out rows of a list without a site where another row of it has the name on one.

    A calibration of tool T1 that leaves out its site says nothing of T1 of Works: it may be another tool.
    """
    refused = []
    for table, column in list(_named(frames)):
        if column.name not in LISTED_ONCE or column.names:
            continue
        names, site = frames[table][column.name], of_rows[table]
        named = pd.DataFrame({"name": names, "site": site}).dropna().drop_duplicates()
        on = named.groupby("name")["site"].agg(" and ".join)
        lost = (names.isin(on.index) & site.isna()).to_numpy(dtype=bool)
        reason = f"{column.name} " + names.astype("str") + " is listed on " + names.map(on).astype("str")
        refused.append(_take_out(frames, of_rows, table, lost, reason + f", here on no site: {REMEDY}"))
    return refused


def _by_a_record_only(frames: dict[str, pd.DataFrame], of_rows: dict[str, pd.Series], several: pd.Series) -> list[Note]:
    """Connections of several sites that on one of them no survey and no register has: perhaps a site mistyped."""
    parts = [
        pd.DataFrame({"name": frame["connection_id"], "site": of_rows[table], "record": table not in SURVEYED})
        for table, frame in frames.items()
        if "connection_id" in frame
    ]
    rows = pd.concat(parts).dropna()
    only = rows[rows["name"].isin(several.index)].groupby(["name", "site"])["record"].all()
    names = [f"{name}{AT}{site}" for name, site in only[only].index]
    text = "known by a record only, no survey and no register has it: is the site right? {}"
    return [dataclasses.replace(note, kind="warning") for note in _said(names, text)]


def names_of(table: Table, frame: pd.DataFrame) -> pd.DataFrame:
    """The names in checked rows of a table and their sites: ``kind name site table``, each once."""
    site = frame.get("site", pd.Series(np.nan, index=frame.index, dtype="str"))
    parts = [
        pd.DataFrame({"kind": column.name, "name": frame[column.name], "site": site, "table": table.name}).dropna(
            subset=["name"]
        )
        for column in own_names(table)
        if column.name in frame
    ]
    empty = pd.DataFrame({"kind": [], "name": [], "site": [], "table": []}, dtype="str")
    return pd.concat(parts, ignore_index=True).drop_duplicates() if parts else empty


def unsettled(known: pd.DataFrame, own: pd.DataFrame) -> pd.DataFrame:
    """Those of `own` without a site that could be of several: it has to be asked.

    Settled is a reading whose connection the registers have on one site, and another row whose name stands
    on one site only. A connection that stands on no site is open; a board or a tool is not: nothing is joined
    to it by mistake. A tool that another row lists on a site is.

    Parameters
    ----------
    known, own : DataFrame
        ``kind name site table`` of all there is, and of what is asked about.
    """
    named = known.dropna(subset=["site"])
    sites = named["site"].str.casefold()
    if sites.nunique() < 2:
        return own[:0]
    count = sites.groupby(_key(named)).nunique()
    behind = tuple(f"{AT}{site}" for site in sites.unique())
    open_ = own[own["site"].isna()]
    is_connection = open_["kind"] == "connection_id"
    stands_on = _key(open_).map(count).fillna(0)
    lost = (stands_on > 1) | ((stands_on == 0) & is_connection) | ((stands_on == 1) & open_["kind"].isin(LISTED_ONCE))
    lost |= is_connection & (open_["table"] == "survey")
    lost &= ~_key(open_).isin(_registered(known).index)
    return open_[(lost & ~open_["name"].str.casefold().str.endswith(behind)).to_numpy(dtype=bool)]


def left_open(known: pd.DataFrame, own: pd.DataFrame) -> pd.DataFrame:
    """Rows of `known` that nobody asked about, because there was one site or none, and that `own` makes doubtful.

    Parameters
    ----------
    known, own : DataFrame
        ``kind name site table`` of what there was, and of what comes in.
    """
    every = pd.concat([known, own], ignore_index=True)
    lost = known.index.isin(unsettled(every, known).index) & ~known.index.isin(unsettled(known, known).index)
    if known["site"].isna().all():
        said = own[own["site"].notna() & ~own["table"].isin(REGISTERS)]
        lost |= _key(known).isin(_key(said)).to_numpy(dtype=bool)
    return known[lost]


def _named(frames: dict[str, pd.DataFrame]) -> Iterator[tuple[str, Column]]:
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
    return distinct[~distinct.str.casefold().duplicated()].tolist()


def _parts(values: pd.Series, known: dict[str, str]) -> tuple[pd.Series, pd.Series]:
    """Each name and the known site behind it; no site where there is none."""
    if not known or not values.str.contains(AT, regex=False).fillna(False).any():
        return values, pd.Series(np.nan, index=values.index, dtype="str")
    folded = values.str.casefold().str.strip()
    name, site = values, pd.Series(np.nan, index=values.index, dtype="str")
    for key in sorted(known, key=len, reverse=True):  # a site may end in the name of another
        is_of = (site.isna() & folded.str.endswith(f"{AT}{key}")).fillna(False).to_numpy(dtype=bool)
        name = name.where(~is_of, values.str.strip().str[: -len(AT + key)].str.strip())
        site = site.where(~is_of, known[key])
    return name, site


def _known(frames: dict[str, pd.DataFrame]) -> pd.DataFrame:
    return pd.concat([names_of(TABLES[table], frame) for table, frame in frames.items()], ignore_index=True)


def _registered(known: pd.DataFrame) -> pd.Series:
    """The site of each name that a register has on one site and nothing else has on another, by kind and name.

    A register that leaves out a site that is named settles nothing: what it has on one site may stand on the
    other as well.

    Parameters
    ----------
    known : DataFrame
        ``kind name site table``.
    """
    named = known.dropna(subset=["site"])
    folded = named["site"].str.casefold()
    whole = [table for table in REGISTERS if folded[named["table"] == table].nunique() == folded.nunique()]
    key = _key(named)
    single = folded.groupby(key).transform("nunique").eq(1) & named["table"].isin(whole)
    sites = named["site"].set_axis(key)[single.to_numpy(dtype=bool)]
    return sites[~sites.index.duplicated()]


def _settled(frames: dict[str, pd.DataFrame]) -> pd.Series:
    """What the registers settle; a register of connections says their sites by their boards, too."""
    by_own = _registered(_known(frames))
    filled = {t: frames[t].assign(site=_site_of(frames[t], by_own)) for t in REGISTERS if t in frames}
    return _registered(_known({**frames, **filled}))


def _key(names: pd.DataFrame) -> pd.Series:
    """By which one name of a kind is known, whatever its case."""
    return names["kind"] + AT + names["name"].str.casefold()


def _site_of(frame: pd.DataFrame, settled: pd.Series) -> pd.Series:
    """The site of each row: its own, else the one its connection, else its board, is registered on."""
    site = frame.get("site", pd.Series(np.nan, index=frame.index, dtype="str"))
    for kind in ("connection_id", "equipment"):
        if kind in frame and len(settled) and site.isna().any():
            key = kind + AT + frame[kind].str.casefold()
            site = site.where(site.notna(), key.map(settled).astype("str"))
    return site


def _by_connection(frames: dict[str, pd.DataFrame], of_rows: dict[str, pd.Series]) -> dict[str, pd.Series]:
    """The site of each row, of the rest that of its connection where it stands on one site only."""
    named = [
        pd.DataFrame({"name": frames[t]["connection_id"], "site": site})
        for t, site in of_rows.items()
        if "connection_id" in frames[t]
    ]
    if not named:
        return of_rows
    pairs = pd.concat(named).dropna().drop_duplicates()
    single = pairs[~pairs["name"].duplicated(keep=False)].set_index("name")["site"]
    return {
        t: site.where(site.notna(), frames[t]["connection_id"].map(single).astype("str"))
        if "connection_id" in frames[t]
        else site
        for t, site in of_rows.items()
    }


def _several(
    frames: dict[str, pd.DataFrame], of_rows: dict[str, pd.Series], places: list[tuple[str, Column]]
) -> pd.Series:
    """Names that stand on more than one site, by name: the sites, in words.

    By the sites that rows state, wherever they stand; or by the boards of one table. A register and a survey that
    have one connection on boards of two sites contradict each other: it is one connection, moved or mistyped.
    What is listed on one site and used on another is two things, a tool for one.
    """
    at = [
        (column.names, pd.DataFrame({"name": frames[table][column.name], "site": of_rows[table]}))
        for table, column in places
    ]
    stated = [
        pd.DataFrame({"name": frames[table][column.name], "site": frames[table]["site"]})
        for table, column in places
        if "site" in frames[table] and not column.names
    ]
    said = pd.concat(stated).dropna() if stated else at[0][1][:0]
    used = [pairs[pairs["name"].isin(said["name"])] for names, pairs in at if names]
    parts = [_doubled(pairs) for pairs in [pd.concat([said, *used]), *(pairs for names, pairs in at if not names)]]
    several = pd.concat(parts).drop_duplicates().sort_values(["name", "site"], kind="stable")
    return several.groupby("name", sort=True)["site"].agg(" and ".join)


def _doubled(pairs: pd.DataFrame) -> pd.DataFrame:
    """Of names and sites those names that have more than one site."""
    pairs = pairs.dropna().drop_duplicates()
    return pairs[pairs["name"].duplicated(keep=False)]


def _take_out(
    frames: dict[str, pd.DataFrame], of_rows: dict[str, pd.Series], table: str, lost: Bools, reason: pd.Series
) -> pd.DataFrame:
    """Takes rows out of a table, and of the sites of its rows; gives them as refused."""
    frames[table], gone = _without(frames[table], lost, table, reason)
    of_rows[table] = of_rows[table][~lost].reset_index(drop=True)
    return gone


def _said(words: list[str], text: str) -> list[Note]:
    """One note that lists the first few; none where there are none."""
    if not words:
        return []
    more = f" and {len(words) - MOST_NAMED:,} more" if len(words) > MOST_NAMED else ""
    return [Note("assumed", text.format("; ".join(words[:MOST_NAMED]) + more), count=len(words))]


def _together(refused: list[pd.DataFrame]) -> pd.DataFrame:
    return pd.concat([_nothing(), *refused], ignore_index=True)


def _without(frame: pd.DataFrame, mask: Bools, table: str, reason: pd.Series) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The frame without some rows, and those rows as refused."""
    if not mask.any():
        return frame, _nothing()
    gone = frame.loc[mask, [SHEET, "source_line"]].assign(table=table, reason=reason[mask])
    return frame[~mask].reset_index(drop=True), gone


def _nothing() -> pd.DataFrame:
    kinds = {"table": "str", SHEET: "int64", "source_line": "int64", "reason": "str"}
    return pd.DataFrame(columns=list(kinds)).astype(kinds)
