"""Names that stand on several sites are told apart by their site, wherever they are shown: ``MSB/F1/A @ Works``.

A name (of a connection, a board, a tool, a survey) is unique within its site. Where it stands on one site
only it stays as it is. Where several sites are named, a row says its own, or a register that leaves out none
of them says it; else it is of a site that is not known, kept apart from all others, its file for its site:
``MSB/F1/A @ ? (june.csv)``. No row is refused for it, and none is given to a joint it may not be of. A store
asks before it takes such rows in.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
import pandas as pd

from riskscope.intake.registers import BAD_NEWS, REGISTERS, UNKNOWN, is_unknown, own_names, settled, site_of, stands
from riskscope.schema import TABLES, Column, Table
from riskscope.schema.notes import Note
from riskscope.schema.tables import PERHAPS

AT = " @ "
REMEDY = f"give the site, or write NAME{AT}SITE"
SHEET = "sheet: "  # while tables are put together: which of the sheets a row is of
FILE = "file: "  # and of which file, named unlike every other
NO_SITES = ("unknown", "not known", "tbc", "tbd", "tba")  # words that say that a site is not known
KNOWN_BY = ("survey", *REGISTERS)  # what makes a connection known, other than a record of work
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
    boards_first = sorted(_named(frames), key=lambda place: place[1].name != "equipment")  # ids may be built of them
    for table, column in boards_first:
        frame = frames[table]
        typed, own = frame[column.name], _site(frame)
        name, site = _parts(typed, known)
        if column.names or site.isna().all():
            continue
        if column.name == "equipment" and "connection_id" in frame:
            frame = frame.assign(connection_id=_named_by_board(frame["connection_id"], typed, name))
        site = site.mask(site == UNKNOWN, _unknown(frame)).where(own.isna() | ~is_unknown(site))
        differs = site.notna() & own.notna() & (site.str.casefold() != own.str.casefold())
        taken += [f"{column.name} {shown!r}" for shown in pd.unique(typed[site.notna() & ~differs & ~is_unknown(site)])]
        against += [f"{column.name} {shown!r}" for shown in pd.unique(typed[differs])]
        own = own.fillna(site).mask(differs, _unknown(frame))
        frames[table] = frame.assign(**{column.name: name, "site": own})
    return [
        *_said(taken, "taken for a name and its site: {}"),
        *_said(against, "the column site says another, taken for neither: {}", "warning"),
    ]


def tell_apart(frames: dict[str, pd.DataFrame]) -> list[Note]:
    """Every name that stands on several sites gets its site behind it; spelled one way they must be already.

    The site of each row is filled in, missing where it is not known.
    """
    of_rows, notes = sites_of(frames)
    _serve_all(frames, of_rows)
    _register_serves(frames, of_rows)
    for kind in dict.fromkeys(column.names or column.name for _, column in _named(frames)):
        places = [(table, column) for table, column in _named(frames) if (column.names or column.name) == kind]
        several = _several(of_rows, frames, places)
        if several.empty:
            continue
        words = [f"{name} on {where}" for name, where in several.items()]
        notes += _said(words, f"the same {kind} stands on several sites and is told apart as NAME{AT}SITE: {{}}")
        if kind == "connection_id":
            notes += _by_a_record_only(frames, of_rows, several)
        for table, column in places:
            name, site = frames[table][column.name], of_rows[table].fillna(_unknown(frames[table]))
            told = name.where(~name.isin(several.index), name + AT + site)
            frames[table] = frames[table].assign(**{column.name: told})
    for table, site in of_rows.items():
        if "site" in TABLES[table].by_name:
            frames[table] = frames[table].assign(site=site.where(~is_unknown(site)))
    return notes


def sites_of(frames: dict[str, pd.DataFrame]) -> tuple[dict[str, pd.Series], list[Note]]:
    """On which site each row of each table is, and what is said of it.

    As the row says, else as a register that names every site has its connection, board or survey. Where one site
    is named all is of it, but for what may be of another, unnamed: a reading without a site of a joint that other
    readings have on the site, records of that joint, and a name that ends in a site nothing else names. The site
    of what is left begins with `UNKNOWN`: each file's rows may be of a site of their own.
    """
    by_register = settled(frames)
    of_rows = {table: site_of(frame, by_register) for table, frame in frames.items()}
    sites = sites_named({table: frame for table, frame in frames.items() if stands(table)})
    if not sites:
        return of_rows, []
    notes = []
    apart = pd.Series([], dtype="str")
    if "survey" in frames:
        differs = _contradicted(frames["survey"], by_register)
        of_rows["survey"] = of_rows["survey"].mask(differs, _unknown(frames["survey"]))
        text = (
            "readings of a connection that is registered on one site, of a board that is on another: taken for neither"
        )
        notes += _counted(differs, text, "survey", "warning")
        said = _site(frames["survey"])
        unsaid = frames["survey"]["connection_id"][of_rows["survey"].isna()]
        apart = unsaid[unsaid.isin(frames["survey"].loc[said.notna() & ~is_unknown(said), "connection_id"])]
        by = said.isna() & of_rows["survey"].notna() & ~differs
        text = "readings do not say their site; it is that of their connection or board in the register"
        notes += _counted(by & (len(sites) > 1), text, "survey")
    for table, site in of_rows.items():
        if "site" not in TABLES[table].by_name:
            continue
        open_ = site.isna()
        of_the_only = open_ & (len(sites) == 1) & ~_may_be_elsewhere(table, frames[table], apart)
        of_rows[table] = site.mask(of_the_only, sites[0]).fillna(_unknown(frames[table]))
        if table == "survey":
            text = f"readings do not say their site; taken to be of {sites[0]}, the only one named"
            notes += _counted(of_the_only, text, table)
        if not TABLES[table].serves_all:
            lost = is_unknown(of_rows[table])
            files = of_rows[table][lost].drop_duplicates().str.removeprefix(f"{UNKNOWN} ")
            text = (
                f"rows of {table} {', '.join(files.head(MOST_NAMED))} do not say on which site they are "
                f"({', '.join(sites)}), and are kept apart: {REMEDY}"
            )
            notes += _counted(lost, text, table, "warning")
    return of_rows, notes


def undecided(names: Mapping[str, pd.DataFrame]) -> pd.DataFrame:
    """Rows that would be of a site that is not known, if these were put together.

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
        table: frame.drop(columns="import").apply(lambda values: values.str.casefold()).reset_index(drop=True)
        for table, frame in names.items()
        if len(frame)
    }
    take_off(frames)
    of_rows, _ = sites_of(frames)
    parts = [pd.DataFrame({"import": [], "table": [], "name": []})]
    for table, frame in frames.items():
        rows = names[table].reset_index(drop=True)
        name = "connection_id" if "connection_id" in rows else rows.columns[0]
        lost = is_unknown(of_rows[table]) & frame["site"].isna()
        if TABLES[table].serves_all:
            lost &= frame[name].isin(frame.loc[of_rows[table].notna() & ~is_unknown(of_rows[table]), name])
        parts.append(pd.DataFrame({"import": rows["import"], "table": table, "name": rows[name]})[lost])
    return pd.concat(parts).drop_duplicates(ignore_index=True)


def bare_references(frames: dict[str, pd.DataFrame]) -> None:
    """A tool or board that a row names as it is shown, ``T1 @ Works``, is the one listed for that site or for all."""
    known = {site.casefold(): site for site in sites_named(frames)}
    for table, column in list(_named(frames)):
        typed = frames[table][column.name]
        distinct = typed[_has_at(typed)].drop_duplicates()
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


def names_of(table: Table, frame: pd.DataFrame) -> pd.DataFrame:
    """The names that rows of a table have of their own, and their sites: one column each, each combination once."""
    names = [column.name for column in own_names(table) if column.name in frame]
    return frame[names].assign(site=_site(frame)).drop_duplicates(ignore_index=True)


def _contradicted(survey: pd.DataFrame, by_register: pd.Series) -> pd.Series:
    """Readings that do not say their site, of a connection of one and a board of another."""
    if not {"connection_id", "equipment"} <= set(survey):
        return pd.Series(False, index=survey.index)
    connection, board = (site_of(survey[[name]], by_register) for name in ("connection_id", "equipment"))
    return _site(survey).isna() & connection.notna() & board.notna() & (connection != board)


def _may_be_elsewhere(table: str, frame: pd.DataFrame, apart: pd.Series) -> pd.Series:
    """Which of the rows that do not say the one site that is named may be of another.

    Parameters
    ----------
    apart : Series of str
        Connections that some readings have on the site and others on none.
    """
    named = [frame[column.name] for column in own_names(TABLES[table]) if column.name in frame]
    doubtful = pd.Series(False, index=frame.index)
    for values in named:
        doubtful |= _has_at(values)
    if "connection_id" in frame and table not in REGISTERS:
        doubtful |= frame["connection_id"].isin(apart)
    return doubtful


def _serve_all(frames: dict[str, pd.DataFrame], of_rows: dict[str, pd.Series]) -> None:
    """Rows of a table that serves all sites are repeated for each site their name stands on.

    Of a tool only what speaks against it: its calibration may be that of another tool of the name.
    """
    for table, column in list(_named(frames)):
        if column.names or not TABLES[table].serves_all:
            continue
        frame, site = frames[table], of_rows[table]
        stands = pd.concat(
            [
                pd.DataFrame({"name": frames[t][c.name], "on": of_rows[t]})
                for t, c in _named(frames)
                if c.name == column.name and not c.names
            ]
        ).drop_duplicates()
        stands = stands[stands["on"].notna() & ~is_unknown(stands["on"]) & stands["name"].notna()]
        if BAD_NEWS in TABLES[table].by_name:
            serves = is_unknown(site) & (frame[BAD_NEWS].notna() if BAD_NEWS in frame else False)
        else:
            serves = is_unknown(site) & ~frame[column.name].isin(frame.loc[~is_unknown(site), column.name])
        again = frame[serves].merge(stands, left_on=column.name, right_on="name")
        if len(again):
            every = pd.concat([frame, again[frame.columns]], ignore_index=True)
            on = pd.concat([site, again["on"]], ignore_index=True)
            keys = [every[name] for name in TABLES[table].key if name in every]
            every = with_bad_news(every, [on, *keys])
            kept = ~pd.concat([on, *keys], axis=1).duplicated() | (every.index < len(frame))
            frames[table], of_rows[table] = every[kept].reset_index(drop=True), on[kept].reset_index(drop=True)


def _register_serves(frames: dict[str, pd.DataFrame], of_rows: dict[str, pd.Series]) -> None:
    """A reading of no known site has the register's word of its joint: the strictest, where it may be several.

    Where it stands, what it is made of, its lowest limit and its highest criticality; without them a joint kept
    apart would lose its siblings and its limit, and look better. The rows are marked `PERHAPS`: a limit above the
    default, a criticality below it may be another joint's.
    """
    if not {"survey", "connections"} <= set(frames):
        return
    register, on = frames["connections"], of_rows["connections"]
    read = pd.DataFrame({"connection_id": frames["survey"]["connection_id"], "on": of_rows["survey"]})
    read = read[is_unknown(read["on"])].drop_duplicates()
    has_own = pd.MultiIndex.from_frame(read).isin(pd.MultiIndex.from_arrays([register["connection_id"], on]))
    known = register[on.notna() & ~is_unknown(on)]
    again = known.merge(read[~has_own], on="connection_id")
    if again.empty:
        return
    keys = [again["connection_id"], again["on"]]
    for name, strictest in (("limit_c", "min"), ("criticality", "max")):
        if name in again:
            again[name] = again.groupby(keys)[name].transform(strictest)
    again = again[~pd.concat(keys, axis=1).duplicated()]
    marked = again[register.columns].assign(**{PERHAPS: 1.0})
    frames["connections"] = pd.concat([register, marked], ignore_index=True)
    of_rows["connections"] = pd.concat([on, again["on"]], ignore_index=True)


def with_bad_news(tools: pd.DataFrame, keys: list[pd.Series]) -> pd.DataFrame:
    """Rows of one calibration are all found out of tolerance where one of them says so."""
    if BAD_NEWS not in tools:
        return tools
    worst = tools.groupby(keys, dropna=False, sort=False)[BAD_NEWS].transform("min")
    return tools.assign(**{BAD_NEWS: worst})


def _by_a_record_only(frames: dict[str, pd.DataFrame], of_rows: dict[str, pd.Series], several: pd.Series) -> list[Note]:
    """Connections of several sites that on one of them no survey and no register has: perhaps a site mistyped."""
    parts = [
        pd.DataFrame({"name": frame["connection_id"], "site": of_rows[table], "record": table not in KNOWN_BY})
        for table, frame in frames.items()
        if "connection_id" in frame
    ]
    rows = pd.concat(parts).dropna()
    rows = rows[~is_unknown(rows["site"])]
    only = rows[rows["name"].isin(several.index)].groupby(["name", "site"])["record"].all()
    names = [f"{name}{AT}{site}" for name, site in only[only].index]
    text = "known by a record only, no survey and no register has it: is the site right? {}"
    return _said(names, text, "warning")


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
    return [name for name in distinct[~distinct.str.casefold().duplicated()] if not name.startswith(UNKNOWN)]


def _site(frame: pd.DataFrame) -> pd.Series:
    """The site each row says."""
    return frame["site"] if "site" in frame else pd.Series(np.nan, index=frame.index, dtype="str")


def _several(
    of_rows: dict[str, pd.Series], frames: dict[str, pd.DataFrame], places: list[tuple[str, Column]]
) -> pd.Series:
    """Names that stand on more than one site, by name: the sites, in words.

    What is listed on one site and used on another is two things, a tool for one.
    """
    listed: list[pd.DataFrame] = []
    used: list[pd.DataFrame] = []
    for table, column in places:
        pairs = pd.DataFrame({"name": frames[table][column.name], "site": of_rows[table]}).dropna().drop_duplicates()
        if TABLES[table].serves_all and not column.names:
            said = pairs.loc[~is_unknown(pairs["site"]), "name"]
            pairs = pairs[pairs["name"].isin(said)]
        (used if column.names else listed).append(pairs)
    if not listed:
        return pd.Series([], dtype="str")
    pairs = pd.concat(listed)
    pairs = pd.concat([pairs, *(rows[rows["name"].isin(pairs["name"])] for rows in used)]).drop_duplicates()
    several = pairs[pairs["name"].duplicated(keep=False)].sort_values(["name", "site"], kind="stable")
    return several.groupby("name", sort=True)["site"].agg(" and ".join)


def _unknown(frame: pd.DataFrame) -> pd.Series:
    """The site of rows of which it is not known: one for each file."""
    if FILE not in frame:
        return pd.Series(UNKNOWN, index=frame.index, dtype="str")
    return f"{UNKNOWN} (" + frame[FILE].astype("str") + ")"


def _has_at(values: pd.Series) -> pd.Series:
    return values.astype("str").str.contains(AT, regex=False).fillna(False).astype(bool)


def _parts(values: pd.Series, known: dict[str, str]) -> tuple[pd.Series, pd.Series]:
    """Each name and the known site behind it; no site where there is none."""
    name, site = values, pd.Series(np.nan, index=values.index, dtype="str")
    if not _has_at(values).any():
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


def _said(words: list[str], text: str, kind: str = "assumed") -> list[Note]:
    """One note that lists the first few; none where there are none."""
    if not words:
        return []
    more = f" and {len(words) - MOST_NAMED:,} more" if len(words) > MOST_NAMED else ""
    return [Note(kind, text.format("; ".join(words[:MOST_NAMED]) + more), count=len(words))]


def _counted(rows: pd.Series, text: str, table: str, kind: str = "assumed") -> list[Note]:
    """One note of how many rows of a table; none where there are none."""
    count = int(rows.sum())
    return [Note(kind, f"{count:,} {text}", table, column="site", count=count)] if count else []
