"""The torque record of each connection: its state, all reasons for it, and the work since."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import (
    NO_DAY,
    Bools,
    Ints,
    bit_names,
    dates,
    days,
    filled,
    floats,
    is_any,
    kept,
    named,
    take,
    texts,
    with_columns,
)
from riskscope.analysis.frames import table as get_table
from riskscope.schema.results import STATE_REASONS
from riskscope.settings import Settings
from riskscope.standards import torque as standard_torque
from riskscope.units import Floats, edge

READS = ("connection_id", "survey_date", "survey_time", "surveyed")
WRITES = ("install_state", "install_reasons", "required_nm", "required_high_nm", "required_low_nm",
          "required_from", "applied_nm", "record_date", "record_tool", "last_work_date",
          "worked_after", "worked_same_day", "found_damaged", "found_tight_since",
          "found_loose", "remade_last")  # fmt: skip
WORK = ("tightened", "remade", "replaced")
REMADE = ("remade", "replaced")
# Ratios of applied to required that a mix-up of units makes: lbf·in for lbf·ft, lbf·in for N·m,
# N·m for kgf·m, ozf·in for lbf·in, and their inverses.
UNIT_RATIOS = (12.0, 8.851, 9.807, 16.0)
FT_FOR_NM = 1.3558
BIT = {reason: 1 << number for number, reason in enumerate(STATE_REASONS)}
# State of one fastener's record, worst first.
UNRECORDED, MIXED_UP, UNDER, OVER, DOUBTFUL, VERIFIED = range(6)
STATE_OF_RANK = ("unrecorded", "doubtful", "under-torqued", "over-torqued", "doubtful", "verified")
LOOSE_SAME_DAY = "found loose on the day of the work, order unknown"
DOUBTS = ("tool not recorded", "tool not in the tool list", "no calibration covering that day",
          "tool later found out of tolerance", "outside the tool's range",
          "required torque unknown", "required torque unlike the published table",
          "witness mark broken")  # fmt: skip


def records(
    connections: pd.DataFrame, tables: Mapping[str, pd.DataFrame], settings: Settings, on: dt.date
) -> dict[str, object]:
    """State of the record that counts: the latest tightening up to the survey.

    A tightening is an `installs` row, or a finding with a torque it was left at. Several rows of
    one connection and day are its fasteners: the worst counts.

    Reads
        `READS`; of `installs`, `findings` and `tools` every column.
    Writes
        `WRITES`
    """
    ids = pd.Index(connections["connection_id"])
    today = int(np.datetime64(on, "D").astype(np.int64))
    until = np.where(connections["surveyed"], days(connections["survey_date"]), today)
    clock = floats(connections, "survey_time")
    tightenings = _tightenings(tables, ids, today)
    last = _last_work(tables, tightenings, ids, today)
    worst = _judge(tightenings, _selected(tightenings, until, clock), tables, settings)
    count = len(connections)
    rank = np.full(count, UNRECORDED)
    reasons = np.full(count, BIT["no tightening on record"])
    at = np.full(count, -1, dtype=np.int64)
    code = worst["code"].to_numpy()
    rank[code], reasons[code], at[code] = worst["rank"], worst["reasons"], worst["row"]
    record_day = np.full(count, NO_DAY)
    record_day[code] = worst["day"]
    up_to = _not_after(last.day, last.time, until, clock)
    before = _not_after(last.all_day, last.all_time, until[last.all_code], clock[last.all_code])
    day_before = np.full(count, NO_DAY)
    np.maximum.at(day_before, last.all_code[before], last.all_day[before])
    untold = (day_before > record_day) & (day_before != NO_DAY)
    rank = np.where(untold, UNRECORDED, rank)
    reasons = np.where(untold, BIT["worked on since without a torque record"], reasons)
    loose = last.found_loose
    reasons = np.where(loose, reasons | BIT["found loose since the last work"], reasons)
    either = last.loose_same_day & ~loose
    reasons = np.where(either, reasons | BIT[LOOSE_SAME_DAY], reasons)
    rank = np.where(either & (rank == VERIFIED), DOUBTFUL, rank)
    state = named((*STATE_OF_RANK, "found loose"), np.where(loose, len(STATE_OF_RANK), rank))
    low, high, source = _required(worst, at, tightenings, tables, ids)
    surveyed = connections["surveyed"].to_numpy()
    after = surveyed & (last.day != NO_DAY) & ~up_to
    same_day = surveyed & (last.day == until) & (np.isnan(last.time) | np.isnan(clock))
    return {
        "install_state": state,
        "install_reasons": bit_names(reasons, STATE_REASONS),
        "required_nm": (low + high) / 2,
        "required_low_nm": low,
        "required_high_nm": high,
        "required_from": source,
        "applied_nm": take(texts(tightenings, "applied_nm"), at).to_numpy(dtype=float),
        "record_date": dates(record_day),
        "record_tool": take(texts(tightenings, "tool_id"), at),
        "last_work_date": dates(last.day),
        "worked_after": after,
        "worked_same_day": same_day & ~after,
        "found_damaged": last.damaged,
        "found_tight_since": last.found_tight & ~loose,
        "found_loose": loose,
        "remade_last": last.remade,
    }


def _not_after(day: Ints, time: Floats, until: Ints, clock: Floats) -> Bools:
    """Whether a moment is not after another; on one day with a time unknown it is not."""
    known = ~np.isnan(time) & ~np.isnan(clock)
    return (day < until) | ((day == until) & (~known | (time <= clock)))


def _tightenings(tables: Mapping[str, pd.DataFrame], ids: pd.Index, today: int) -> pd.DataFrame:
    """Every tightening up to today: installs rows, and findings with a torque they were left at."""
    installs, findings = get_table(tables, "installs"), get_table(tables, "findings")
    left = findings[~np.isnan(floats(findings, "as_left_nm"))]
    columns = ["connection_id", "work_date", "work_time", "required_low_nm", "required_high_nm",
               "applied_nm", "required_source", "tool_id", "method", "fastener", "drive_size",
               "thread", "conductor_size", "tolerance_pct", "witness_mark"]  # fmt: skip
    rows = installs[[name for name in columns if name in installs]]
    if len(left):
        found = pd.DataFrame(
            {
                "connection_id": left["connection_id"],
                "work_date": left["work_date"],
                "work_time": texts(left, "work_time"),
                "applied_nm": left["as_left_nm"],
                "tool_id": texts(left, "tool_id"),
            }
        )
        rows = pd.concat([rows, found.dropna(axis=1, how="all")], ignore_index=True)
    code = ids.get_indexer(pd.Index(rows["connection_id"]))
    rows = with_columns(rows, {"code": code, "day": days(rows["work_date"])})
    return kept(rows, (rows["day"] <= today).to_numpy())


def _selected(rows: pd.DataFrame, until: Ints, clock: Floats) -> Ints:
    """Positions of the rows of each connection's latest day up to its survey."""
    code, day = rows["code"].to_numpy(), rows["day"].to_numpy()
    before = _not_after(day, floats(rows, "work_time"), until[code], clock[code])
    latest = np.full(len(until), NO_DAY)
    np.maximum.at(latest, code[before], day[before])
    return np.flatnonzero(before & (day == latest[code]))


def _judge(
    all_rows: pd.DataFrame, selected: Ints, tables: Mapping[str, pd.DataFrame], settings: Settings
) -> pd.DataFrame:
    """The worst record of each connection: ``code rank reasons row day`` and what was required."""
    rows = all_rows if len(selected) == len(all_rows) else all_rows.iloc[selected].reset_index(drop=True)
    low, high = floats(rows, "required_low_nm"), floats(rows, "required_high_nm")
    earlier_low, earlier_high = _required_before(all_rows, rows)
    borrowed = np.isnan(low) & ~np.isnan(earlier_low)
    low, high = (np.where(np.isnan(low), earlier_low, low), np.where(np.isnan(high), earlier_high, high))
    published, fallback = _published(rows)
    by_table = np.isnan(low) & fallback
    low, high = np.where(by_table, published, low), np.where(by_table, published, high)
    applied = floats(rows, "applied_nm")
    reasons = np.zeros(len(rows), dtype=np.int64)

    def note(reason: str, mask: Bools) -> Bools:
        nonlocal reasons
        reasons = reasons | np.where(mask, BIT[reason], 0)
        return mask

    shear = is_any(rows, "method", ("shear head",))
    by_feel = note("tightened by feel", is_any(rows, "method", ("by feel",)))
    no_value = note("no torque value", np.isnan(applied) & ~shear & ~by_feel)
    unrecorded = by_feel | no_value
    judged = ~unrecorded & ~np.isnan(applied)
    nearest = np.clip(applied, low, high)
    ratio = applied / nearest
    mixed = note("likely unit mix-up", judged & _unit_mixup(ratio, settings))
    tolerance = floats(rows, "tolerance_pct")
    tolerance = np.where(np.isnan(tolerance), settings.tolerance_pct, tolerance) / 100.0
    under = judged & (edge(applied) < edge(low * (1 - tolerance)))
    over = judged & (edge(applied) > edge(high * (1 + tolerance)))
    note("below required", under)
    note("above required", over)
    foot = np.minimum(np.abs(ratio / FT_FOR_NM - 1), np.abs(ratio * FT_FOR_NM - 1))
    note("lbf·ft for N·m?", (under | over) & ~mixed & (edge(foot) <= 0.03))
    for reason, mask in _doubts(rows, low, high, published, judged, judged & ~shear, tables, settings).items():
        note(reason, mask)
    doubtful = (reasons & sum(BIT[reason] for reason in DOUBTS)) > 0
    rank = np.select(
        [unrecorded, mixed, under, over, doubtful], [UNRECORDED, MIXED_UP, UNDER, OVER, DOUBTFUL], VERIFIED
    )
    frame = pd.DataFrame(
        {
            "code": rows["code"],
            "rank": rank,
            "reasons": reasons,
            "row": selected,
            "day": rows["day"],
            "low": low,
            "high": high,
            "by_table": by_table,
            "borrowed": borrowed,
        }
    )
    if not len(frame):
        return frame
    if not frame["code"].duplicated().any():
        return frame
    frame = frame.sort_values(["code", "rank", "row"], ignore_index=True)
    begins = np.flatnonzero(~frame["code"].duplicated().to_numpy())
    worst = frame.iloc[begins].reset_index(drop=True)
    return worst.assign(reasons=np.bitwise_or.reduceat(frame["reasons"].to_numpy(), begins))


def _unit_mixup(ratio: Floats, settings: Settings) -> Bools:
    near = np.zeros(len(ratio), dtype=bool)
    slack = settings.unit_mixup_pct / 100.0
    for factor in UNIT_RATIOS:
        for candidate in (factor, 1 / factor):
            near |= edge(np.abs(ratio / candidate - 1)) <= edge(slack)
    return near


def _required_before(all_rows: pd.DataFrame, rows: pd.DataFrame) -> tuple[Floats, Floats]:
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
    found = pd.merge_asof(wanted.sort_values("day", kind="stable"), known, on="day", by="code")
    low[found["at"]], high[found["at"]] = found["required_low_nm"], found["required_high_nm"]
    return low, high


def _published(rows: pd.DataFrame) -> tuple[Floats, Bools]:
    """Published torque for each fastener, where its description settles on one printed row."""
    torque, fallback = np.full(len(rows), np.nan), np.zeros(len(rows), dtype=bool)
    described = texts(rows, "fastener").notna().to_numpy()
    if not described.any():
        return torque, fallback
    columns = ["fastener", "drive_size", "thread", "conductor_size"]
    some = rows[described].reindex(columns=columns).astype("str").fillna("")
    distinct = some.drop_duplicates()
    found = [standard_torque.find(*map(str, row)) for row in distinct.itertuples(index=False)]
    key = pd.MultiIndex.from_frame(distinct).get_indexer(pd.MultiIndex.from_frame(some))
    values = np.array([row.torque_nm if row else np.nan for row in found])
    stated = np.array([bool(row and row.fallback) for row in found])
    torque[described], fallback[described] = values[key], stated[key]
    return torque, fallback


def _doubts(
    rows: pd.DataFrame,
    low: Floats,
    high: Floats,
    published: Floats,
    judged: Bools,
    by_tool: Bools,
    tables: Mapping[str, pd.DataFrame],
    settings: Settings,
) -> dict[str, Bools]:
    """Why a record with a torque value may not be believed."""
    tools = get_table(tables, "tools")
    used = texts(rows, "tool_id").notna().to_numpy()
    listed = texts(rows, "tool_id").isin(tools["tool_id"]).to_numpy(dtype=bool) & used
    covered, smallest, largest, found_out = _calibration(rows, tools, settings)
    applied = floats(rows, "applied_nm")
    smallest = np.where(np.isnan(smallest), largest * settings.tool_range_low_pct / 100.0, smallest)
    outside = (edge(applied) < edge(smallest)) | (edge(applied) > edge(largest))
    middle = (low + high) / 2
    makers = is_any(rows, "required_source", ("label", "manual"))
    unlike = (edge(middle) < edge(settings.required_low_ratio * published)) | (
        edge(middle) > edge(settings.required_high_ratio * published)
    )
    return {
        "tool not recorded": by_tool & ~used,
        "tool not in the tool list": by_tool & used & ~listed,
        "no calibration covering that day": by_tool & listed & ~covered,
        "tool later found out of tolerance": by_tool & listed & found_out,
        "outside the tool's range": by_tool & listed & outside,
        "required torque unknown": judged & np.isnan(low),
        "required torque unlike the published table": judged & unlike & ~makers,
        "witness mark broken": is_any(rows, "witness_mark", ("broken",)),
    }


def _calibration(rows: pd.DataFrame, tools: pd.DataFrame, settings: Settings) -> tuple[Bools, Floats, Floats, Bools]:
    """For each record: a calibration covers its day; the tool's range; found out of tolerance."""
    count = len(rows)
    covered, found_out = np.zeros(count, dtype=bool), np.zeros(count, dtype=bool)
    smallest, largest = np.full(count, np.nan), np.full(count, np.nan)
    if not len(tools) or "tool_id" not in rows:
        return covered, smallest, largest, found_out
    day = rows["day"].to_numpy()
    calibrated = texts(tools, "calibrated_on")
    begin, bad = days(calibrated), days(texts(tools, "found_out_of_tolerance_on"))
    due = texts(tools, "calibration_due")
    if calibrated.dtype.kind == "M":
        due = filled(due, calibrated + pd.DateOffset(months=settings.calibration_months))
    end = days(due)
    range_min, range_max = floats(tools, "range_min_nm"), floats(tools, "range_max_nm")
    history_of = tools.groupby("tool_id", sort=False).indices
    for name, mine in rows.groupby("tool_id", sort=False).indices.items():
        history = history_of.get(name)
        if history is None:
            continue
        for one in history[begin[history] != NO_DAY]:
            covered[mine] |= (begin[one] <= day[mine]) & (day[mine] <= end[one])
        for one in history[bad[history] != NO_DAY]:
            good = begin[history][begin[history] < bad[one]]
            last_good = good.max() if len(good) else NO_DAY
            found_out[mine] |= (last_good < day[mine]) & (day[mine] <= bad[one])
        smallest[mine] = np.fmax.reduce(range_min[history])
        largest[mine] = np.fmin.reduce(range_max[history])
    return covered, smallest, largest, found_out


class _LastWork:
    """Of each connection the last work, and what was found since or not yet put right."""

    def __init__(self, count: int) -> None:
        self.day = np.full(count, NO_DAY)
        self.time = np.full(count, np.nan)
        self.found_loose = np.zeros(count, dtype=bool)
        self.found_tight = np.zeros(count, dtype=bool)
        self.damaged = np.zeros(count, dtype=bool)
        self.remade = np.zeros(count, dtype=bool)
        self.loose_same_day = np.zeros(count, dtype=bool)
        self.all_code = np.zeros(0, dtype=np.int64)
        self.all_day = np.zeros(0, dtype=np.int64)
        self.all_time = np.zeros(0)


def _last_work(tables: Mapping[str, pd.DataFrame], tightenings: pd.DataFrame, ids: pd.Index, today: int) -> _LastWork:
    findings = get_table(tables, "findings")
    last = _LastWork(len(ids))
    found_code = ids.get_indexer(pd.Index(findings["connection_id"]))
    found_day, found_time = days(findings["work_date"]), floats(findings, "work_time")
    past = found_day <= today
    worked = (is_any(findings, "action", WORK) | ~np.isnan(floats(findings, "as_left_nm"))) & past
    code = np.concatenate([tightenings["code"].to_numpy(), found_code[worked]])
    day = np.concatenate([tightenings["day"].to_numpy(), found_day[worked]])
    time = np.concatenate([floats(tightenings, "work_time"), found_time[worked]])
    last.all_code, last.all_day, last.all_time = code, day, time
    np.maximum.at(last.day, code, day)
    on_last = day == last.day[code]
    latest_time = np.full(len(ids), -1.0)
    np.maximum.at(latest_time, code[on_last], np.nan_to_num(time[on_last], nan=np.inf))
    last.time = np.where(np.isfinite(latest_time) & (latest_time >= 0), latest_time, np.nan)

    def since(mask: Bools) -> Bools:
        """Connections with such a finding later than their last work."""
        rows = np.flatnonzero(mask & past)
        at = found_code[rows]
        known = ~np.isnan(found_time[rows]) & ~np.isnan(last.time[at])
        later = (found_day[rows] > last.day[at]) | (
            (found_day[rows] == last.day[at]) & known & (found_time[rows] > last.time[at])
        )
        hits = np.zeros(len(ids), dtype=bool)
        hits[at[later]] = True
        return hits

    loose = is_any(findings, "as_found", ("loose",))
    last.found_loose = since(loose)
    left = np.flatnonzero(loose & past & ~worked & (found_day == last.day[found_code]))
    untimed = np.isnan(found_time[left]) | np.isnan(last.time[found_code[left]])
    last.loose_same_day[found_code[left[untimed]]] = True
    last.found_tight = since(is_any(findings, "as_found", ("tight",)))
    remade = is_any(findings, "action", REMADE) & past
    remade_day = np.full(len(ids), NO_DAY)
    np.maximum.at(remade_day, found_code[remade], found_day[remade])
    last.remade = (remade_day == last.day) & (last.day != NO_DAY)
    damaged = np.flatnonzero(is_any(findings, "as_found", ("damaged", "discoloured")) & past)
    at = found_code[damaged]
    last.damaged[at[found_day[damaged] > remade_day[at]]] = True
    return last


def _required(
    worst: pd.DataFrame, at: Ints, rows: pd.DataFrame, tables: Mapping[str, pd.DataFrame], ids: pd.Index
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
    low[rest["code"]], high[rest["code"]] = _required_before(rows, rest)
    source[np.isnan(low)] = ""
    known = rest["code"].to_numpy()
    known = known[~np.isnan(low[known])]
    source[known] = "another record of it"
    return low, high, pd.Series(source, dtype="str").where(source != "")
