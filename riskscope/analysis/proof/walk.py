"""Readings and work of each connection in the order they came: which reading it stands on, what proof is out.

A finding is a reading that calls for something (rated 2 or worse, or urgent). It stays open until a fit reading
after work proves it, whatever is entered or read in between: a later reading that is worse evidence (not rated, not
fit, at less current) takes nothing back.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pandas as pd

from riskscope.analysis.frames import DAY_MIN, NO_DAY, Bools, Ints, days, floats, is_any, latest, taken
from riskscope.analysis.proof.before_hot import NOT_REGISTERED, Moves, before_hot
from riskscope.analysis.proof.heat import LEAST, NOW, PERHAPS_TIGHT, SOON, calls, too_cold
from riskscope.analysis.proof.visits import CLASH, OF_DEVICE, PERHAPS, REMADE, TIGHTENED
from riskscope.analysis.proof.walked import (
    IN_PART,
    LESS,
    LOW_LOAD,
    MILDER,
    MOVED,
    NOT_CURED,
    NOTHING,
    OFF_SCALE,
    OUT,
    PROVED,
    STILL_HOT,
    TOO_COLD,
    TOO_SOON,
    UNFIT,
    UNRATED,
    UNTOLD,
    Walk,
)
from riskscope.settings import Settings
from riskscope.units import Floats, edge

WORKED, LOOSE, DAMAGED = 1, 2, 3  # what was found bad and not read cool since: worked on as it takes, or not
OPEN_SEVERITY = 3  # an open finding, whatever its urgency


def walk(
    readings: pd.DataFrame,
    code: Ints,
    count: int,
    visits: pd.DataFrame,
    settings: Settings,
    released: Bools | None = None,
) -> Walk:
    """Walk through the readings and the work of every connection.

    Parameters
    ----------
    readings : DataFrame
        Assessed readings, one for each connection, survey and state between work.
    code : ndarray of int
        The connection of each reading.
    count : int
        How many connections there are.
    visits : DataFrame
        See `riskscope.analysis.proof.visits.visits`.
    released : ndarray of bool, optional
        Connections of which the work was what was asked for and is recorded right: a reading after it that is hot
        still, but asks for less, speaks of them.
    """
    made = Walk.of_nothing(count)
    told = (visits["did"] >= TIGHTENED).to_numpy() | visits[["bad", CLASH]].to_numpy(dtype=bool).any(axis=1)
    events = visits[told & ~visits[OF_DEVICE].to_numpy(dtype=bool)]
    work = events[(events["did"] >= TIGHTENED).to_numpy() | events[CLASH].to_numpy(dtype=bool)]
    day = days(readings["survey_date"])
    last_work = latest(count, work["code"].to_numpy(), work["day"].to_numpy())
    bad = np.bincount(events["code"].to_numpy()[events["bad"].to_numpy(dtype=bool)], minlength=count) > 0
    single = (np.bincount(code, minlength=count)[code] == 1) & (last_work[code] < day)
    single &= ~(bad[code] & readings[NOT_REGISTERED].to_numpy(dtype=bool))
    made.row[code[single]] = np.flatnonzero(single)
    walker = _Walker(readings, settings, made, np.zeros(count, dtype=bool) if released is None else released)
    alone, its = np.flatnonzero(single), code[single]
    made.since[its] = np.where(walker.is_open(alone), day[alone], NO_DAY)
    made.attested[its] = walker.attests(alone)
    hot = walker.is_hot(alone)  # whether it was remade before is for the record to say
    made.hot_day[its[hot]], made.hot_time[its[hot]] = day[alone[hot]], walker.time[alone[hot]]
    made.hot_first_day[its[hot]], made.hot_first_time[its[hot]] = day[alone[hot]], walker.time[alone[hot]]
    made.attested_on[its] = np.where(made.attested[its], day[alone], NO_DAY)
    walker.cools(its[made.attested[its]], alone[made.attested[its]])
    rest = np.flatnonzero(~single)
    if len(rest):
        busy = np.zeros(count, dtype=bool)
        busy[code[rest]] = True
        walker.go(rest, code[rest], events[busy[events["code"].to_numpy()]])
    return replace(made, row=np.where(np.isin(made.proof, (OUT, IN_PART)), made.finding, made.row))


class _Walker:
    """Steps through the nth event of every connection at once."""

    def __init__(self, readings: pd.DataFrame, settings: Settings, made: Walk, released: Bools) -> None:
        self.settings, self.made, self.released = settings, made, released
        self.severity = floats(readings, "severity")
        self.urgency = readings["joint_urgency"].to_numpy()
        self.of_load = (readings["reading_urgency"] < readings["joint_urgency"]).to_numpy(dtype=bool)
        remakes = ["burnt", "asks remake", *PERHAPS_TIGHT]
        self.burnt = readings[remakes].any(axis=1).to_numpy()  # a remake alone proves it
        self.asks = 2 * self.urgency + ~readings["asks remake"].to_numpy(dtype=bool)  # the less the more urgent
        self.unfit, self.cold = readings["unfit"].to_numpy(dtype=bool), too_cold(readings, settings)
        self.one_cold = is_any(readings, "pattern", ("one cold",))
        self.beside_off_scale = readings["beside off scale"].to_numpy(dtype=bool)
        self.unsure = self.unfit | self.cold | self.beside_off_scale
        self.load, self.current = floats(readings, "load_fraction"), floats(readings, "current_a")
        self.hot_load, self.hot_current = floats(readings, "hot_load_fraction"), floats(readings, "hot_current_a")
        self.day, self.time = days(readings["survey_date"]), floats(readings, "survey_time")
        self.readings = readings
        self.rises = [floats(readings, name) for name in ("rise_ambient_full_k", "rise_ambient_found_k")]
        self.temperature = floats(readings, "connection_c")
        self.heat = np.nan_to_num(self.temperature, nan=-np.inf)
        count = len(made.row)
        self.open = np.full(count, -1, dtype=np.int64)  # the finding nothing has proved yet
        self.peak = np.full(count, -1, dtype=np.int64)  # of the hot readings that stand the one at the largest current
        # Since the open finding: worked on; but what burnt not remade; perhaps worked on, but another denies it. Last:
        # what a reading burnt, the open finding or not, and was not remade since.
        self.worked, self.less, self.denied, self.scorched = (np.zeros(count, dtype=bool) for _ in range(4))
        self.did = np.zeros(count, dtype=np.int64)  # most that was done on the last day of work
        self.why_none = np.full(len(readings), -1, dtype=np.int64)  # why a reading can take nothing back, else −1
        self.remade = np.ones(count, dtype=bool)  # as far as is known, and read neither hot nor cool since
        self.hot_since = np.zeros(count, dtype=bool)  # read so after a remake since it was last found damaged
        self.bad = np.zeros(count, dtype=np.int8)  # found damaged or loose, worked on since, and no cool reading since
        self.work_day, self.work_time = np.full(count, NO_DAY), np.full(count, np.nan)

    def go(self, readings: Ints, code: Ints, visits: pd.DataFrame) -> None:
        """Readings, work and looks that found it bad, in their order: time within a day; without times a hot reading
        after the visits, a cool one before, and of readings alone the hotter last."""
        bad = np.select([visits["damaged"], visits["loose"]], [DAMAGED, LOOSE], 0).astype(np.int8)
        perhaps = (visits["did"] >= TIGHTENED).to_numpy() | visits[CLASH].to_numpy(dtype=bool)
        untimed = self._same_day_unknown(readings, code, visits[perhaps])
        hot = self.is_hot(readings)
        clock = np.where(untimed, np.where(hot, np.inf, -np.inf), np.nan_to_num(self.time[readings], nan=-1.0))
        self.moves = Moves(self.readings)
        of_them = taken(self.readings, readings), self.moves.of(readings), code, clock, self.attests(readings)
        self.why_none[readings] = before_hot(*of_them, self.settings.like_current)
        events = pd.DataFrame(
            {
                "code": np.concatenate([code, visits["code"].to_numpy()]),
                "day": np.concatenate([self.day[readings], visits["day"].to_numpy()]),
                "clock": np.concatenate([clock, np.nan_to_num(floats(visits, "time"), nan=-1.0)]),
                "row": np.concatenate([readings, np.full(len(visits), -1)]),
                "untold": np.concatenate([untimed, np.zeros(len(visits), dtype=bool)]),
                "time": np.concatenate([self.time[readings], floats(visits, "time")]),
                "heat": np.concatenate([self.heat[readings], np.full(len(visits), -np.inf)]),
                "bad": np.concatenate([np.zeros(len(readings), dtype=np.int8), bad]),
                "did": np.concatenate([np.zeros(len(readings), dtype=np.int64), visits["did"].to_numpy()]),
                "denied": np.concatenate([np.zeros(len(readings)), visits[PERHAPS]]) >= TIGHTENED,
            }
        ).sort_values(["code", "day", "clock", "heat", "time", "row"], kind="stable", ignore_index=True)
        nth = events.groupby("code", sort=False).cumcount().to_numpy()
        order = np.argsort(nth, kind="stable")
        ends = np.cumsum(np.bincount(nth))
        columns = {name: events[name].to_numpy()[order] for name in events}
        for begin, end in zip(np.append(0, ends[:-1]), ends, strict=True):
            now = {name: values[begin:end] for name, values in columns.items()}
            read = now["row"] >= 0
            self.bad[now["code"]] = np.maximum(self.bad[now["code"]], now["bad"])
            self.hot_since[now["code"][now["bad"] == DAMAGED]] = False
            worked = now["did"] >= TIGHTENED
            self._work(*(now[name][worked] for name in ("code", "day", "time", "did")))
            self.denied[now["code"][now["denied"]]] = True
            self._read(*(now[name][read] for name in ("code", "row", "untold")))

    def is_open(self, rows: Ints) -> Bools:
        """Whether these readings make a finding that is to be dealt with."""
        with np.errstate(invalid="ignore"):
            return (self.severity[rows] >= OPEN_SEVERITY) | (self.urgency[rows] <= SOON)

    def attests(self, rows: Ints) -> Bools:
        """Whether these readings are cool, and fit to say so at their load."""
        with np.errstate(invalid="ignore"):
            enough = edge(self.load[rows]) >= edge(self.settings.low_load)
            return (self.severity[rows] >= 0) & ~self.is_hot(rows) & ~self.unsure[rows] & enough

    def cools(self, code: Ints, row: Ints) -> None:
        """These readings count as cool; the first since it was hot is kept."""
        made = self.made
        first = made.cool_day[code] == NO_DAY
        made.cool_day[code] = np.where(first, self.day[row], made.cool_day[code])
        made.cool_time[code] = np.where(first, self.time[row], made.cool_time[code])

    def _same_day_unknown(self, readings: Ints, code: Ints, work: pd.DataFrame) -> Bools:
        """Readings on a day of work, before or after is not known."""
        both = pd.DataFrame({"code": code, "day": self.day[readings], "at": np.arange(len(code))}).merge(
            work[["code", "day", "time"]], on=["code", "day"]
        )
        at = both["at"].to_numpy()
        unknown = np.isnan(floats(both, "time")) | np.isnan(self.time[readings][at])
        made = np.zeros(len(code), dtype=bool)
        made[at[unknown]] = True
        return made

    def is_hot(self, rows: Ints) -> Bools:
        """Whether these readings call for something."""
        return calls(self.severity[rows], self.urgency[rows])

    def _at_least(self, later: Ints, earlier: Ints, share: float, *, while_hot: bool = False) -> Bools:
        """Whether a reading was taken at so large a share of an earlier one's current (else load), as far as known.

        Of an earlier one that was hot several times in its survey the largest counts; of the later so `while_hot`.
        """
        load, current = (self.hot_load, self.hot_current) if while_hot else (self.load, self.current)
        by_load = np.isnan(current[later]) | np.isnan(self.hot_current[earlier])
        new = np.where(by_load, load[later], current[later])
        old = np.where(by_load, self.hot_load[earlier], self.hot_current[earlier])
        with np.errstate(invalid="ignore"):
            unknown = np.isnan(old)
            known_now = np.where(unknown, load[later], new)  # of an unknown load it is not known that it was small
            enough = edge(known_now) >= edge(share * np.where(unknown, 1.0, old))
            return enough | (unknown & np.isnan(load[later]) & np.isnan(current[later]))

    def _work(self, code: Ints, day: Ints, time: Floats, did: Ints) -> None:
        """Work on a connection: the proof of an open finding is out; one that was proved is of the past."""
        made = self.made
        made.attested[code], made.cool_day[code] = False, NO_DAY
        self.did[code] = np.maximum(did, np.where(self.work_day[code] == day, self.did[code], 0))
        self.work_day[code], self.work_time[code] = day, time
        self.scorched[code[did >= REMADE]] = False
        self.remade[code[did >= REMADE]] = True
        done = (self.bad[code] == LOOSE) | ((self.bad[code] == DAMAGED) & (did >= REMADE))
        self.bad[code] = np.where(done, WORKED, self.bad[code])
        about = self.open[code] >= 0
        past = code[~about]
        made.finding[past], made.proof[past] = -1, NOTHING
        code = code[about]
        less = (self.burnt[self.open[code]] | self.scorched[code]) & (did[about] < REMADE)
        self.less[code] = less & (self.less[code] | ~self.worked[code])
        self.worked[code] = True
        made.cool_when_worked[code] = (made.row[code] >= 0) & ~self.is_hot(made.row[code])
        made.proof[code[~(made.cool_when_worked[code] & self.less[code])]] = OUT

    def _read(self, code: Ints, row: Ints, untold: Bools) -> None:
        """Readings, each of another connection; a cool one after less work than was asked is as one without work."""
        is_open, untold, hot = self.open[code] >= 0, untold.astype(bool), self.is_hot(row)
        ignored = untold & is_open & ~hot  # on a day of work, the order not known: it takes nothing back
        self.made.after[code[ignored]], self.made.why[code[ignored]] = row[ignored], UNTOLD
        made = self.made
        bad_at = np.where(is_open, self.open[code], made.row[code])[of := is_open | (self.bad[code] > 0)]
        moved = row[of][self.moves.between(bad_at, row[of])]
        self.why_none[moved] = MOVED
        proves_none = self.why_none[row] >= 0
        no_cooler = is_open & self._no_cooler(row, np.where(is_open, self.open[code], row), self.rises)
        attests = self.attests(row) & ~untold & ~self._too_soon(code, row) & ~no_cooler & ~proves_none
        made.attested[code] = attests | (made.attested[code] & ~proves_none)
        made.attested_on[code] = np.where(made.attested[code], self.day[row], made.attested_on[code])
        made.cool_day[code[hot]], made.cool_when_worked[code[hot]] = NO_DAY, False
        first = hot & self.remade[code]
        made.hot_day[code[first]], made.hot_time[code[first]] = self.day[row[first]], self.time[row[first]]
        begins = first & ~self.hot_since[code]
        made.hot_first_day[code[begins]] = self.day[row[begins]]
        made.hot_first_time[code[begins]] = self.time[row[begins]]
        self.hot_since[code] |= first
        after = self.worked[code] & is_open & ~ignored & (hot | ~self.less[code])
        before = ~after & ~ignored
        self._after_work(code[after], row[after], untold[after], no_cooler[after])
        self._before_work(code[before], row[before], attests[before])
        self.bad[code[attests & (self.bad[code] == WORKED)]] = 0
        self.remade[code[attests | (hot & ~untold)]] = False
        self.scorched[code[hot]] |= self.burnt[row[hot]]

    def _before_work(self, code: Ints, row: Ints, attests: Bools) -> None:
        """Of a reading and the one that stands the worse stands, unless the later is as good evidence."""
        made = self.made
        old = np.where(made.row[code] >= 0, made.row[code], row)
        peak = np.where(self.peak[code] >= 0, self.peak[code], old)
        hot = self.is_hot(row)
        again = (self.urgency[row] <= SOON) & self.burnt[self.open[code]]  # burnt, cooled: to be remade still
        old = np.where(hot & (self.open[code] >= 0) & (again | self.denied[code]), self.open[code], old)
        severity = np.nan_to_num(self.severity, nan=-1.0)
        share = self.settings.like_current
        like = self._at_least(row, peak, share) & self._at_least(row, old, share)
        fit = (severity[row] >= 0) & ~self.unsure[row] & like & ~self._too_soon(code, row)
        in_order = (self.day[row] != self.day[old]) | ~(np.isnan(self.time[row]) | np.isnan(self.time[old]))
        in_order &= self.why_none[row] < 0
        milder = (
            (self.urgency[old] == NOW)
            & (self.asks[row] > self.asks[old])
            & (hot | self._no_cooler(row, old, [*self.rises, self.temperature]))
        )
        fit &= (in_order & ~milder) | (row == old)
        same = self.asks[row] == self.asks[old]
        worse = (self.asks[row] < self.asks[old]) | (same & (severity[row] >= severity[old]))
        of_load = self.of_load[old] & ~(in_order & (self.load[row] > 0)) & (row != old)  # what was said of the load
        calm = ~self.is_hot(old) & (made.proof[code] != PROVED)
        stays = ((self.bad[code] > 0) & (made.row[code] >= 0)) | (self.one_cold[old] & ~fit)
        new = (fit | worse | calm) & ~(((stays & ~attests) | of_load) & ~hot)
        made.row[code] = np.where(new, row, old)
        made.after[code] = np.where(new, -1, row)
        why = self._why(row, ~in_order, UNTOLD)
        made.why[code] = np.where((why == LESS) & milder & like, MILDER, why)
        was = np.minimum(made.floor[code], np.where(made.row[code] == old, LEAST, self.urgency[old]))
        fallen = fit & (was <= SOON) & (self.urgency[row] > was)  # without work: joints can weld and cool
        made.floor[code] = np.where(fallen, SOON, made.floor[code])
        over = fit & ~hot & np.isin(made.proof[code], (NOT_CURED, OUT))
        made.proof[code[over]] = NOTHING
        self._found(code[new & hot], row[new & hot])
        self._hottest_at(code[hot & ~new], row[hot & ~new])
        self.peak[code[fit & ~hot]] = -1
        made.like_day[code[fit & ~hot]] = self.day[row[fit & ~hot]]
        cool = ~hot & np.where(self.open[code] < 0, attests, fit)
        self.cools(code[cool], row[cool])

    def _after_work(self, code: Ints, row: Ints, untold: Bools, no_cooler: Bools) -> None:
        """Hot: not cured, if it surely came after. Cool, fit and at enough current: proved, at less in part.

        A reading that is rated cool beside its siblings, but is no cooler over the air, proves nothing.
        """
        made, settings = self.made, self.settings
        finding = self.open[code]
        peak = np.where(self.peak[code] >= 0, self.peak[code], finding)
        severity = self.severity[row]
        too_soon, hot = self._too_soon(code, row), self.is_hot(row)
        with np.errstate(invalid="ignore"):
            enough_load = edge(self.load[row]) >= edge(settings.low_load)
            fit = ~np.isnan(severity) & ~self.unsure[row] & enough_load & ~too_soon & (self.why_none[row] < 0)
        enough = self._at_least(row, peak, settings.proof_current)
        enough &= self._at_least(row, finding, settings.proof_current)
        at_like = self._at_least(row, peak, settings.like_current)
        at_like &= self._at_least(row, finding, settings.like_current)
        like = fit & at_like
        cool = fit & ~hot & ~no_cooler
        proved, in_part = cool & enough, cool & ~enough
        not_cured = np.where(untold, NOTHING, NOT_CURED)
        made.proof[code] = np.select([hot, proved, in_part], [not_cured, PROVED, IN_PART], made.proof[code])
        was = np.minimum(self.urgency[finding], made.floor[code])
        worst = np.where(like, np.where(was <= SOON, SOON, LEAST), was)  # still hot: nothing proves it less than soon
        made.floor[code] = np.select([hot, proved], [worst, LEAST], made.floor[code])
        made.floor_in_doubt[code[proved & (was <= SOON)]] = SOON
        less = hot & (self.asks[row] > self.asks[finding])
        milder = less & like & (self.urgency[finding] == NOW) & ~self.released[code]
        made.eased[code[milder]] = True
        less &= ~like | milder  # the finding says more of the joint
        ends = (hot & ~less) | proved
        made.row[code[ends]], made.row[code[less]] = row[ends], finding[less]
        made.after[code] = np.where(ends, -1, row)
        why = np.where(no_cooler & fit, MILDER, self._why(row, too_soon, TOO_SOON))
        becauses = [less & untold, milder, less & ~at_like, (why == LESS) & ~enough_load]
        made.why[code] = np.select(becauses, [UNTOLD, MILDER, STILL_HOT, LOW_LOAD], why)
        self._refuted(code[less], row[less])
        self._hottest_at(code[less], row[less])
        self.worked[code[(ends | less) & ~untold]] = False
        self.open[code[proved]], self.peak[code[proved]], made.since[code[proved]] = -1, -1, NO_DAY
        self.scorched[code[proved]] = self.denied[code[proved]] = False
        self.cools(code[proved], row[proved])
        made.like_day[code[proved & at_like]] = self.day[row[proved & at_like]]
        self._found(code[hot & ~less], row[hot & ~less], cured=False)
        self.less[code] |= hot & untold & self.burnt[row] & (self.did[code] < REMADE)

    def _refuted(self, code: Ints, row: Ints) -> None:
        """These readings say that the work before them was no answer."""
        made = self.made
        made.refuted_before_day[code], made.refuted_before_time[code] = made.refuted_day[code], made.refuted_time[code]
        made.refuted_day[code], made.refuted_time[code] = self.day[row], self.time[row]

    def _no_cooler(self, later: Ints, earlier: Ints, heats: Sequence[Floats]) -> Bools:
        """Whether a reading is surely no cooler than an earlier one, by the first of these that is known of both."""
        made = np.zeros(len(later), dtype=bool)
        known = made.copy()
        for values in heats:
            both = ~known & ~np.isnan(values[later]) & ~np.isnan(values[earlier])
            with np.errstate(invalid="ignore"):
                made |= both & (edge(values[later]) >= edge(values[earlier]))
            known |= both
        return made

    def _too_soon(self, code: Ints, row: Ints) -> Bools:
        """Readings taken within minutes of the last work."""
        nights = np.where(self.work_day[code] == NO_DAY, 2, self.day[row] - self.work_day[code])
        minutes = np.where(nights <= 1, nights * DAY_MIN + self.time[row] - self.work_time[code], np.inf)
        with np.errstate(invalid="ignore"):
            return edge(minutes) < edge(self.settings.steady_min)

    def _why(self, row: Ints, other: Bools, because: int) -> Ints:
        """Why each of these readings is worse evidence, as a place in `WORSE`."""
        unrated, none = np.isnan(self.severity[row]), self.why_none[row] >= 0
        causes = [unrated, self.unfit[row], self.beside_off_scale[row], self.cold[row], none, other]
        return np.select(causes, [UNRATED, UNFIT, OFF_SCALE, TOO_COLD, self.why_none[row], because], LESS)

    def _found(self, code: Ints, row: Ints, *, cured: bool = True) -> None:
        """A reading that calls for something is the finding from now on."""
        begins = self.is_open(row) & (self.made.since[code] == NO_DAY)
        self.made.since[code] = np.where(begins, self.day[row], self.made.since[code])
        self.open[code] = self.made.finding[code] = row
        if cured:  # what was not cured is so until it is read cool or worked on again
            not_cured = self.made.proof[code] == NOT_CURED
            self.made.proof[code] = np.where(not_cured, NOT_CURED, NOTHING)
        self._hottest_at(code, row)

    def _hottest_at(self, code: Ints, row: Ints) -> None:
        """Of the readings that were hot the one at the largest current is what a later one is held against."""
        peak = self.peak[code]
        larger = (peak < 0) | self._at_least(row, peak, 1.0, while_hot=True)
        self.peak[code] = np.where(larger, row, peak)
