"""What was known of a joint the day before somebody opened it, and how it was found."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Callable

import numpy as np
import pandas as pd

from riskscope.analysis.assess import assess
from riskscope.analysis.assessment import Assessment
from riskscope.analysis.frames import floats
from riskscope.analysis.likelihood import Prior, factor, reads_hot
from riskscope.analysis.years.effects import works
from riskscope.analysis.years.slopes import trends
from riskscope.schema.tables import Tables
from riskscope.settings import Settings
from riskscope.standards.severity import Criteria

LOOSE = ("loose", "damaged", "discoloured")
CHECKED = (*LOOSE, "tight")
DATED = {"survey": "survey_date", "installs": "work_date", "findings": "work_date", "inspections": "survey_date",
         "tools": "calibrated_on"}  # fmt: skip
FEATURES = (
    "install_state", "evidence", "one_joint_hot", "all_hot", "exceedance", "reasons", "trend", "years_since_work",
    "aluminium",
)  # fmt: skip
COLUMNS = ("connection_id", "equipment", "work_date", "loose", "prior", "factor", "hot", *FEATURES)
MOST_EVIDENCE = 10.0


def before(tables: Tables, day: dt.date) -> Tables:
    """The tables as they were on a day, that day included."""
    made = {}
    for name, frame in tables.items():
        column = DATED.get(name)
        if column in frame:
            kept = frame[frame[column].isna() | (frame[column] <= pd.Timestamp(day))]
            made[name] = kept.reset_index(drop=True)
        else:
            made[name] = frame
    return dataclasses.replace(tables, accepted={name: frame for name, frame in made.items() if len(frame)})


def examples(
    tables: Tables, settings: Settings, criteria: Criteria, progress: Callable[[str], None] = lambda text: None
) -> pd.DataFrame:
    """One row for each finding that was checked: `COLUMNS`, as known the day before it.

    A connection that was not assessed before the finding (no record, no reading) gives no row.
    """
    findings = tables.get("findings", pd.DataFrame())
    if findings.empty or "survey" not in tables:
        return pd.DataFrame(columns=list(COLUMNS))
    checked = findings[findings["as_found"].isin(CHECKED)]
    parts = []
    days = sorted(checked["work_date"].dt.date.unique())
    for number, day in enumerate(days, start=1):
        progress(f"finding day {number} of {len(days)}")
        eve = day - dt.timedelta(days=1)
        known = before(tables, eve)
        if "survey" not in known:
            continue
        assessment = assess(known, on=eve, settings=settings, criteria=criteria)
        rows = assessment.connections.set_index("connection_id", drop=False)
        mine = checked[(checked["work_date"].dt.date == day) & checked["connection_id"].isin(rows.index)]
        mine = mine.drop_duplicates("connection_id", keep="last")
        if len(mine):
            parts.append(
                features(rows.loc[mine["connection_id"]], eve, settings, slopes_of(assessment)).assign(
                    work_date=mine["work_date"].to_numpy(), loose=mine["as_found"].isin(LOOSE).to_numpy()
                )
            )
    if not parts:
        return pd.DataFrame(columns=list(COLUMNS))
    return pd.concat(parts, ignore_index=True)[list(COLUMNS)]


def slopes_of(assessment: Assessment) -> pd.Series:
    """Trend of the rise of each connection at the load of its latest reading, by id; see `trends`. [K a year]"""
    work = works(assessment.tables, assessment.on)
    made = trends(assessment.readings, work, assessment.criteria, assessment.settings, assessment.on)
    return made.set_index("connection_id")["slope_k_per_year"]


def features(rows: pd.DataFrame, on: dt.date, settings: Settings, slopes: pd.Series | None = None) -> pd.DataFrame:
    """What a model sees of each row of an assessment; missing numbers are filled with what says nothing.

    `slopes` are the trends by id, as `slopes_of` gives them.
    """
    prior = Prior(settings)
    last = pd.to_datetime(rows["last_work_date"]) if "last_work_date" in rows else pd.Series(pd.NaT, index=rows.index)
    age = (pd.Timestamp(on) - last).dt.days / 365.25
    material = (
        rows["conductor_material"].astype("str") if "conductor_material" in rows else pd.Series("", index=rows.index)
    )
    trend = (
        np.zeros(len(rows)) if slopes is None else rows["connection_id"].map(slopes).fillna(0.0).to_numpy(dtype=float)
    )
    reasons = rows["install_reasons"].astype("str").str.count(";") + (
        rows["install_reasons"].astype("str").str.len() > 0
    )
    return pd.DataFrame(
        {
            "connection_id": rows["connection_id"].to_numpy(),
            "equipment": rows["equipment"].astype("str").to_numpy(),
            "prior": prior.prior(rows),
            "factor": factor(floats(rows, "evidence")),
            "install_state": rows["likelihood_state"].to_numpy(),
            "hot": reads_hot(rows),
            "evidence": np.clip(np.nan_to_num(floats(rows, "evidence")), -MOST_EVIDENCE, MOST_EVIDENCE),
            "one_joint_hot": (rows["pattern"] == "one joint hot").to_numpy(dtype=float),
            "all_hot": (rows["pattern"] == "all hot beyond load").to_numpy(dtype=float),
            "exceedance": np.clip(np.nan_to_num(floats(rows, "exceedance"), nan=0.0), 0.0, 10.0),
            "reasons": reasons.to_numpy(dtype=float),
            "trend": np.clip(trend, -10.0, 10.0),
            "years_since_work": np.clip(age.fillna(0.0).to_numpy(dtype=float), 0.0, 40.0),
            "aluminium": material.str.contains("al", case=False, na=False).to_numpy(dtype=float),
        }
    )
