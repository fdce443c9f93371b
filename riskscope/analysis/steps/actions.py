"""What to do about each connection, why, how soon, and whether to survey it again."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.analysis.frames import Bools, Ints, floats, is_any, joined, named, texts, with_columns
from riskscope.schema.codes import ACTIONS, FLAGS, OPTICAL, RESURVEY_REASONS, RULES, URGENCIES
from riskscope.settings import Settings
from riskscope.units import Floats, edge

READS = ("severity", "severity_as_found", "pattern", "hot", "rise_similar_found_k",
         "rise_ambient_found_k", "over_limit_now", "overload", "overload_fraction", "s_limit",
         "s_ambient", "within_design", "install_state", "worked_after", "worked_same_day", "found_damaged",
         "found_loose", "remade_last", "phase", "load unknown", "set_code", "termination_kind",
         "point", "retighten_allowed", "reference", "beside a cold sibling", "reads cold",
         "not loaded", "cover closed", "unsteady", "low load", "cover_rise_k", "circuit", "device",
         "equipment", "surveyed",
         "hotter before, no work since", "another reading was hotter")  # fmt: skip
WRITES = ("action", "rule", "action_changed", "resurvey", "resurvey_reason", "urgency",
          "severity_before_work", "severity", "quality_flags", "no reference")  # fmt: skip

RULE_NAMES, ACTION_NAMES = tuple(RULES), tuple(ACTIONS)
NEEDS_REMAKE = ("compression", "shear bolt")
NEEDS_INSPECTION = ("spring", "plug-in")
POINTS_TO_INSPECT = ("fuse clip", "stab", "contact", "conductor")


def actions(frame: pd.DataFrame, settings: Settings) -> dict[str, object]:
    """One action for each connection with the rule that gave it, re-survey and urgency beside it.

    A reading taken before work is no reading of the joint as it is: its severity moves to
    ``severity_before_work``.

    Reads
        `READS`
    Writes
        `WRITES`
    """
    after = frame["worked_after"].to_numpy(dtype=bool)
    before_work = np.where(after, floats(frame, "severity"), np.nan)
    frame = with_columns(frame, {"severity": np.where(after, np.nan, floats(frame, "severity"))})
    masks = _rules(frame, settings)
    first = np.select([masks[name] for name in RULE_NAMES[:-1]], range(len(RULES) - 1), len(RULES) - 1)
    wanted = np.array([ACTION_NAMES.index(rule.action) for rule in RULES.values()])[first]
    action = _by_kind(frame, wanted, first)
    resurvey = _resurvey(frame, action)
    flags = {flag: _flag(frame, flag) for flag in FLAGS}
    return {
        "action": named(ACTION_NAMES, action),
        "rule": named(RULE_NAMES, first),
        "action_changed": action != wanted,
        "resurvey": np.logical_or.reduce(list(resurvey.values())),
        "resurvey_reason": joined(resurvey),
        "urgency": named(URGENCIES, _urgency(frame, action, before_work, settings)),
        "severity_before_work": before_work,
        "severity": frame["severity"].to_numpy(),
        "no reference": flags["no reference"],
        "quality_flags": joined(flags),
    }


def _flag(frame: pd.DataFrame, flag: str) -> Bools:
    if flag == "no reference":
        nothing = frame["reference"].isna() & frame["rise_ambient_found_k"].isna()
        return (nothing & frame["surveyed"]).to_numpy(dtype=bool)
    return frame[flag].to_numpy(dtype=bool)


def _rules(frame: pd.DataFrame, settings: Settings) -> dict[str, Bools]:
    """For each rule but the last where it holds, by its name."""

    def on(column: str) -> Bools:
        return frame[column].to_numpy(dtype=bool)

    severity, state, pattern = floats(frame, "severity"), frame["install_state"], frame["pattern"]

    def states(*names: str) -> Bools:
        return state.isin(names).to_numpy(dtype=bool)

    def shows(*names: str) -> Bools:
        return pattern.isin(names).to_numpy(dtype=bool)

    with np.errstate(invalid="ignore"):
        rated_2 = severity >= 2
        large_rise = edge(floats(frame, "rise_similar_found_k")) >= settings.remake_rise_k
        warm_unloaded = on("not loaded") & (
            (edge(floats(frame, "rise_ambient_found_k")) >= settings.no_load_rise_k) | on("over_limit_now")
        )
        loaded_high = (floats(frame, "s_limit") >= 3) | (floats(frame, "s_ambient") >= 3)
        rated_1 = severity == 1
    over = on("over_limit_now")
    hot = shows("one joint hot", "all hot beyond load")
    alone = rated_2 & (frame["reference"].isna().to_numpy() | on("beside a cold sibling"))
    imbalance = shows("load imbalance")
    torqued = _torque_applies(frame)
    return {
        "damaged": on("found_damaged"),
        "found loose": on("found_loose"),
        "worked after": on("worked_after"),
        "hot over limit": hot & over,
        "hot rise": hot & large_rise,
        "hot verified": hot & states("verified") & rated_2,
        "hot verified, mild": hot & states("verified"),
        "hot over-torqued": hot & states("over-torqued") & rated_2,
        "hot over-torqued, mild": hot & states("over-torqued"),
        "hot": hot & rated_2,
        "hot, mild": hot,
        "alone over limit": alone & over,
        "alone rise": alone & large_rise,
        "neutral": _neutral(frame, rated_2),
        "warm earth": rated_2 & is_any(frame, "phase", ("PE",)),
        "alone verified": alone & states("verified"),
        "alone over-torqued": alone & states("over-torqued"),
        "alone": alone,
        "hot cover": on("cover closed") & (over | _cover_is_warm(frame, settings)),
        "overload": on("overload"),
        "warm unloaded": warm_unloaded,
        "cold": shows("one cold"),
        "all warm": shows("all warm, load explains it") & loaded_high,
        "motor imbalance": imbalance & _is_motor(frame),
        "imbalance": imbalance,
        "investigate": rated_2,
        "under-torqued": states("under-torqued"),
        "doubtful": states("doubtful"),
        "over-torqued": states("over-torqued"),
        "unrecorded": states("unrecorded") & torqued,
        "watch": rated_1,
        "not rated": np.isnan(severity),
    }


def _torque_applies(frame: pd.DataFrame) -> Bools:
    """Where there is a screw or bolt to put a torque tool on, as far as is known."""
    return ~is_any(frame, "termination_kind", NEEDS_REMAKE + NEEDS_INSPECTION) & ~is_any(
        frame, "point", (*POINTS_TO_INSPECT, "device body")
    )


def _neutral(frame: pd.DataFrame, rated_2: Bools) -> Bools:
    """Neutrals rated 2 and more, or with more current than the largest phase, or without a load."""
    neutral = is_any(frame, "phase", ("N",)) & frame["surveyed"].to_numpy(dtype=bool)
    if not neutral.any():
        return neutral
    current = np.where(frame["current_a"].isna(), floats(frame, "load_fraction"), floats(frame, "current_a"))
    member = frame["set_code"].to_numpy()
    largest = np.full(int(member.max()) + 2, np.nan)
    phases = (member >= 0) & ~is_any(frame, "phase", ("N", "PE", "spare"))
    np.fmax.at(largest, member[phases], current[phases])
    with np.errstate(invalid="ignore"):
        more = edge(current) > edge(largest[member])
    return neutral & (rated_2 | (more & (member >= 0)) | frame["load unknown"].to_numpy(dtype=bool))


def _is_motor(frame: pd.DataFrame) -> Bools:
    """Where circuit, device or equipment says in so many words that it is a motor's."""
    motor = np.zeros(len(frame), dtype=bool)
    for column in ("circuit", "device", "equipment"):
        code, distinct = pd.factorize(texts(frame, column))
        said = np.array(["motor" in str(name).casefold().replace("-", " ").split() for name in distinct] + [False])
        motor |= said[code]
    return motor


def _codes(*actions: str) -> list[int]:
    return [ACTION_NAMES.index(action) for action in actions]


def _by_kind(frame: pd.DataFrame, wanted: Ints, rule: Ints) -> Ints:
    """The action, as a place in `ACTION_NAMES`, as the kind of point and termination allows it.

    What was found loose by hand is a joint, whatever the camera looked at.
    """
    retighten, check, remake, check_load, inspect = _codes(
        "retighten", "check torque", "remake", "check load", "inspect"
    )
    damage = np.isin(rule, [place for place, row in enumerate(RULES.values()) if row.damage])
    by_point = rule != RULE_NAMES.index("found loose")
    rework = np.isin(wanted, (retighten, check, remake))
    body = is_any(frame, "point", ("device body",)) & by_point & rework
    to_inspect = is_any(frame, "point", POINTS_TO_INSPECT) & by_point
    to_inspect |= is_any(frame, "termination_kind", NEEDS_INSPECTION)
    crimped = is_any(frame, "termination_kind", NEEDS_REMAKE)
    refused = is_any(frame, "retighten_allowed", ("no",))
    return np.select(
        [
            body & damage,
            body,
            to_inspect & rework,
            (crimped | refused) & (wanted == retighten),
            (crimped | refused) & (wanted == check),
        ],
        [inspect, check_load, inspect, remake, inspect],
        wanted,
    )


def _resurvey(frame: pd.DataFrame, action: Ints) -> dict[str, Bools]:
    """Reasons to survey again, each where it holds."""

    def on(column: str) -> Bools:
        return frame[column].to_numpy(dtype=bool)

    severity = floats(frame, "severity")
    surveyed, after = on("surveyed"), on("worked_after")
    with np.errstate(invalid="ignore"):
        repair_first = severity >= 3
    masks = {
        "worked on after the survey": after,
        "worked on the day of the survey, order unknown": on("worked_same_day"),
        "low load": on("low load") & ~repair_first,
        "optics": np.logical_or.reduce([on(flag) for flag in OPTICAL]) & ~repair_first,
        "not loaded": on("not loaded"),
        "not steady": on("unsteady"),
        "cover closed": on("cover closed"),
        "no reference": surveyed & np.isnan(severity) & ~on("not loaded") & ~on("cover closed"),
        "a sibling reads cold": on("reads cold") | on("beside a cold sibling"),
        "hotter before": on("hotter before, no work since") | on("another reading was hotter"),
        "to settle the cause": action == ACTION_NAMES.index("investigate"),
        "not surveyed": ~surveyed,
    }
    always = {"worked on after the survey", "not surveyed"}
    return {name: masks[name] if name in always else masks[name] & ~after & surveyed for name in RESURVEY_REASONS}


def _urgency(frame: pd.DataFrame, action: Ints, before_work: Floats, settings: Settings) -> Ints:
    """Urgency of each row, as a place in `URGENCIES`.

    A joint that was 3 or 4 and was only tightened since is to be read again soon: two in five stay
    hot.
    """
    severity, as_found = floats(frame, "severity"), floats(frame, "severity_as_found")
    after = frame["worked_after"].to_numpy(dtype=bool)
    damaged = frame["found_damaged"].to_numpy(dtype=bool)
    over = frame["over_limit_now"].to_numpy(dtype=bool) & ~after
    with np.errstate(invalid="ignore"):
        now = ((severity == 4) & (as_found == 4)) | over | damaged
        doubtful_cure = (before_work >= 3) & ~frame["remade_last"].to_numpy(dtype=bool)
        soon = (severity >= 3) | frame["overload"].to_numpy(dtype=bool) | doubtful_cure
        soon |= _cover_is_warm(frame, settings) & ~after
        soon |= frame["hotter before, no work since"].to_numpy(dtype=bool)
        soon |= frame["another reading was hotter"].to_numpy(dtype=bool) & ~after
        unrated_rise = np.where(np.isnan(severity) & ~after, floats(frame, "rise_ambient_found_k"), np.nan)
        soon |= edge(unrated_rise) >= settings.unrated_rise_k
    act = np.array([row.acts for row in ACTIONS.values()])[action]
    return np.select([now, soon, (severity == 2) | act], [0, 1, 2], 3)


def _cover_is_warm(frame: pd.DataFrame, settings: Settings) -> Bools:
    with np.errstate(invalid="ignore"):
        return edge(_cover_rise(frame)) >= settings.cover_rise_k


def _cover_rise(frame: pd.DataFrame) -> np.ndarray:
    """Rise of a closed cover over its like: the surveyor's, else over the coolest other cover."""
    closed = frame["cover closed"].to_numpy(dtype=bool)
    own = floats(frame, "rise_surveyor_k")
    return np.where(closed, np.where(np.isnan(own), floats(frame, "cover_rise_k"), own), np.nan)
