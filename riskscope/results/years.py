"""What the years say of an assessment, as result tables: due, slopes, effects of work, tools in doubt, gaps."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np
import pandas as pd

from riskscope.analysis.assessment import Assessment
from riskscope.analysis.frames import with_columns
from riskscope.analysis.years import effects as of_work
from riskscope.analysis.years.due import due as find_due
from riskscope.analysis.years.recall import out_of_tolerance, tightened_with
from riskscope.analysis.years.slopes import DAYS_A_YEAR, at_latest_load
from riskscope.analysis.years.slopes import trends as find_trends
from riskscope.errors import known_name
from riskscope.results.describe import described
from riskscope.results.lists import urgent_first
from riskscope.results.tables import typed
from riskscope.results.work import stands, why_and_where
from riskscope.schema import results as schema
from riskscope.schema.codes import DONE_RIGHT, URGENCIES
from riskscope.schema.notes import NOBODY_KNOWS
from riskscope.words.render import Units, amount

URGENT = ("now", "soon")  # no date is told for what waits for none
MOST_NAMED = 6


def due(assessment: Assessment) -> pd.DataFrame:
    """What is due on the day of the assessment, what must not wait first, then in route order: table `due`."""

    def make() -> pd.DataFrame:
        made = find_due(assessment.connections, assessment.tables, assessment.settings, assessment.on)
        return typed(made, schema.DUE)

    return assessment.remember("due", make)


def due_in_words(assessment: Assessment, units: Units) -> pd.DataFrame:
    """What is due, with where each stands in words (``work``), and why with the days a finding is open (``why``)."""
    rows = due(assessment)
    said = described(assessment, units).set_index("connection_id")["work"]
    age = (" for " + rows["age_days"].astype("str") + " days").where(rows["age_days"].notna(), "")
    parts = rows["due"].str.partition("open finding")
    why = parts[0] + parts[1] + age.where(parts[1] != "", "") + parts[2]
    return with_columns(rows, {"work": said.reindex(rows["connection_id"]).to_numpy(), "why": why})


def trends(assessment: Assessment) -> pd.DataFrame:
    """How the rise of each connection has gone since its last work, steepest first: table `trend`."""

    def make() -> pd.DataFrame:
        rows, given = assessment.connections, (assessment.criteria, assessment.settings, assessment.on)
        urgent = rows["connection_id"][rows["urgency"].isin(URGENT)]
        made = find_trends(assessment.readings, _works(assessment), *given, urgent.tolist())
        order = ["slope_k_per_year", "change_k", "connection_id"]
        return typed(made.sort_values(order, ascending=[False, False, True], kind="stable"), schema.TREND)

    return assessment.remember("trends", make)


def effects(assessment: Assessment) -> pd.DataFrame:
    """What each piece of work has done: table `work_done`."""

    def make() -> pd.DataFrame:
        made = of_work.work_effects(assessment.readings, _works(assessment), assessment.settings)
        return typed(made, schema.WORK_DONE)

    return assessment.remember("effects", make)


def share_cured(assessment: Assessment) -> pd.DataFrame:
    """How much of each kind of work has cured; see `riskscope.analysis.years.effects.share_cured`."""
    return of_work.share_cured(effects(assessment))


def bands_before(assessment: Assessment) -> pd.DataFrame:
    """How many have each severity now and at the reading before; see `riskscope.analysis.years.effects`."""
    return assessment.remember("bands before", lambda: of_work.bands_before(assessment.readings))


def standing(assessment: Assessment, units: Units) -> pd.DataFrame:
    """Every connection that stands between work and proof: the most urgent first, then by severity."""
    rows = described(assessment, units)
    rows = urgent_first(rows[rows["work_state"].notna()])
    place = rows["urgency"].map({name: n for n, name in enumerate(URGENCIES)})
    return rows.iloc[np.argsort(place, kind="stable")].reset_index(drop=True)


def standing_marked(assessment: Assessment, units: Units) -> pd.DataFrame:
    """`standing` with ``why`` and ``noted``: yes where it is put off, told or made safe."""
    rows = standing(assessment, units)
    is_noted = rows["connection_id"].isin(noted(assessment, units)["connection_id"])
    return with_columns(rows, {"why": why_and_where(rows), "noted": is_noted.map({True: "yes", False: "no"})})


def noted(assessment: Assessment, units: Units) -> pd.DataFrame:
    """Connections that are put off, told or made safe, what has run out first: with ``days_left`` of a deferral."""

    def make() -> pd.DataFrame:
        rows = standing(assessment, units)
        put_off = rows[["is_put_off", "is_put_off_before", "is_run_out"]].any(axis=1).to_numpy(dtype=bool)
        said = stands(rows, "told") | stands(rows, "made safe")
        said |= rows[["lifted_on", "made_safe_before"]].notna().any(axis=1).to_numpy(dtype=bool)
        said |= rows[["is_limit_too_high", "is_limit_unsaid"]].any(axis=1).to_numpy(dtype=bool)
        rows, put_off = (part[put_off | said] for part in (rows, put_off))
        left = (rows["deferred_until"] - pd.Timestamp(assessment.on)).dt.days
        rows = with_columns(rows, {"days_left": left.where(put_off & ~rows["is_put_off_before"])})
        out = rows["is_run_out"].to_numpy(dtype=bool) | rows["lifted_on"].notna().to_numpy()
        return rows.iloc[np.argsort(~out, kind="stable")].reset_index(drop=True)

    return assessment.remember(("noted", units), make)


def out_of_use(assessment: Assessment, units: Units) -> list[str]:
    """The connections that are out of use by the register, a sentence each: since when, who says so, how they stood."""
    rows = assessment.retired
    if not len(rows):
        return []
    rows = rows.sort_values("connection_id").to_dict("records")
    return [
        f"{row['connection_id']}: since {amount(row['retired_on'], 'day', units)}, says {row['retired_by']}; "
        f"its urgency was “{row['urgency']}”."
        for row in rows
    ]


def said_first(assessment: Assessment, units: Units) -> list[str]:
    """What has run out, a sentence each: what is made safe no longer, deferrals, proofs that are overdue."""
    rows = assessment.connections
    rows = urgent_first(rows[rows["work_state"].notna()])
    safe = dict(zip(rows["connection_id"], stands(rows, "made safe"), strict=True))
    cases = (
        (
            rows["lifted_on"].notna(),
            ("{} connection is made safe no longer", "{} connections are made safe no longer"),
            lambda row: f"since {amount(row['lifted_on'], 'day', units)}, says {row['lifted_by']}",
            "Tell the responsible person again.",
        ),
        (
            (rows["is_limit_too_high"] | rows["is_limit_unsaid"]) & ~rows["work_state"].isin(DONE_RIGHT),
            ("{} limit makes nothing safe", "{} limits make nothing safe"),
            lambda row: (
                "to what is not written down"
                if row["is_limit_unsaid"]
                else f"{amount(row['limited_to_a'], 'limit', units)}, says {row['made_safe_by']}"
            ),
            "Tell the responsible person again.",
        ),
        (
            rows["is_run_out"],
            ("{} deferral has run out", "{} deferrals have run out"),
            lambda row: f"{_or(row['deferred_by'])}, until {amount(row['deferred_until'], 'day', units)}",
            "Decide again, or do the work.",
        ),
        (
            rows["is_overdue"],
            ("{} proof is overdue", "{} proofs are overdue"),
            lambda row: (
                f"worked on{', made safe' if safe[row['connection_id']] else ''}, "
                f"to be surveyed again by {amount(row['survey_again_by'], 'day', units)}"
            ),
            "Survey again at the load the process brings, never forced.",
        ),
    )
    lost = [note.text for note in assessment.tables.notes if note.text.endswith(NOBODY_KNOWS)]
    made = [f"Entries that count for nothing: {words}. Correct the name, or take them back." for words in lost]
    for mask, heads, told, what in cases:
        out = rows[mask.to_numpy(dtype=bool)]
        if len(out):
            named = [f"{row['connection_id']} ({told(row)})" for row in out.head(MOST_NAMED).to_dict("records")]
            more = f" and {len(out) - MOST_NAMED:,} more" if len(out) > MOST_NAMED else ""
            head = heads[len(out) > 1].format(f"{len(out):,}")
            made.append(f"{head}: {', '.join(named)}{more}. {what}")
    return made


def told_words(now: pd.DataFrame) -> str:
    """Of how many of these connections somebody was told, is written; empty where there are none."""
    told, safe = int(now["told"].notna().sum()), int(stands(now, "made safe").sum())
    if now.empty:
        return ""
    if not told and not now["told_before_on"].notna().any():
        return f"Nobody is on record as told of {'it' if len(now) == 1 else 'any of them'}."
    if not told and not safe:
        return "Nobody is on record as told since the reading, only of an earlier one."
    before = int((now["told"].isna() & now["told_before_on"].notna()).sum())
    rest = f"; of {before:,} only of an earlier reading" if before else ""
    nobody = len(now) - told - before
    rest += f"; of {nobody:,} nobody is on record as told" if nobody else ""
    return f"Somebody is on record as told of {told:,}, {f'{safe:,}' if safe else 'none'} made safe{rest}."


def _or(value: object) -> str:
    return "not said by whom" if pd.isna(value) else str(value)


def _works(assessment: Assessment) -> pd.DataFrame:
    return assessment.remember("works", lambda: of_work.works(assessment.tables, assessment.on))


@dataclass(frozen=True)
class History:
    """Readings of one connection over the years at the load of the latest, and where its trend goes.

    Attributes
    ----------
    readings : DataFrame
        ``day rise_k severity``, one row a reading.
    basis : str
        Rises over similar, or over ambient.
    load_fraction : float
        Of the latest; NaN without a reading.
    left_out : int
        Readings at too different a load.
    ahead : DataFrame
        ``day low_k high_k``, the range its trend goes on in; empty where none is told.
    """

    readings: pd.DataFrame
    basis: str
    load_fraction: float
    left_out: int
    ahead: pd.DataFrame


def history(assessment: Assessment, connection_id: str) -> History:
    """The years of one connection."""
    mine = assessment.readings[assessment.readings["connection_id"] == connection_id]
    series = at_latest_load(mine, _works(assessment), assessment.settings)
    shown = series[["rise_k", "severity"]].assign(day=series["survey_date"])
    trend = trends(assessment)
    trend = trend[trend["connection_id"] == connection_id]
    ahead = pd.DataFrame({"day": [], "low_k": [], "high_k": []})
    if len(trend) and trend["next_band_earliest"].notna().iloc[0]:
        row = trend.iloc[0]
        steps = np.linspace(0.0, (row["last_date"] - row["first_date"]).days / DAYS_A_YEAR, 9)
        ahead = pd.DataFrame(
            {
                "day": row["last_date"] + pd.to_timedelta(np.round(steps * DAYS_A_YEAR), unit="D"),
                "low_k": row["last_rise_k"] + steps * row["slope_low_k_per_year"],
                "high_k": row["last_rise_k"] + steps * row["slope_high_k_per_year"],
            }
        )
    load = float(series["load_fraction"].iloc[-1]) if len(series) else float("nan")
    basis = str(series["basis"].iloc[-1]) if len(series) else "ambient"
    return History(shown, basis, load, int(series["left_out"].iloc[-1]) if len(series) else 0, ahead)


def recall(assessment: Assessment, tool: str | None = None, since: dt.date | None = None) -> pd.DataFrame:
    """Every connection tightened with a tool since its last good date, worst-rated first: table `recalled`.

    Parameters
    ----------
    tool : str, optional
        By default every tool that was found out of tolerance.
    since : date, optional
        Last good date; by default the tool's last calibration before it was found out of tolerance,
        else all its work.

    Raises
    ------
    UnusableInput
        If no record and no calibration names the tool.
    """
    events = out_of_tolerance(assessment.tables)
    if tool is not None:
        tool = known_name(tool, _tools(assessment), f"there is no tool {tool!r} in these files.")
        events = [event for event in events if event[0].casefold() == tool.casefold()]
        if since is not None or not events:
            events = [(tool, since, assessment.on)]
    parts = [
        tightened_with(assessment.connections, assessment.tables, name, good, until).assign(tool_id=name)
        for name, good, until in events
    ]
    columns = [column.name for column in schema.RECALLED.columns]
    frame = pd.concat(parts, ignore_index=True) if parts else pd.DataFrame(columns=columns)
    return typed(frame, schema.RECALLED)


def _tools(assessment: Assessment) -> list[str]:
    names: list[str] = []
    for table in ("tools", "installs", "findings"):
        frame = assessment.tables.get(table)
        if frame is not None and "tool_id" in frame:
            names += frame["tool_id"].dropna().unique().tolist()
    return list(dict.fromkeys(names))


def gaps(assessment: Assessment, state: str | None = None, equipment: str | None = None) -> pd.DataFrame:
    """Connections whose torque record is not verified, in route order: table `gaps`.

    Parameters
    ----------
    state : str, optional
        Only records of this state; any of `riskscope.schema.codes.STATES`.
    equipment : str, optional
        Only those of one board.

    Raises
    ------
    UnusableInput
        If no connection is on that board.
    """
    rows = assessment.connections
    keep = rows["record_now"] == state if state else rows["record_now"] != "verified"
    if equipment is not None:
        boards = rows["equipment"].dropna().unique().tolist()
        keep &= rows["equipment"] == known_name(equipment, boards, f"no connection is on {equipment!r}.")
    listed = rows[keep].sort_values(["site", "equipment", "connection_id"], kind="stable")
    return typed(listed, schema.GAPS)
