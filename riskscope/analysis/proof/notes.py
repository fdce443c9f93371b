"""What people decided and said of a connection: work put off, who was told, how it was made safe."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import NO_DAY, Bools, Ints, dates, days, floats, is_any, positions, take, texts
from riskscope.analysis.frames import table as get_table
from riskscope.schema.names import names_nothing
from riskscope.units import Floats, edge

YEAR_DAYS = 366
LIMITED = "load limited"
LOCKED = "switched off and locked"
LIFTED = "lifted"


def deferrals(tables: Mapping[str, pd.DataFrame]) -> pd.DataFrame:
    """Every deferral there is, those written in findings too.

    Returns
    -------
    DataFrame
        ``connection_id decided_on deferred_by until reason withdrawn``, in order of the day decided, of one day what a
        finding says first: it can be ended that day.
    """
    rows, findings = get_table(tables, "deferrals"), get_table(tables, "findings")
    said = findings[texts(findings, "deferred_until").notna().to_numpy()]
    own = pd.DataFrame(
        {
            "connection_id": rows["connection_id"],
            "decided_on": rows["decided_on"],
            **{name: texts(rows, name) for name in ("deferred_by", "until", "reason", "withdrawn")},
        }
    )
    if len(said):
        in_findings = pd.DataFrame(
            {
                "connection_id": said["connection_id"],
                "decided_on": said["work_date"],
                "deferred_by": texts(said, "deferred_by"),
                "until": said["deferred_until"],
                "reason": texts(said, "comment").mask(names_nothing(texts(said, "comment"))),
            }
        )
        own = pd.concat([in_findings, own], ignore_index=True) if len(own) else in_findings.assign(withdrawn=np.nan)
    return own.sort_values("decided_on", kind="stable", ignore_index=True)


def put_off(
    tables: Mapping[str, pd.DataFrame], ids: pd.Series, since: Ints, begun: Ints, last_work: Ints, today: int
) -> dict[str, object]:
    """The last deferral of each connection; of the past is one decided before the last work or run out by its finding.

    Parameters
    ----------
    since : ndarray of int
        Day of the reading it stands on.
    begun : ndarray of int
        Day since which the finding is open: that it was read again ends no deferral.
    last_work : ndarray of int

    Returns
    -------
    dict of str to array
        ``deferred_by deferred_until deferral_reason``; ``is_put_off`` (complete, not run out, decided since the
        finding) and ``put_off_on``, ``is_put_off_before`` (the same, decided before it: nobody knew), ``is_run_out``,
        ``is_put_off_long`` (for more than a year), ``is_put_off_again`` (not for the first time since the finding).
    """
    rows = deferrals(tables)
    code, day = positions(ids, rows["connection_id"]), days(rows["decided_on"])
    counts = (code >= 0) & (day <= today) & (day >= last_work[code])
    counts &= np.maximum(day, days(rows["until"])) >= begun[code]
    rows, code, day = rows[counts].reset_index(drop=True), code[counts], day[counts]
    at = np.full(len(ids), -1, dtype=np.int64)
    at[code] = np.arange(len(code))  # in order of the day: the last stays
    ended = (take(texts(rows, "withdrawn"), at) == "yes").to_numpy(dtype=bool)
    at = np.where(ended, -1, at)
    columns = {name: take(texts(rows, name), at) for name in ("deferred_by", "until", "reason")}
    until = days(columns["until"])
    complete = columns["deferred_by"].notna().to_numpy() & columns["reason"].notna().to_numpy()
    again = np.bincount(code[day >= since[code]], minlength=len(ids)) > 1
    decided = days(take(texts(rows, "decided_on"), at))
    live = (at >= 0) & (until >= today) & complete
    knew = decided >= since
    return {
        "deferred_by": columns["deferred_by"],
        "deferred_until": dates(until),
        "deferral_reason": columns["reason"],
        "put_off_on": decided,
        "is_put_off": live & knew,
        "is_put_off_before": live & ~knew,
        "is_run_out": (at >= 0) & (until < today),
        "is_put_off_long": live & (until - np.where(decided == NO_DAY, until, decided) > YEAR_DAYS),
        "is_put_off_again": live & again,
    }


def told(
    tables: Mapping[str, pd.DataFrame], ids: pd.Series, since: Ints, current_a: Floats, today: int
) -> dict[str, object]:
    """Who was told of each connection since its reading, and how it was made safe since.

    Parameters
    ----------
    current_a : ndarray
        Current each connection was read at: a limit that is not known to be below it makes nothing safe.

    Returns
    -------
    dict of str to array
        ``told told_on told_by`` of the latest notice; ``made_safe limited_to_a made_safe_on made_safe_by`` of the
        latest that says so, or ``lifted_on lifted_by`` where that is the latest (of one day it counts as the last; it
        lifts what was made safe before);
        ``told_before_on`` (the last notice, of an earlier reading) and ``made_safe_before`` (how one before the
        reading, or before a limit, made it safe, not lifted since), ``is_told``, ``is_made_safe``,
        ``is_limit_too_high``, ``is_limit_unsaid`` (said to be limited, to what is not), ``is_lifted_same_day`` (as it
        was made safe).
    """
    rows = get_table(tables, "notices")
    rows = rows.assign(lifted=is_any(rows, "made_safe", (LIFTED,)))
    rows = rows.sort_values(["told_on", "lifted"], kind="stable", ignore_index=True) if len(rows) else rows
    code, day = positions(ids, rows["connection_id"]), days(rows["told_on"])
    counts = (code >= 0) & (day <= today) & (day >= since[code])
    safe = counts & texts(rows, "made_safe").notna().to_numpy()
    safe &= (texts(rows, "made_safe") != LIMITED).to_numpy(dtype=bool) | ~np.isnan(floats(rows, "limited_to_a"))
    last, last_safe = (_last(len(ids), code, mask) for mask in (counts, safe))
    lifted = np.append(rows["lifted"].to_numpy(dtype=bool), False)[last_safe]
    last_lifted, last_safe = np.where(lifted, last_safe, -1), np.where(lifted, -1, last_safe)
    made_safe = (code >= 0) & (day <= today) & ~rows["lifted"].to_numpy(dtype=bool)
    made_safe &= texts(rows, "made_safe").notna().to_numpy()
    last_lifted = np.where(_last(len(ids), code, made_safe) >= 0, last_lifted, -1)
    unsaid = counts & is_any(rows, "made_safe", (LIMITED,)) & np.isnan(floats(rows, "limited_to_a"))
    safe_day, lifted_day = (np.append(day, NO_DAY)[at] for at in (_last(len(ids), code, safe & made_safe), last_lifted))
    limit = take(texts(rows, "limited_to_a"), last_safe).to_numpy(dtype=float)
    limit = np.where((take(texts(rows, "made_safe"), last_safe) == LIMITED).to_numpy(dtype=bool), limit, np.nan)
    with np.errstate(invalid="ignore"):
        too_high = ~np.isnan(limit) & ~(edge(limit) < edge(current_a))
    earlier = _last(len(ids), code, (code >= 0) & (day <= today) & (day < since[code]))
    earlier = np.where(last >= 0, -1, earlier)
    safe_before = _last(len(ids), code, made_safe & (day < since[code]))
    lifted_last = _last(len(ids), code, (code >= 0) & (day <= today) & rows["lifted"].to_numpy(dtype=bool))
    locked = _last(len(ids), code, counts & is_any(rows, "made_safe", (LOCKED,)))
    kept = (locked > lifted_last) & (locked < last_safe) & ~np.isnan(limit)  # a limit does not say that it was unlocked
    ended = (lifted_last > safe_before) | (last_safe >= 0)
    safe_before, ended = np.where(kept, locked, safe_before), ended & ~kept
    return {
        "told": take(texts(rows, "told"), last),
        "told_on": dates(days(take(texts(rows, "told_on"), last))),
        "told_by": take(texts(rows, "by"), last),
        "made_safe": take(texts(rows, "made_safe"), np.where(too_high, -1, last_safe)),
        "limited_to_a": limit,
        "made_safe_on": dates(days(take(texts(rows, "told_on"), last_safe))),
        "made_safe_by": take(texts(rows, "by"), last_safe),
        "is_told": last >= 0,
        "lifted_on": dates(days(take(texts(rows, "told_on"), last_lifted))),
        "lifted_by": take(texts(rows, "by"), last_lifted),
        "made_safe_before": take(texts(rows, "made_safe"), np.where(ended, -1, safe_before)),
        "told_before_on": dates(days(take(texts(rows, "told_on"), earlier))),
        "is_made_safe": (last_safe >= 0) & ~too_high,
        "is_limit_too_high": too_high,
        "is_limit_unsaid": (_last(len(ids), code, unsaid) >= 0) & (last_safe < 0) & (last_lifted < 0),
        "is_lifted_same_day": (last_lifted >= 0) & (safe_day == lifted_day),
    }


def _last(count: int, code: Ints, mask: Bools) -> Ints:
    """The last of some rows of each connection; −1 where there is none."""
    at = np.full(count, -1, dtype=np.int64)
    at[code[mask]] = np.flatnonzero(mask)
    return at
