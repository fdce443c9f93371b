"""Which connections run alike: by which parts of their place they are told apart, of what conductor they are."""

from __future__ import annotations

import re
from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import Bools, Ints, any_of, codes, texts
from riskscope.schema.common import LINE_PHASES
from riskscope.schema.names import apart

PARTS = ("group", "device", "side", "point")
COLUMNS = {part: f"set {part}" for part in PARTS}
WHERE = {part: f"set {part}" for part in ("equipment", "circuit")}
LINE, LUGS = "set line", "set lugs"
MADE_OF = {name: f"set {name}" for name in ("conductor_material", "conductor_size")}
POLES, NEUTRAL = ("DC+", "DC-"), "N"
_NO_SIZE = re.compile(r"[^0-9a-z/.]|mm2?$|sqmm$|awg$|kcmil$|mcm$")


def told_apart_by(
    survey: pd.DataFrame, places: Mapping[str, pd.Series], register: pd.DataFrame, at: Ints
) -> dict[str, Ints | Bools]:
    """Codes by which siblings are told apart, −1 where a part is not known.

    What the survey does not say of any reading of a circuit, and the register of some only, parts none of them from
    those it says nothing of: they count as at the one place there is. If there are several, and one of them is in no
    register, its row perhaps refused, nobody is parted by it. Names that differ only in a blank or hyphen between a
    letter and a digit are one: F 1 is F1, and MCC-1 MCC1, but 1.1 is not 11.

    Parameters
    ----------
    survey : DataFrame
        The readings as the survey says them.
    places : mapping of str to Series
        The same readings' places, what the survey leaves empty filled from the register.
    register : DataFrame
    at : ndarray of int
        The row of the register of each reading; −1 where there is none.

    Returns
    -------
    dict
        `WHERE`, `COLUMNS`; `LINE`: which are line phases, or the two wires of a circuit that has no more; `LUGS`: a
        code of the lugs of one phase at one side of a device, −1 of what is none.
    """
    registered = at >= 0
    made: dict[str, Ints | Bools] = {column: _alike(places[name]) for name, column in WHERE.items()}
    key = codes(texts(survey, "survey_id"), places["site"], *(pd.Series(made[column]) for column in WHERE.values()))
    for part, column in COLUMNS.items():
        own = texts(survey, part).notna().to_numpy()
        value = _alike(places[part])
        if ((value >= 0) & ~own).any():
            value = _parting(value, key, own, registered)
        made[column] = value
        key = codes(pd.Series(key), pd.Series(value))
    phase = places["phase"]
    line = _line(texts(survey, "phase").notna().to_numpy(), phase, key, made["set group"] >= 0)
    return {**made, LINE: line | _two_wires(phase, key, register, at), LUGS: _lugs(made, phase, places["point"], key)}


def conductor(material: pd.Series, size: pd.Series) -> dict[str, Ints]:
    """Codes of what the conductors are, −1 where that is not known; sizes are one whatever their blanks or unit."""
    if size.notna().any():
        size = size.astype("str").str.normalize("NFKC").str.casefold().str.replace(_NO_SIZE, "", regex=True)
    return {column: _coded(values) for column, values in zip(MADE_OF.values(), (material, size), strict=True)}


def _coded(names: pd.Series) -> Ints:
    """A code for each name, −1 where there is none."""
    return np.full(len(names), -1) if names.isna().all() else pd.factorize(names)[0].astype(np.int64)


def _two_wires(phase: pd.Series, key: Ints, register: pd.DataFrame, at: Ints) -> Bools:
    """The poles of a direct current circuit that has no third wire, and line and neutral where the register has both
    and no other line phase at their place."""
    pole, neutral = (phase.isin(list(names)).to_numpy(dtype=bool) for names in (POLES, (NEUTRAL,)))
    made = np.zeros(len(phase), dtype=bool)
    if not (pole | neutral).any():
        return made
    line = phase.isin(list(LINE_PHASES)).to_numpy(dtype=bool)
    both = np.logical_and.reduce([any_of((phase == name).to_numpy(dtype=bool), key) for name in POLES])
    made |= pole & both & ~any_of(line | neutral, key)
    single = _single_phase(register)
    if single.any():
        known = (at >= 0) & single[np.where(at < 0, 0, at)]
        made |= neutral & known & ~any_of((line | neutral) & ~known, key) & _is_one(phase, line, key)
    return made


def _single_phase(register: pd.DataFrame) -> Bools:
    """Rows of the register of circuits of which it has one line phase and the neutral, and no more line phases."""
    phase = texts(register, "phase")
    named = texts(register, "circuit").notna() | texts(register, "device").notna() | texts(register, "group").notna()
    place = codes(*(pd.Series(_alike(texts(register, name))) for name in ("site", *WHERE, *PARTS)))
    line, neutral = phase.isin(list(LINE_PHASES)).to_numpy(dtype=bool), (phase == NEUTRAL).to_numpy(dtype=bool)
    unsaid = any_of(phase.isna().to_numpy(), place)
    return named.to_numpy() & (line | neutral) & any_of(neutral, place) & _is_one(phase, line, place) & ~unsaid


def _is_one(phase: pd.Series, line: Bools, key: Ints) -> Bools:
    """Where the line phases of a place are one and the same."""
    code = pd.factorize(phase)[0]
    most, least = np.full(int(key.max(initial=0)) + 1, -1), np.full(int(key.max(initial=0)) + 1, len(code))
    np.maximum.at(most, key[line], code[line])
    np.minimum.at(least, key[line], code[line])
    return (most == least)[key]


def _lugs(made: Mapping[str, Ints | Bools], phase: pd.Series, point: pd.Series, key: Ints) -> Ints:
    """A code for the lugs of one phase at one side of one device."""
    where = (made[COLUMNS["device"]] >= 0) & (made[COLUMNS["side"]] >= 0)
    lug = where & phase.isin(list(LINE_PHASES)).to_numpy() & (point.isna() | (point == "termination")).to_numpy()
    return np.where(lug, codes(pd.Series(key), phase), -1) if lug.any() else np.full(len(key), -1)


def _alike(names: pd.Series) -> Ints:
    """A code for each name, −1 where there is none; names that read alike have one."""
    return _coded(names if names.isna().all() else apart(names).where(names.notna()))


def _line(own: Bools, phase: pd.Series, key: Ints, named: Bools) -> Bools:
    """Readings of line phases; what says none is one in a `group`, or where the register says others of its place are
    and the survey says nothing: it is compared with them, not left out."""
    line, unsaid = phase.isin(list(LINE_PHASES)).to_numpy(dtype=bool), phase.isna().to_numpy()
    return line | (unsaid & (named | (any_of(line, key) & ~any_of(own, key))))


def _parting(value: Ints, key: Ints, own: Bools, registered: Bools) -> Ints:
    """The codes of one part of the place, among readings of one circuit each."""
    unknown = value < 0
    most = np.full(int(key.max(initial=0)) + 1, -1)
    np.maximum.at(most, key, value)
    is_one = ~any_of(~unknown & (value != most[key]), key)
    left_open = any_of(unknown, key) & any_of(~unknown, key) & ~any_of(own, key)
    value = np.where(left_open & is_one, most[key], value)
    return np.where(left_open & ~is_one & any_of(unknown & ~registered, key), -1, value)
