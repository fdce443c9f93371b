"""Which readings may be older than heat that the walk has behind it, or has of their day in an order nobody knows."""

from __future__ import annotations

import copy
from collections.abc import Sequence

import numpy as np
import pandas as pd

from riskscope.analysis.frames import DAY_MIN, NO_DAY, Bools, Ints, codes, days, floats, texts
from riskscope.analysis.proof.walked import ELSEWHERE, HOT_AGAIN, MOVED, UNTOLD
from riskscope.schema.names import apart, lettered, phases_apart
from riskscope.schema.tables import FORMER
from riskscope.units import Floats, edge

NOT_REGISTERED = "not where it is registered"  # column of the readings
PLACES = ("equipment", "phase", "circuit", "device", "group", "side", "point")


def before_hot(readings: pd.DataFrame, moves: Moves, code: Ints, clock: Floats, cool: Bools, like: float) -> Ints:
    """Why each reading proves nothing and takes nothing back, as a place in `WORSE`; −1 where nothing is the matter.

    Parameters
    ----------
    readings : DataFrame
        ``survey_date survey_time hot_untimed_on hot_until_min``, `PLACES` and `FORMER`; of each survey the one that
        counts.
    moves : Moves
        Of these readings.
    code : ndarray of int
        The connection of each.
    clock : ndarray of float
        Its place in the walk within its day.
    cool : ndarray of bool
        Those that are fit and cool.
    like : float
        At this share of the load it was hot at, and more, a cool reading answers it. [-]
    """
    reasons = [
        also_elsewhere(readings, code),
        beside_untimed(readings, code),
        hot_once_more(readings, code, clock),
        hot_elsewhere(readings, moves, code, clock, cool, like),
    ]
    return np.select(reasons, [ELSEWHERE, UNTOLD, HOT_AGAIN, MOVED], -1)


def beside_untimed(readings: pd.DataFrame, code: Ints) -> Bools:
    """Readings of a day on which another of their connection is hot, and one of the two has no time.

    Parameters
    ----------
    readings : DataFrame
        ``survey_date survey_time hot_untimed_on hot_until_min``; of each survey the one that counts.
    code : ndarray of int
        The connection of each.
    """
    day, until = days(readings["survey_date"]), floats(readings, "hot_until_min")
    last = np.where(np.isnan(until), NO_DAY, np.nan_to_num(until) // DAY_MIN).astype(np.int64)
    no_time = np.isnan(floats(readings, "survey_time"))
    made = np.zeros(len(code), dtype=bool)
    for hot, counts in ((days(readings["hot_untimed_on"]), np.ones(len(code), dtype=bool)), (last, no_time)):
        was_hot = np.bincount(code, hot != NO_DAY)[code] > 0
        rows = np.flatnonzero(was_hot & (np.bincount(code)[code] > 1))
        key = codes(pd.Series(np.tile(code[rows], 2)), pd.Series(np.concatenate([day[rows], hot[rows]])))
        its, of_hot = np.split(key, 2)
        others = np.bincount(of_hot, hot[rows] != NO_DAY, minlength=len(key) + 1)[its] - (hot == day)[rows]
        made[rows] |= counts[rows] & (others > 0) & (day[rows] != NO_DAY)
    return made


def also_elsewhere(readings: pd.DataFrame, code: Ints) -> Bools:
    """Readings of a day on which their connection is said to stand at several places.

    Parameters
    ----------
    readings : DataFrame
        ``survey_date`` and `PLACES`.
    code : ndarray of int
        The connection of each.
    """
    made = np.zeros(len(code), dtype=bool)
    rows = pd.DataFrame({"code": code, "day": days(readings["survey_date"]), "at": np.arange(len(code))})
    rows = rows[rows.duplicated(["code", "day"], keep=False)]
    if len(rows):
        pairs = rows.merge(rows, on=["code", "day"], suffixes=("", "_its"))
        at, its = pairs["at"].to_numpy(), pairs["at_its"].to_numpy()
        made[at[Places(readings, PLACES).differ(at, its)]] = True
    return made


def hot_elsewhere(readings: pd.DataFrame, moves: Moves, code: Ints, clock: Floats, cool: Bools, like: float) -> Bools:
    """Readings after one that was hot at another board or phase, where none was cool at that one since, at so large a
    share of its load.

    Parameters
    ----------
    readings : DataFrame
        ``survey_date survey_time load_fraction hot_load_fraction hot_until_min``.
    moves : Moves
        Of these readings.
    code : ndarray of int
        The connection of each.
    clock : ndarray of float
        Its place in the walk within its day.
    cool : ndarray of bool
        Those that are fit and cool.
    like : float
        At this share of the load it was hot at, and more, a cool reading answers it. [-]
    """
    made, its_own = np.zeros(len(code), dtype=bool), np.flatnonzero(moves.several(code)[code])
    if not len(its_own):
        return made
    hot, day = ~np.isnan(floats(readings, "hot_until_min")), days(readings["survey_date"])
    rows = pd.DataFrame({"code": code[its_own], "at": its_own, "day": day[its_own], "clock": clock[its_own]})
    rows = rows.sort_values(["code", "day", "clock"], kind="stable").assign(nth=np.arange(len(rows)))
    pairs = rows[hot[rows["at"]]].merge(rows, on="code", suffixes=("", "_its"))
    pairs = pairs[pairs["nth"] < pairs["nth_its"]]
    at, its = pairs["at"].to_numpy(), pairs["at_its"].to_numpy()
    differ = moves.between(at, its)
    load, time = floats(readings, "load_fraction"), floats(readings, "survey_time")
    with np.errstate(invalid="ignore"):
        enough = edge(load[its]) >= edge(like * np.nan_to_num(floats(readings, "hot_load_fraction")[at], nan=1.0))
    in_order = (pairs["day"] != pairs["day_its"]).to_numpy() | ~(np.isnan(time[at]) | np.isnan(time[its]))
    cooled = pairs[~differ & cool[its] & enough & in_order].groupby("at")["nth_its"].min()
    elsewhere = pairs[differ]
    ended = elsewhere["at"].map(cooled) < elsewhere["nth_its"]
    made[elsewhere["at_its"][~ended]] = True
    return made


class Moves:
    """Whether readings of a connection are said to be at two boards or phases: a joint does not move between these.

    What was written down under another name may have had another board, but for a name that was read at two. Where it
    is said to be at several, nobody knows of which a reading is that says none.

    Parameters
    ----------
    readings : DataFrame
        ``id_rank equipment phase``, `NOT_REGISTERED` and `FORMER`.
    """

    def __init__(self, readings: pd.DataFrame) -> None:
        self.board, self.phase = Places(readings, ("equipment",)), Places(readings, ("phase",))
        self.former = (name := texts(readings, FORMER)).notna().to_numpy()
        named = codes(readings["id_rank"], name)
        self.at_one = ~self.board.several(named)[named]
        self.off_register = readings[NOT_REGISTERED].to_numpy(dtype=bool)

    def of(self, rows: Ints) -> Moves:
        """The same of some of the readings, by their places among those: all of each connection."""
        made = copy.copy(self)
        made.board, made.phase = self.board.of(rows), self.phase.of(rows)
        for name in ("former", "at_one", "off_register"):
            setattr(made, name, getattr(self, name)[rows])
        return made

    def several(self, code: Ints) -> Bools:
        """Connections of which the readings say several of either."""
        return self.board.several(code) | self.phase.several(code)

    def between(self, earlier: Ints, later: Ints) -> Bools:
        """Whether the connection moved from each earlier reading to the later, as far as is known; where it was never
        read before (−1), from where it is registered."""
        renamed = self.former[earlier] & ~self.former[later] & self.at_one[earlier] & self.at_one[later]
        board, phase = (places.perhaps_differ(earlier, later) for places in (self.board, self.phase))
        return np.where(earlier < 0, self.off_register[later], phase | (board & ~renamed))


class Places:
    """Where readings are said to be, to be held against each other.

    Parameters
    ----------
    readings : DataFrame
        ``id_rank``, and the columns `parts`, as far as anything is said of them.
    parts : sequence of str
        Of `PLACES`.
    """

    def __init__(self, readings: pd.DataFrame, parts: Sequence[str]) -> None:
        rank = readings["id_rank"].to_numpy()
        known = [part for part in parts if not texts(readings, part).isna().all()]
        said = {part: texts(readings, part).astype("str").reset_index(drop=True) for part in known}
        if "phase" in said:
            said["phase"] = phases_apart(said["phase"], rank)
        key = {part: lettered if part == "equipment" else apart for part in known}
        self.said = {part: pd.factorize(key[part](names).where(names.notna()))[0] for part, names in said.items()}
        self.at_several = self.several(rank)[rank]

    def of(self, rows: Ints) -> Places:
        """The same of some of the readings; see `Moves.of`."""
        made = copy.copy(self)
        made.said = {part: its[rows] for part, its in self.said.items()}
        made.at_several = self.at_several[rows]
        return made

    def several(self, code: Ints) -> Bools:
        """Connections of which the readings say several of a part."""
        made = np.zeros(int(code.max(initial=-1)) + 1, dtype=bool)
        for its in self.said.values():
            least, most = np.full(len(made), len(code)), np.full(len(made), -1)
            np.minimum.at(least, code[its >= 0], its[its >= 0])
            np.maximum.at(most, code[its >= 0], its[its >= 0])
            made |= least < most
        return made

    def differ(self, row: Ints, other: Ints) -> Bools:
        """Whether both, of one connection, say a part, and not the same."""
        made = np.zeros(len(row), dtype=bool)
        for code in self.said.values():
            made |= (code[row] >= 0) & (code[other] >= 0) & (code[row] != code[other])
        return made

    def perhaps_differ(self, row: Ints, other: Ints) -> Bools:
        """Whether they differ, or one says nothing of what its connection is said to be at several of."""
        made = self.differ(row, other)
        for code in self.said.values():
            made |= self.at_several[row] & ((code[row] < 0) != (code[other] < 0))
        return made


def hot_once_more(readings: pd.DataFrame, code: Ints, clock: Floats) -> Bools:
    """Readings behind a survey that stands in the walk by its worst reading, and was hot once more after them.

    Parameters
    ----------
    readings : DataFrame
        ``survey_date survey_time hot_until_min``; of each survey the one that counts.
    code : ndarray of int
        The connection of each.
    clock : ndarray of float
        Its place in the walk within its day.
    """
    day, until = days(readings["survey_date"]), floats(readings, "hot_until_min")
    begun = day * float(DAY_MIN) + np.nan_to_num(floats(readings, "survey_time"))
    rows = pd.DataFrame({"code": code, "at": np.arange(len(code)), "day": day, "clock": clock, "begun": begun})
    both = rows.assign(until=until)[until > begun].merge(rows, on="code", suffixes=("", "_its"))
    earlier = (both["day"] < both["day_its"]) | ((both["day"] == both["day_its"]) & (both["clock"] < both["clock_its"]))
    made = np.zeros(len(code), dtype=bool)
    made[both["at_its"][earlier & (both["until"] >= both["begun_its"])]] = True
    return made
