"""The orders can be redone by hand."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.analysis import ranking

ROWS = pd.DataFrame([
    {"connection_id": "a", "severity": 2, "exceedance": 0.5, "surveyed": True, "action": "retighten", "likelihood_loose": 0.9, "criticality": 3, "urgency": "next outage", "resurvey": False},
    {"connection_id": "b", "severity": 4, "exceedance": 1.1, "surveyed": True, "action": "remake", "likelihood_loose": 0.2, "criticality": 3, "urgency": "soon", "resurvey": True},
    {"connection_id": "c", "severity": np.nan, "exceedance": np.nan, "surveyed": True, "action": "re-survey", "likelihood_loose": 0.3, "criticality": 3, "urgency": "next survey", "resurvey": True},
    {"connection_id": "d", "severity": 4, "exceedance": 1.3, "surveyed": True, "action": "check load", "likelihood_loose": 0.1, "criticality": 3, "urgency": "now", "resurvey": False},
    {"connection_id": "e", "severity": 2, "exceedance": 0.5, "surveyed": True, "action": "retighten", "likelihood_loose": 0.5, "criticality": 5, "urgency": "next outage", "resurvey": False},
    {"connection_id": "f", "severity": np.nan, "exceedance": np.nan, "surveyed": False, "action": "check torque", "likelihood_loose": 0.3, "criticality": 3, "urgency": "next outage", "resurvey": True},
    {"connection_id": "g", "severity": 0, "exceedance": 0.0, "surveyed": True, "action": "check torque", "likelihood_loose": 0.25, "criticality": 5, "urgency": "next outage", "resurvey": False},
    {"connection_id": "h", "severity": 0, "exceedance": 0.1, "surveyed": True, "action": "remake", "likelihood_loose": 0.3, "criticality": 3, "urgency": "now", "resurvey": False},
]).assign(severity_before_work=np.nan, site="s", equipment="e")  # fmt: skip


def test_ranking_is_by_severity_exceedance_id_and_not_rated_last() -> None:
    ranked = ranking.by_severity(ROWS)
    assert ranked["connection_id"].tolist() == ["d", "b", "a", "e", "h", "g", "c"]
    assert ranked["rank"].tolist()[:6] == [1, 2, 3, 4, 5, 6]
    assert np.isnan(ranked["rank"].iloc[6])


def test_retighten_first_has_only_what_needs_hands_and_now_heads_it() -> None:
    """a: now first, then severity, likelihood × criticality / 3. b: likelihood × criticality / 3."""
    listed = ranking.retighten_first(ROWS)
    assert listed[["section", "connection_id", "rank"]].to_numpy().tolist() == [
        ["a", "h", 1], ["a", "b", 2], ["a", "a", 3], ["a", "e", 4], ["b", "g", 1], ["b", "f", 2],
    ]  # fmt: skip


def test_other_lists() -> None:
    assert ranking.other_actions(ROWS)["connection_id"].tolist() == ["d"]
    assert ranking.resurvey(ROWS)["connection_id"].tolist() == ["b", "c"]
    assert ranking.not_surveyed(ROWS)["connection_id"].tolist() == ["f"]
