"""Who was at each connection, when, what was found and done; of findings that contradict each other the worse."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import Bools, Ints, codes, days, floats, is_any, kept, positions, texts, with_columns
from riskscope.analysis.frames import table as get_table
from riskscope.schema.codes import WORKS
from riskscope.schema.names import A_TOOL, NO_TOOL, bare, names_nothing

LOOKED, TIGHTENED, REMADE, REPLACED = range(4)  # what a visit did, the more the later
DONE = tuple(WORKS)  # in the order of TIGHTENED, REMADE, REPLACED
BAD = ("damaged", "discoloured", "loose", "moved at check")  # worst first
UNSEEN = "not checked"
CLASH = "contradictory"  # column of settled findings
PERHAPS = "perhaps did"  # of settled findings and visits: what is not believed, but may have been done
OF_DEVICE = "of_device"
FOUND = ("damaged", "loose", "bad")  # columns of visits


def settled(tables: Mapping[str, pd.DataFrame]) -> dict[str, pd.DataFrame]:
    """The tables, with findings of one connection and day that cannot all be true made as bad as the worst.

    Found loose and found tight, or worked on and nothing done: none of the work of that day is believed, and the
    joint is as badly found as the worst of them says. Findings with different times are in order and agree.

    Writes
        ``contradictory`` and `PERHAPS` (`LOOKED` where nothing was, or it is believed) of the findings.
    """
    findings = get_table(tables, "findings")
    clash = _clash(findings)
    if not clash.any():
        return {**tables, "findings": with_columns(findings, {CLASH: clash, PERHAPS: np.int8(LOOKED)})}
    key = _day_of(findings)
    as_found, action = texts(findings, "as_found"), texts(findings, "action")
    rank = as_found.map({name: n for n, name in enumerate((*BAD, "tight", UNSEEN))}).to_numpy(dtype=float)
    worst = pd.Series(np.where(clash, rank, np.inf)).groupby(key).transform("min").to_numpy()
    names = pd.Series([*BAD, "tight", UNSEEN], dtype="str")
    columns: dict[str, object] = {
        CLASH: clash,
        "as_found": as_found.where(~clash, names.iloc[np.where(clash, worst, 0).astype(int)].to_numpy()),
    }
    unbelieved = clash & _differ(findings, key)
    columns[PERHAPS] = np.where(unbelieved, _done(findings), LOOKED).astype(np.int8)
    columns["action"] = action.where(~unbelieved, "none")
    columns["as_left_nm"] = np.where(unbelieved, np.nan, floats(findings, "as_left_nm"))
    return {**tables, "findings": with_columns(findings, columns)}


def _is_named(tool_id: pd.Series, tables: Mapping[str, pd.DataFrame]) -> Bools:
    """Whether each says a tool or die: one of the tool list, or at least no word for none."""
    named = tool_id.notna().to_numpy(dtype=bool)
    if not named.any():
        return named
    listed = tool_id.isin(get_table(tables, "tools")["tool_id"]).to_numpy(dtype=bool)
    return named & (listed | ~names_nothing(bare(tool_id), NO_TOOL, A_TOOL))


def _day_of(findings: pd.DataFrame) -> Ints:
    return codes(findings["connection_id"], pd.Series(days(findings["work_date"])))


def _clash(findings: pd.DataFrame) -> Bools:
    """Findings of which another of the same connection and moment says the contrary."""
    if not len(findings):
        return np.zeros(0, dtype=bool)
    key = _day_of(findings)
    several = np.bincount(key)[key] > 1
    if not several.any():
        return np.zeros(len(findings), dtype=bool)
    time = pd.Series(floats(findings, "work_time"))
    untold = time.isna().groupby(key).transform("any").to_numpy()
    moment = codes(pd.Series(key), time.where(~pd.Series(untold)))
    loose, tight = is_any(findings, "as_found", BAD), is_any(findings, "as_found", ("tight",))
    return several & (_both(moment, loose, tight) | _differ(findings, moment))


def _differ(findings: pd.DataFrame, moment: Ints) -> Bools:
    """Findings of moments of which one says that work was done and one that it was looked at and left."""
    done = is_any(findings, "action", DONE) | _left_at(findings)
    left = ~done & ~is_any(findings, "as_found", (UNSEEN,))
    return _both(moment, done, left)


def _done(findings: pd.DataFrame) -> Ints:
    """What each finding says was done; a torque the joint was left at is work."""
    done = np.select([is_any(findings, "action", (name,)) for name in DONE], [TIGHTENED, REMADE, REPLACED], LOOKED)
    return np.where((done == LOOKED) & _left_at(findings), TIGHTENED, done)


def _left_at(findings: pd.DataFrame) -> Bools:
    """Findings with a torque the joint was left at, but for those that say that nothing was done."""
    return ~np.isnan(floats(findings, "as_left_nm")) & ~is_any(findings, "action", ("none",))


def _both(moment: Ints, first: Bools, second: Bools) -> Bools:
    """Rows of moments that have rows of either kind."""
    counts = np.bincount(moment, first), np.bincount(moment, second)
    return ((counts[0] > 0) & (counts[1] > 0))[moment]


def visits(tables: Mapping[str, pd.DataFrame], ids: pd.Series, on: dt.date) -> pd.DataFrame:
    """Every visit to a connection up to the day: tightenings of `installs`, and findings, settled before.

    Parameters
    ----------
    ids : Series of str
        The connections there are.

    Returns
    -------
    DataFrame
        ``code`` (place of the connection among the ids), ``day``, ``time`` [min after midnight], ``did`` (`LOOKED` to
        `REPLACED`), ``seen`` (worked on or looked at, not only put off), ``tool`` and ``torque`` (each is recorded; the
        die of a crimp is a tool), ``damaged``, ``loose`` (or moved at a check and left), ``bad`` (either), ``found``
        (how, if it is said), ``of_device`` (its device was replaced: no work on the joint itself), ``contradictory``,
        `PERHAPS`.
    """
    installs, findings = get_table(tables, "installs"), get_table(tables, "findings")
    done = _done(findings)
    parts = [
        pd.DataFrame(
            {
                "code": positions(ids, table["connection_id"]),
                "day": days(table["work_date"]),
                "time": floats(table, "work_time"),
                "did": np.broadcast_to(did, len(table)).astype(np.int8),
                "seen": seen,
                "tool": _is_named(texts(table, "tool_id"), tables),
                "found": texts(table, "as_found") if "as_found" in table else pd.Series(pd.NA, table.index, "category"),
                "torque": table_name == "installs" or ~np.isnan(floats(table, "as_left_nm")),
                OF_DEVICE: False,
                CLASH: clash,
                PERHAPS: np.broadcast_to(perhaps, len(table)).astype(np.int8),
            }
        )
        for table_name, table, did, seen, clash, perhaps in (
            ("installs", installs, TIGHTENED, True, False, LOOKED),
            (
                "findings",
                findings,
                done,
                ~is_any(findings, "as_found", (UNSEEN,)) | (done >= TIGHTENED),
                findings[CLASH].to_numpy(dtype=bool),
                findings[PERHAPS].to_numpy(),
            ),
        )
        if len(table)
    ]
    if not parts:
        kinds: dict[str, str] = {
            "code": "int64",
            "day": "int64",
            "time": "float64",
            "did": "int8",
            "found": "str",
            PERHAPS: "int8",
        }
        kinds |= dict.fromkeys(("seen", "tool", "torque", *FOUND, OF_DEVICE, CLASH), "bool")
        return pd.DataFrame({name: [] for name in kinds}).astype(kinds)
    rows = pd.concat(parts, ignore_index=True)
    today = int(np.datetime64(on, "D").astype(np.int64))
    rows = kept(rows, ((rows["day"] <= today) & (rows["code"] >= 0)).to_numpy())
    damaged, moved = is_any(rows, "found", BAD[:2]), is_any(rows, "found", ("moved at check",))
    loose = is_any(rows, "found", ("loose",)) | (moved & (rows["did"] < TIGHTENED).to_numpy())
    return with_columns(rows, dict(zip(FOUND, (damaged, loose, damaged | loose), strict=True)))
