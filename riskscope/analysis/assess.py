"""`assess`: the list of steps, top to bottom, and nothing else."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping

import pandas as pd

from riskscope.analysis.assessment import Assessment
from riskscope.analysis.frames import kept, with_columns
from riskscope.analysis.likelihood import Likelihood, Prior
from riskscope.analysis.proof import refused
from riskscope.analysis.proof.before_hot import NOT_REGISTERED
from riskscope.analysis.proof.devices import Visits, all_visits
from riskscope.analysis.proof.register import living
from riskscope.analysis.proof.visits import settled
from riskscope.analysis.steps import readings as read
from riskscope.analysis.steps.actions import actions
from riskscope.analysis.steps.connections import connections
from riskscope.analysis.steps.differences import differences
from riskscope.analysis.steps.evidence import chances, evidence
from riskscope.analysis.steps.history import history
from riskscope.analysis.steps.limits import limits
from riskscope.analysis.steps.load import load
from riskscope.analysis.steps.patterns import patterns
from riskscope.analysis.steps.records import records
from riskscope.analysis.steps.remakes import remakes
from riskscope.analysis.steps.rises import rises
from riskscope.analysis.steps.severity import severity
from riskscope.analysis.steps.siblings import siblings
from riskscope.analysis.steps.temperatures import temperatures
from riskscope.analysis.steps.urgency import urgency
from riskscope.analysis.steps.work_states import work_states
from riskscope.errors import UnusableInput
from riskscope.schema.tables import Tables
from riskscope.settings import Settings
from riskscope.standards import severity as standard_severity
from riskscope.standards.severity import Criteria

# What only steps before the records need; dropped so that a million rows stay small.
INTERIM = (
    "load_measure", "sibling_direct", "high_k", "low_end_k", "rise_similar_light_k", "rise_similar_light_low_k",
    "rise_similar_light_high_k",
    "u_similar_full_k", "within_noise", "rated_low_over_air_k",
    "permitted_rise_k", "limit_rise_k", "limit_low_k", "limit_high_k", "ambient_low_k", "ambient_high_k",
    "register_rated_a", "u_wind_k", "by_emissivity_k", "by_reflected_k",
    "similar emissivity_used", "similar by_emissivity_k", "similar by_reflected_k", "similar by_reading",
    "set equipment", "set circuit", "set group", "set device", "set side", "set point", "set line", "set lugs",
    "set conductor_material", "set conductor_size",
)  # fmt: skip
# What the walk, the records and the work states tell each other.
OF_WALK = (
    "attested_on", "cool_on", "cool_time", "cool_when_worked", "cool_like_on", "hot_on", "hot_time",
    "hot_first_on", "hot_first_time",
    "refuted_before_on", "refuted_before_time", NOT_REGISTERED, "bad_in_doubt", "loose_put_right", "damage_put_right",
)  # fmt: skip


def assess(
    tables: Tables,
    *,
    on: dt.date,
    settings: Settings | None = None,
    criteria: Criteria | None = None,
    likelihood: Likelihood | None = None,
    origin: Mapping[str, str] | None = None,
) -> Assessment:
    """Every connection known, with its severity, record, pattern, action and likelihood.

    Parameters
    ----------
    tables : Tables
        Checked tables, as the intake returns them. Only `survey` is needed. Units: °C, K, A, N·m.
    on : date
        The day of the assessment; later rows are not used.
    settings : Settings, optional
    criteria : Criteria, optional
        Severity table; by default ANSI/NETA 100.18.
    likelihood : Likelihood, optional
        By default the assumed priors.
    origin : mapping, optional
        Where the value of each setting comes from.

    Raises
    ------
    UnusableInput
        If there is no table `survey`.
    """
    settings, criteria = settings or Settings(), criteria or standard_severity.load()
    speaks: Likelihood = likelihood or Prior(settings)
    if "survey" not in tables:
        raise UnusableInput("there is no survey: nothing to assess.")
    held, out_of_use = living(tables, on)
    held = settled(held)
    told = refused.told(tables.refused, held)
    every = all_visits(held, tables.refused, on)
    readings = assess_readings(held, tables.refused, every, on=on, settings=settings, criteria=criteria)
    readings = with_columns(readings, {"beside off scale": refused.beside_refused(readings, told.readings)})
    readings = with_columns(readings, remakes(readings, every, held, told.work, settings, on))
    frame = _from_work_to_proof(readings, every, held, told, settings, on)
    released = frame["eased"] & frame["answered"] & (frame["work_state"] == "not cured")
    if released.any():
        once_more = frame["connection_id"][released]
        frame = _from_work_to_proof(readings, every, held, told, settings, on, once_more)
    its = every.to(frame["connection_id"])
    readings = with_columns(readings, {"chance_by_record": chances(frame, readings, held, its, settings, on)})
    frame = with_columns(frame, evidence(frame, readings, its, settings))
    frame = with_columns(frame, {"likelihood_loose": speaks.probability(frame)}).drop(columns="reading_at")
    retired = frame["connection_id"].isin(out_of_use).to_numpy()
    return Assessment(
        kept(frame, ~retired), readings, tables, settings, criteria, on, speaks.name, origin or {}, frame[retired]
    )


def _from_work_to_proof(
    readings: pd.DataFrame,
    every: Visits,
    tables: Mapping[str, pd.DataFrame],
    told: refused.Told,
    settings: Settings,
    on: dt.date,
    released: Collection[str] = (),
) -> pd.DataFrame:
    """Every connection with its record, what is asked of it and what has come of that: `assess` after the readings."""
    frame = connections(readings, tables, told.readings, settings, on, released)
    its = every.to(frame["connection_id"])
    frame = with_columns(frame, records(frame, tables, its, told.work, told.tools, settings, on))
    frame = with_columns(frame, history(frame, readings, settings))
    frame = with_columns(frame, actions(frame, settings))
    frame = with_columns(frame, work_states(frame, tables, its, settings, on))
    return frame.drop(columns=list(OF_WALK))


def assess_readings(
    tables: Mapping[str, pd.DataFrame],
    refused_rows: pd.DataFrame,
    every: Visits,
    *,
    on: dt.date,
    settings: Settings,
    criteria: Criteria,
) -> pd.DataFrame:
    """Every reading that counts, of every survey, with its severity: `assess` before the records."""
    readings = read.gathered(tables, refused_rows, on)
    readings = with_columns(readings, temperatures(readings, settings))
    readings = with_columns(readings, load(readings, settings))
    readings = with_columns(readings, rises(readings, settings))
    rated = []
    for frame in read.rounds(readings, every, settings):
        frame = with_columns(frame, siblings(frame, settings))
        frame = with_columns(frame, differences(frame, settings))
        frame = with_columns(frame, limits(frame, tables, settings))
        frame = with_columns(frame, patterns(frame, criteria, settings))
        frame = with_columns(frame, severity(frame, criteria, settings))
        frame = with_columns(frame, urgency(frame, settings))
        rated.append(frame.drop(columns=list(INTERIM)))
    return read.counted(rated, settings)
