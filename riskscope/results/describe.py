"""The sentence columns of the results: label, reason, re-survey reason, likelihood in words."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.assessment import Assessment
from riskscope.analysis.frames import with_columns
from riskscope.schema import results as schema
from riskscope.schema.codes import OPTICAL
from riskscope.settings import Settings
from riskscope.standards.severity import Criteria
from riskscope.units import from_inside
from riskscope.words import codes
from riskscope.words.render import Units, fill

NOT_RATED = "not rated"
NO_EXCESS = "no excess: below the first band"
NO_EXCESS_SEEN = "no excess seen, but the reading was limited: survey again"


SENTENCES = ("severity_label", "reason", "resurvey_reason", "likelihood")


def described(assessment: Assessment, units: Units) -> pd.DataFrame:
    """Every connection of an assessment with its sentence columns; described once for a choice of units."""

    def make() -> pd.DataFrame:
        return describe(assessment, assessment.connections, units)

    return assessment.remember(("described", units), make)


def describe(
    assessment: Assessment, rows: pd.DataFrame, units: Units, words: Mapping[str, object] | None = None
) -> pd.DataFrame:
    """Some connections of an assessment with their sentences, and what the results name beside them.

    `words` are their sentences where they were made before; see `sentences`.
    """
    rows = _columns_used(rows)
    return with_columns(
        rows,
        {
            **(sentences(assessment, rows, units) if words is None else words),
            "rise_similar_k": rows["rise_similar_found_k"],
            "rise_ambient_k": rows["rise_ambient_found_k"],
            "required_lbf_in": from_inside(rows["required_nm"], "torque", "lbf·in"),
            **_inspected(rows, assessment.tables),
        },
    )


def sentences(assessment: Assessment, rows: pd.DataFrame, units: Units) -> dict[str, object]:
    """The sentence columns: `SENTENCES`."""
    settings = assessment.settings
    return {
        "severity_label": severity_label(rows, assessment.criteria),
        "reason": reason(rows, settings, units),
        "resurvey_reason": resurvey_reason(rows, units),
        "likelihood": likelihood_word(rows["likelihood_loose"], settings),
    }


def _columns_used(rows: pd.DataFrame) -> pd.DataFrame:
    """The frame with every column the results and their sentences name, absent ones empty."""
    wanted = {column.name for table in schema.TABLES.values() for column in table.columns}
    return with_columns(rows, dict.fromkeys(sorted(wanted - set(rows.columns)), np.nan))


def _inspected(rows: pd.DataFrame, tables: Mapping[str, pd.DataFrame]) -> dict[str, object]:
    """The last time each connection's equipment was looked at, and what could be seen."""
    table = tables.get("inspections")
    if table is None or not len(table):
        return {"inspected_on": pd.NaT, "inspection_result": np.nan}
    last = table.sort_values("survey_date", kind="stable").drop_duplicates("equipment", keep="last")
    at = pd.Index(last["equipment"]).get_indexer(pd.Index(rows["equipment"]))
    pick = last.iloc[np.where(at < 0, 0, at)].reset_index(drop=True)
    return {
        "inspected_on": pick["survey_date"].where(at >= 0).to_numpy(),
        "inspection_result": pick["result"].where(at >= 0).to_numpy(),
    }


def severity_label(frame: pd.DataFrame, criteria: Criteria) -> pd.Series:
    """What each severity means, in the words of the table that gave it."""
    label = pd.Series(NOT_RATED, index=frame.index, dtype="str")
    basis = frame["governing_basis"].astype("str")
    for value in range(5):
        rows = frame["severity"] == value
        if value == 0:
            label[rows] = NO_EXCESS
            label[rows & _limited(frame)] = NO_EXCESS_SEEN
            continue
        for name in ("similar", "ambient"):
            band = criteria.band(name, value)
            words = band.meaning if band else "worst band at full load, not yet sure"
            label[rows & (basis == name)] = words
    over = frame["governing_basis"] == "limit"
    label[over & (frame["severity"] == 4)] = "over its temperature limit now"
    label[over & (frame["severity"] == 3)] = "over its temperature limit at full load"
    design = frame["within_design"].astype(bool) & (basis == "ambient") & (frame["severity"] == 3)
    label[design] = "within design; check load and ventilation"
    return label


def _limited(frame: pd.DataFrame) -> pd.Series:
    """Readings whose load or optics hide what there may be."""
    names = [name for name in (*OPTICAL, "low load") if name in frame]
    return frame[names].fillna(False).astype(bool).any(axis=1)


def reason(frame: pd.DataFrame, settings: Settings, units: Units) -> pd.Series:
    """Why each action: the rule that gave it, filled, and what must be known beside it."""
    frame = pd.concat([frame, _heat(frame, units).rename("heat")], axis=1)
    words = pd.Series("", index=frame.index, dtype="str")
    for rule, template in codes.RULES.items():
        rows = frame["rule"] == rule
        if rows.any():
            words[rows] = fill(template, frame[rows], units)
    words = words + _seen_beside(frame, units) + _changed(frame) + _kind_unknown(frame) + _torque(frame, units)
    return words + _waiting(frame, settings)


def _heat(frame: pd.DataFrame, units: Units) -> pd.Series:
    words = pd.Series("", index=frame.index, dtype="str")
    basis = frame["governing_basis"].astype("str").where(frame["severity"].notna(), "")
    now = (basis == "limit") & (frame["severity"] == 4)
    for name, template in codes.HEAT.items():
        rows = now if name == "limit now" else (basis == name) & ~now
        if rows.any():
            words[rows] = fill(template, frame[rows], units)
    return words.str.replace(" at – load", ", load not recorded", regex=False)


def _seen_beside(frame: pd.DataFrame, units: Units) -> pd.Series:
    """What was read, where the rule itself does not say: the severity, or why there is none."""
    words = pd.Series("", index=frame.index, dtype="str")
    said = frame["rule"].isin([rule for rule, text in codes.RULES.items() if "{heat}" in text or "_c:" in text])
    rated = (frame["severity"] >= 1) & ~said & (frame["heat"] != "")
    words[rated] = fill("; rated {severity:count}: {heat}", frame[rated], units)
    read = frame["surveyed"].astype(bool) & ~frame["worked_after"].astype(bool)
    unrated = read & frame["severity"].isna() & frame["connection_c"].notna()
    words[unrated] = fill("; read {connection_c:temperature}, not rated ({quality_flags})", frame[unrated], units)
    return words


def _changed(frame: pd.DataFrame) -> pd.Series:
    """Why the action is not the one the rule gives, where the kind of termination forbids it."""
    words = pd.Series("", index=frame.index, dtype="str")
    changed = frame["action_changed"].astype(bool)
    if not changed.any():
        return words
    body = changed & (frame["action"] == "inspect") & (frame["point"] == "device body")
    words[body] = f"; {codes.CHANGED['inspect body']}"
    refused = changed & (frame["retighten_allowed"] == "no")
    for action in ("check load", "inspect", "remake"):
        words[changed & (frame["action"] == action)] = f"; {codes.CHANGED[action]}"
    words[refused & frame["action"].isin(["remake", "inspect"])] = f"; {codes.CHANGED['refused']}"
    return words


def _kind_unknown(frame: pd.DataFrame) -> pd.Series:
    hands_on = frame["action"] == "retighten"
    unknown = hands_on & frame["termination_kind"].isna()
    return pd.Series(
        np.where(unknown, "; kind of termination not recorded: only a screw or bolt is tightened", ""),
        index=frame.index,
        dtype="str",
    )


def _torque(frame: pd.DataFrame, units: Units) -> pd.Series:
    """What torque, and where it comes from, for the actions done with a torque tool."""
    words = pd.Series("", index=frame.index, dtype="str")
    rows = frame["action"] == "retighten"
    known = rows & frame["required_nm"].notna()
    by_table = known & (frame["required_from"] == "published table")
    single = known & (frame["required_low_nm"] == frame["required_high_nm"])
    words[single] = fill("; tighten to {required_nm:torque} ({required_from})", frame[single], units)
    span = known & ~single
    words[span] = fill(
        "; tighten to {required_low_nm:torque} to {required_high_nm:torque} ({required_from})", frame[span], units
    )
    words[by_table] = fill(f"; tighten to {{required_nm:torque}} ({codes.PUBLISHED_TORQUE})", frame[by_table], units)
    words[rows & ~known] = "; required torque not on record: see the label or the maker's instructions"
    return words


def _waiting(frame: pd.DataFrame, settings: Settings) -> pd.Series:
    """How soon to look again while the work waits."""
    words = pd.Series("", index=frame.index, dtype="str")
    for value, days in ((4, settings.monitor_days_4), (3, settings.monitor_days_3), (2, settings.monitor_days_2)):
        words[frame["severity"] == value] = f"; until it is done, look again every {days} days"
    return words


def resurvey_reason(frame: pd.DataFrame, units: Units) -> pd.Series:
    """Why to survey again, in words."""
    words = pd.Series("", index=frame.index, dtype="str")
    listed = frame["resurvey_reason"]
    for value in listed.unique():
        if value:
            rows = listed == value
            template = "; ".join(codes.RESURVEY[code] for code in value.split("; "))
            words[rows] = fill(template, frame[rows], units)
    return words


def likelihood_word(likelihood: pd.Series, settings: Settings) -> pd.Series:
    """High, medium or low."""
    words = np.select([likelihood > settings.word_high, likelihood >= settings.word_low], ["high", "medium"], "low")
    return pd.Series(words, index=likelihood.index, dtype="str")
