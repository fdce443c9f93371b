"""Over time: trends since the last work, changes between two surveys, what work has cured."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import Ints, dates, days, floats, is_any, positions, take, texts
from riskscope.analysis.frames import table as get_table
from riskscope.physics.slopes import mann_kendall, theil_sen
from riskscope.settings import Settings
from riskscope.standards.severity import Criteria

DAYS_A_YEAR = 365.25
WORK = ("tightened", "remade", "replaced")
FEWEST_SURVEYS = 3


def works(tables: Mapping[str, pd.DataFrame], on: dt.date) -> pd.DataFrame:
    """Every piece of work on a connection, one a day: ``connection_id work_date what``.

    Reads
        of `installs` ``connection_id work_date``; of `findings` ``connection_id work_date action``.
    """
    installs, findings = get_table(tables, "installs"), get_table(tables, "findings")
    done = findings[is_any(findings, "action", WORK)]
    rows = pd.concat(
        [
            installs[["connection_id", "work_date"]].assign(what="tightened"),
            done[["connection_id", "work_date"]].assign(what=done["action"]),
        ],
        ignore_index=True,
    )
    rows = rows[(rows["work_date"] <= pd.Timestamp(on)).to_numpy()]
    rows = rows.sort_values(["connection_id", "work_date", "what"], kind="stable")
    return rows.drop_duplicates(["connection_id", "work_date"], keep="first").reset_index(drop=True)


def _series(readings: pd.DataFrame, work: pd.DataFrame) -> Ints:
    """How many pieces of work came before each reading, on its day included."""
    code, ids = pd.factorize(readings["connection_id"])
    done = positions(pd.Series(ids), work["connection_id"])
    known = done >= 0
    moment = np.concatenate([days(work["work_date"])[known], days(readings["survey_date"])])
    who = np.concatenate([done[known], code])
    is_reading = np.concatenate([np.zeros(known.sum(), dtype=bool), np.ones(len(code), dtype=bool)])
    order = np.lexsort((is_reading, moment, who))
    before = np.cumsum(~is_reading[order])
    starts = np.append(True, who[order][1:] != who[order][:-1])
    base = np.maximum.accumulate(np.where(starts, before - ~is_reading[order], 0))
    count = np.empty(len(order), dtype=np.int64)
    count[order] = before - base
    return count[is_reading]


def trends(readings: pd.DataFrame, work: pd.DataFrame, criteria: Criteria, on: dt.date) -> pd.DataFrame:
    """Trend of the full-load rise of each connection since its last work.

    The rise over similar where every reading of the series has one, else the rise over ambient.
    Fewer than three surveys give no slope. The next band is that above the severity of the last
    reading, by its rise at full load; the projected date is a range because the slope is one.

    Parameters
    ----------
    readings : DataFrame
        From `riskscope.assess_readings`: every reading that counts, of every survey.
    work : DataFrame
        From `works`.
    criteria : Criteria
    on : date

    Returns
    -------
    DataFrame
        One row a connection: ``connection_id basis surveys since first_date last_date last_rise_k
        slope_k_per_year slope_low_k_per_year slope_high_k_per_year p_value next_band_k
        next_band_earliest next_band_latest``.
    """
    frame = readings.assign(series=_series(readings, work), day=days(readings["survey_date"]))
    frame = frame[frame["load_fraction"].gt(0).to_numpy() & frame["ratable"].to_numpy(dtype=bool)]
    last = frame.groupby("connection_id")["series"].transform("max")
    frame = frame[(frame["series"] == last).to_numpy()].sort_values(["connection_id", "day"], kind="stable")
    similar = frame["rise_similar_full_k"].notna().groupby(frame["connection_id"]).transform("all")
    rise = np.where(similar, frame["rise_similar_full_k"], frame["rise_ambient_full_k"])
    frame = frame.assign(rise=rise, basis=np.where(similar, "similar", "ambient"))
    frame = frame[frame["rise"].notna()]
    code, ids = pd.factorize(frame["connection_id"])
    place = frame.groupby("connection_id", sort=False).cumcount().to_numpy()
    count = np.bincount(code, minlength=len(ids))
    width = int(count.max(initial=1))
    years = np.full((len(ids), width), np.nan)
    rises = np.full((len(ids), width), np.nan)
    years[code, place] = frame["day"] / DAYS_A_YEAR
    rises[code, place] = frame["rise"]
    slope, low, high = theil_sen(years, rises)
    _, p_value = mann_kendall(rises)
    enough = count >= FEWEST_SURVEYS
    final = frame.groupby("connection_id", sort=False).last()
    next_k = _next_band(final, criteria)
    ahead = next_k - final["rise"].to_numpy()
    today = int(np.datetime64(on, "D").astype(np.int64))
    begun = _last_work(pd.Series(ids), work)
    return pd.DataFrame(
        {
            "connection_id": ids,
            "basis": final["basis"].to_numpy(),
            "surveys": count,
            "since": begun,
            "first_date": frame.groupby("connection_id", sort=False)["survey_date"].first().to_numpy(),
            "last_date": final["survey_date"].to_numpy(),
            "last_rise_k": final["rise"].to_numpy(),
            "slope_k_per_year": np.where(enough, slope, np.nan),
            "slope_low_k_per_year": np.where(enough, low, np.nan),
            "slope_high_k_per_year": np.where(enough, high, np.nan),
            "p_value": np.where(enough, p_value, np.nan),
            "next_band_k": next_k,
            "next_band_earliest": _reached(final["day"].to_numpy(), ahead, np.where(enough, high, np.nan), today),
            "next_band_latest": _reached(final["day"].to_numpy(), ahead, np.where(enough, low, np.nan), today),
        }
    )


def _last_work(ids: pd.Series, work: pd.DataFrame) -> pd.Series:
    last = work.drop_duplicates("connection_id", keep="last")
    return take(last["work_date"], positions(last["connection_id"], ids))


def _next_band(final: pd.DataFrame, criteria: Criteria) -> np.ndarray:
    """Lower limit of the first band above each rise, by the basis of its series. [K]"""
    rise = floats(final, "rise")
    found = np.full(len(final), np.nan)
    for basis in ("similar", "ambient"):
        mine = (final["basis"] == basis).to_numpy()
        for band in reversed(criteria.of(basis)):
            found = np.where(mine & (rise < band.from_k), band.from_k, found)
    return found


def _reached(day: Ints, ahead_k: np.ndarray, slope: np.ndarray, today: int) -> pd.Series:
    """Day a rise that grows by `slope` a year has grown by `ahead_k`; none in a hundred years: none."""
    with np.errstate(divide="ignore", invalid="ignore"):
        wait = np.where(slope > 0, ahead_k / slope, np.inf) * DAYS_A_YEAR
    known = np.isfinite(wait) & (wait < 100 * DAYS_A_YEAR)
    reached = np.maximum(day + np.where(known, wait, 0.0).astype(np.int64), today)
    return dates(reached).where(known)


def work_effects(readings: pd.DataFrame, work: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """What each piece of work has done, by the last reading before it and the first after it.

    Cured: severity 2 or worse before, at most 1 after and no joint hot. Improved: still 2 or worse,
    but its full-load rise fell by more than the uncertainty of both. A reading on the day of the
    work counts for neither side. Work on a joint that was not rated 2 or worse is not listed.

    Returns
    -------
    DataFrame
        ``connection_id work_date what before_date before_severity before_rise_k after_date
        after_severity after_rise_k effect``.
    """
    rated = readings[readings["severity"].notna()].sort_values("survey_date", kind="stable")
    columns = ["connection_id", "survey_date", "severity", "rise_similar_full_k", "rise_ambient_full_k",
               "rise_low_k", "rise_high_k", "hot"]  # fmt: skip
    rated = rated[columns]
    ordered = work.sort_values("work_date", kind="stable")

    def nearest(direction: str, prefix: str) -> pd.DataFrame:
        found = pd.merge_asof(
            ordered,
            rated,
            left_on="work_date",
            right_on="survey_date",
            by="connection_id",
            direction=direction,
            allow_exact_matches=False,  # type: ignore[arg-type]
        )
        return found[columns[1:]].add_prefix(prefix)

    both = pd.concat([ordered.reset_index(drop=True), nearest("backward", "b_"), nearest("forward", "a_")], axis=1)
    both = both[(both["b_severity"] >= 2).to_numpy()].reset_index(drop=True)
    following = both.groupby("connection_id")["work_date"].shift(-1)
    unread = both["a_severity"].isna() | (following.notna() & (both["a_survey_date"] >= following))
    use_similar = both["b_rise_similar_full_k"].notna() & both["a_rise_similar_full_k"].notna()
    before = both["b_rise_similar_full_k"].where(use_similar, both["b_rise_ambient_full_k"])
    after = both["a_rise_similar_full_k"].where(use_similar, both["a_rise_ambient_full_k"])
    reach = np.hypot(both["b_rise_high_k"] - both["b_rise_low_k"], both["a_rise_high_k"] - both["a_rise_low_k"]) / 2
    cured = (both["a_severity"] <= 1) & ~both["a_hot"].fillna(False).astype(bool)
    improved = (before - after) > reach
    effect = np.select([unread, cured, improved], ["not re-surveyed", "cured", "improved"], "not cured")
    return pd.DataFrame(
        {
            "connection_id": both["connection_id"],
            "work_date": both["work_date"],
            "what": both["what"],
            "before_date": both["b_survey_date"],
            "before_severity": both["b_severity"],
            "before_rise_k": before,
            "after_date": both["a_survey_date"].where(~unread),
            "after_severity": both["a_severity"].where(~unread),
            "after_rise_k": after.where(~unread),
            "effect": pd.Series(effect, dtype="str"),
        }
    ).sort_values(["connection_id", "work_date"], ignore_index=True)


def bands_before(readings: pd.DataFrame) -> pd.DataFrame:
    """How many connections have each severity now, and the same connections at their reading before.

    Parameters
    ----------
    readings : DataFrame
        From `riskscope.assess_readings`.

    Returns
    -------
    DataFrame
        ``severity now before``, worst first, ``not rated`` last; connections read once are left out.
    """
    ordered = readings.sort_values(["connection_id", "survey_date"], kind="stable")
    groups = ordered.groupby("connection_id", sort=False)
    twice = ordered[groups["connection_id"].transform("size") >= 2].groupby("connection_id", sort=False)
    levels = ["4", "3", "2", "1", "0", "not rated"]
    counts = {
        name: part["severity"].astype("Int64").astype("str").fillna("not rated").value_counts()
        for name, part in (("now", twice.nth(-1)), ("before", twice.nth(-2)))
    }
    frame = pd.DataFrame({"severity": levels})
    for name, count in counts.items():
        frame[name] = frame["severity"].map(count).fillna(0).astype(int)
    return frame


def share_cured(effects: pd.DataFrame) -> pd.DataFrame:
    """By kind of work: how much was done, what came of it, the share cured of what was surveyed since.

    Parameters
    ----------
    effects : DataFrame
        From `work_effects`.

    Returns
    -------
    DataFrame
        ``what works cured improved not_cured not_resurveyed share_cured``.
    """
    kinds = ("cured", "improved", "not cured", "not re-surveyed")
    counts = pd.crosstab(effects["what"], effects["effect"]).reindex(columns=list(kinds), fill_value=0)
    counts.columns = pd.Index(["cured", "improved", "not_cured", "not_resurveyed"])
    seen = counts["cured"] + counts["improved"] + counts["not_cured"]
    made = counts.assign(works=counts.sum(axis=1), share_cured=counts["cured"] / seen.where(seen > 0))
    return made.reset_index()[["what", "works", *counts.columns, "share_cured"]]


def recall(
    found: pd.DataFrame, tables: Mapping[str, pd.DataFrame], tool: str, last_good: dt.date | None, until: dt.date
) -> pd.DataFrame:
    """Every tightening done with a tool after its last good date, up to a day: worst-rated first.

    Returns
    -------
    DataFrame
        ``connection_id site equipment work_date applied_nm severity action urgency reworked``;
        ``reworked`` where the connection was worked on later with another tool.
    """
    installs, findings = get_table(tables, "installs"), get_table(tables, "findings")
    parts = []
    for frame, torque in ((installs, "applied_nm"), (findings, "as_left_nm")):
        rows = pd.DataFrame(
            {
                "connection_id": frame["connection_id"],
                "work_date": frame["work_date"],
                "tool_id": texts(frame, "tool_id").astype("str"),
                "applied_nm": floats(frame, torque),
            }
        )
        parts.append(rows[rows["tool_id"].notna()])
    rows = pd.concat(parts, ignore_index=True)
    later = rows.groupby("connection_id")["work_date"].transform("max")
    mine = rows["tool_id"].str.casefold() == tool.casefold()
    after = rows["work_date"] > pd.Timestamp(last_good) if last_good else True
    listed = rows.assign(reworked=later > rows["work_date"])[mine & after & (rows["work_date"] <= pd.Timestamp(until))]
    at = positions(found["connection_id"], listed["connection_id"])
    columns = {
        name: take(texts(found, name), at).to_numpy() for name in ("site", "equipment", "severity", "action", "urgency")
    }
    listed = listed.assign(**columns)
    listed = listed.assign(sort=-listed["severity"].fillna(-1.0))
    listed = listed.sort_values(["sort", "connection_id", "work_date"], kind="stable", ignore_index=True)
    return listed[
        ["connection_id", "site", "equipment", "work_date", "applied_nm", "severity", "action", "urgency", "reworked"]
    ]


def out_of_tolerance(tables: Mapping[str, pd.DataFrame]) -> list[tuple[str, dt.date | None, dt.date]]:
    """Tools found out of tolerance: tool, last good calibration before that day, the day."""
    tools = get_table(tables, "tools")
    events = []
    calibrated = texts(tools, "calibrated_on")
    bad = tools[texts(tools, "found_out_of_tolerance_on").notna()]
    for name, day in zip(bad["tool_id"], texts(bad, "found_out_of_tolerance_on"), strict=True):
        good = calibrated[(tools["tool_id"] == name) & (calibrated < day)]
        events.append((str(name), good.max().date() if len(good) else None, day.date()))
    return events
