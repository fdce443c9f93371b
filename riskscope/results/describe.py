"""The sentence columns of the results: label, reason, re-survey reason, likelihood in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from riskscope.analysis.assessment import Assessment
from riskscope.analysis.frames import Bools, floats, is_any, with_columns
from riskscope.results import likelihood
from riskscope.results.work import work_words
from riskscope.schema import results as schema
from riskscope.schema.codes import OPTICAL
from riskscope.settings import Settings
from riskscope.standards.severity import Criteria
from riskscope.units import from_inside
from riskscope.words import codes
from riskscope.words.render import Units, fill_each

NOT_RATED = "not rated"
NO_EXCESS = "no excess: below the first band"
NO_EXCESS_SEEN = "no excess seen, but the reading was limited: survey again"


LOAD = " at {load_fraction:share} load"
SENTENCES = ("severity_label", "reason", "work", "resurvey_reason", "likelihood")


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
        "work": work_words(rows, units),
        "resurvey_reason": resurvey_reason(rows, units),
        "likelihood": likelihood.word(rows, settings),
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
    severity = floats(frame, "severity")
    basis = frame["governing_basis"].astype("str").to_numpy(dtype=object, na_value="")
    zero = severity == 0
    cases = {
        "within design; check load and ventilation": frame["within_design"].to_numpy(dtype=bool)
        & (basis == "ambient")
        & (severity == 3),
        "over its temperature limit now": (basis == "limit") & (severity == 4),
        "over its temperature limit at full load": (basis == "limit") & (severity == 3),
        "perhaps over its temperature limit at full load": (basis == "limit") & (severity == 2),
        NO_EXCESS_SEEN: zero & _limited(frame).to_numpy(dtype=bool),
        NO_EXCESS: zero,
    }
    for value in range(1, 5):
        for name in ("similar", "ambient"):
            band = criteria.band(name, value)
            words = band.meaning if band else "worst band at full load, not yet sure"
            mask = (severity == value) & (basis == name)
            cases[words] = cases.get(words, np.zeros(len(frame), dtype=bool)) | mask
    return _chosen(cases, NOT_RATED, frame.index)


def _chosen(cases: Mapping[str, Bools], otherwise: str, index: pd.Index) -> pd.Series:
    """For every row the words of the first case that holds."""
    words = np.array([*cases, otherwise], dtype=object)
    return pd.Series(words[_first(list(cases.values()), len(index))], index=index, dtype="str")


def _first(masks: Sequence[Bools], count: int) -> NDArray[np.intp]:
    """For every row the place of the first mask that holds; one after the last where none does."""
    place = np.full(count, len(masks), dtype=np.intp)
    for at in reversed(range(len(masks))):
        place[masks[at]] = at
    return place


def _limited(frame: pd.DataFrame) -> pd.Series:
    """Readings whose load or optics hide what there may be."""
    names = [name for name in (*OPTICAL, "low load") if name in frame]
    return frame[names].fillna(False).astype(bool).any(axis=1)


def reason(frame: pd.DataFrame, settings: Settings, units: Units) -> pd.Series:
    """Why each action: the rule that gave it, filled, and what must be known beside it.

    Every combination of codes that occurs is one template, filled once for all its rows.
    """
    heat = _heat(frame)
    parts = [_rule(frame), heat, _seen_beside(frame, heat), _over_limit(frame, heat), _changed(frame)]
    parts += [_kind_unknown(frame), _torque(frame), _waiting(frame, settings), _refused_beside(frame)]
    code = np.zeros(len(frame), dtype=np.int64)
    for words, place in parts:
        code = code * len(words) + place
    _, rows, which = np.unique(code, return_index=True, return_inverse=True)
    templates = []
    for row in rows:
        rule, heat_, *beside = (words[place[row]] for words, place in parts)
        templates.append((rule + "".join(beside)).replace("{heat}", heat_))
    return fill_each(templates, which, frame, units)


Part = tuple[Sequence[str], NDArray[np.intp]]  # templates, and for every row the place of its own


def _part(cases: Mapping[str, Bools], count: int, otherwise: str = "") -> Part:
    """The template of the first case that holds."""
    return [*cases, otherwise], _first(list(cases.values()), count)


def _rule(frame: pd.DataFrame) -> Part:
    place = pd.Index(codes.RULES).get_indexer(frame["rule"])
    return [*codes.RULES.values(), ""], place % (len(codes.RULES) + 1)


def _heat(frame: pd.DataFrame) -> Part:
    """How warm, by what governs the severity."""
    basis = frame["governing_basis"].astype("str").where(frame["severity"].notna(), "")
    by = {name: (basis == name).to_numpy(dtype=bool) for name in codes.HEAT}
    severity = floats(frame, "severity")
    by["limit now"], by["limit perhaps"] = by["limit"] & (severity == 4), by["limit"] & (severity == 2)
    not_taken = frame["low load"].eq(True).to_numpy(dtype=bool) | np.isnan(floats(frame, "projected_c"))
    by["limit not taken there"] = by["limit"] & (severity == 3) & not_taken
    for name in ("limit now", "limit perhaps", "limit not taken there"):
        by["limit"] = by["limit"] & ~by[name]
    no_load = np.isnan(floats(frame, "load_fraction"))
    cases = {}
    for name, template in codes.HEAT.items():
        cases[template.replace(LOAD, ", load not recorded")] = by[name] & no_load
        cases[template] = cases.get(template, by[name] & False) | (by[name] & ~(no_load & (LOAD in template)))
    return _part(cases, len(frame))


def _seen_beside(frame: pd.DataFrame, heat: Part) -> Part:
    """What was read, where the rule itself does not say: the severity, or why there is none."""
    said = frame["rule"].isin([rule for rule, text in codes.RULES.items() if "{heat}" in text or "_c:" in text])
    is_warm = np.array([bool(template) for template in heat[0]])[heat[1]]
    read = frame["surveyed"].astype(bool) & frame["severity_before_work"].isna()
    unrated = read & frame["severity"].isna() & frame["connection_c"].notna()
    cases = {
        "; read {connection_c:temperature}, not rated ({quality_flags})": unrated,
        "; rated {severity:count}: {heat}": (frame["severity"] >= 1) & ~said & is_warm,
    }
    return _part({words: mask.to_numpy(dtype=bool) for words, mask in cases.items()}, len(frame))


def _over_limit(frame: pd.DataFrame, heat: Part) -> Part:
    """That it is over its limit now, where neither the rule nor the severity says so."""
    said = frame["rule"].isin([rule for rule, text in codes.RULES.items() if "{limit_c" in text])
    told = np.array(["{limit_c" in template for template in heat[0]])[heat[1]]
    over = (frame["connection_c"] > frame["limit_c"]) & frame["severity_before_work"].isna() & ~said & ~told
    words = "; at {connection_c:temperature} over its limit of {limit_c:temperature}"
    return _part({words: over.to_numpy(dtype=bool)}, len(frame))


def _changed(frame: pd.DataFrame) -> Part:
    """Why the action is not the one the rule gives, where the kind of termination forbids it."""
    changed = frame["action_changed"].to_numpy(dtype=bool)
    action, refused = frame["action"], changed & (frame["retighten_allowed"] == "no").to_numpy(dtype=bool)
    body = changed & (action == "inspect").to_numpy(dtype=bool) & (frame["point"] == "device body").to_numpy(dtype=bool)
    cases = {"refused": refused & action.isin(["remake", "inspect"]).to_numpy(dtype=bool)}
    cases["inspect body"] = body
    for name in ("check load", "inspect", "remake"):
        cases[name] = changed & (action == name).to_numpy(dtype=bool)
    return _part({f"; {codes.CHANGED[name]}": mask for name, mask in cases.items()}, len(frame))


def _kind_unknown(frame: pd.DataFrame) -> Part:
    unknown = (frame["action"] == "retighten") & frame["termination_kind"].isna()
    words = "; kind of termination not recorded: only a screw or bolt is tightened"
    return _part({words: unknown.to_numpy(dtype=bool)}, len(frame))


def _torque(frame: pd.DataFrame) -> Part:
    """What torque, and where it comes from, for the actions done with a torque tool."""
    rows = (frame["action"] == "retighten").to_numpy(dtype=bool)
    known = rows & frame["required_nm"].notna().to_numpy(dtype=bool)
    by_table = (frame["required_from"] == "published table").to_numpy(dtype=bool)
    single = floats(frame, "required_low_nm") == floats(frame, "required_high_nm")
    cases = {
        f"; tighten to {{required_nm:torque}} ({codes.PUBLISHED_TORQUE})": known & by_table,
        "; tighten to {required_nm:torque} ({required_from})": known & single,
        "; tighten to {required_low_nm:torque} to {required_high_nm:torque} ({required_from})": known,
        "; required torque not on record: see the label or the maker's instructions": rows,
    }
    return _part(cases, len(frame))


def _waiting(frame: pd.DataFrame, settings: Settings) -> Part:
    """How soon to look again while the work waits."""
    days = {4: settings.monitor_days_4, 3: settings.monitor_days_3, 2: settings.monitor_days_2}
    severity = np.where(is_any(frame, "urgency", ("now",)), 4, floats(frame, "severity"))
    count = [f"; until it is done, look again every {day} days" for day in days.values()]
    return [*count, ""], _first([severity == value for value in days], len(frame))


def _refused_beside(frame: pd.DataFrame) -> Part:
    """That the reading is not the only one of that day: another was refused, and nobody knows how hot it was."""
    words = "; another reading of it was refused and may be the hottest: read it again"
    return _part({words: frame["beside off scale"].to_numpy(dtype=bool)}, len(frame))


def resurvey_reason(frame: pd.DataFrame, units: Units) -> pd.Series:
    """Why to survey again, in words."""
    which, listed = pd.factorize(frame["resurvey_reason"])
    templates = ["; ".join(codes.RESURVEY[code] for code in value.split("; ") if code) for value in listed]
    return fill_each(templates, which, frame, units)
