"""The result tables of an assessment: made in memory, written atomically, read back."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
import os
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

import riskscope
from riskscope.analysis.frames import with_columns
from riskscope.errors import UnusableInput
from riskscope.intake.read import Intake
from riskscope.results import describe
from riskscope.results import lists as ranking
from riskscope.schema import Column, Table
from riskscope.schema import results as schema
from riskscope.settings import Settings
from riskscope.standards.severity import Criteria
from riskscope.units import from_inside
from riskscope.words.render import Units

SUMMARY = "summary.json"
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


@dataclass(frozen=True)
class Results:
    """Everything `riskscope rank` says: the tables of `riskscope.schema.results` and a summary."""

    tables: Mapping[str, pd.DataFrame]
    summary: Mapping[str, Any]

    def __getitem__(self, table: str) -> pd.DataFrame:
        return self.tables[table]


def make(
    found: pd.DataFrame,
    intake: Intake,
    *,
    on: dt.date,
    settings: Settings,
    criteria: Criteria,
    origin: Mapping[str, str],
    units: Units | None = None,
) -> Results:
    """The result tables of one assessment.

    Parameters
    ----------
    found : DataFrame
        From `riskscope.assess`.
    intake : Intake
        The tables it was made from.
    on : date
    settings : Settings
    criteria : Criteria
    origin : mapping
        Where the value of each setting comes from.
    units : Units, optional
        Units of the sentences; numbers stay in the units of their columns.
    """
    found = describe_all(found, intake, settings, criteria, units or Units())
    tables = {
        "ranking": ranking.by_severity(found),
        "retighten_first": ranking.retighten_first(found),
        "other_actions": ranking.other_actions(found),
        "resurvey": ranking.resurvey(found),
        "not_surveyed": ranking.not_surveyed(found),
        "rejected": intake.refused,
        "coverage": coverage(found),
    }
    tables = {name: typed(frame, schema.TABLES[name]) for name, frame in tables.items()}
    return Results(tables, summary(found, intake, on, settings, criteria, origin))


def describe_all(
    found: pd.DataFrame, intake: Intake, settings: Settings, criteria: Criteria, units: Units
) -> pd.DataFrame:
    """The assessment with its sentence columns: labels, reasons, likelihood in words."""
    found = _columns_used(found)
    return with_columns(
        found,
        {
            "severity_label": describe.severity_label(found, criteria),
            "reason": describe.reason(found, settings, units),
            "resurvey_reason": describe.resurvey_reason(found, units),
            "rise_similar_k": found["rise_similar_found_k"],
            "rise_ambient_k": found["rise_ambient_found_k"],
            "likelihood": describe.likelihood_word(found["likelihood_loose"], settings),
            "required_lbf_in": from_inside(found["required_nm"], "torque", "lbf·in"),
            **_inspected(found, intake),
        },
    )


def _columns_used(found: pd.DataFrame) -> pd.DataFrame:
    """The frame with every column the results and their sentences name, absent ones empty."""
    wanted = {column.name for table in schema.TABLES.values() for column in table.columns}
    return with_columns(found, dict.fromkeys(sorted(wanted - set(found.columns)), np.nan))


def _inspected(found: pd.DataFrame, intake: Intake) -> dict[str, object]:
    """The last time each connection's equipment was looked at, and what could be seen."""
    table = intake.get("inspections")
    if table is None or not len(table):
        return {"inspected_on": pd.NaT, "inspection_result": np.nan}
    last = table.sort_values("survey_date", kind="stable").drop_duplicates("equipment", keep="last")
    at = pd.Index(last["equipment"]).get_indexer(pd.Index(found["equipment"]))
    pick = last.iloc[np.where(at < 0, 0, at)].reset_index(drop=True)
    return {
        "inspected_on": pick["survey_date"].where(at >= 0).to_numpy(),
        "inspection_result": pick["result"].where(at >= 0).to_numpy(),
    }


def coverage(found: pd.DataFrame) -> pd.DataFrame:
    """By site and equipment: how much was surveyed, rated, and has which record."""
    frame = pd.DataFrame(
        {
            "site": found["site"],
            "equipment": found["equipment"],
            "connections": 1,
            "surveyed": found["surveyed"].astype(int),
            "read_this_time": (found["surveyed"] & ~found["not read this time"]).astype(int),
            "rated": found["severity"].notna().astype(int),
            "severity_3_or_4": (found["severity"] >= 3).astype(int),
            **{
                state.replace(" ", "_").replace("-", "_"): (found["install_state"] == state).astype(int)
                for state in schema.STATES
            },
        }
    )
    keys = ["site", "equipment"]
    sums = frame.groupby(keys, dropna=False, sort=True).sum(numeric_only=True)
    looked = found.groupby(keys, dropna=False, sort=True)[["inspected_on", "inspection_result"]].first()
    return sums.join(looked).reset_index()


def summary(
    found: pd.DataFrame, intake: Intake, on: dt.date, settings: Settings, criteria: Criteria, origin: Mapping[str, str]
) -> dict[str, Any]:
    """Counts, and all that made them."""
    read = found[found["surveyed"].to_numpy(dtype=bool)]
    bands = {str(value): int((read["severity"] == value).sum()) for value in range(5)}
    bands["not rated"] = int(read["severity"].isna().sum())
    now = found[found["urgency"] == "now"]
    return {
        "as_of": on.isoformat(),
        "version": riskscope.__version__,
        "tables": intake.counts,
        "now": ranking.urgent_first(now)["connection_id"].tolist(),
        "bands": bands,
        "actions": _counts(found["action"], schema.ACTIONS),
        "urgency": _counts(found["urgency"], schema.URGENCIES),
        "records": _counts(found["install_state"], schema.STATES),
        "not_surveyed": int((~found["surveyed"].to_numpy(dtype=bool)).sum()),
        "notes": [str(note) for note in intake.notes],
        "criteria": {"name": criteria.name, "title": criteria.title, "edition": criteria.edition},
        "settings": dataclasses.asdict(settings),
        "settings_from": {name: place for name, place in origin.items() if place != "default"},
        "input_files": [
            {"file": file.name, "tables": list(file.tables), "sha256": file.sha256} for file in intake.files
        ],
    }


def _counts(column: pd.Series, codes: tuple[str, ...]) -> dict[str, int]:
    counted = column.value_counts()
    return {code: int(counted.get(code, 0)) for code in codes}


def typed(frame: pd.DataFrame, table: Table) -> pd.DataFrame:
    """The columns of a result table, in order, each of its kind."""
    columns = {
        column.name: _kind(frame[column.name], column) if column.name in frame else pd.Series(np.nan, index=frame.index)
        for column in table.columns
    }
    return pd.DataFrame(columns, index=frame.index).reset_index(drop=True)


def _kind(values: pd.Series, column: Column) -> pd.Series:
    if column.kind == "integer":
        return values.astype("Int64")
    if column.kind == "number":
        return values.astype("float64")
    if column.kind == "flag":
        return pd.Series(np.where(values.astype(bool), "yes", "no"), index=values.index, dtype="str")
    if column.kind == "date":
        return pd.to_datetime(values)
    return values.astype("str").replace("", np.nan)


def write(results: Results, folder: Path) -> list[Path]:
    """Write every table and the summary; each file appears whole or not at all.

    Raises
    ------
    UnusableInput
        If the folder cannot be written to.
    """
    written = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=folder, prefix=".riskscope-") as name:
            scratch = Path(name)
            for table, frame in results.tables.items():
                _write_csv(frame, scratch / f"{table}.csv")
            text = json.dumps(results.summary, ensure_ascii=False, indent=2) + "\n"
            (scratch / SUMMARY).write_text(text, encoding="utf-8")
            for path in sorted(scratch.iterdir()):
                os.replace(path, folder / path.name)
                written.append(folder / path.name)
    except OSError as error:
        raise UnusableInput(f"cannot be written ({error.strerror}).", file=str(folder)) from error
    return written


def _write_csv(frame: pd.DataFrame, path: Path) -> None:
    no_formulas(frame).to_csv(path, index=False, date_format="%Y-%m-%d", lineterminator="\n", encoding="utf-8")


def no_formulas(frame: pd.DataFrame) -> pd.DataFrame:
    """The frame with an apostrophe before each text that a spreadsheet would run."""
    safe = frame.copy()
    for name in safe.columns:
        if safe[name].dtype == "str":
            risky = safe[name].str.startswith(FORMULA_STARTS).fillna(False).to_numpy(dtype=bool)
            if risky.any():
                safe[name] = safe[name].where(~risky, "'" + safe[name])
    return safe


def read(folder: Path) -> Results:
    """Results as `write` left them.

    Raises
    ------
    UnusableInput
        If a file of the results is missing or cannot be read.
    """
    tables = {}
    try:
        for name, table in schema.TABLES.items():
            frame = pd.read_csv(folder / f"{name}.csv", dtype="str", keep_default_na=False, na_values=[""])
            for column in table.columns:
                values = frame[column.name]
                if column.is_number:
                    values = pd.to_numeric(values)
                elif column.kind != "date":
                    values = values.str.removeprefix("'")
                frame[column.name] = values
                if column.kind != "flag":
                    frame[column.name] = _kind(values, column)
            tables[name] = frame
        summary_ = json.loads((folder / SUMMARY).read_text(encoding="utf-8"))
    except (OSError, ValueError, KeyError) as error:
        raise UnusableInput(f"holds no results that can be read ({error}).", file=str(folder)) from error
    return Results(tables, summary_)
