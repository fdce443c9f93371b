"""Invented works whose truth is known, by two physics that are not the square law: what a ranking is held to.

Every joint is tight or bad. Its heat and its cooling are worked out from current and resistance, then read with the
errors of a camera, an air thermometer and a clamp. Nothing here is taken from the method: the rise of a bad joint comes
from its contact, not from a factor on its rise.

`network`: the metal's resistance grows with its temperature, heat is lost by convection (exponent 1.25) and radiation,
and a sixth of it flows to the neighbours of the set. A bad contact adds a resistance.

`softening`: a bad contact is held near a voltage at which its metal softens, so that its heat grows with the current
rather than with its square; cooling is laminar convection alone, so that a healthy rise grows with I^1.6.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pandas as pd

from riskscope.schema.tables import Tables, refused
from riskscope.units import Floats

STATES = {  # share of joints, and of them of bad ones
    "verified": (0.42, 0.03),
    "unrecorded": (0.36, 0.30),
    "doubtful": (0.12, 0.25),
    "under-torqued": (0.05, 0.60),
    "over-torqued": (0.05, 0.05),
}
SIZES = {1: 0.06, 2: 0.10, 3: 0.80, 6: 0.04}  # members of a set, and of how many sets
PHASES = ("A", "B", "C", "L1", "L2", "L3")
ONE_FATE, TURNED_LATELY = 0.10, 0.15
LOADS = (0.08, 0.95)  # of full load; what a survey finds
LEAST_CONTACT = 0.45  # of the resistance of the tight joint: less is no bad joint
UNEQUAL = 0.1  # spread of the loads of a set, of logarithms: single-phase loads
LEVEL_SPREAD = 0.6  # of the logarithm of the rise of a set at full load
FIRST_YEAR = 2024


@dataclass(frozen=True)
class Works:
    """Tables as the intake returns them, and the truth of each joint.

    Attributes
    ----------
    tables : Tables
    truth : DataFrame
        ``connection_id bad lately record``: bad at the last survey; only since the one before it; state of its record.
    """

    tables: Tables
    truth: pd.DataFrame


Physics = Callable[[Floats, Floats, Floats, np.ndarray], Floats]


def network(share: Floats, level_k: Floats, contact: Floats, of_set: np.ndarray) -> Floats:
    """Rises by a small thermal network, solved in steps; see the module. [K]"""
    rise = level_k * share**2

    def loss(kelvin: Floats) -> Floats:
        return 0.55 * kelvin + 0.12 * np.maximum(kelvin, 0) ** 1.25 + 0.0012 * kelvin**2

    for _ in range(60):
        heat = loss(level_k) * share**2 * (1 + contact) * (1 + 0.0035 * rise) / (1 + 0.0035 * level_k)
        around = np.bincount(of_set, rise)[of_set] / np.bincount(of_set)[of_set]
        rise = rise + 0.5 * (5 * heat / 6 + loss(around) / 6 - loss(rise)) / (0.55 + 0.15 * rise**0.25 + 0.0024 * rise)
    return rise


def softening(share: Floats, level_k: Floats, contact: Floats, of_set: np.ndarray) -> Floats:
    """Rises where a bad contact is held near its softening voltage; see the module. [K]"""
    held = 0.9 * (1 - np.exp(-contact * share / 0.9)) / np.maximum(share, 1e-9)  # of a full voltage 0.9 times I R
    heat = share**2 * (1 + np.where(contact > 0, held, 0.0))
    return level_k * heat**0.8


PHYSICS: dict[str, Physics] = {"network": network, "softening": softening}


def works(seed: int, sets: int = 1000, surveys: int = 1, physics: str = "network") -> Works:
    """Works of so many sets, each surveyed so often, a year apart."""
    random = np.random.default_rng(seed)
    size = random.choice(list(SIZES), sets, p=list(SIZES.values()))
    of_set = np.repeat(np.arange(sets), size)
    nth = np.arange(len(of_set)) - np.repeat(np.cumsum(size) - size, size)
    record = random.choice(list(STATES), len(of_set), p=[share for share, _ in STATES.values()])
    chance = np.array([STATES[name][1] for name in record])
    fate = (random.random(sets) < ONE_FATE)[of_set]
    of_all = (np.bincount(of_set, chance) / size)[of_set]
    bad = np.where(fate, random.random(sets)[of_set] < of_all, random.random(len(of_set)) < chance)
    lately = bad & ~fate & (random.random(len(of_set)) < TURNED_LATELY) & (surveys > 1)
    alike = random.gamma(2.0, 0.9, sets)[of_set]
    contact = np.where(bad, np.where(fate, alike, random.gamma(2.0, 0.9, len(of_set))) + LEAST_CONTACT, 0.0)
    level = (25.0 * np.exp(random.normal(0, LEVEL_SPREAD, sets)))[of_set] * np.exp(random.normal(0, 0.05, len(of_set)))
    ids = pd.Series(np.char.mod("J%06d", np.arange(len(of_set))), dtype="str")
    parts = []
    for year in range(surveys):
        now = np.where(lately & (year < surveys - 1), 0.0, contact)
        parts.append(_read(random, year, ids, of_set, nth, level, now, PHYSICS[physics]))
    survey = pd.concat(parts, ignore_index=True)
    truth = pd.DataFrame({"connection_id": ids, "bad": bad, "lately": lately, "record": record})
    return Works(Tables({"survey": survey, **_records(ids, record)}, refused()), truth)


def _read(
    random: np.random.Generator,
    year: int,
    ids: pd.Series,
    of_set: np.ndarray,
    nth: np.ndarray,
    level: Floats,
    contact: Floats,
    physics: Physics,
) -> pd.DataFrame:
    """One survey: what a camera, an air thermometer and a clamp say of it."""
    sets, count = int(of_set.max()) + 1, len(of_set)
    share = random.uniform(*LOADS, sets)[of_set] * np.exp(random.normal(0, UNEQUAL, count))
    air = random.uniform(15, 32, sets)[of_set]
    rise = physics(share, level, contact, of_set)
    single = (np.bincount(of_set)[of_set] == 2) & (nth == 1)  # the other pole of a direct current circuit
    two = np.bincount(of_set)[of_set] == 2
    phase = np.where(two, np.where(single, "DC-", "DC+"), np.array(PHASES)[nth])
    return pd.DataFrame(
        {
            "connection_id": ids,
            "survey_date": pd.Timestamp(f"{FIRST_YEAR + year}-05-04").as_unit("us"),
            "survey_id": f"S{year}",
            "site": "Works (invented)",
            "equipment": pd.Series(np.char.mod("E%04d", of_set // 12), dtype="str"),
            "circuit": pd.Series(np.char.mod("F%05d", of_set), dtype="str"),
            "phase": pd.Series(phase, dtype="str"),
            "connection_c": np.round(air + rise + random.normal(0, np.hypot(0.5 / np.sqrt(2), 0.25), count), 1),
            "ambient_c": np.round(air + random.normal(0, 1.0, sets)[of_set], 1),
            "load_a": np.round(100 * share * np.exp(random.normal(0, 0.03, count)), 1),
            "rated_a": 100.0,
        }
    ).astype({"survey_id": "str", "site": "str"})


def _records(ids: pd.Series, record: np.ndarray) -> dict[str, pd.DataFrame]:
    """Torque records that are in these states, and the tools they were made with."""
    has = record != "unrecorded"
    applied = np.select([record == "under-torqued", record == "over-torqued"], [12.0, 28.0], 20.0)[has]
    installs = pd.DataFrame(
        {
            "connection_id": ids[has].reset_index(drop=True),
            "work_date": pd.Timestamp("2023-03-01").as_unit("us"),
            "required_low_nm": 20.0,
            "required_high_nm": 20.0,
            "applied_nm": applied,
            "tool_id": pd.Series(np.where(record[has] == "doubtful", "T9", "T1"), dtype="str"),
            "method": pd.Series("torque tool", index=range(int(has.sum())), dtype="str"),
        }
    )
    tools = pd.DataFrame(
        {
            "tool_id": pd.Series(["T1"], dtype="str"),
            "range_min_nm": 5.0,
            "range_max_nm": 100.0,
            "calibrated_on": pd.Timestamp("2023-01-01").as_unit("us"),
        }
    )
    return {"installs": installs, "tools": tools}
