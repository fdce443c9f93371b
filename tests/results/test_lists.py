"""The orders can be redone by hand."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pandas as pd

from riskscope.analysis.frames import Ints
from riskscope.results import lists as ranking
from riskscope.results.likelihood import word
from riskscope.schema.codes import ACTIONS
from riskscope.settings import Settings


def words(frame: pd.DataFrame) -> pd.Series:
    """The words of their likelihoods, where the siblings can tell."""
    return word(frame.assign(cannot_tell=None), Settings())


ROWS = pd.DataFrame(
    [
        {
            "connection_id": "a",
            "severity": 2,
            "exceedance": 0.5,
            "surveyed": True,
            "action": "retighten",
            "likelihood_loose": 0.9,
            "criticality": 3,
            "urgency": "next outage",
            "resurvey": False,
        },
        {
            "connection_id": "b",
            "severity": 4,
            "exceedance": 1.1,
            "surveyed": True,
            "action": "remake",
            "likelihood_loose": 0.2,
            "criticality": 3,
            "urgency": "soon",
            "resurvey": True,
        },
        {
            "connection_id": "c",
            "severity": np.nan,
            "exceedance": np.nan,
            "surveyed": True,
            "action": "re-survey",
            "likelihood_loose": 0.3,
            "criticality": 3,
            "urgency": "next survey",
            "resurvey": True,
        },
        {
            "connection_id": "d",
            "severity": 4,
            "exceedance": 1.3,
            "surveyed": True,
            "action": "check load",
            "likelihood_loose": 0.1,
            "criticality": 3,
            "urgency": "now",
            "resurvey": False,
        },
        {
            "connection_id": "e",
            "severity": 2,
            "exceedance": 0.5,
            "surveyed": True,
            "action": "retighten",
            "likelihood_loose": 0.5,
            "criticality": 5,
            "urgency": "next outage",
            "resurvey": False,
        },
        {
            "connection_id": "f",
            "severity": np.nan,
            "exceedance": np.nan,
            "surveyed": False,
            "action": "check torque",
            "likelihood_loose": 0.3,
            "criticality": 3,
            "urgency": "next outage",
            "resurvey": True,
        },
        {
            "connection_id": "g",
            "severity": 0,
            "exceedance": 0.0,
            "surveyed": True,
            "action": "check torque",
            "likelihood_loose": 0.25,
            "criticality": 5,
            "urgency": "next outage",
            "resurvey": False,
        },
        {
            "connection_id": "h",
            "severity": 0,
            "exceedance": 0.1,
            "surveyed": True,
            "action": "remake",
            "likelihood_loose": 0.3,
            "criticality": 3,
            "urgency": "now",
            "resurvey": False,
        },
    ]
).assign(severity_before_work=np.nan, site="s", equipment="e")
ROWS["likelihood"] = words(ROWS)


def listed_by(order: Callable[[pd.DataFrame, Ints], ranking.Listed], frame: pd.DataFrame) -> pd.DataFrame:
    """The rows of a list in its order, with the columns it makes."""
    places, made = order(frame, ranking.id_order(frame))
    return frame.iloc[places].reset_index(drop=True).assign(**made)


def test_ranking_is_by_severity_exceedance_id_and_not_rated_last() -> None:
    ranked = listed_by(ranking.by_severity, ROWS)
    assert ranked["connection_id"].tolist() == ["d", "b", "a", "e", "h", "g", "c"]
    assert ranked["rank"].tolist()[:6] == [1, 2, 3, 4, 5, 6]
    assert np.isnan(ranked["rank"].iloc[6])


def test_retighten_first_has_only_what_needs_hands_and_now_heads_it() -> None:
    """a: now first, then high (a 0.9) and medium (b, e). b: likelihood × criticality."""
    listed = listed_by(ranking.retighten_first, ROWS)
    assert listed[["section", "connection_id", "rank"]].to_numpy().tolist() == [
        ["a", "h", 1],
        ["a", "a", 2],
        ["a", "b", 3],
        ["a", "e", 4],
        ["b", "g", 1],
        ["b", "f", 2],
    ]


def test_other_lists() -> None:
    assert listed_by(ranking.other_actions, ROWS)["connection_id"].tolist() == ["d"]
    assert listed_by(ranking.resurvey, ROWS)["connection_id"].tolist() == ["b", "c"]
    assert listed_by(ranking.not_surveyed, ROWS)["connection_id"].tolist() == ["f"]


def rows(*given: dict[str, object]) -> pd.DataFrame:
    base = {
        "severity": 2.0,
        "exceedance": 0.5,
        "urgency": "next outage",
        "action": "investigate",
        "surveyed": True,
        "resurvey": True,
        "severity_before_work": np.nan,
        "site": "s",
        "equipment": "e",
        "likelihood_loose": 0.3,
        "criticality": 3.0,
    }
    made = pd.DataFrame([{**base, **row} for row in given])
    return made if "likelihood" in made else made.assign(likelihood=words(made))


def ids(frame: pd.DataFrame) -> str:
    return "".join(frame["connection_id"])


def test_other_actions_now_first_then_severity_exceedance_id() -> None:
    given = rows(
        {"connection_id": "a", "severity": np.nan},
        {"connection_id": "c"},
        {"connection_id": "b"},
        {"connection_id": "d", "exceedance": 0.6},
        {"connection_id": "e", "severity": 3.0, "exceedance": 0.1},
        {"connection_id": "f", "severity": 1.0, "urgency": "now"},
        {"connection_id": "z", "action": "retighten"},
    )
    listed = listed_by(ranking.other_actions, given)
    assert ids(listed) == "fedbca"
    assert listed["rank"].tolist() == [1, 2, 3, 4, 5, 6]


def test_every_action_stands_in_one_list() -> None:
    hands = {"retighten", "remake", "check torque"}
    assert set(ranking.OTHER) == {"check load", "check circuit", "balance load", "investigate", "inspect", "monitor"}
    assert hands | set(ranking.OTHER) | {"re-survey", "none"} == set(ACTIONS)


def test_resurvey_by_severity_before_the_work_then_severity_then_id() -> None:
    given = rows(
        {"connection_id": "a", "severity": np.nan},
        {"connection_id": "c"},
        {"connection_id": "b"},
        {"connection_id": "d", "severity": 4.0},
        {"connection_id": "e", "severity": np.nan, "severity_before_work": 3.0},
        {"connection_id": "f", "severity": np.nan, "severity_before_work": 4.0},
        {"connection_id": "y", "surveyed": False},
        {"connection_id": "z", "resurvey": False},
    )
    listed = listed_by(ranking.resurvey, given)
    assert ids(listed) == "fedbca"
    assert listed["rank"].tolist() == [1, 2, 3, 4, 5, 6]


def test_not_surveyed_by_site_board_id() -> None:
    given = rows(
        *(
            {"connection_id": c, "site": site, "equipment": board, "surveyed": False}
            for c, site, board in (("d", "t", "a"), ("b", "s", "f"), ("c", "s", "e"), ("a", "s", "f"))
        )
    )
    assert ids(listed_by(ranking.not_surveyed, given)) == "cabd"


def test_records_by_likelihood_times_criticality_then_id() -> None:
    """0.6 · 3/3 = 0.6; 0.3 · 5/3 = 0.5; 0.9 · 1/3 = 0.3; equal ones by id."""
    given = rows(
        *(
            {"connection_id": c, "action": "check torque", "likelihood_loose": p, "criticality": weight}
            for c, p, weight in (("b", 0.9, 1.0), ("c", 0.3, 5.0), ("d", 0.6, 3.0), ("a", 0.9, 1.0))
        )
    )
    assert ids(listed_by(ranking.retighten_first, given)) == "dcab"


def test_hot_joints_now_first_then_by_likelihood_in_words_severity_likelihood_exceedance_id() -> None:
    given = rows(
        *(
            {"connection_id": c, "action": "retighten", "likelihood_loose": p, "exceedance": over, "severity": s}
            for c, p, over, s in (
                ("b", 0.3, 0.5, 2),
                ("a", 0.3, 0.5, 2),
                ("c", 0.3, 0.7, 2),
                ("d", 0.4, 0.1, 2),
                ("e", 0.1, 0.1, 3),
                ("f", 0.05, 3.0, 4),
                ("g", 0.6, 0.1, 1),
            )
        ),
        {"connection_id": "h", "action": "remake", "likelihood_loose": 0.01, "urgency": "now"},
    )
    assert ids(listed_by(ranking.retighten_first, given)) == "hgedcabf"


def test_where_the_siblings_cannot_tell_it_stands_as_medium_does() -> None:
    given = rows(
        *(
            {"connection_id": c, "action": "retighten", "likelihood_loose": p, "severity": s, "likelihood": word_}
            for c, p, s, word_ in (
                ("a", 0.3, 2, "medium"),
                ("b", 0.05, 4, "siblings cannot tell"),
                ("c", 0.05, 4, "low"),
                ("d", 0.6, 1, "high"),
            )
        )
    )
    assert ids(listed_by(ranking.retighten_first, given)) == "dbac"


def test_the_severity_ranking_is_by_severity_then_exceedance_then_id() -> None:
    given = rows(
        {"connection_id": "b"},
        {"connection_id": "a"},
        {"connection_id": "c", "exceedance": 0.6},
        {"connection_id": "d", "severity": 3.0, "exceedance": 0.1},
        {"connection_id": "0", "severity": np.nan, "exceedance": 9.0},
    )
    ranked = listed_by(ranking.by_severity, given)
    assert ids(ranked) == "dcab0"
    assert ranked["rank"].iloc[:4].tolist() == [1, 2, 3, 4]
    assert np.isnan(ranked["rank"].iloc[4])
