"""What work has cured, and how the counts have changed since the reading before."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import floats, is_any, with_columns
from riskscope.analysis.frames import table as get_table
from riskscope.analysis.proof.heat import PERHAPS_TIGHT, too_cold
from riskscope.schema.codes import EFFECTS, WORKS
from riskscope.settings import Settings
from riskscope.units import edge

REMAKE_ALONE = "remake alone"  # of readings: no tightening is an answer to them
OF_HOT = ("survey_date", "load_fraction", "current_a", "rise_ambient_full_k", REMAKE_ALONE)


def works(tables: Mapping[str, pd.DataFrame], on: dt.date) -> pd.DataFrame:
    """Every piece of work on a connection, one a day: ``connection_id work_date what``.

    Reads
        of `installs` ``connection_id work_date``; of `findings` ``connection_id work_date action``.
    """
    installs, findings = get_table(tables, "installs"), get_table(tables, "findings")
    done = findings[is_any(findings, "action", tuple(WORKS))]
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


def work_effects(readings: pd.DataFrame, work: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """What each piece of work has done, by the last hot reading before it and the first after it that says so.

    Cured: severity 2 or worse before, at most 1 after and no joint hot, in a reading that is fit to say so, as for a
    proof: at 40 % load and half the current of the one before, cooler over the air than it, not colder than a joint
    can be, and with no other of that day that is hot or was refused; where a remake alone is an answer, after no
    tightening. Improved: still 2 or worse, but its full-load rise fell by more than the uncertainty of both. A cool
    reading that is not fit and a reading on the day of the work count for neither side. Work on a joint that was not
    rated 2 or worse, or was read cool since so, is not listed.

    Returns
    -------
    DataFrame
        ``connection_id work_date what before_date before_severity before_rise_k after_date
        after_severity after_rise_k effect``.
    """
    unsure = readings["unfit"].to_numpy(dtype=bool) | readings["beside off scale"].to_numpy(dtype=bool)
    burnt = readings[["burnt", "asks remake", *PERHAPS_TIGHT]].any(axis=1).to_numpy(dtype=bool)
    rated = with_columns(readings, {"unsure": unsure | too_cold(readings, settings), REMAKE_ALONE: burnt})
    rated = rated[rated["severity"].notna()].sort_values(["survey_date", "severity"], kind="stable")
    columns = ["connection_id", "survey_date", "severity", "rise_similar_full_k", "rise_ambient_full_k",
               "rise_low_k", "rise_high_k", "hot", "load_fraction", "current_a", "unsure", REMAKE_ALONE]  # fmt: skip
    rated = rated[columns]
    ordered = work.sort_values("work_date", kind="stable").reset_index(drop=True)
    hot = rated[(rated["severity"] >= 2).to_numpy()]
    before_it = pd.merge_asof(
        ordered, hot, left_on="work_date", right_on="survey_date", by="connection_id", allow_exact_matches=False
    )
    both = pd.concat([ordered, before_it[columns[1:]].add_prefix("b_")], axis=1)
    both["following"] = both.groupby("connection_id")["work_date"].shift(-1)
    both = both[both["b_severity"].notna().to_numpy()]
    pairs = _beside_readings(both, rated, settings)
    between = (pairs["survey_date"] > pairs["b_survey_date"]) & (pairs["survey_date"] < pairs["work_date"])
    cooled = pairs["at"][between & pairs["sound"] & (pairs["severity"] < 2)]
    both = both[~both.index.isin(cooled)]
    both = both.join(_first_after(pairs, both)[columns[1:]].add_prefix("a_")).reset_index(drop=True)
    unread = both["a_severity"].isna()
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


def _beside_readings(works: pd.DataFrame, rated: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """Each work beside every reading of its connection, and whether that is ``sound``: fit to say that it is cool.

    Reads
        of `works` ``connection_id work_date what following`` and of the hot reading before it, ``b_``, `OF_HOT`.
    Writes
        the columns of both; ``at`` (row of the work).
    """
    columns = ["connection_id", "work_date", "what", "following", *(f"b_{name}" for name in OF_HOT)]
    pairs = works[columns].reset_index(names="at").merge(rated, on="connection_id")
    by_load = pairs["current_a"].isna() | pairs["b_current_a"].isna()
    now = pairs["load_fraction"].where(by_load, pairs["current_a"]).to_numpy(dtype=float)
    before = pairs["b_load_fraction"].where(by_load, pairs["b_current_a"]).to_numpy(dtype=float)
    with np.errstate(invalid="ignore"):
        enough = edge(floats(pairs, "load_fraction")) >= edge(settings.low_load)
        enough &= np.isnan(before) | (edge(now) >= edge(settings.proof_current * before))
        cooler = ~(edge(floats(pairs, "rise_ambient_full_k")) >= edge(floats(pairs, "b_rise_ambient_full_k")))
    return with_columns(pairs, {"sound": enough & cooler & ~pairs["unsure"].to_numpy(dtype=bool)})


def _first_after(pairs: pd.DataFrame, works: pd.DataFrame) -> pd.DataFrame:
    """Of each work the first reading after it and before the next that says what came of it: hot, or cool and fit."""
    later = (pairs["survey_date"] > pairs["work_date"]) & ~(pairs["survey_date"] >= pairs["following"])
    answers = ~(pairs[f"b_{REMAKE_ALONE}"].astype(bool) & (pairs["what"] == "tightened"))
    says = later & ((pairs["severity"] >= 2) | (pairs["sound"] & answers))
    worst_first = pairs[says.to_numpy(dtype=bool)].sort_values(
        ["at", "survey_date", "severity"], ascending=[True, True, False], kind="stable"
    )
    return worst_first.drop_duplicates("at").set_index("at").reindex(works.index)


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
    counts = pd.crosstab(effects["what"], effects["effect"]).reindex(columns=list(EFFECTS), fill_value=0)
    counts.columns = pd.Index(["cured", "improved", "not_cured", "not_resurveyed"])
    seen = counts["cured"] + counts["improved"] + counts["not_cured"]
    made = counts.assign(works=counts.sum(axis=1), share_cured=counts["cured"] / seen.where(seen > 0))
    return made.reset_index()[["what", "works", *counts.columns, "share_cured"]]
