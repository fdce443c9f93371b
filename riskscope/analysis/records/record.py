"""The record of each connection as it stands at a moment, and whether the work on it is recorded right."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import DAY_MIN, NO_DAY, Bools, Ints, bit_names, floats, is_any, kept, named, take, texts
from riskscope.analysis.proof.visits import OF_DEVICE, TIGHTENED
from riskscope.analysis.records.judge import (
    BIT,
    DOUBTFUL,
    LOOSE_SAME_DAY,
    STATE_OF_RANK,
    UNRECORDED,
    VERIFIED,
    judge,
    selected,
)
from riskscope.analysis.records.kinds import torque_applies
from riskscope.analysis.records.required import ONLY_ASKS
from riskscope.analysis.records.work_history import begun, last_work, not_after
from riskscope.schema.codes import STATE_REASONS
from riskscope.settings import Settings
from riskscope.units import Floats

STATES_NAMED = (*STATE_OF_RANK, "found loose")
NOT_SURE = ("required torque could not be read", "earlier records require different torques")


class Record:
    """The record of each connection as it stands at a moment."""

    def __init__(
        self,
        rows: pd.DataFrame,
        every: pd.DataFrame,
        tables: Mapping[str, pd.DataFrame],
        settings: Settings,
        until: Ints,
        clock: Floats,
    ) -> None:
        count = len(until)
        self.rows, self.last = rows, (last := last_work(every, until, clock))
        chosen = selected(rows, until, clock)
        self.worst = worst = judge(rows, chosen, last.renewed, tables, settings)
        code = worst["code"].to_numpy()
        self.at, self.day = np.full(count, -1, dtype=np.int64), np.full(count, NO_DAY)
        self.at[code], self.day[code] = worst["row"], worst["day"]
        rank, reasons = np.full(count, UNRECORDED), np.full(count, BIT["no tightening on record"])
        rank[code], reasons[code] = worst["rank"], worst["reasons"]
        any_work = np.maximum(last.day, last.opened)
        self.begun = begun(rows.iloc[chosen], count)
        with np.errstate(invalid="ignore"):
            later_that_day = (last.day == self.day) & (last.untold > self.begun)
            later_that_day |= (np.maximum(last.opened, last.day) == self.day) & (last.opened_time > self.begun)
            between = (last.day == self.day) & (last.loose_time > self.begun)
        untold = ((any_work > self.day) | later_that_day) & (any_work != NO_DAY)
        rank = np.where(untold, UNRECORDED, rank)
        reasons = np.where(untold, BIT["worked on since without a torque record"], reasons)
        reasons = np.where(last.found_loose, reasons | BIT["found loose since the last work"], reasons)
        either = (last.loose_same_day | between) & ~last.found_loose
        reasons = np.where(either, reasons | BIT[LOOSE_SAME_DAY], reasons)
        rank = np.where(either & (rank == VERIFIED), DOUBTFUL, rank)
        self.rank, self.reasons = np.where(last.found_loose, len(STATE_OF_RANK), rank), reasons

    def begun_on(self) -> Floats:
        """When the last work on each began, without a time at the begin of its day; −inf where there was none.
        [days since 1970]"""
        time = np.where(self.last.day == self.day, self.begun, self.last.time)
        moment = self.last.day + np.nan_to_num(time / DAY_MIN)
        return np.where(self.last.day == NO_DAY, -np.inf, moment)

    def doubt(self, mask: Bools, reason: str) -> None:
        """What else makes these records doubtful."""
        self.rank = np.where(mask & (self.rank == VERIFIED), DOUBTFUL, self.rank)
        self.reasons = np.where(mask, self.reasons | BIT[reason], self.reasons)

    def in_words(self) -> tuple[pd.Series, pd.Series]:
        """Its state and all reasons for it."""
        return named(STATES_NAMED, self.rank), bit_names(self.reasons, list(STATE_REASONS))

    def when_read(self) -> tuple[pd.Series, pd.Series]:
        """The same as if that were not there by which it is not sure what is required: what was too hot though tight is
        not mended by tightening."""
        sure = self.reasons & ~sum(BIT[reason] for reason in NOT_SURE)
        tight = (self.rank == DOUBTFUL) & (sure == 0)
        rank, reasons = np.where(tight, VERIFIED, self.rank), np.where(tight, sure, self.reasons)
        return named(STATES_NAMED, rank), bit_names(reasons, list(STATE_REASONS))

    def applied(self) -> Floats:
        """The torque of the record. [N·m]"""
        return take(texts(self.rows, "applied_nm"), self.at).to_numpy(dtype=float)

    def right(self, joints: pd.DataFrame) -> Bools:
        """Where the last work is recorded right: its torque, or of what is not screwed its die."""
        screwed = torque_applies(joints)
        can_shear = screwed | is_any(joints, "termination_kind", ("shear bolt",))
        torque = (self.rank == VERIFIED) & (can_shear | ~np.isnan(self.applied()))
        return torque | (~screwed & self.last.die)


def records_at(
    rows: pd.DataFrame,
    every: pd.DataFrame,
    code: Ints,
    tables: Mapping[str, pd.DataFrame],
    settings: Settings,
    until: Ints,
    clock: Floats,
    *,
    as_known: bool,
) -> Record:
    """The record at each of these moments, of the connection with this code; several may be of one connection.

    Whether that is by what was known of it then (`as_known`), or what was found to be required since counts too.
    """
    moments = pd.DataFrame({"code": code, "moment": np.arange(len(code))})

    def of_each(records: pd.DataFrame) -> pd.DataFrame:
        """The records of every moment, so that each has a record of its own."""
        return records.merge(moments, on="code").drop(columns="code").rename(columns={"moment": "code"})

    its = of_each(rows)
    its = known_then(its, until, clock) if as_known else its
    return Record(its, of_each(every), tables, settings, until, clock)


def known_then(rows: pd.DataFrame, until: Ints, clock: Floats) -> pd.DataFrame:
    """The rows without what was only found to be required after these moments."""
    asks = is_any(rows, ONLY_ASKS, ("yes",))
    if not asks.any():
        return rows
    code = rows["code"].to_numpy()
    return kept(rows, ~asks | not_after(rows["day"].to_numpy(), floats(rows, "work_time"), until[code], clock[code]))


def right_days(
    now: Record,
    every: pd.DataFrame,
    which: Bools,
    joints: pd.DataFrame,
    tables: Mapping[str, pd.DataFrame],
    settings: Settings,
) -> tuple[Ints, Ints]:
    """Of these connections every day of work that is recorded right: codes, and days since 1970."""
    work = (every["did"] >= TIGHTENED).to_numpy() & ~every[OF_DEVICE].to_numpy(dtype=bool)
    moments = every.loc[work & which[every["code"]], ["code", "day"]].drop_duplicates()
    code, day = moments["code"].to_numpy(), moments["day"].to_numpy()
    if not len(code):
        return code, day
    no_time = np.full(len(code), np.nan)
    made = records_at(now.rows, every, code, tables, settings, day + 1, no_time, as_known=False)
    right = made.right(joints.iloc[code])
    return code[right], day[right]
