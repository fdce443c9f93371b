"""On which site the registers have a name, where several sites are named."""

from __future__ import annotations

import pandas as pd
import pyarrow as pa
from pyarrow import compute as pc

from riskscope.intake.cells.parsed import everywhere
from riskscope.schema import TABLES, Column, Table

UNKNOWN = "?"  # so begins the site of a row that could be of several
BAD_NEWS = "found_out_of_tolerance_on"  # of a tool: where its site is not known it may be any of its name
REGISTERS = ("connections", "equipment")  # the lists that say where things stand
LISTS = (*REGISTERS, "surveys")
SAID_BY = ("connection_id", "equipment", "survey_id")  # what of a row says its site, where a list has it


def stands(table: str) -> bool:
    """Whether rows of a table stand on a site; a tool may lie anywhere."""
    return BAD_NEWS not in TABLES[table].by_name


def own_names(table: Table) -> list[Column]:
    """The columns of a table that name a thing of a site, where the table can say which site."""
    if "site" not in table.by_name:
        return []
    return [column for column in table.columns if column.of_site and not column.names]


def settled(frames: dict[str, pd.DataFrame]) -> pd.Series:
    """What the registers settle; a register of connections says their sites by their boards, too.

    Returns
    -------
    Series of str
        The site, by kind of name and name.
    """
    if not any(table in frames for table in LISTS):
        return pd.Series([], dtype="str")
    by_own = _registered(frames)
    filled = {t: frames[t].assign(site=site_of(frames[t], by_own)) for t in REGISTERS if t in frames}
    return _registered({**frames, **filled})


def site_of(frame: pd.DataFrame, by_register: pd.Series) -> pd.Series:
    """The site of each row: its own, else the one its connection, its board or its survey is listed on."""
    site = frame["site"] if "site" in frame else everywhere(None, frame.index)
    for kind in SAID_BY:
        if kind in frame and len(by_register) and site.isna().any():
            at = pd.MultiIndex.from_product([[kind], frame[kind]])
            site = site.fillna(pd.Series(by_register.reindex(at).to_numpy(), index=site.index, dtype="str"))
    return site


def among(names: pd.Series, others: pd.Series) -> pd.Series:
    """Which of the names are among the others: `Series.isin`, for long lists of texts."""
    there = pc.is_in(pa.array(names.astype("str")), value_set=pa.array(others.astype("str")))
    return pd.Series(there.to_numpy(zero_copy_only=False), index=names.index)


def is_unknown(site: pd.Series) -> pd.Series:
    """Which of these sites are no known ones."""
    return site.astype("str").str.startswith(UNKNOWN).fillna(False).astype(bool)


def _registered(frames: dict[str, pd.DataFrame]) -> pd.Series:
    """The site of each name that a register has on one site and nothing else has on another.

    A register that leaves out a site that is named settles nothing: what it has on one site may stand on the
    other as well. Nor does one that has the name on no site, too.
    """
    parts = [
        pd.DataFrame({"kind": column.name, "name": frame[column.name], "site": frame["site"], "table": table})
        for table, frame in frames.items()
        for column in own_names(TABLES[table])
        if column.name in frame and "site" in frame and stands(table)
    ]
    every_row = pd.concat([pd.DataFrame(columns=["kind", "name", "site", "table"]), *parts]).dropna(subset=["name"])
    every_row = every_row.drop_duplicates()
    is_key = every_row["kind"] == every_row["table"].map({table: TABLES[table].key[0] for table in LISTS})
    of_none = every_row[every_row["site"].isna() & is_key]
    named = every_row.dropna()
    named = named[~is_unknown(named["site"])]
    every = named["site"].nunique()
    whole = [table for table in LISTS if named.loc[named["table"] == table, "site"].nunique() == every]
    on_sites = named[["kind", "name", "site"]].drop_duplicates()
    single = on_sites[~on_sites.duplicated(["kind", "name"], keep=False)].set_index(["kind", "name"])["site"]
    listed = named.loc[named["table"].isin(whole), ["kind", "name"]]
    sure = single[single.index.isin(pd.MultiIndex.from_frame(listed))]
    return sure[~sure.index.isin(pd.MultiIndex.from_frame(of_none[["kind", "name"]]))]
