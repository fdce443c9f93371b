"""Names that stand on several sites are told apart by their site, wherever they are shown: ``MSB/F1/A @ Works``.

A name (of a connection, a board, a tool, a survey) is unique within its site. Where it stands on one site
only it stays as it is. Where several sites are named, a row says its own, or a register that leaves out none
of them says it; else it is of a site that is not known, kept apart from all others, its file for its site:
``MSB/F1/A @ ? (june.csv)``. No row is refused for it, and none is given to a joint it may not be of. A store
asks before it takes such rows in.
"""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd
import pyarrow as pa
from pyarrow import compute as pc

from riskscope.intake.registers import (
    BAD_NEWS,
    REGISTERS,
    UNKNOWN,
    among,
    is_unknown,
    own_names,
    settled,
    site_of,
    stands,
)
from riskscope.intake.renamed import ENDS
from riskscope.intake.typed_names import (
    AT,
    MOST_NAMED,
    has_at,
    named_columns,
    note_of,
    said_site,
    sites_named,
    take_off,
    unknown_of,
)
from riskscope.schema import TABLES, Column
from riskscope.schema.notes import Note
from riskscope.schema.tables import PERHAPS

REMEDY = f"give the site, or write NAME{AT}SITE"
KNOWN_BY = ("survey", *REGISTERS)  # what makes a connection known, other than a record of work


def tell_apart(frames: dict[str, pd.DataFrame]) -> list[Note]:
    """Every name that stands on several sites gets its site behind it; spelled one way they must be already.

    The site of each row is filled in, missing where it is not known.
    """
    of_rows, notes = sites_of(frames)
    _serve_all(frames, of_rows)
    _register_serves(frames, of_rows)
    on_one_site = not of_rows or pc.count_distinct(pa.array(pd.concat(list(of_rows.values())))).as_py() < 2
    kinds = dict.fromkeys(column.names or column.name for _, column in named_columns(frames))
    for kind in () if on_one_site else kinds:
        places = [(table, column) for table, column in named_columns(frames) if (column.names or column.name) == kind]
        several = _several(of_rows, frames, places)
        if several.empty:
            continue
        words = [f"{name} on {where}" for name, where in several.items()]
        notes += note_of(words, f"the same {kind} stands on several sites and is told apart as NAME{AT}SITE: {{}}")
        if kind == "connection_id":
            notes += _by_a_record_only(frames, of_rows, several)
        for table, column in places:
            name, site = frames[table][column.name], of_rows[table].fillna(unknown_of(frames[table]))
            told = name.where(~among(name, several.index.to_series()), name + AT + site)
            frames[table] = frames[table].assign(**{column.name: told})
    for table, site in of_rows.items():
        if "site" in TABLES[table].by_name:
            known = site.where(~is_unknown(site)) if site.notna().any() else site
            frames[table]["site"] = known
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
        of_rows["survey"] = of_rows["survey"].mask(differs, unknown_of(frames["survey"]))
        text = (
            "readings of a connection that is registered on one site, of a board that is on another: taken for neither"
        )
        notes += _counted(differs, text, "survey", "warning")
        said = said_site(frames["survey"])
        unsaid = frames["survey"]["connection_id"][of_rows["survey"].isna()]
        apart = unsaid[among(unsaid, frames["survey"].loc[said.notna() & ~is_unknown(said), "connection_id"])]
        by = said.isna() & of_rows["survey"].notna() & ~differs
        text = "readings do not say their site; it is that of their connection or board in the register"
        notes += _counted(by & (len(sites) > 1), text, "survey")
    for table, site in of_rows.items():
        if "site" not in TABLES[table].by_name:
            continue
        open_ = site.isna()
        of_the_only = open_ & (len(sites) == 1) & ~_may_be_elsewhere(table, frames[table], apart)
        of_rows[table] = site.mask(of_the_only, sites[0]).fillna(unknown_of(frames[table]))
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
            lost &= among(frame[name], frame.loc[of_rows[table].notna() & ~is_unknown(of_rows[table]), name])
        parts.append(pd.DataFrame({"import": rows["import"], "table": table, "name": rows[name]})[lost])
    return pd.concat(parts).drop_duplicates(ignore_index=True)


def _contradicted(survey: pd.DataFrame, by_register: pd.Series) -> pd.Series:
    """Readings that do not say their site, of a connection of one and a board of another."""
    if not {"connection_id", "equipment"} <= set(survey):
        return pd.Series(False, index=survey.index)
    connection, board = (site_of(survey[[name]], by_register) for name in ("connection_id", "equipment"))
    return said_site(survey).isna() & connection.notna() & board.notna() & (connection != board)


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
        doubtful |= has_at(values)
    if "connection_id" in frame and table not in REGISTERS:
        doubtful |= among(frame["connection_id"], apart)
    return doubtful


def _serve_all(frames: dict[str, pd.DataFrame], of_rows: dict[str, pd.Series]) -> None:
    """Rows of a table that serves all sites are repeated for each site their name stands on.

    Of a tool only what speaks against it: its calibration may be that of another tool of the name.
    """
    for table, column in list(named_columns(frames)):
        if column.names or not TABLES[table].serves_all:
            continue
        frame, site = frames[table], of_rows[table]
        stands = pd.concat(
            [
                pd.DataFrame({"name": frames[t][c.name], "on": of_rows[t]})
                for t, c in named_columns(frames)
                if c.name == column.name and not c.names
            ]
        ).drop_duplicates()
        stands = stands[stands["on"].notna() & ~is_unknown(stands["on"]) & stands["name"].notna()]
        if BAD_NEWS in TABLES[table].by_name:
            serves = is_unknown(site) & (frame[BAD_NEWS].notna() if BAD_NEWS in frame else False)
        else:
            serves = is_unknown(site) & ~among(frame[column.name], frame.loc[~is_unknown(site), column.name])
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
    default, a criticality below it may be another joint's. That one was retired or renamed is not said of the other.
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
    marked = again[register.columns].drop(columns=[*ENDS, "was_id"], errors="ignore").assign(**{PERHAPS: 1.0})
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
    only = rows[among(rows["name"], several.index.to_series())].groupby(["name", "site"])["record"].all()
    names = [f"{name}{AT}{site}" for name, site in only[only].index]
    text = "known by a record only, no survey and no register has it: is the site right? {}"
    return note_of(names, text, "warning")


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
            pairs = pairs[among(pairs["name"], said)]
        (used if column.names else listed).append(pairs)
    if not listed:
        return pd.Series([], dtype="str")
    pairs = pd.concat(listed)
    pairs = pd.concat([pairs, *(rows[among(rows["name"], pairs["name"])] for rows in used)]).drop_duplicates()
    several = pairs[pairs["name"].duplicated(keep=False)].sort_values(["name", "site"], kind="stable")
    return several.groupby("name", sort=True)["site"].agg(" and ".join)


def _counted(rows: pd.Series, text: str, table: str, kind: str = "assumed") -> list[Note]:
    """One note of how many rows of a table; none where there are none."""
    count = int(rows.sum())
    text = text.replace("readings do not say their", "reading does not say its", 1) if count == 1 else text
    return [Note(kind, f"{count:,} {text}", table, column="site", count=count)] if count else []
