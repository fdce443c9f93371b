"""Names that stand on several sites are told apart by their site, wherever they are shown: ``MSB/F1/A @ Works``.

A name (of a connection, a board, a tool, a survey) is unique within its site. Where it stands on one site
only it stays as it is. Where several sites are named, a row says its own, or a register that leaves out none
of them says it; else it is refused. A store asks the same before it takes a file in.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Iterator, Mapping

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from riskscope.intake.registers import REGISTERS, own_names, settled, site_of
from riskscope.schema import TABLES, Column, Table
from riskscope.schema.notes import Note

AT = " @ "
REMEDY = f"give the site, or write NAME{AT}SITE"
REMEDY_OF_UNKNOWN = "give the site in a column, or state it of the file"
SHEET = "sheet: "  # while tables are put together: which of the sheets a row is of; files may share a name
MOST_NAMED = 3
KNOWN_BY = ("survey", *REGISTERS)  # what makes a connection known, other than a record of work
Bools = NDArray[np.bool_]


def take_off(frames: dict[str, pd.DataFrame]) -> tuple[list[Note], pd.DataFrame]:
    """Names that were typed as they are shown, ``MSB/F1/A @ Works``, become name and site again.

    Only where it ends in a site that is known. Where sites are known and this is none of them, a row that says
    no other is refused.

    Returns
    -------
    list of Note
    DataFrame
        Rows taken out: ``table source_line reason`` and the number of the sheet.
    """
    known = {site.casefold(): site for site in sites_named(frames)}
    refused = []
    taken = []
    boards_first = sorted(_named(frames), key=lambda place: place[1].name != "equipment")  # ids may be built of them
    for table, column in boards_first:
        frame = frames[table]
        typed = frame[column.name]
        if column.names or not known or not typed.str.contains(AT, regex=False).fillna(False).any():
            continue
        name, site = _parts(typed, known)
        own = _site(frame)
        against = (site.notna() & own.notna() & (site.str.casefold() != own.str.casefold())).to_numpy(dtype=bool)
        unknown = (site.isna() & own.isna() & typed.str.contains(AT, regex=False).fillna(False)).to_numpy(dtype=bool)
        taken += [f"{column.name} {shown!r}" for shown in pd.unique(typed[site.notna() & ~against])]
        if column.name == "equipment" and "connection_id" in frame:
            frame = frame.assign(connection_id=_named_by_board(frame["connection_id"], typed, name))
        frame = frame.assign(**{column.name: name, "site": own.where(own.notna(), site)})
        reason = (f"{column.name} says " + site + ", site says " + own).where(
            against, f"{column.name} " + typed + f" ends in a site that is not named elsewhere: {REMEDY_OF_UNKNOWN}"
        )
        frames[table], gone = _without(frame, against | unknown, table, reason)
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
        return _of_the_only(frames, sites[0]) if sites else ([], _nothing())
    by_register = settled(frames)
    of_rows = {table: site_of(frame, by_register) for table, frame in frames.items()}
    refused = [_contradicted(frames, of_rows, by_register), *_unsaid(frames, of_rows, sites)]
    refused += _half_said(frames, of_rows)
    notes = _settled_readings(frames)
    for kind in dict.fromkeys(column.names or column.name for _, column in _named(frames)):
        places = [(table, column) for table, column in _named(frames) if (column.names or column.name) == kind]
        if not any(not column.names for _, column in places):
            continue
        several = _several(of_rows, frames, places)
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
    for table, site in of_rows.items():
        if "site" in TABLES[table].by_name:
            frames[table] = frames[table].assign(site=site)
    return notes, _together(refused)


def bare_references(frames: dict[str, pd.DataFrame]) -> None:
    """A tool or board that a row names as it is shown, ``T1 @ Works``, is the one listed for that site or for all."""
    known = {site.casefold(): site for site in sites_named(frames)}
    for table, column in list(_named(frames)):
        typed = frames[table][column.name]
        distinct = typed[typed.str.contains(AT, regex=False).fillna(False)].drop_duplicates()
        if not column.names or distinct.empty:
            continue
        own = [names_of(TABLES[t], frames[t]) for t, c in _named(frames) if c.name == column.names and not c.names]
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


def _of_the_only(frames: dict[str, pd.DataFrame], site: str) -> tuple[list[Note], pd.DataFrame]:
    """Where one site is named, all is of it; but a reading beside one that says so may be of another, unnamed."""
    survey = frames.get("survey")
    if survey is None or _site(survey).isna().all():
        return [], _nothing()
    unsaid = survey["site"].isna()
    if not unsaid.any():
        return [], _nothing()
    said = survey.loc[~unsaid, "connection_id"]
    alone = site_of(survey[["connection_id"]], settled(frames)).isna()
    lost = (unsaid & alone & survey["connection_id"].isin(said)).to_numpy(dtype=bool)
    reason = "connection_id " + survey["connection_id"] + f" is read on {site} too, here on no site: {REMEDY}"
    frames["survey"], gone = _without(survey.assign(site=survey["site"].fillna(site)), lost, "survey", reason)
    count = int(unsaid.sum() - lost.sum())
    text = f"{count:,} readings do not say their site; taken to be of {site}, the only one named"
    return ([Note("assumed", text, "survey", column="site", count=count)] if count else []), gone


def _settled_readings(frames: dict[str, pd.DataFrame]) -> list[Note]:
    """How many of the readings that are left get their site from a register."""
    count = int(_site(frames.get("survey", pd.DataFrame())).isna().sum())
    text = f"{count:,} readings do not say their site; it is that of their connection or board in the register"
    return [Note("assumed", text, "survey", column="site", count=count)] if count else []


def _contradicted(
    frames: dict[str, pd.DataFrame], of_rows: dict[str, pd.Series], by_register: pd.Series
) -> pd.DataFrame:
    """Takes out the readings that do not say their site, of a connection of one and a board of another."""
    survey = frames.get("survey", pd.DataFrame())
    if not {"connection_id", "equipment"} <= set(survey):
        return _nothing()
    connection, board = (site_of(survey[[name]], by_register) for name in ("connection_id", "equipment"))
    lost = (_site(survey).isna() & connection.notna() & board.notna() & (connection != board)).to_numpy(dtype=bool)
    reason = (
        "connection_id "
        + survey["connection_id"]
        + " is registered on "
        + connection
        + ", equipment "
        + survey["equipment"]
        + " on "
        + board
    )
    return _take_out(frames, of_rows, "survey", lost, reason + f": {REMEDY}")


def _unsaid(frames: dict[str, pd.DataFrame], of_rows: dict[str, pd.Series], sites: list[str]) -> Iterator[pd.DataFrame]:
    """Takes out the rows that could be of any site; gives them as refused."""
    reason = f"does not say on which of several sites ({', '.join(sorted(sites))}) it is: {REMEDY}"
    for table in list(frames):
        if "site" in TABLES[table].by_name and not TABLES[table].serves_all:
            lost = of_rows[table].isna().to_numpy(dtype=bool)
            yield _take_out(frames, of_rows, table, lost, pd.Series(reason, index=frames[table].index))


def _half_said(frames: dict[str, pd.DataFrame], of_rows: dict[str, pd.Series]) -> Iterator[pd.DataFrame]:
    """Takes out rows that would serve all sites where another row of the list has the name on one.

    A calibration of tool T1 that leaves out its site says nothing of T1 of Works: it may be another tool.
    """
    for table, column in list(_named(frames)):
        if column.names or not TABLES[table].serves_all:
            continue
        names, site = frames[table][column.name], of_rows[table]
        named = pd.DataFrame({"name": names, "site": site}).dropna().drop_duplicates()
        on = named.groupby("name")["site"].agg(" and ".join)
        lost = (names.isin(on.index) & site.isna()).to_numpy(dtype=bool)
        reason = f"{column.name} " + names.astype("str") + " is listed on " + names.map(on).astype("str")
        yield _take_out(frames, of_rows, table, lost, reason + f", here on no site: {REMEDY}")


def _by_a_record_only(frames: dict[str, pd.DataFrame], of_rows: dict[str, pd.Series], several: pd.Series) -> list[Note]:
    """Connections of several sites that on one of them no survey and no register has: perhaps a site mistyped."""
    parts = [
        pd.DataFrame({"name": frame["connection_id"], "site": of_rows[table], "record": table not in KNOWN_BY})
        for table, frame in frames.items()
        if "connection_id" in frame
    ]
    rows = pd.concat(parts).dropna()
    only = rows[rows["name"].isin(several.index)].groupby(["name", "site"])["record"].all()
    names = [f"{name}{AT}{site}" for name, site in only[only].index]
    text = "known by a record only, no survey and no register has it: is the site right? {}"
    return [dataclasses.replace(note, kind="warning") for note in _said(names, text)]


def names_of(table: Table, frame: pd.DataFrame) -> pd.DataFrame:
    """The names that rows of a table have of their own, and their sites: one column each, each combination once."""
    names = [column.name for column in own_names(table) if column.name in frame]
    return frame[names].assign(site=_site(frame)).drop_duplicates(ignore_index=True)


def undecided(names: Mapping[str, pd.DataFrame]) -> pd.DataFrame:
    """Rows that would be refused for want of a site, if these were put together.

    Parameters
    ----------
    names : mapping of str to DataFrame
        By table: what `names_of` gives, and the ``import`` it is of.

    Returns
    -------
    DataFrame
        ``import table name``, spelled as it is there.
    """
    frames = {
        table: frame.drop(columns="import")
        .apply(lambda values: values.str.casefold())
        .assign(**{SHEET: 0, "source_line": np.arange(len(frame))})
        for table, frame in names.items()
        if len(frame)
    }
    gone = pd.concat([take_off(frames)[1], tell_apart(frames)[1]])
    parts = [pd.DataFrame({"import": [], "table": [], "name": []})]
    for table, lost in gone.groupby("table", sort=False):
        rows = names[str(table)].iloc[np.sort(lost["source_line"].to_numpy(dtype=np.int64))]
        rows = rows[rows["site"].isna()]
        name = rows["connection_id" if "connection_id" in rows else rows.columns[0]]
        parts.append(pd.DataFrame({"import": rows["import"], "table": table, "name": name}))
    return pd.concat(parts).drop_duplicates(ignore_index=True)


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


def _site(frame: pd.DataFrame) -> pd.Series:
    """The site each row says."""
    return frame["site"] if "site" in frame else pd.Series(np.nan, index=frame.index, dtype="str")


def _parts(values: pd.Series, known: dict[str, str]) -> tuple[pd.Series, pd.Series]:
    """Each name and the known site behind it; no site where there is none."""
    folded = values.str.casefold()
    name, site = values, pd.Series(np.nan, index=values.index, dtype="str")
    for key in sorted(known, key=len, reverse=True):  # a site may end in the name of another
        is_of = (site.isna() & folded.str.endswith(f"{AT}{key}")).fillna(False).to_numpy(dtype=bool)
        name = name.where(~is_of, values.str.rsplit(AT, n=key.count(AT) + 1).str[0])
        site = site.where(~is_of, known[key])
    return name, site


def _named_by_board(ids: pd.Series, typed: pd.Series, board: pd.Series) -> pd.Series:
    """Ids that begin with their board as it was typed, ``MSB @ Works/F1/A``, with its name alone: ``MSB/F1/A``."""
    for shown, name in pd.DataFrame({"typed": typed, "board": board})[typed != board].drop_duplicates().dropna().values:
        begins = ((typed == shown) & ids.str.startswith(shown)).to_numpy(dtype=bool)
        ids = ids.where(~begins, name + ids.str.slice(len(shown)))
    return ids


def _several(
    of_rows: dict[str, pd.Series], frames: dict[str, pd.DataFrame], places: list[tuple[str, Column]]
) -> pd.Series:
    """Names that stand on more than one site, by name: the sites, in words.

    What is listed on one site and used on another is two things, a tool for one.
    """
    at = [
        (column.names, pd.DataFrame({"name": frames[table][column.name], "site": of_rows[table]}).dropna())
        for table, column in places
    ]
    listed = pd.concat([pairs for names, pairs in at if not names])
    used = [pairs[pairs["name"].isin(listed["name"])] for names, pairs in at if names]
    pairs = pd.concat([listed, *used]).drop_duplicates()
    several = pairs[pairs["name"].duplicated(keep=False)].sort_values(["name", "site"], kind="stable")
    return several.groupby("name", sort=True)["site"].agg(" and ".join)


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


def _together(refused: Iterable[pd.DataFrame]) -> pd.DataFrame:
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
