"""The torque a fastener requires: by its record, an earlier record, or the published table."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
import pandas as pd

from riskscope.analysis.frames import NO_DAY, Bools, Ints, floats, is_any, latest, take, texts
from riskscope.settings import Settings
from riskscope.standards import torque as standard_torque
from riskscope.units import Floats, edge

OF_FINDING = "of finding"  # a tightening that a finding says
ONLY_ASKS = "only asks"  # a finding that says what is required, and no torque the joint was left at
UNREAD = "required unread"  # of a finding: what it says is required, as it could not be read
SOURCE_UNREAD = "source unread"  # and where that is from
OTHER = "another record of it"
MAKERS = ("label", "manual")  # sources of a required torque that are the maker's


@dataclass(frozen=True)
class Required:
    """What each fastener requires, and where it comes from.

    Attributes
    ----------
    low, high : ndarray
        Ends of the required torque, NaN where it is not known. [N·m]
    published : ndarray
        What the published table says of such a fastener, NaN where it does not. [N·m]
    by_table, borrowed, makers : ndarray of bool
        Whether it comes from that table, or from an earlier record of the connection; whether it is the maker's.
    differs : ndarray of bool
        Whether the earlier records it comes from, of one day, require different torques.
    """

    low: Floats
    high: Floats
    published: Floats
    by_table: Bools
    borrowed: Bools
    makers: Bools
    differs: Bools


class Before(NamedTuple):
    """What earlier records require, the largest where those of one day differ: `Required` of them."""

    low: Floats
    high: Floats
    makers: Bools
    differs: Bools


def required_of(all_rows: pd.DataFrame, rows: pd.DataFrame, renewed: Ints, settings: Settings) -> Required:
    """What each row requires: as it says itself, else an earlier record, else the published table.

    Parameters
    ----------
    renewed : ndarray of int
        Day each connection's joint or device was last replaced. [days since 1970]
    """
    own_low, own_high = floats(rows, "required_low_nm"), floats(rows, "required_high_nm")
    earlier = required_before(all_rows, rows, renewed, settings)
    borrowed = np.isnan(own_low) & ~np.isnan(earlier.low)
    low = np.where(np.isnan(own_low), earlier.low, own_low)
    high = np.where(np.isnan(own_high), earlier.high, own_high)
    published, fallback = published_torque(rows)
    by_table = np.isnan(low) & fallback
    return Required(
        np.where(by_table, published, low),
        np.where(by_table, published, high),
        published,
        by_table,
        borrowed,
        np.where(borrowed, earlier.makers, is_any(rows, "required_source", MAKERS)),
        borrowed & earlier.differs,
    )


def tolerance_of(rows: pd.DataFrame, settings: Settings) -> Floats:
    """Of each row, as a part of its required torque."""
    percent = floats(rows, "tolerance_pct")
    return np.where(np.isnan(percent), settings.tolerance_pct, percent) / 100.0


def required_before(all_rows: pd.DataFrame, rows: pd.DataFrame, renewed: Ints, settings: Settings) -> Before:
    """Required torque of the connection's latest day up to a row with a record that has one, for rows without.

    Where that record requires less than another, what stands then is borrowed; see `another`.
    """
    lacking = np.isnan(floats(rows, "required_low_nm"))
    none, no = np.full(len(rows), np.nan), np.zeros(len(rows), dtype=bool)
    made = Before(none, none.copy(), no, no.copy())
    known = all_rows[~np.isnan(floats(all_rows, "required_low_nm"))]
    if not lacking.any() or not len(known):
        return made
    wanted = pd.DataFrame(
        {
            "at": np.flatnonzero(lacking),
            "code": rows["code"].to_numpy()[lacking],
            "day": rows["day"].to_numpy()[lacking],
        }
    )
    ends = {"low": "required_low_nm", "high": "required_high_nm"}
    of_them = known["code"].isin(wanted["code"]).to_numpy()
    known = _as_it_stands(known[of_them].reset_index(drop=True), renewed, settings)
    of_day = (
        known.groupby(["code", "day"], as_index=False)
        .agg(
            **{end: (column, "max") for end, column in ends.items()},
            **{f"least_{end}": (column, "min") for end, column in ends.items()},
            makers=("makers", "min"),
        )
        .sort_values("day", kind="stable")
    )
    wanted = wanted.sort_values("day", kind="stable")
    earlier = pd.merge_asof(wanted, of_day, on="day", by="code")
    at = earlier["at"].to_numpy()
    made.low[at], made.high[at], made.makers[at] = earlier["low"], earlier["high"], earlier["makers"] == 1
    made.differs[at] = (earlier["low"] > earlier["least_low"]) | (earlier["high"] > earlier["least_high"])
    made.differs[at] |= _beyond_makers(earlier, wanted, known, renewed, settings)
    return made


def _beyond_makers(
    earlier: pd.DataFrame, wanted: pd.DataFrame, known: pd.DataFrame, renewed: Ints, settings: Settings
) -> Bools:
    """Where what is borrowed is more than the last maker's value up to it."""
    theirs = known[_perhaps_makers(known) & (known["day"].to_numpy() >= renewed[known["code"]])]
    if not len(theirs):
        return np.zeros(len(earlier), dtype=bool)
    of_day = theirs.groupby(["code", "day"], as_index=False)["required_high_nm"].max()
    of_day = of_day.sort_values("day", kind="stable")
    most = pd.merge_asof(wanted, of_day, on="day", by="code")["required_high_nm"].to_numpy()
    with np.errstate(invalid="ignore"):
        return edge(floats(earlier, "low")) > edge(most * (1 + settings.tolerance_pct / 100.0))


def _perhaps_makers(rows: pd.DataFrame) -> Bools:
    """Rows of which the required torque is the maker's, or from where cannot be read."""
    return is_any(rows, "required_source", MAKERS) | texts(rows, SOURCE_UNREAD).notna().to_numpy()


def _as_it_stands(known: pd.DataFrame, renewed: Ints, settings: Settings) -> pd.DataFrame:
    """Records that require a torque, those that require less than one before them with what that requires."""
    makers, none = is_any(known, "required_source", MAKERS), np.zeros(len(known), dtype=bool)
    low, high = (floats(known, f"required_{end}_nm") for end in ("low", "high"))
    own = Required(low, high, np.full(len(known), np.nan), none, none, makers, none)
    _, stands = another(known, known, own, renewed, tolerance_of(known, settings))
    return known.assign(required_low_nm=stands.low, required_high_nm=stands.high, makers=makers.astype(float))


def another(
    all_rows: pd.DataFrame, rows: pd.DataFrame, required: Required, renewed: Ints, tolerance: Floats
) -> tuple[Bools, Required]:
    """Rows that require less than an earlier record asks, and were not tightened to that, and what that one requires.

    It may be a slip of the pen: the larger torque is what is required until somebody says better.
    A maker's value stands against another one that is not; a new device or joint has a value of its own. Before what
    a finding says is required comes what a torque record of that day does. Who looked at a joint and wrote down what it
    requires, and no torque, says it of the work before as well.

    Parameters
    ----------
    required : Required
        Of the rows.
    renewed : ndarray of int
        Day each connection's joint or device was last replaced. [days since 1970]
    tolerance : ndarray
        Of each row, as a part of the required torque.

    Returns
    -------
    ndarray of bool
    Required
        That of the rows, in these the largest of another record.
    """
    lower = np.zeros(len(rows), dtype=bool)
    most = np.full(len(renewed), -np.inf)
    np.fmax.at(most, all_rows["code"].to_numpy(), floats(all_rows, "required_low_nm"))
    with np.errstate(invalid="ignore"):
        again = np.flatnonzero(required.low < most[rows["code"]])
    if not len(again):
        return lower, required
    own = pd.DataFrame(
        {
            "at": again,
            "code": rows["code"].to_numpy()[again],
            "day": rows["day"].to_numpy()[again],
            "own": edge(required.low[again]),
            "applied": edge(floats(rows, "applied_nm")[again]),
            "tolerance": tolerance[again],
            "makers": required.makers[again],
            "of_finding": is_any(rows, OF_FINDING, ("yes",))[again],
        }
    )
    before = pd.DataFrame(
        {
            "code": all_rows["code"],
            "day_before": all_rows["day"],
            "least": floats(all_rows, "required_low_nm"),
            "most": floats(all_rows, "required_high_nm"),
            "makers_before": _perhaps_makers(all_rows),
            "of_record": ~is_any(all_rows, OF_FINDING, ("yes",)),
            "only_asks": is_any(all_rows, ONLY_ASKS, ("yes",)),
        }
    )
    both = own.merge(before, on="code")
    with np.errstate(invalid="ignore"):
        least = edge((both["least"] * (1 - both["tolerance"])).to_numpy())
        less = (both["own"] < least) & ~(both["applied"] >= least)
    that_day = (both["day_before"] == both["day"]) & both["of_finding"] & both["of_record"]
    counts = (both["day_before"] < both["day"]) | that_day | both["only_asks"]
    counts &= both["day_before"] >= renewed[both["code"]]
    stands = both[less & counts & (both["makers_before"] | ~both["makers"])].sort_values("least", kind="stable")
    lower[stands["at"]] = True
    low, high, borrowed = required.low.copy(), required.high.copy(), required.borrowed | lower
    low[stands["at"]], high[stands["at"]] = stands["least"], stands["most"]
    return lower, replace(required, low=low, high=high, borrowed=borrowed, by_table=required.by_table & ~lower)


def unread_since(all_rows: pd.DataFrame, rows: pd.DataFrame, renewed: Ints) -> Bools:
    """Rows of connections of which a record requires a torque that could not be read, and none of that day or later the
    maker's.

    Parameters
    ----------
    renewed : ndarray of int
        Day each connection's joint or device was last replaced. [days since 1970]
    """
    unread = texts(all_rows, UNREAD).notna().to_numpy()
    if not unread.any():
        return np.zeros(len(rows), dtype=bool)
    makers = is_any(all_rows, "required_source", MAKERS) & ~np.isnan(floats(all_rows, "required_low_nm"))
    code, day = all_rows["code"].to_numpy(), all_rows["day"].to_numpy()
    last, answered = (latest(len(renewed), code[mask], day[mask]) for mask in (unread, makers))
    return ((last != NO_DAY) & (last >= renewed) & (last > answered))[rows["code"]]


def published_torque(rows: pd.DataFrame) -> tuple[Floats, Bools]:
    """Published torque for each fastener, where its description settles on one printed row."""
    torque, fallback = np.full(len(rows), np.nan), np.zeros(len(rows), dtype=bool)
    described = texts(rows, "fastener").notna().to_numpy()
    if not described.any():
        return torque, fallback
    columns = ["fastener", "drive_size", "thread", "conductor_size"]
    some = rows[described].reindex(columns=columns).astype("str").fillna("")
    distinct = some.drop_duplicates()
    printed = [standard_torque.find(*map(str, row)) for row in distinct.itertuples(index=False)]
    key = pd.MultiIndex.from_frame(distinct).get_indexer(pd.MultiIndex.from_frame(some))
    values = np.array([row.torque_nm if row else np.nan for row in printed])
    stated = np.array([bool(row and row.fallback) for row in printed])
    torque[described], fallback[described] = values[key], stated[key]
    return torque, fallback


def required_torque(
    worst: pd.DataFrame, at: Ints, rows: pd.DataFrame, ids: pd.Index, renewed: Ints, settings: Settings
) -> tuple[Floats, Floats, pd.Series]:
    """Required torque of each connection and where it comes from, record or not."""
    count = len(ids)
    low, high = np.full(count, np.nan), np.full(count, np.nan)
    source = np.full(count, "", dtype=object)
    code = worst["code"].to_numpy()
    low[code], high[code] = worst["low"], worst["high"]
    stated = take(texts(rows, "required_source"), at)
    source[code] = "record"
    for name, words in (
        ("label", "record, equipment label"),
        ("manual", "record, maker's manual"),
        ("table", "record, published table"),
    ):
        source[(stated == name).to_numpy(dtype=bool, na_value=False)] = words
    by_table = worst["by_table"].to_numpy(dtype=bool)
    source[code[by_table]] = "published table"
    source[code[worst["borrowed"].to_numpy(dtype=bool)]] = OTHER
    rest = pd.DataFrame({"code": np.flatnonzero(np.isnan(low))})
    rest = rest.assign(required_low_nm=np.nan, day=np.iinfo(np.int64).max)
    low[rest["code"]], high[rest["code"]], *_ = required_before(rows, rest, renewed, settings)
    source[np.isnan(low)] = ""
    known = rest["code"].to_numpy()
    known = known[~np.isnan(low[known])]
    source[known] = OTHER
    return low, high, pd.Series(source, dtype="str").where(source != "")
