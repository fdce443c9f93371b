"""The orders of work. Each is a rule a reader can redo by hand; no weights in the first.

Each gives the places of its rows in the frame, in order, and the columns that the order makes.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.analysis.frames import Bools, Ints, floats, is_any
from riskscope.results.likelihood import printed
from riskscope.schema.codes import ACTIONS, LIKELIHOODS
from riskscope.schema.notes import OFF_SCALE

HANDS_ON, CHECKS, OTHER = (
    tuple(action.name for action in ACTIONS.values() if action.listed == listed) for listed in ("a", "b", "other")
)
Listed = tuple[Ints, dict[str, object]]


def id_order(frame: pd.DataFrame) -> Ints:
    """The place of each connection in order of ids: the last key of every list."""
    return pd.factorize(frame["connection_id"], sort=True)[0]


def by_severity(frame: pd.DataFrame, ids: Ints) -> Listed:
    """Connections with a reading: by severity, exceedance, id; the not rated after, by id.

    Makes ``rank``, empty where not rated.
    """
    places = _sorted(frame, frame["surveyed"].to_numpy(dtype=bool), _worst(frame), ids)
    rated = ~np.isnan(floats(frame, "severity")[places])
    return places, {"rank": np.where(rated, np.arange(1, len(places) + 1), np.nan)}


def retighten_first(frame: pd.DataFrame, ids: Ints) -> Listed:
    """Section a: hot and loose joints, `now` first, then by likelihood in words, severity, likelihood, exceedance.

    Section b: torque checks, by likelihood × criticality. Makes ``section`` and ``rank``.
    """
    likelihood = floats(frame, "likelihood_loose")
    said = frame["likelihood"].map(LIKELIHOODS).to_numpy()
    severity, exceedance = _worst(frame)
    keys = [_not_now(frame), said, severity, _high(printed(likelihood)), exceedance]
    hot = _sorted(frame, is_any(frame, "action", HANDS_ON), keys, ids)
    checks = _sorted(frame, is_any(frame, "action", CHECKS), [_high(likelihood * floats(frame, "criticality"))], ids)
    rank = np.append(np.arange(1, len(hot) + 1), np.arange(1, len(checks) + 1))
    return np.append(hot, checks), {"section": np.repeat(["a", "b"], [len(hot), len(checks)]), "rank": rank}


def other_actions(frame: pd.DataFrame, ids: Ints) -> Listed:
    """Connections that need no torque tool: `now` first, then by severity, exceedance, id."""
    return _ranked(_sorted(frame, is_any(frame, "action", OTHER), [_not_now(frame), *_worst(frame)], ids))


def resurvey(frame: pd.DataFrame, ids: Ints) -> Listed:
    """Connections to survey again: by severity before the work, severity, id."""
    wanted = frame["resurvey"].to_numpy(dtype=bool) & frame["surveyed"].to_numpy(dtype=bool)
    keys = [_high(floats(frame, name)) for name in ("severity_before_work", "severity")]
    return _ranked(_sorted(frame, wanted, keys, ids))


def not_surveyed(frame: pd.DataFrame, ids: Ints) -> Listed:
    """Connections that are known and have no reading: what must not wait first, then by site, equipment, id."""
    unread = np.flatnonzero(~frame["surveyed"].to_numpy(dtype=bool))
    rows = frame.loc[:, ["site", "equipment", "connection_id"]].iloc[unread].reset_index(drop=True)
    rows.insert(0, "not now", _not_now(frame)[unread])
    return unread[rows.sort_values(list(rows), kind="stable").index.to_numpy()], {}


def rejected_first(rows: pd.DataFrame) -> pd.DataFrame:
    """Rows not used, first those rejected, of them those off the scale; else in their order."""
    off_scale = rows["reason"].str.contains(OFF_SCALE).to_numpy(dtype=bool)
    return rows.iloc[np.lexsort((~off_scale, rows["kind"] != "rejected"))]


def urgent_first(rows: pd.DataFrame) -> pd.DataFrame:
    """Rows in order: `now` first, then by severity, exceedance, id."""
    every = np.ones(len(rows), dtype=bool)
    places = _sorted(rows, every, [_not_now(rows), *_worst(rows)], id_order(rows))
    return rows.iloc[places].reset_index(drop=True)


def _sorted(frame: pd.DataFrame, wanted: Bools, keys: list[np.ndarray], ids: Ints) -> Ints:
    """The places of the wanted rows, by the keys, the first first, then by id."""
    places = np.flatnonzero(wanted)
    return places[np.lexsort([key[places] for key in (ids, *reversed(keys))])]


def _worst(frame: pd.DataFrame) -> list[np.ndarray]:
    return [_high(floats(frame, "severity")), _high(floats(frame, "exceedance"))]


def _high(values: np.ndarray) -> np.ndarray:
    """A sort key: highest first, empty last."""
    return -np.nan_to_num(values, nan=-np.inf)


def _not_now(frame: pd.DataFrame) -> Bools:
    return (frame["urgency"] != "now").to_numpy(dtype=bool)


def _ranked(places: Ints) -> Listed:
    return places, {"rank": np.arange(1, len(places) + 1)}
