"""What is due: never surveyed, to be surveyed again, past its interval, open findings, deferrals."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import NO_DAY, dates, days, floats, is_any, joined, kept, positions, take, texts
from riskscope.analysis.frames import table as get_table
from riskscope.schema.codes import DONE_RIGHT
from riskscope.settings import Settings

NO_LONGER = "no longer: lifted"
ASK = " earlier and not lifted on record: say whether it still is"
FIRST = ("made safe no longer", "deferral run out", "proof overdue", "open finding", "look again")


def due(connections: pd.DataFrame, tables: Mapping[str, pd.DataFrame], settings: Settings, on: dt.date) -> pd.DataFrame:
    """Connections that are due: what must not wait, then what is open or has run out, then the others, each in route
    order: site, equipment, id.

    The interval is 12 months, 6 for equipment in condition 3; an urgent finding makes it 3. A board
    seen whole in a survey of exceptions counts as looked at. A finding that must not wait, is to be dealt with soon or
    is of severity 3 or 4 stays open until it is proved or answered; a deferral stands beside it and hides nothing. It
    is due from the day it was found where it must not wait, else a month later.

    Parameters
    ----------
    connections : DataFrame
        From `riskscope.assess`.
    tables, settings, on
        As for `riskscope.assess`.

    Returns
    -------
    DataFrame
        ``site equipment connection_id due last_seen due_on severity urgency age_days deferred_by deferred_until
        days_left deferral_reason told told_on made_safe limited_to_a action work_state``; `due` lists the reasons, what
        is made safe no longer and a deferral that has run out first.
    """
    today = int(np.datetime64(on, "D").astype(np.int64))
    seen = _last_seen(connections, tables, today)
    months = _months(connections, tables, settings)
    due_on = _after_months(seen, months)
    severity = floats(connections, "severity")
    until = days(connections["deferred_until"])
    proof = days(connections["survey_again_by"])
    now, has_state = is_any(connections, "urgency", ("now",)), texts(connections, "work_state").notna().to_numpy()
    waits = is_any(connections, "work_state", ("awaiting proof",))
    soon = is_any(connections, "urgency", ("soon",)) & (proof == NO_DAY) & ~waits
    with np.errstate(invalid="ignore"):
        open_ = (severity >= 3) | now | soon
    begun = _open_from(connections)
    open_by = np.where(now, begun, np.where(begun == NO_DAY, NO_DAY, begun + settings.monitor_days_3))
    by = np.select([proof != NO_DAY, open_ & (open_by != NO_DAY), seen != NO_DAY], [proof, open_by, due_on], NO_DAY)
    held = (proof != NO_DAY) & connections["made_safe"].notna().to_numpy()  # who made it safe decides when it is read
    no_limit = connections[["is_limit_too_high", "is_limit_unsaid"]].to_numpy(dtype=bool).any(axis=1)
    put_off_before, put_off, run_out = connections[["is_put_off_before", "is_put_off", "is_run_out"]].to_numpy(bool).T
    reasons = {
        "made safe no longer": connections["lifted_on"].notna().to_numpy() & has_state,
        "deferral run out": run_out & has_state,
        "proof overdue": connections["is_overdue"].to_numpy(dtype=bool),
        "open finding": open_,
        "look again": open_ & (seen != NO_DAY) & (seen + _every(severity, now, settings) <= today) & (proof == NO_DAY),
        "work to be proved": ((proof != NO_DAY) | waits) & ~connections["is_overdue"].to_numpy(dtype=bool),
        "never surveyed": seen == NO_DAY,
        "survey again": connections["resurvey"].to_numpy(dtype=bool) & connections["surveyed"].to_numpy(dtype=bool),
        "past its interval": (seen != NO_DAY) & (due_on <= today),
        "put off": put_off & has_state,
        "put off before it was read": put_off_before & has_state,
        "made safe: do not restore": connections["made_safe"].notna().to_numpy() & has_state,
        "NOT made safe by its limit": no_limit & has_state & ~is_any(connections, "work_state", DONE_RIGHT),
    }
    frame = pd.DataFrame(
        {
            "site": texts(connections, "site"),
            "equipment": texts(connections, "equipment"),
            "connection_id": connections["connection_id"],
            "due": joined({name: np.asarray(mask, dtype=bool) for name, mask in reasons.items()}),
            "last_seen": dates(seen),
            "due_on": dates(np.where(held, NO_DAY, by)),
            "severity": severity,
            "urgency": connections["urgency"],
            "age_days": np.where(open_ & (begun != NO_DAY), today - begun, np.nan),
            "deferred_by": connections["deferred_by"],
            "deferred_until": connections["deferred_until"],
            "days_left": np.where((put_off | run_out) & ~put_off_before, until - today, np.nan),
            "deferral_reason": connections["deferral_reason"],
            **{name: connections[name] for name in ("told", "told_on", "limited_to_a")},
            "made_safe": _made_safe(connections),
            "action": connections["action"],
            "work_state": texts(connections, "work_state"),
        }
    )
    frame = kept(frame, np.logical_or.reduce(list(reasons.values())))
    frame = frame.sort_values(["site", "equipment", "connection_id"], kind="stable", ignore_index=True)
    out = frame["due"].str.contains("|".join(FIRST), regex=True) | (frame["urgency"] == "soon")
    place = np.select([(frame["urgency"] == "now").to_numpy(), out.to_numpy(dtype=bool)], [0, 1], 2)
    return frame.iloc[np.argsort(place, kind="stable")].reset_index(drop=True)


def _made_safe(connections: pd.DataFrame) -> pd.Series:
    """How each was made safe since its reading, or before it and not lifted, or that it is so no longer."""
    made, before = (connections[name].astype("str") for name in ("made_safe", "made_safe_before"))
    made = made.where(made.notna() | before.isna(), before + ASK)
    return made.where(connections["lifted_on"].isna(), NO_LONGER)


def _open_from(connections: pd.DataFrame) -> np.ndarray:
    """Day from which a finding has stood open: of its first reading that calls for something, or of what was seen."""
    never = np.iinfo(np.int64).max
    bad = connections[["found_loose", "found_damaged", "bad_before"]].any(axis=1).to_numpy(dtype=bool)
    read, seen = days(connections["open_since"]), np.where(bad, days(connections["bad_since"]), NO_DAY)
    first = np.minimum(np.where(read == NO_DAY, never, read), np.where(seen == NO_DAY, never, seen))
    return np.where(first == never, days(connections["survey_date"]), first)


def _every(severity: np.ndarray, now: np.ndarray, settings: Settings) -> np.ndarray:
    """Days between looks at a finding that waits for work, as its sentence has them."""
    by_severity = {4: settings.monitor_days_4, 3: settings.monitor_days_3, 2: settings.monitor_days_2}
    of_severity = np.select(
        [severity == level for level in by_severity], list(by_severity.values()), settings.monitor_days_3
    )
    return np.where(now, settings.monitor_days_4, of_severity)


def _last_seen(connections: pd.DataFrame, tables: Mapping[str, pd.DataFrame], today: int) -> np.ndarray:
    """Last day each connection was read, or its board seen whole."""
    seen = np.maximum(days(connections["survey_date"]), days(connections["after_date"]))
    inspections = get_table(tables, "inspections")
    whole = inspections[is_any(inspections, "result", ("all seen",)) & (days(inspections["survey_date"]) <= today)]
    last = whole.sort_values("survey_date", kind="stable").drop_duplicates("equipment", keep="last")
    at = positions(last["equipment"], texts(connections, "equipment"))
    return np.maximum(seen, days(take(last["survey_date"], at)))


def _months(connections: pd.DataFrame, tables: Mapping[str, pd.DataFrame], settings: Settings) -> np.ndarray:
    """Months between looks at each connection, by the condition of its equipment."""
    equipment = get_table(tables, "equipment")
    board = texts(connections, "equipment")
    condition = take(texts(equipment, "equipment_condition"), positions(equipment["equipment"], board))
    urgent = (
        connections.loc[(connections["urgency"] == "now").to_numpy(), "equipment"].dropna()
        if "equipment" in connections
        else []
    )
    poor = (condition == 3).to_numpy() | board.isin(list(urgent)).to_numpy(dtype=bool)
    return np.where(poor, settings.due_months_poor, settings.due_months)


def _after_months(day: np.ndarray, months: np.ndarray) -> np.ndarray:
    """Days since 1970 of a day so many calendar months later."""
    due = np.full(len(day), NO_DAY)
    for count in np.unique(months):
        rows = (months == count) & (day != NO_DAY)
        due[rows] = days(dates(day[rows]) + pd.DateOffset(months=int(count)))
    return due
