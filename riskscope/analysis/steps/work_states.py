"""From work to proof: where each connection stands, and what its work has answered of what was asked."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import NO_DAY, Bools, Ints, dates, days, floats, is_any, joined, latest, named, positions
from riskscope.analysis.proof.heat import LEAST, NEXT_OUTAGE, NOW, SOON
from riskscope.analysis.proof.notes import put_off, told
from riskscope.analysis.proof.visits import CLASH, DONE, LOOKED, OF_DEVICE, REMADE, TIGHTENED
from riskscope.analysis.proof.walked import IN_PART, NOT_CURED, OUT, PROVED
from riskscope.analysis.records.work_history import surely_after
from riskscope.schema.codes import ACTIONS, OPTICAL, RESURVEY_REASONS, URGENCIES, WORK_STATES
from riskscope.settings import Settings

_READ = ("connection_id", "action", "rule", "urgency", "severity", "recorded_right", "action_changed", "proof",
         "urgency_floor", "floor_in_doubt", "bad_in_doubt", "loose_put_right",
         "damage_put_right", "seen_when_cool", "after_date", "reading_urgency",
         "survey_date", "survey_time", "surveyed", "last_work_date", "worked_after", "worked_same_day", "found_loose",
         "found_damaged", "low load", "not loaded", "unsteady", "cover closed", "reads cold", "beside a cold sibling",
         "hotter before, no work since", "another reading was hotter", "current_a", "full_load_a",
         "cool_when_worked",
         "open_since", "bad_since", "refuted_on", "refuted_time", "refuted_before_on",
         "refuted_before_time", "refused_on", "refused_undated")  # fmt: skip
READS = (*_READ, *OPTICAL)
NOTED = ("deferred_by", "deferred_until", "deferral_reason", "is_put_off", "is_put_off_before",
         "is_run_out", "is_put_off_long", "is_put_off_again", "told", "told_on", "told_by", "told_before_on",
         "made_safe_before", "made_safe", "limited_to_a", "made_safe_on", "made_safe_by", "is_limit_too_high",
         "is_limit_unsaid", "is_lifted_same_day", "lifted_on", "lifted_by")  # fmt: skip
_WRITTEN = ("answered", "bad_before", "work_state", "work_state_since", "work_beside", "asked", "work_done",
            "work_done_on", "action", "rule", "urgency", "severity", "severity_before_work", "resurvey",
            "resurvey_reason", "survey_again_by", "is_overdue")  # fmt: skip
WRITES = (*_WRITTEN, *NOTED)
NAMES = tuple(WORK_STATES)
NOTHING_DONE = (None, "its device replaced", "checked")  # before what was done to the joint itself


def work_states(
    frame: pd.DataFrame, tables: Mapping[str, pd.DataFrame], every: pd.DataFrame, settings: Settings, on: dt.date
) -> dict[str, object]:
    """The state of each connection between work and proof, and what that makes of action and urgency.

    Work that was asked for (or more) and is recorded right moves the severity to ``severity_before_work`` and asks
    for a reading; any other work leaves action, urgency and severity as they were before it.

    Parameters
    ----------
    every : DataFrame
        The visits to these connections; see `riskscope.analysis.proof.visits.visits`.

    Reads
        `READS`; of `findings` (settled), `deferrals` and `notices` every column.
    Writes
        `WRITES`
    """
    today = int(np.datetime64(on, "D").astype(np.int64))
    ids = frame["connection_id"]
    read = np.where(frame["surveyed"], days(frame["survey_date"]), NO_DAY)
    since = _Since(frame, every, read)
    last_work = days(frame["last_work_date"])
    begun = days(frame["open_since"])
    begun = np.where(begun == NO_DAY, read, np.minimum(begun, read))
    notes = {
        **put_off(tables, ids, read, begun, last_work, today),
        **told(tables, ids, read, floats(frame, "current_a"), today),
    }
    work = _Work(frame, since)
    urgency = np.minimum(positions(pd.Series([*URGENCIES]), frame["urgency"]), work.floor)
    masks = work.states(notes, urgency)
    first = np.select([masks[name] for name in NAMES], range(len(NAMES)), len(NAMES))
    settled = {name: first == n for n, name in enumerate(NAMES)}
    calm = settled["awaiting proof"] | settled["proved in part"]
    moved = work.worked & ((~work.in_doubt & ~settled["contradictory"]) | calm | ~work.hot) & ~settled["not cured"]
    severity = floats(frame, "severity")
    rule = _but(
        _but(frame["rule"], settled["awaiting proof"], "worked after"), settled["proved in part"], "proved in part"
    )
    unproved = work.unproved & ~settled["proved in part"]
    rule = _but(rule, unproved, "put right")
    action = _but(frame["action"], calm | unproved, "re-survey")
    cooled = work.cooled & ~calm
    rule, action = (
        _but(_but(rule, cooled, "cooled"), cooled & ~work.was_hot, "bad before"),
        _but(action, cooled, "inspect"),
    )
    by_when = _by_when(calm, severity, since.day, settings)
    damage = work.put_right & ~work.hot & frame["damage_put_right"].to_numpy(dtype=bool)
    resurvey = _resurvey(frame, action, settled, work.worked, severity, np.asarray(notes["is_made_safe"]))
    return {
        "answered": work.answered,
        "bad_before": work.bad_before & (work.floor == SOON),
        "work_state": named((*NAMES, None), first),
        "work_state_since": _begun(frame, settled, notes, read, since.day),
        "work_beside": joined({name: masks[name] & ~settled[name] for name in NAMES if WORK_STATES[name].beside}),
        "asked": _but(_but(frame["action"], work.put_right & ~work.hot, "retighten"), damage, "remake"),
        "work_done_on": dates(since.day_of_most),
        "work_done": named((*NOTHING_DONE, *DONE), _most_done(since)),
        "action": action,
        "rule": rule,
        "urgency": named(URGENCIES, work.urgency(urgency, settled, moved & ~calm & ~work.in_doubt)),
        "severity": np.where(moved, np.nan, severity) if moved.any() else severity,
        "severity_before_work": np.where(moved, severity, np.nan) if moved.any() else np.nan,
        "resurvey": np.logical_or.reduce(list(resurvey.values())),
        "resurvey_reason": joined(resurvey),
        "survey_again_by": dates(by_when),
        "is_overdue": (by_when != NO_DAY) & (by_when < today) & ~np.asarray(notes["is_made_safe"]),
        **{name: notes[name] for name in NOTED},
        "lifted_on": pd.Series(notes["lifted_on"]).mask(calm | settled["proved"] | settled["cool, record in doubt"]),
    }


def _but(values: pd.Series, mask: Bools, other: str) -> pd.Series:
    """The values, and another where the mask holds; the same where it holds nowhere."""
    return values.where(~mask, other) if mask.any() else values


class _Work:
    """What was done about what each connection was asked for.

    Attributes
    ----------
    hot, worked, visited, in_doubt, waits : ndarray of bool
        The reading calls for something; worked on since; worked on or looked at; less than asked, or not right; it
        was as asked or more and right, and no reading has proved it.
    answered : ndarray of bool
        What was asked for was done since the reading, or more, and is recorded right, whatever was read after it; work
        that was refuted before that does not count.
    put_right : ndarray of bool
        Found loose or damaged and worked on right, and no fit, cool reading came after; that work came after the
        reading it stands on, or it was never read.
    floor : ndarray of int
        The least urgent it may be, as a place in `URGENCIES`.
    cooled, unproved, bad_before : ndarray of bool
        Held at soon though nothing else asks: a look is lacking; a fit reading is. What was found bad is why.
    """

    def __init__(self, frame: pd.DataFrame, since: _Since) -> None:
        self.frame, self.proof, self.contradictory = frame, frame["proof"].to_numpy(), since.contradictory
        self.acts = is_any(frame, "action", tuple(action.name for action in ACTIONS.values() if action.acts))
        self.hot = hot = (floats(frame, "severity") >= 2) | (frame["reading_urgency"].to_numpy() <= SOON)
        self.worked = frame["worked_after"].to_numpy(dtype=bool)
        self.right = frame["recorded_right"].to_numpy(dtype=bool)
        changed = frame["action_changed"].to_numpy(dtype=bool)
        answered = since.answers(frame["action"], changed)
        self.answered = self.right & since.answers(frame["action"], changed, since.did_before)
        perhaps_worked = frame["worked_same_day"].to_numpy(dtype=bool) & ~self.right  # after that look, not right
        only_seen = answered & (since.did == LOOKED) & ~perhaps_worked
        done = answered & (self.right | only_seen)
        done |= self.worked & self.right & ~self.acts & ~hot
        self.visited = self.worked | since.seen
        floor = by_readings = frame["urgency_floor"].to_numpy()
        floor = np.where(self.right, floor, np.minimum(floor, frame["floor_in_doubt"].to_numpy()))
        self.was_hot = floor <= SOON
        self.found_bad = frame["found_loose"].to_numpy(dtype=bool) | frame["found_damaged"].to_numpy(dtype=bool)
        put_right = frame[["loose_put_right", "damage_put_right"]].to_numpy(dtype=bool).any(axis=1) & ~self.found_bad
        unread = ~frame["surveyed"].to_numpy(dtype=bool)
        self.bad_before = frame["bad_in_doubt"].to_numpy(dtype=bool) | put_right
        floor = np.where(self.bad_before, np.minimum(floor, SOON), floor)
        seen = frame["seen_when_cool"].to_numpy(dtype=bool) & ~self.worked & ~self.found_bad & ~hot
        self.floor = np.where((floor == SOON) & seen, LEAST, floor)
        self.cooled = (self.floor == SOON) & is_any(frame, "action", ("none", "monitor", "re-survey"))
        self.unproved = self.cooled & put_right & ~self.worked  # a reading that is fit is lacking, not a look
        self.cooled &= ~self.unproved
        self.cooled |= (self.floor == SOON) & (by_readings == SOON) & is_any(frame, "action", ("check torque",))
        self.in_doubt = self.visited & (self.acts | hot) & (~done | self.found_bad)
        self.in_doubt &= self.worked | ~self.found_bad  # the look that found it was no repair
        out = np.isin(self.proof, (OUT, IN_PART)) | (self.worked & (hot | (floats(frame, "severity") >= 1))) | only_seen
        self.put_right = put_right & (self.worked | unread)
        self.waits = ((out & done) | (self.put_right & (done | ~hot))) & ~self.found_bad

    def states(self, notes: Mapping[str, object], urgency: Ints) -> dict[str, Bools]:
        """Where each work state holds."""
        proved = (self.proof == PROVED) & ~self.worked & ~self.found_bad
        masks = {
            "contradictory": self.contradictory,
            "not cured": self.proof == NOT_CURED,
            "proved": proved & self.right,
            "cool, record in doubt": proved & ~self.right,
            "proved in part": (self.proof == IN_PART) & self.waits,
            "repair in doubt": self.in_doubt,
            "awaiting proof": self.waits,
            "put off": np.asarray(notes["is_put_off"]),
            "made safe": np.asarray(notes["is_made_safe"]),
            "told": np.asarray(notes["is_told"]),
            "open": self.acts | (urgency <= SOON),
        }
        wanting = masks["open"] | self.in_doubt | self.waits
        wanting |= masks["made safe"]  # what is locked is said, whatever else is known of it
        return {name: mask & wanting if WORK_STATES[name].beside else mask for name, mask in masks.items()}

    def urgency(self, asked: Ints, settled: Mapping[str, Bools], untouched: Bools) -> Ints:
        """Urgency after the work, as a place in `URGENCIES`: of the asked one only proof or right work lowers it.

        `untouched` are those worked on though nothing hot asked for it: their reading no longer speaks of them.
        """
        made = np.where(untouched, np.where(self.acts, NEXT_OUTAGE, LEAST), asked)
        cooled = self.in_doubt & self.frame["cool_when_worked"].to_numpy(dtype=bool)  # soon before that work too
        made = np.minimum(np.where(cooled, np.maximum(made, SOON), made), self.floor)
        urgent = (asked <= SOON) | self.put_right
        made = np.where(settled["awaiting proof"], np.where(urgent, SOON, LEAST), made)
        made = np.where(settled["proved in part"], SOON, made)
        return np.where(self.frame["found_damaged"].to_numpy(dtype=bool), NOW, made)


def _most_done(since: _Since) -> Ints:
    """The most that was done since the reading, as a place in `NOTHING_DONE` and `DONE`."""
    did = since.did_in_all
    return np.where(since.seen | (did > LOOKED), did + 2, np.where(since.of_device, 1, 0))


class _Since:
    """The visits to each connection since the reading it stands on."""

    def __init__(self, frame: pd.DataFrame, every: pd.DataFrame, read: Ints) -> None:
        count, clock = len(frame), floats(frame, "survey_time")
        code, day, time = every["code"].to_numpy(), every["day"].to_numpy(), floats(every, "time")
        later = surely_after(day, time, read[code], clock[code])
        works = (every["did"] >= TIGHTENED).to_numpy()
        on_itself = works & ~every[OF_DEVICE].to_numpy(dtype=bool)
        last_work = latest(count, code[on_itself], day[on_itself])
        self.did, self.did_before, self.did_in_all = (np.zeros(count, dtype=np.int64) for _ in range(3))
        own = later & ~every[OF_DEVICE].to_numpy(dtype=bool)
        stands, stood = (
            surely_after(day, time, days(frame[f"{refuted}_on"])[code], floats(frame, f"{refuted}_time")[code])
            for refuted in ("refuted", "refuted_before")
        )
        np.maximum.at(self.did, code[own & stands], every["did"].to_numpy()[own & stands])
        np.maximum.at(self.did_in_all, code[own], every["did"].to_numpy()[own])
        np.maximum.at(self.did_before, code[own & stood], every["did"].to_numpy()[own & stood])
        self.seen, self.contradictory = (np.zeros(count, dtype=bool) for _ in range(2))
        self.seen[code[later & stands & every["seen"].to_numpy(dtype=bool)]] = True
        clash = every[CLASH].to_numpy(dtype=bool)
        self.contradictory[code[clash & (day >= last_work[code]) & (day >= read[code])]] = True
        seen = later & every["seen"].to_numpy(dtype=bool)
        of_each = later & on_itself, later & works, seen
        by_own, by_work, by_look = (latest(count, code[mask], day[mask]) for mask in of_each)
        by_work = np.where(by_own == NO_DAY, by_work, by_own)  # that its device was replaced moves no day of its work
        self.day = np.where(by_work == NO_DAY, by_look, by_work)  # nor does a look
        most = own & (every["did"].to_numpy() == self.did_in_all[code]) & (works | seen)
        self.day_of_most = latest(count, code[most], day[most])
        self.of_device = np.zeros(count, dtype=bool)
        self.of_device[code[later & ~own]] = True

    def answers(self, asked: pd.Series, changed: Bools, did: Ints | None = None) -> Bools:
        """Whether what was done answers what was asked, or more; of work that was read hot again none does.

        To look is enough where the look itself was asked for, not where a spring or a clip that is hot cannot be
        tightened (`changed`): that is renewed.
        """
        place = positions(pd.Series([*ACTIONS]), asked)
        least = {name: n + TIGHTENED for n, name in enumerate(DONE)}
        wanted = np.array([least.get(row.answer, np.nan) for row in ACTIONS.values()])[place]
        to_see = np.array([row.answer == "seen" for row in ACTIONS.values()])[place]
        with np.errstate(invalid="ignore"):
            did = self.did if did is None else did
            return (did >= wanted) | (to_see & np.where(changed, did >= REMADE, self.seen))


def _begun(
    frame: pd.DataFrame, settled: Mapping[str, Bools], notes: Mapping[str, object], read: Ints, visited: Ints
) -> pd.Series:
    """Since when each connection is in its state."""
    by_work = settled["repair in doubt"] | settled["awaiting proof"] | settled["contradictory"]
    begun, found_on = days(frame["open_since"]), days(frame["bad_since"])
    bad = frame[["found_loose", "found_damaged", "bad_in_doubt"]].any(axis=1).to_numpy(dtype=bool)
    told_on, safe_on = (days(pd.Series(notes[name])) for name in ("told_on", "made_safe_on"))
    day = np.select(
        [
            by_work & (visited != NO_DAY),
            settled["proved in part"] | (settled["not cured"] & frame["after_date"].notna().to_numpy()),
            settled["made safe"],
            settled["told"],
            settled["put off"],
            settled["open"] & (begun != NO_DAY),
            settled["open"] & bad & (found_on != NO_DAY),
        ],
        [visited, days(frame["after_date"]), safe_on, told_on, np.asarray(notes["put_off_on"]), begun, found_on],
        read,
    )
    any_state = np.logical_or.reduce(list(settled.values()))
    return dates(np.where(any_state, day, NO_DAY))


def _by_when(calm: Bools, severity: np.ndarray, visited: Ints, settings: Settings) -> Ints:
    """Day by which work on a bad joint is to be proved."""
    with np.errstate(invalid="ignore"):
        wait = np.select([severity == 4, severity == 3], [settings.monitor_days_4, settings.monitor_days_3], 0)
    return np.where(calm & (wait > 0) & (visited != NO_DAY), visited + wait, NO_DAY)


def _resurvey(
    frame: pd.DataFrame,
    action: pd.Series,
    settled: Mapping[str, Bools],
    worked: Bools,
    severity: np.ndarray,
    made_safe: Bools,
) -> dict[str, Bools]:
    """Reasons to survey again, each where it holds."""

    def on(column: str) -> Bools:
        return frame[column].to_numpy(dtype=bool)

    surveyed = on("surveyed")
    with np.errstate(invalid="ignore"):
        repair_first = severity >= 3
    hot = (frame["reading_urgency"] == NOW).to_numpy(dtype=bool)
    said = hot & (days(frame["refused_on"]) <= days(frame["survey_date"]))  # beside what must not wait
    later = (days(frame["after_date"]) != NO_DAY) & ~settled["proved in part"]
    masks = {
        "worked on after the survey": worked & ~settled["proved in part"] & ~made_safe,
        "worked on, and made safe": worked & ~settled["proved in part"] & made_safe,
        "a reading was refused": (days(frame["refused_on"]) != NO_DAY) & ~on("refused_undated") & ~said,
        "a reading of an unknown day was refused": on("refused_undated") & ~hot,
        "proved at less current only": settled["proved in part"] & ~made_safe,
        "proved at less current only, and made safe": settled["proved in part"] & made_safe,
        "a later reading is worse evidence": later & surveyed,
        "worked on the day of the survey, order unknown": on("worked_same_day"),
        "low load": on("low load") & ~repair_first,
        "optics": np.logical_or.reduce([on(flag) for flag in OPTICAL]) & ~repair_first,
        "not loaded": on("not loaded"),
        "not steady": on("unsteady"),
        "cover closed": on("cover closed"),
        "no reference": surveyed & np.isnan(severity) & ~on("not loaded") & ~on("cover closed"),
        "a sibling reads cold": on("reads cold") | on("beside a cold sibling"),
        "hotter before": on("hotter before, no work since") | on("another reading was hotter"),
        "to settle the cause": (action == "investigate").to_numpy(),
        "not surveyed": ~surveyed,
    }
    always = {"worked on after the survey", "worked on, and made safe", "proved at less current only",
              "proved at less current only, and made safe",
              "a later reading is worse evidence", "not surveyed", "a reading was refused",
              "a reading of an unknown day was refused"}  # fmt: skip
    return {name: masks[name] if name in always else masks[name] & ~worked & surveyed for name in RESURVEY_REASONS}
