"""The orders of work. Each is a rule a reader can redo by hand; no weights in the first."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.analysis.frames import floats, is_any, with_columns
from riskscope.schema.codes import ACTIONS

HANDS_ON, CHECKS, OTHER = (
    tuple(action.name for action in ACTIONS.values() if action.listed == listed) for listed in ("a", "b", "other")
)


def id_order(frame: pd.DataFrame) -> np.ndarray:
    return pd.factorize(frame["connection_id"], sort=True)[0]


def _high(frame: pd.DataFrame, column: str) -> np.ndarray:
    """A sort key: highest first, empty last."""
    return -np.nan_to_num(floats(frame, column), nan=-np.inf)


def by_severity(frame: pd.DataFrame) -> pd.DataFrame:
    """Connections with a reading: by severity, exceedance, id; the not rated after, by id.

    Writes ``rank``, empty where not rated.
    """
    read = frame[frame["surveyed"].to_numpy(dtype=bool)]
    order = np.lexsort((id_order(read), _high(read, "exceedance"), _high(read, "severity")))
    ranked = read.iloc[order].reset_index(drop=True)
    rated = ranked["severity"].notna().to_numpy()
    return with_columns(ranked, {"rank": np.where(rated, np.arange(1, len(ranked) + 1), np.nan)})


def retighten_first(frame: pd.DataFrame) -> pd.DataFrame:
    """Section a: hot and loose joints, `now` first, then by severity, likelihood × weight, exceedance.

    Section b: torque checks, by likelihood × weight. Writes ``section`` and ``rank``.
    """
    weight = floats(frame, "likelihood_loose") * floats(frame, "criticality") / 3.0
    frame = with_columns(frame, {"weight": weight})
    hot = frame[is_any(frame, "action", HANDS_ON)]
    order = np.lexsort(
        (
            id_order(hot),
            _high(hot, "exceedance"),
            _high(hot, "weight"),
            _high(hot, "severity"),
            (hot["urgency"] != "now").to_numpy(),
        )
    )
    checks = frame[is_any(frame, "action", CHECKS)]
    by_weight = np.lexsort((id_order(checks), _high(checks, "weight")))
    sections = [
        with_columns(part, {"section": name, "rank": np.arange(1, len(part) + 1)})
        for name, part in (("a", hot.iloc[order]), ("b", checks.iloc[by_weight]))
    ]
    return pd.concat(sections, ignore_index=True).drop(columns="weight")


def other_actions(frame: pd.DataFrame) -> pd.DataFrame:
    """Connections that need no torque tool: `now` first, then by severity, exceedance, id."""
    rows = urgent_first(frame[is_any(frame, "action", OTHER)])
    return with_columns(rows, {"rank": np.arange(1, len(rows) + 1)})


def urgent_first(rows: pd.DataFrame) -> pd.DataFrame:
    """Rows in order: `now` first, then by severity, exceedance, id."""
    order = np.lexsort(
        (id_order(rows), _high(rows, "exceedance"), _high(rows, "severity"), (rows["urgency"] != "now").to_numpy())
    )
    return rows.iloc[order].reset_index(drop=True)


def resurvey(frame: pd.DataFrame) -> pd.DataFrame:
    """Connections to survey again: by severity before the work, severity, id."""
    rows = frame[frame["resurvey"].to_numpy(dtype=bool) & frame["surveyed"].to_numpy(dtype=bool)]
    order = np.lexsort((id_order(rows), _high(rows, "severity"), _high(rows, "severity_before_work")))
    rows = rows.iloc[order].reset_index(drop=True)
    return with_columns(rows, {"rank": np.arange(1, len(rows) + 1)})


def not_surveyed(frame: pd.DataFrame) -> pd.DataFrame:
    """Connections of the register or the records without a reading, by site, equipment, id."""
    rows = frame[~frame["surveyed"].to_numpy(dtype=bool)]
    return rows.sort_values(["site", "equipment", "connection_id"], kind="stable", ignore_index=True)
