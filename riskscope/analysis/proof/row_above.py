"""Whose a refused row without an id or a place is by the rows above it: a merged cell fills only its first row."""

from __future__ import annotations

import json
from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import filled, positions, take, texts
from riskscope.analysis.frames import table as get_table
from riskscope.schema.common import ID_PARTS
from riskscope.schema.names import apart, bare, is_other_lettering, site_of, squeezed

FILE = ("table", "file", "sheet")
NAMED = ("survey", "connections", "installs", "findings")  # tables that show that a joint is known


def nearest(out: pd.DataFrame, rows: pd.DataFrame) -> pd.DataFrame:
    """Each refused row beside those of the nearest line above it, in its file and sheet, that there are: ``row`` (its
    label) and the columns of these, ``line`` (of them) and ``own_line``."""
    places = [*FILE, "line"]
    wanted = _typed(out[places]).assign(row=out.index, own_line=out["line"].astype("int64"))
    rows = _typed(rows)
    lines = rows[places].drop_duplicates().sort_values("line").assign(at=lambda lines: lines["line"])
    by_line = wanted.sort_values("line")
    beside = pd.merge_asof(by_line, lines, on="line", by=list(FILE), allow_exact_matches=False).dropna(subset="at")
    beside = beside.drop(columns="line").rename(columns={"at": "line"}).astype({"line": "int64"})
    return beside.merge(rows, on=places, suffixes=("_own", ""))


def _typed(rows: pd.DataFrame) -> pd.DataFrame:
    rows = rows.astype({name: "int64" if name == "line" else "str" for name in rows})
    return rows.assign(sheet=rows["sheet"].fillna(""))


def accepted(tables: Mapping[str, pd.DataFrame], names: object, columns: tuple[str, ...]) -> pd.DataFrame:
    """The accepted rows of some tables with their place in their file, and these columns."""
    held = [pd.DataFrame(columns=[*FILE, "line", *columns])]
    for table in pd.unique(pd.Series(names, dtype="str")):
        rows = get_table(tables, table)
        if len(rows) and "source_line" in rows:
            place = {"file": rows["source_file"], "sheet": rows["source_sheet"], "line": rows["source_line"]}
            held.append(pd.DataFrame({"table": table, **place, **{name: texts(rows, name) for name in columns}}))
    return pd.concat(held[1:] or held, ignore_index=True)


def by_row_above(
    mute: pd.DataFrame, out: pd.DataFrame, tables: Mapping[str, pd.DataFrame], every: pd.DataFrame
) -> pd.DataFrame:
    """What the rows above say that refused rows do not: an id; or their place, where what they say of it differs.

    The nearest row that says an id counts, it may be rejected itself, and the nearest of a joint that is known: a line
    of text in a column of ids is of none. Of its joints, in a wide sheet several, those
    that are where the refused row says it is, else its place with what that says. A row between the two that was set
    aside may be a heading: each of its cells is a name.

    Parameters
    ----------
    mute : DataFrame
        ``row day is_settled``, `ID_PARTS` ("" where it is not said): the rows, as `whose` reads them.
    out : DataFrame
        The same rows as refused, labelled ``row``.
    every : DataFrame
        All refused rows.

    Returns
    -------
    DataFrame
        As `mute`, with ``name site is_id is_placed``.
    """
    named = every[every["connection_id"].notna().to_numpy()]
    columns = ("connection_id", "site", *ID_PARTS)
    held = pd.concat([accepted(tables, out["table"], columns), named[[*FILE, "line", *columns]]], ignore_index=True)
    held = _with_places(held, tables)
    known = pd.concat([tables[name]["connection_id"] for name in NAMED if name in tables])
    is_known = squeezed(bare(held["connection_id"])).isin(set(squeezed(bare(known.drop_duplicates()))))
    beside = pd.concat([nearest(out, held), nearest(out, held[is_known.to_numpy(dtype=bool)])], ignore_index=True)
    if not len(beside):
        return mute.iloc[:0]
    its = beside[["row", "line", "own_line", *columns]].rename(columns={part: f"{part}_its" for part in ID_PARTS})
    both = mute.rename(columns={"site": "site_said"}).drop(columns="name").merge(its, on="row")
    differ = np.zeros(len(both), dtype=bool)
    for part in ID_PARTS:
        mine, other = both[part], bare(both[f"{part}_its"])
        unlike = (mine != "") & (other != "") & (apart(mine) != apart(other))
        differ |= (unlike & ~is_other_lettering(mine, other)).to_numpy() if part == "phase" else unlike.to_numpy()
        both[part] = mine.where(mine != "", other)
    agrees = pd.Series(~differ).groupby(both["row"].to_numpy()).transform("any").to_numpy(dtype=bool)
    both = both.assign(name=bare(both["connection_id"]), site=_site(both), is_id=True, is_placed=False)
    placed = ~agrees & (both["equipment"] != "") & ((both["circuit"] != "") | (both["device"] != ""))
    both = both[~differ | ~agrees].assign(name=both["name"].where(~placed, ""), is_id=~placed, is_placed=placed)
    made = [both, _other_phases(both), _headings(both, out, every)]
    return pd.concat([rows[[*mute.columns]] for rows in made], ignore_index=True).drop_duplicates()


def _site(rows: pd.DataFrame) -> pd.Series:
    by_id = site_of(rows["connection_id"])
    above = by_id.where(by_id != "", rows["site"].fillna(""))
    return rows["site_said"].where(rows["site_said"] != "", above)


def _other_phases(both: pd.DataFrame) -> pd.DataFrame:
    """Of rows of another phase whose place is not known the id above with that phase in place of its own at its end."""
    ends = [("/" + bare(both[name])).where(both[name].fillna("") != "", "") for name in ("phase_its", "phase")]
    others = both.assign(its=ends[0], own=ends[1])[(ends[0] != ends[1]) & (ends[0] != "") & both["is_id"]]
    is_end = np.array([name.endswith(end) for name, end in zip(others["name"], others["its"], strict=True)], dtype=bool)
    stem = [name.removesuffix(end) for name, end in zip(others["name"], others["its"], strict=True)]
    return others.assign(name=pd.Series(stem, others.index, dtype="str") + others["own"], is_id=False)[is_end]


def _with_places(rows: pd.DataFrame, tables: Mapping[str, pd.DataFrame]) -> pd.DataFrame:
    """The rows, their places filled from the register."""
    register = get_table(tables, "connections")
    at = positions(register["connection_id"], rows["connection_id"])
    return rows.assign(**{part: filled(rows[part], take(texts(register, part), at)) for part in ID_PARTS})


def _headings(both: pd.DataFrame, out: pd.DataFrame, every: pd.DataFrame) -> pd.DataFrame:
    """Each cell of the rows set aside between a refused row and the nearest with an id, as a name."""
    aside = every[(every["kind"] == "set aside").to_numpy() & ~every["reason"].isin(["header", "repeated header"])]
    between = both.drop_duplicates("row").merge(out[list(FILE)].assign(row=out.index), on="row")
    between = between.merge(aside[[*FILE, "line", "cells"]], on=list(FILE), suffixes=("", "_aside"))
    between = between[(between["line_aside"] > between["line"]) & (between["line_aside"] < between["own_line"])]
    cells = between["cells"].map(json.loads).explode().astype("str").fillna("")
    made = between.loc[cells.index].assign(name=bare(cells), site=site_of(cells), is_id=False, is_placed=False)
    return made[made["name"] != ""]
