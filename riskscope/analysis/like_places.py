"""By which parts of their place the connections of a circuit are told apart where the register says it of some only."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import Bools, Ints, codes, texts
from riskscope.schema.common import LINE_PHASES
from riskscope.schema.names import apart

PARTS = ("group", "device", "side", "point")
COLUMNS = {part: f"set {part}" for part in PARTS}
WHERE = {part: f"set {part}" for part in ("equipment", "circuit")}
LINE = "set line"


def told_apart_by(survey: pd.DataFrame, places: Mapping[str, pd.Series], registered: Bools) -> dict[str, Ints | Bools]:
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
    registered : ndarray of bool
        Readings of connections that are in the register.

    Returns
    -------
    dict
        `WHERE`, `COLUMNS`, and `LINE`: which are line phases.
    """
    made: dict[str, Ints | Bools] = {column: _alike(places[name]) for name, column in WHERE.items()}
    key = codes(texts(survey, "survey_id"), places["site"], *(pd.Series(made[column]) for column in WHERE.values()))
    for part, column in COLUMNS.items():
        own = texts(survey, part).notna().to_numpy()
        value = _alike(places[part])
        if ((value >= 0) & ~own).any():
            value = _parting(value, key, own, registered)
        made[column] = value
        key = codes(pd.Series(key), pd.Series(value))
    return {
        **made,
        LINE: _line(texts(survey, "phase").notna().to_numpy(), places["phase"], key, made["set group"] >= 0),
    }


def _alike(names: pd.Series) -> Ints:
    """A code for each name, −1 where there is none; names that read alike have one."""
    return pd.factorize(apart(names).where(names.notna()))[0].astype(np.int64)


def _line(own: Bools, phase: pd.Series, key: Ints, named: Bools) -> Bools:
    """Readings of line phases; what says none is one in a `group`, or where the register says others of its place are
    and the survey says nothing: it is compared with them, not left out."""
    line, unsaid = phase.isin(list(LINE_PHASES)).to_numpy(dtype=bool), phase.isna().to_numpy()
    return line | (unsaid & (named | (_any_of(line, key) & ~_any_of(own, key))))


def _parting(value: Ints, key: Ints, own: Bools, registered: Bools) -> Ints:
    """The codes of one part of the place, among readings of one circuit each."""
    unknown = value < 0
    most = np.full(int(key.max(initial=0)) + 1, -1)
    np.maximum.at(most, key, value)
    is_one = ~_any_of(~unknown & (value != most[key]), key)
    left_open = _any_of(unknown, key) & _any_of(~unknown, key) & ~_any_of(own, key)
    value = np.where(left_open & is_one, most[key], value)
    return np.where(left_open & ~is_one & _any_of(unknown & ~registered, key), -1, value)


def _any_of(mask: Bools, key: Ints) -> Bools:
    """For each reading whether the mask holds anywhere among those of its key."""
    return (np.bincount(key, mask) > 0)[key]
