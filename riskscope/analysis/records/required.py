"""The torque a fastener requires: by its record, an earlier record, or the published table."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from riskscope.analysis.frames import Bools, Ints, floats, take, texts
from riskscope.standards import torque as standard_torque
from riskscope.units import Floats


@dataclass(frozen=True)
class Required:
    """What each fastener requires, and where it comes from.

    Attributes
    ----------
    low, high : ndarray
        Ends of the required torque, NaN where it is not known. [N·m]
    published : ndarray
        What the published table says of such a fastener, NaN where it does not. [N·m]
    by_table, borrowed : ndarray of bool
        Whether it comes from that table, or from an earlier record of the connection.
    """

    low: Floats
    high: Floats
    published: Floats
    by_table: Bools
    borrowed: Bools


def required_of(all_rows: pd.DataFrame, rows: pd.DataFrame) -> Required:
    """What each row requires: as it says itself, else an earlier record, else the published table."""
    own_low, own_high = floats(rows, "required_low_nm"), floats(rows, "required_high_nm")
    earlier_low, earlier_high = required_before(all_rows, rows)
    borrowed = np.isnan(own_low) & ~np.isnan(earlier_low)
    low = np.where(np.isnan(own_low), earlier_low, own_low)
    high = np.where(np.isnan(own_high), earlier_high, own_high)
    published, fallback = published_torque(rows)
    by_table = np.isnan(low) & fallback
    return Required(
        np.where(by_table, published, low), np.where(by_table, published, high), published, by_table, borrowed
    )


def required_before(all_rows: pd.DataFrame, rows: pd.DataFrame) -> tuple[Floats, Floats]:
    """Required torque of the connection's latest earlier record that has one, for rows without."""
    lacking = np.isnan(floats(rows, "required_low_nm"))
    low, high = np.full(len(rows), np.nan), np.full(len(rows), np.nan)
    known = all_rows[~np.isnan(floats(all_rows, "required_low_nm"))]
    if not lacking.any() or not len(known):
        return low, high
    wanted = pd.DataFrame(
        {
            "at": np.flatnonzero(lacking),
            "code": rows["code"].to_numpy()[lacking],
            "day": rows["day"].to_numpy()[lacking],
        }
    )
    known = known[["code", "day", "required_low_nm", "required_high_nm"]].sort_values("day", kind="stable")
    earlier = pd.merge_asof(wanted.sort_values("day", kind="stable"), known, on="day", by="code")
    low[earlier["at"]], high[earlier["at"]] = earlier["required_low_nm"], earlier["required_high_nm"]
    return low, high


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
    worst: pd.DataFrame, at: Ints, rows: pd.DataFrame, ids: pd.Index
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
    source[code[worst["borrowed"].to_numpy(dtype=bool)]] = "an earlier record"
    rest = pd.DataFrame({"code": np.flatnonzero(np.isnan(low))})
    rest = rest.assign(required_low_nm=np.nan, day=np.iinfo(np.int64).max)
    low[rest["code"]], high[rest["code"]] = required_before(rows, rest)
    source[np.isnan(low)] = ""
    known = rest["code"].to_numpy()
    known = known[~np.isnan(low[known])]
    source[known] = "another record of it"
    return low, high, pd.Series(source, dtype="str").where(source != "")
