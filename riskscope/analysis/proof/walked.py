"""What the years say of each connection: the reading it stands on, the proof of its work, how long it is held."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from riskscope.analysis.frames import NO_DAY, Bools, Ints
from riskscope.analysis.proof.heat import LEAST
from riskscope.units import Floats

NOTHING, OUT, PROVED, IN_PART, NOT_CURED = range(5)
# Why a later reading is worse evidence.
WORSE = ("at less current", "not rated", "not fit to be sure", "at too little load", "too soon after the work",
         "order of the day not known", "reads cold: a wrong reading, an open path, or its siblings are hot",
         "another reading of it was refused: it may be the hottest", "still hot, though at less current",
         "still hot, or no cooler", "hot once more in the survey before it, perhaps later",
         "read that day at another place under the same id",
         "read at another board or phase than it was hot at, under the same id: if it is the same joint, "
         "spell that one way")  # fmt: skip
LESS, UNRATED, UNFIT, LOW_LOAD, TOO_SOON, UNTOLD, TOO_COLD, OFF_SCALE, STILL_HOT = range(9)
MILDER, HOT_AGAIN, ELSEWHERE, MOVED = range(9, len(WORSE))


@dataclass(frozen=True)
class Walk:
    """What the years say of each connection.

    Attributes
    ----------
    row : ndarray of int
        The reading it stands on, among the readings; −1 without one.
    finding : ndarray of int
        The finding that the work or proof is about; −1 where there is none.
    after : ndarray of int
        The last reading after that work, or a later one that is worse evidence; −1 where there is none.
    proof : ndarray of int
        `NOTHING`, `OUT` (worked on, not proved), `PROVED`, `IN_PART` (at less current), `NOT_CURED`.
    floor : ndarray of int
        The least urgent it may be, as a place in `URGENCIES`.
    floor_in_doubt : ndarray of int
        The same while the record of its work is not right: a reading proved it, and without work it would be no less.
    why : ndarray of int
        Why the reading `after` is worse evidence, as a place in `WORSE`.
    since : ndarray of int
        Day of the first reading that is urgent or rated 3 or worse, not proved since; `NO_DAY` without one.
    attested : ndarray of bool
        A fit, cool reading came after the last work.
    attested_on : ndarray of int
        Day of the last such reading, whatever was worked on after it; `NO_DAY` without one.
    cool_day, cool_time : ndarray
        The first reading that counts as cool since it was last hot or worked on; `NO_DAY` and NaN without one.
    like_day : ndarray of int
        Day it was last read cool at like current; `NO_DAY` where it never was.
    cool_when_worked : ndarray of bool
        It was cool without work when it was last worked on, and not hot since: work that was no answer makes it no
        worse.
    hot_day, hot_time : ndarray
        When a remake was last read hot before it was read cool; `NO_DAY` and NaN where none was.
    hot_first_day, hot_first_time : ndarray
        When one was first so since it was last found damaged.
    refuted_day, refuted_time : ndarray
        When it was last read hot after work though it stands on the finding: that work answers no longer; `NO_DAY` and
        NaN where it was not.
    refuted_before_day, refuted_before_time : ndarray
        The time before that it was so.
    eased : ndarray of bool
        It stands on what must not wait, though a reading after its work asked for less and was hot still.
    """

    row: Ints
    finding: Ints
    after: Ints
    proof: Ints
    floor: Ints
    floor_in_doubt: Ints
    why: Ints
    since: Ints
    attested: Bools
    attested_on: Ints
    cool_day: Ints
    cool_time: Floats
    like_day: Ints
    cool_when_worked: Bools
    hot_day: Ints
    hot_time: Floats
    hot_first_day: Ints
    hot_first_time: Floats
    refuted_day: Ints
    refuted_time: Floats
    refuted_before_day: Ints
    refuted_before_time: Floats
    eased: Bools

    @classmethod
    def of_nothing(cls, count: int) -> Walk:
        """Before the first reading of so many connections."""
        zero, no, unknown = np.zeros(count, dtype=np.int64), np.zeros(count, dtype=bool), np.full(count, np.nan)
        never, nowhere, least = zero + NO_DAY, zero - 1, zero + LEAST
        return cls(
            row=nowhere,
            finding=nowhere.copy(),
            after=nowhere.copy(),
            proof=zero + NOTHING,
            floor=least,
            floor_in_doubt=least.copy(),
            why=zero,
            since=never,
            attested=no,
            attested_on=never.copy(),
            cool_day=never.copy(),
            cool_time=unknown,
            like_day=never.copy(),
            cool_when_worked=no.copy(),
            hot_day=never.copy(),
            hot_time=unknown.copy(),
            hot_first_day=never.copy(),
            hot_first_time=unknown.copy(),
            refuted_day=never.copy(),
            refuted_time=unknown.copy(),
            refuted_before_day=never.copy(),
            refuted_before_time=unknown.copy(),
            eased=no.copy(),
        )
