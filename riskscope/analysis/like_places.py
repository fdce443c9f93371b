"""By which parts of their place the connections of a circuit are told apart where the register says it of some only."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import Bools, Ints, codes, texts

PARTS = ("group", "device", "side", "point")
COLUMNS = {part: f"set {part}" for part in PARTS}


def told_apart_by(survey: pd.DataFrame, places: Mapping[str, pd.Series], registered: Bools) -> dict[str, Ints]:
    """Codes by which siblings are told apart, −1 where a part is not known.

    What the survey does not say of any reading of a circuit, and the register of some only, parts none of them from
    those it says nothing of: they count as at the one place there is. If there are several, and one of them is in no
    register, its row perhaps refused, nobody is parted by it.

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
        `COLUMNS`
    """
    key = codes(texts(survey, "survey_id"), *(places[name] for name in ("site", "equipment", "circuit")))
    made = {}
    for part, column in COLUMNS.items():
        own = texts(survey, part).notna().to_numpy()
        value = pd.factorize(places[part])[0].astype(np.int64)
        if ((value >= 0) & ~own).any():
            value = _parting(value, key, own, registered)
        made[column] = value
        key = codes(pd.Series(key), pd.Series(value))
    return made


def _parting(value: Ints, key: Ints, own: Bools, registered: Bools) -> Ints:
    """The codes of one part of the place, among readings of one circuit each."""
    unknown = value < 0

    def any_of(mask: Bools) -> Bools:
        return (np.bincount(key, mask) > 0)[key]

    most = np.full(int(key.max(initial=0)) + 1, -1)
    np.maximum.at(most, key, value)
    is_one = ~any_of(~unknown & (value != most[key]))
    left_open = any_of(unknown) & any_of(~unknown) & ~any_of(own)
    value = np.where(left_open & is_one, most[key], value)
    return np.where(left_open & ~is_one & any_of(unknown & ~registered), -1, value)
