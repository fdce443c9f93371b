"""What each reading, finding and record asks for, why and how soon."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.analysis.frames import Bools, Ints, floats, is_any, joined, named
from riskscope.analysis.proof.heat import JOINT_HOT
from riskscope.analysis.records.kinds import NEEDS_INSPECTION, NEEDS_REMAKE, POINTS_TO_INSPECT
from riskscope.schema.codes import ACTIONS, ANSWERED, FLAGS, RULES, URGENCIES
from riskscope.settings import Settings
from riskscope.units import edge

READS = ("severity", "pattern", "hot", "rise_similar_found_k", "rise_ambient_found_k", "over_limit_now", "overload",
         "s_limit", "s_ambient", "install_state", "record_now", "found_damaged", "found_loose", "phase",
         "load unknown", "set_code", "termination_kind", "point", "retighten_allowed", "reference",
         "beside a cold sibling", "reference load not compared", "not loaded", "cover closed", "warm cover",
         "lost phase", "is_motor", "surveyed",
         "current_a", "load_fraction", "reading_urgency", "torque applies", "hotter before, no work since",
         "another reading was hotter")  # fmt: skip
WRITES = ("action", "rule", "action_changed", "urgency", "quality_flags", "no reference")

RULE_NAMES, ACTION_NAMES = tuple(name for name in RULES if name not in ANSWERED), tuple(ACTIONS)


def actions(frame: pd.DataFrame, settings: Settings) -> dict[str, object]:
    """What the reading, the findings and the record ask for: one action, the rule that gave it, its urgency.

    What work done since has answered is the business of `riskscope.analysis.steps.work_states`.

    Reads
        `READS`
    Writes
        `WRITES`
    """
    masks = _rules(frame, settings)
    first = np.select([masks[name] for name in RULE_NAMES[:-1]], range(len(RULE_NAMES) - 1), len(RULE_NAMES) - 1)
    wanted = np.array([ACTION_NAMES.index(RULES[name].action) for name in RULE_NAMES])[first]
    action = _by_kind(frame, wanted, first)
    flags = {flag: _flag(frame, flag) for flag in FLAGS}
    return {
        "action": named(ACTION_NAMES, action),
        "rule": named(RULE_NAMES, first),
        "action_changed": action != wanted,
        "urgency": named(URGENCIES, _urgency(frame, action)),
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
    severity, pattern = floats(frame, "severity"), frame["pattern"]

    def on(column: str) -> Bools:
        return frame[column].to_numpy(dtype=bool)

    def states(*names: str) -> Bools:  # at the reading: it explains the rating
        return frame["install_state"].isin(names).to_numpy(dtype=bool)

    def now(name: str) -> Bools:
        """By the record of all work up to the day: it is what is to be checked."""
        return (frame["record_now"] == name).to_numpy(dtype=bool)

    def shows(*names: str) -> Bools:
        return pattern.isin(names).to_numpy(dtype=bool)

    over = on("over_limit_now")
    with np.errstate(invalid="ignore"):
        rated_2 = severity >= 2
        large_rise = edge(floats(frame, "rise_similar_found_k")) >= settings.remake_rise_k
        warm = (edge(floats(frame, "rise_ambient_found_k")) >= settings.no_load_rise_k) | over
        loaded_high = (floats(frame, "s_limit") >= 3) | (floats(frame, "s_ambient") >= 3)
    hot = shows(*JOINT_HOT)
    unfair = on("beside a cold sibling") | on("reference load not compared")
    alone = rated_2 & (frame["reference"].isna().to_numpy() | unfair)
    remake = ((hot | alone) & (over | large_rise)) | (hot & states("verified", "over-torqued") & rated_2)
    return {
        "damaged": on("found_damaged"),
        "found loose": on("found_loose") & ~remake,  # what is to be remade is not tightened, found loose or not
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
        "hot cover": on("cover closed") & (over | on("warm cover")),
        "overload": on("overload"),
        "warm unloaded": on("not loaded") & warm,
        "lost phase": on("lost phase"),
        "cold": shows("one cold"),
        "all warm": shows("all warm, load explains it") & loaded_high,
        "motor imbalance": shows("load imbalance") & on("is_motor"),
        "imbalance": shows("load imbalance"),
        "investigate": rated_2,
        "under-torqued": now("under-torqued"),
        "doubtful": now("doubtful"),
        "over-torqued": now("over-torqued"),
        "unrecorded": now("unrecorded") & on("torque applies"),
        "watch": severity == 1,
        "not rated": np.isnan(severity),
    }


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


def _urgency(frame: pd.DataFrame, action: Ints) -> Ints:
    """Urgency of each row, as a place in `URGENCIES`: of the reading, of what was found, of what is to be done."""

    def on(column: str) -> Bools:
        return frame[column].to_numpy(dtype=bool)

    names = list(URGENCIES)
    by_reading = frame["reading_urgency"].to_numpy()
    soon = on("hotter before, no work since") | on("another reading was hotter") | on("found_loose")
    act = np.array([row.acts for row in ACTIONS.values()])[action]
    return np.minimum(
        by_reading,
        np.select([on("found_damaged"), soon, act], [names.index(name) for name in names[:3]], names.index(names[3])),
    )
