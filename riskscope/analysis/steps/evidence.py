"""What the surveys say of each joint beside its record: the latest and those before it, all siblings at once."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import numpy as np
import pandas as pd

from riskscope.analysis.frames import DAY_MIN, NO_DAY, Bools, Ints, dates, days, floats, is_any, named, of_readings
from riskscope.analysis.likelihood import FOUND_LOOSE, prior_of, updated
from riskscope.analysis.proof.visits import LOOKED, PERHAPS, TIGHTENED
from riskscope.analysis.records.record import records_at
from riskscope.analysis.records.work_history import LAST_MINUTE, last_moment, not_after, tightenings
from riskscope.analysis.sets import READS as OF_SETS
from riskscope.analysis.sets import log_factors
from riskscope.schema.codes import UNTOLD_BECAUSE
from riskscope.settings import Settings
from riskscope.units import Floats

RATED_HOT = 3
SURVEYS = 3  # of a connection that say something: the latest, the one before, the third
READS = (
    *OF_SETS,
    "reading_at",
    "connection_id",
    "id_rank",
    "survey_id",
    "survey_date",
    "survey_time",
    "surveyed",
    "last_work_date",
    "likelihood_state",
    "found_tight_since",
    "severity_before_work",
    "severity",
    "pattern",
    "governing_basis",
)
WRITES = ("evidence", "evidence_latest", "evidence_before", "evidence_third", "evidence_before_on", "evidence_third_on",
          "cannot_tell")  # fmt: skip


def evidence(frame: pd.DataFrame, readings: pd.DataFrame, every: pd.DataFrame, settings: Settings) -> dict[str, object]:
    """Logarithms of the factors on the odds of each connection: of the reading it stands on, and of its two surveys
    before that since its last work; ``evidence`` is what they come to.

    An earlier survey counts less, and where the latest speaks for a bad joint, or says nothing, none that speaks
    against one counts: old health must not hide new damage. Nor does any count against what was found loose by hand. Of
    a joint whose work moved it to ``severity_before_work`` no reading speaks. ``cannot_tell``: why a low likelihood
    would not be for its siblings to say.

    Parameters
    ----------
    every : DataFrame
        The visits to these connections; see `riskscope.analysis.proof.visits.visits`.

    Reads
        `READS`
    Writes
        `WRITES`
    """
    speaks = frame["surveyed"].to_numpy(dtype=bool) & frame["severity_before_work"].isna().to_numpy()
    at = _surveys(frame, readings, every, speaks)
    wanted = np.zeros(len(readings) + 1, dtype=bool)
    wanted[at] = True
    of_reading, without = log_factors(readings, wanted[:-1], settings)
    said, said_without = (np.append(values, np.nan)[at] for values in (of_reading, without))
    loose = is_any(frame, "likelihood_state", (FOUND_LOOSE,))
    total, total_without = (_sum(values, loose, settings) for values in (said, said_without))
    day = np.append(days(readings["survey_date"]), NO_DAY)[at]
    return {
        "evidence": total,
        "evidence_latest": said[:, 0],
        "evidence_before": said[:, 1],
        "evidence_third": said[:, 2],
        "evidence_before_on": dates(day[:, 1]),
        "evidence_third_on": dates(day[:, 2]),
        "cannot_tell": _cannot_tell(frame, np.isnan(said[:, 0]), total, total_without, settings),
    }


def _surveys(frame: pd.DataFrame, readings: pd.DataFrame, every: pd.DataFrame, speaks: Bools) -> Ints:
    """Of each connection the place among the readings of the one it stands on, and of its two surveys before that since
    the last work; −1 where there is none.

    Returns
    -------
    ndarray, shape (connections, SURVEYS)
    """
    latest_at = np.where(speaks, frame["reading_at"].to_numpy(), -1)
    made = np.full((len(frame), SURVEYS), -1, dtype=np.int64)
    made[:, 0] = latest_at
    if len(readings) == int(frame["surveyed"].sum()):
        return made  # nobody was read before
    code = of_readings(frame, readings)
    code = np.where((code >= 0) & (latest_at[code] >= 0), code, -1)
    day, time = days(readings["survey_date"]), floats(readings, "survey_time")
    until, clock = np.append(day, NO_DAY)[latest_at], np.append(time, np.nan)[latest_at]
    its, work_day, work_time = (every[name].to_numpy() for name in ("code", "day", "time"))
    done = ((every["did"] >= TIGHTENED) & (every[PERHAPS] <= LOOKED)).to_numpy()
    done = done & not_after(work_day, work_time, until[its], clock[its])
    worked = last_moment(every, done, LAST_MINUTE, len(frame))
    survey = pd.factorize(readings["survey_id"])[0]
    rows = np.flatnonzero(code >= 0)
    mine = code[rows]
    counts = not_after(day[rows], time[rows], until[mine], clock[mine])
    counts &= day[rows] + np.nan_to_num(time[rows] / DAY_MIN) > worked[mine]
    counts &= survey[rows] != survey[latest_at[mine]]
    rows, mine = rows[counts], mine[counts]
    order = np.lexsort((np.nan_to_num(time[rows], nan=-1.0), day[rows], survey[rows], mine))
    rows, mine = rows[order], mine[order]
    last = np.append((mine[1:] != mine[:-1]) | (survey[rows][1:] != survey[rows][:-1]), True)[: len(rows)]
    rows, mine = rows[last], mine[last]
    order = np.lexsort((-np.nan_to_num(time[rows], nan=-1.0), -day[rows], mine))
    rows, mine = rows[order], mine[order]
    nth = 1 + pd.Series(mine).groupby(mine, sort=False).cumcount().to_numpy()
    few = nth < SURVEYS
    made[mine[few], nth[few]] = rows[few]
    return made


def chances(
    frame: pd.DataFrame,
    readings: pd.DataFrame,
    tables: Mapping[str, pd.DataFrame],
    every: pd.DataFrame,
    settings: Settings,
    on: dt.date,
) -> Floats:
    """Likelihood of the joint of each reading by its record of now, or where it was worked on since by that of then.

    Reads
        of the connections ``connection_id``, ``id_rank``, ``surveyed``, ``last_work_date``, ``likelihood_state``,
        ``found_tight_since``; of the readings ``id_rank``, ``survey_date``, ``survey_time``; of `installs`, `findings`
        (settled) and `tools` every column.
    """
    code = of_readings(frame, readings)
    of_now = prior_of(frame["likelihood_state"], frame["found_tight_since"].to_numpy(dtype=bool), settings)
    made = of_now[code]
    day = days(readings["survey_date"])
    before = np.flatnonzero(days(frame["last_work_date"])[code] >= day)
    if len(before):
        rows = tightenings(tables, frame["connection_id"], int(np.datetime64(on, "D").astype(np.int64)))
        until, clock = day[before], floats(readings, "survey_time")[before]
        then = records_at(rows, every, code[before], tables, settings, until, clock, as_known=True)
        state, _ = then.when_read()
        made[before] = prior_of(state, then.last.found_tight & ~then.last.found_loose, settings)
    return made


def _sum(said: Floats, loose: Bools, settings: Settings) -> Floats:
    """What the surveys of each connection come to, the latest first; NaN where none says anything. Against what was
    found loose by hand they say nothing."""
    weights = np.array([1.0, settings.evidence_before, settings.evidence_third])
    parts = np.nan_to_num(said) * weights
    hidden = ((said[:, :1] > 0) | np.isnan(said[:, :1])) & (parts < 0)
    total = np.where(hidden, 0.0, parts).sum(axis=1)
    total = np.where(loose, np.fmax(total, 0.0), total)
    return np.where(np.isnan(said).all(axis=1), np.nan, total)


def _cannot_tell(frame: pd.DataFrame, silent: Bools, total: Floats, without: Floats, settings: Settings) -> pd.Series:
    """Why a low likelihood is not for the siblings to say, by the first of `UNTOLD_BECAUSE` that holds.

    `silent`: the reading it stands on says nothing; what older ones say does not make it low.
    """
    prior = prior_of(frame["likelihood_state"], frame["found_tight_since"].to_numpy(dtype=bool), settings)
    low, low_without = (updated(prior, said) < settings.word_low for said in (total, without))
    alone = ((total < 0) & ~(without < 0)) | (low & ~low_without)
    holds = {
        "nothing speaks": silent,
        "all hot": is_any(frame, "pattern", ("all hot beyond load",)),
        "rated hot": is_any(frame, "pattern", ("one joint hot",))
        | (np.nan_to_num(floats(frame, "severity")) >= RATED_HOT),
        "no siblings": is_any(frame, "governing_basis", ("ambient", "limit")),
        "similar alone": alone,
    }
    return named(
        (*UNTOLD_BECAUSE, None), np.select([holds[name] for name in UNTOLD_BECAUSE], range(len(holds)), len(holds))
    )
