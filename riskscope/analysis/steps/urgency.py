"""How urgent each reading is by itself, and which phases may be lost."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.analysis.frames import Bools, floats, is_any, texts
from riskscope.schema.codes import URGENCIES
from riskscope.schema.common import LINE_PHASES
from riskscope.settings import Settings
from riskscope.units import edge

READS = ("severity", "pattern", "severity_as_found", "over_limit_now", "overload", "cover closed", "rise_surveyor_k",
         "cover_rise_k", "rise_ambient_found_k", "set_code", "phase", "current_a", "load_fraction",
         "circuit", "device", "equipment")  # fmt: skip
WRITES = ("reading_urgency", "joint_urgency", "warm cover", "lost phase", "is_motor")


def urgency(readings: pd.DataFrame, settings: Settings) -> dict[str, object]:
    """Urgency of each reading without its record or its history, as a place in `URGENCIES`.

    ``joint_urgency`` is that of the joint alone: a later reading of the load takes an overload or a lost phase back,
    but not what was seen of a joint at more current.

    Now: rated 4 and 4 as found, over its limit, a closed cover far above the air, a lost phase of a motor. Soon:
    rated 3 or 4, all hot beyond their load, an overload, a closed cover warmer than its like, another lost phase, a
    reading that cannot be rated far above the air.

    Reads
        `READS`
    Writes
        `WRITES`
    """
    severity, as_found = floats(readings, "severity"), floats(readings, "severity_as_found")
    rise = floats(readings, "rise_ambient_found_k")
    closed = readings["cover closed"].to_numpy(dtype=bool)
    own = floats(readings, "rise_surveyor_k")
    over_like = np.where(np.isnan(own), floats(readings, "cover_rise_k"), own)
    over = readings["over_limit_now"].to_numpy(dtype=bool)
    lost, motor = _lost_phase(readings, settings), _is_motor(readings)
    with np.errstate(invalid="ignore"):
        hot_cover = closed & (edge(rise) >= edge(settings.cover_now_k))
        warm_cover = hot_cover | (closed & (edge(over_like) >= edge(settings.cover_rise_k)))
        now = ((severity == 4) & (as_found == 4)) | over | hot_cover
        soon = (
            (severity >= 3)
            | warm_cover
            | is_any(readings, "pattern", ("all hot beyond load",))
            | (np.isnan(severity) & (edge(rise) >= edge(settings.unrated_rise_k)))
        )
        rated_2 = severity == 2
    place = [list(URGENCIES).index(name) for name in ("now", "soon", "next outage", "next survey")]
    joint = np.select([now, soon, rated_2], place[:3], place[3])
    load = np.select([lost & motor, lost | readings["overload"].to_numpy(dtype=bool)], place[:2], place[3])
    return {
        "reading_urgency": np.minimum(joint, load).astype(np.int8),
        "joint_urgency": joint.astype(np.int8),
        "warm cover": warm_cover,
        "lost phase": lost,
        "is_motor": motor,
    }


def _lost_phase(readings: pd.DataFrame, settings: Settings) -> Bools:
    """Line phases that carry under half of the largest current among the phases of their set."""
    member = readings["set_code"].to_numpy()
    line = (member >= 0) & is_any(readings, "phase", LINE_PHASES)
    without = np.zeros(int(member.max(initial=-1)) + 2, dtype=bool)
    without[member[line & np.isnan(floats(readings, "current_a"))]] = True  # sets that are compared by load
    current = np.where(without[member], floats(readings, "load_fraction"), floats(readings, "current_a"))
    line &= ~np.isnan(current)
    largest = np.zeros(len(without))
    np.maximum.at(largest, member[line], current[line])
    load = np.zeros(len(largest))
    np.maximum.at(load, member[line], np.nan_to_num(floats(readings, "load_fraction")[line]))
    loaded = edge(load[member]) >= edge(settings.reference_load_min)
    return line & loaded & (edge(current) < edge(settings.lost_phase * largest[member]))


def _is_motor(readings: pd.DataFrame) -> Bools:
    """Where circuit, device or equipment says in so many words that it is a motor's."""
    motor = np.zeros(len(readings), dtype=bool)
    for column in ("circuit", "device", "equipment"):
        code, distinct = pd.factorize(texts(readings, column))
        said = np.array(["motor" in str(name).casefold().replace("-", " ").split() for name in distinct] + [False])
        motor |= said[code]
    return motor
