"""From work to proof: where each connection stands, and what its work has answered of what was asked."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import NO_DAY, Bools, Ints, dates, days, floats, is_any, joined, named
from riskscope.analysis.proof.notes import put_off, told
from riskscope.analysis.proof.visits import CLASH, DONE, LOOKED, TIGHTENED, visits
from riskscope.analysis.proof.walk import IN_PART, LEAST, NEXT_OUTAGE, NOT_CURED, NOW, OUT, PROVED, SOON
from riskscope.schema.codes import ACTIONS, OPTICAL, RESURVEY_REASONS, URGENCIES, WORK_STATES
from riskscope.settings import Settings

READS = ("connection_id", "action", "rule", "urgency", "severity", "record_now", "torque applies", "proof",
         "urgency_floor", "finding_date", "finding_severity", "finding_urgency", "after_date", "reading_urgency",
         "survey_date", "survey_time", "surveyed", "last_work_date", "worked_after", "worked_same_day", "found_loose",
         "found_damaged", "remade_last", "site", "equipment", "circuit", "device", "low load", "not loaded",
         "unsteady", "cover closed", "reads cold", "beside a cold sibling", "hotter before, no work since",
         "another reading was hotter", *OPTICAL)  # fmt: skip
NOTED = ("deferred_by", "deferred_until", "deferral_reason", "is_put_off", "is_run_out", "is_put_off_long", "told",
         "told_on", "told_by", "made_safe", "limited_to_a", "made_safe_on", "made_safe_by", "is_told",
         "is_made_safe")  # fmt: skip
WRITES = ("work_state", "work_state_since", "work_beside", "asked", "work_done", "action", "rule", "urgency",
          "severity", "severity_before_work", "resurvey", "resurvey_reason", "survey_again_by", *NOTED)  # fmt: skip
NAMES = tuple(WORK_STATES)


def work_states(
    frame: pd.DataFrame, tables: Mapping[str, pd.DataFrame], settings: Settings, on: dt.date
) -> dict[str, object]:
    """The state of each connection between work and proof, and what that makes of action and urgency.

    Work that was asked for (or more) and is recorded right moves the severity to ``severity_before_work`` and asks
    for a reading; any other work leaves action, urgency and severity as they were before it.

    Reads
        `READS`; of `findings` (settled), `installs`, `deferrals` and `notices` every column.
    Writes
        `WRITES`
    """
    today = int(np.datetime64(on, "D").astype(np.int64))
    ids, proof = frame["connection_id"], frame["proof"].to_numpy()
    read = np.where(frame["surveyed"], days(frame["survey_date"]), NO_DAY)
    since = _Since(frame, visits(tables, ids, frame, today), read)
    last_work = days(frame["last_work_date"])
    notes = {**put_off(tables, ids, read, last_work, today), **told(tables, ids, np.maximum(read, last_work), today)}
    asked = frame["action"]
    acts = is_any(frame, "action", tuple(action.name for action in ACTIONS.values() if action.acts))
    hot = (floats(frame, "severity") >= 2) | (frame["reading_urgency"].to_numpy() <= SOON)
    worked = frame["worked_after"].to_numpy(dtype=bool)
    verified = (frame["record_now"] == "verified").to_numpy()
    right = verified | (~frame["torque applies"].to_numpy(dtype=bool) & since.tool)
    answered = since.answers(asked)
    seen_only = answered & (since.did == LOOKED)
    done = answered & (right | seen_only)
    done |= worked & right & ~acts & ~hot
    visited = worked | since.seen
    again = frame["found_loose"].to_numpy(dtype=bool) | frame["found_damaged"].to_numpy(dtype=bool)
    in_doubt = visited & (acts | hot) & ~done
    waits = (np.isin(proof, (OUT, IN_PART)) | (worked & hot) | seen_only) & done & ~again
    urgency = frame["urgency"].map({name: n for n, name in enumerate(URGENCIES)}).to_numpy(dtype=np.int64)
    masks = {
        "contradictory": since.contradictory,
        "not cured": proof == NOT_CURED,
        "proved": (proof == PROVED) & right & ~visited,
        "cool, record in doubt": (proof == PROVED) & ~right & ~visited,
        "proved in part": (proof == IN_PART) & waits,
        "repair in doubt": in_doubt,
        "awaiting proof": waits,
        "put off": notes["is_put_off"],
        "made safe": notes["is_made_safe"],
        "told": notes["is_told"],
        "open": acts | (urgency <= SOON),
    }
    wanting = masks["open"] | in_doubt | waits
    for name in NAMES:
        if WORK_STATES[name].beside:
            masks[name] = masks[name] & wanting
    first = np.select([masks[name] for name in NAMES], range(len(NAMES)), len(NAMES))
    settled = {name: first == n for n, name in enumerate(NAMES)}
    calm = settled["awaiting proof"] | settled["proved in part"]
    moved = (worked & ~in_doubt & ~settled["contradictory"]) | (calm & worked)
    severity = floats(frame, "severity")
    before = np.where(moved, severity, np.nan)
    urgency = np.where(settled["awaiting proof"], np.where(urgency <= SOON, SOON, LEAST), urgency)
    urgency = np.where(settled["proved in part"], SOON, urgency)
    untouched = moved & ~calm & ~settled["contradictory"]
    urgency = np.where(untouched, np.where(acts, NEXT_OUTAGE, LEAST), urgency)
    urgency = np.minimum(urgency, frame["urgency_floor"].to_numpy())
    urgency = np.where(again & frame["found_damaged"].to_numpy(dtype=bool), NOW, urgency)
    rule = frame["rule"].where(~settled["awaiting proof"], "worked after")
    rule = rule.where(~settled["proved in part"], "proved in part")
    action = asked.where(~calm, "re-survey")
    resurvey = _resurvey(frame, action, settled, worked, severity)
    return {
        "work_state": named((*NAMES, ""), first).replace("", np.nan),
        "work_state_since": _begun(frame, settled, notes, read, since.day),
        "work_beside": joined({name: masks[name] & ~settled[name] for name in NAMES if WORK_STATES[name].beside}),
        "asked": asked,
        "work_done": named(("", "checked", *DONE), np.where(visited, since.did + 1, 0)).replace("", np.nan),
        "action": action,
        "rule": rule,
        "urgency": named(URGENCIES, urgency),
        "severity": np.where(moved, np.nan, severity),
        "severity_before_work": before,
        "resurvey": np.logical_or.reduce(list(resurvey.values())),
        "resurvey_reason": joined(resurvey),
        "survey_again_by": _by_when(frame, calm, severity, last_work, settings),
        **{name: notes[name] for name in NOTED},
    }


class _Since:
    """The visits to each connection since the reading it stands on."""

    def __init__(self, frame: pd.DataFrame, every: pd.DataFrame, read: Ints) -> None:
        count, clock = len(frame), floats(frame, "survey_time")
        code, day, time = every["code"].to_numpy(), every["day"].to_numpy(), floats(every, "time")
        with np.errstate(invalid="ignore"):
            later = (day > read[code]) | ((day == read[code]) & (time > clock[code]))
        last_work = np.full(count, NO_DAY)
        works = (every["did"] >= TIGHTENED).to_numpy()
        np.maximum.at(last_work, code[works], day[works])
        self.did = np.zeros(count, dtype=np.int64)
        np.maximum.at(self.did, code[later], every["did"].to_numpy()[later])
        self.tool, self.seen, self.contradictory = (np.zeros(count, dtype=bool) for _ in range(3))
        on_last = later & works & (day == last_work[code])
        self.tool[code[on_last & every["tool"].to_numpy(dtype=bool)]] = True
        self.seen[code[later & every["seen"].to_numpy(dtype=bool)]] = True
        clash = every[CLASH].to_numpy(dtype=bool)
        self.contradictory[code[clash & (day >= last_work[code])]] = True
        self.day = np.full(count, NO_DAY)
        seen = later & (works | every["seen"].to_numpy(dtype=bool))
        np.maximum.at(self.day, code[seen], day[seen])

    def answers(self, asked: pd.Series) -> Bools:
        """Whether what was done answers what was asked, or more."""
        least = {name: n + TIGHTENED for n, name in enumerate(DONE)}
        wanted = asked.map({name: least.get(row.answer, np.nan) for name, row in ACTIONS.items()}).to_numpy(dtype=float)
        to_see = asked.isin([name for name, row in ACTIONS.items() if row.answer == "seen"]).to_numpy(dtype=bool)
        with np.errstate(invalid="ignore"):
            return (self.did >= wanted) | (to_see & self.seen)


def _begun(
    frame: pd.DataFrame, settled: Mapping[str, Bools], notes: Mapping[str, object], read: Ints, visited: Ints
) -> pd.Series:
    """Since when each connection is in its state."""
    by_work = settled["repair in doubt"] | settled["awaiting proof"] | settled["contradictory"]
    told_on, safe_on = (days(pd.Series(notes[name])) for name in ("told_on", "made_safe_on"))
    day = np.select(
        [by_work & (visited != NO_DAY), settled["proved in part"], settled["made safe"], settled["told"]],
        [visited, days(frame["after_date"]), safe_on, told_on],
        read,
    )
    any_state = np.logical_or.reduce(list(settled.values()))
    return dates(np.where(any_state, day, NO_DAY))


def _by_when(frame: pd.DataFrame, calm: Bools, severity: np.ndarray, last_work: Ints, settings: Settings) -> pd.Series:
    """Day by which work on a bad joint is to be proved."""
    with np.errstate(invalid="ignore"):
        wait = np.select([severity == 4, severity == 3], [settings.monitor_days_4, settings.monitor_days_3], 0)
    return dates(np.where(calm & (wait > 0) & (last_work != NO_DAY), last_work + wait, NO_DAY))


def _resurvey(
    frame: pd.DataFrame, action: pd.Series, settled: Mapping[str, Bools], worked: Bools, severity: np.ndarray
) -> dict[str, Bools]:
    """Reasons to survey again, each where it holds."""

    def on(column: str) -> Bools:
        return frame[column].to_numpy(dtype=bool)

    surveyed = on("surveyed")
    with np.errstate(invalid="ignore"):
        repair_first = severity >= 3
    later = (days(frame["after_date"]) != NO_DAY) & ~settled["proved in part"]
    masks = {
        "worked on after the survey": worked & ~settled["proved in part"],
        "proved at less current only": settled["proved in part"],
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
    always = {"worked on after the survey", "proved at less current only", "a later reading is worse evidence",
              "not surveyed"}  # fmt: skip
    return {name: masks[name] if name in always else masks[name] & ~worked & surveyed for name in RESURVEY_REASONS}
