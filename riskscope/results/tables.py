"""The result tables of an assessment: made in memory, written atomically, read back."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

import riskscope
from riskscope import files
from riskscope.analysis.assessment import Assessment
from riskscope.analysis.frames import Ints, named
from riskscope.analysis.proof.refused import may_be_hottest, siblings_refused
from riskscope.analysis.proof.whose import called
from riskscope.errors import UnusableInput
from riskscope.results import lists
from riskscope.results.describe import described
from riskscope.schema import Column, Table, codes
from riskscope.schema import results as schema
from riskscope.schema.names import bare
from riskscope.words.plain import write_csv
from riskscope.words.render import Units, many

SUMMARY = "summary.json"
MOST_ROWS = 3  # of readings that may be the hottest that are told
LONGEST_NAME = 60
REJECTED = {  # by its table what a rejected row is called, and what it may say that makes a joint worse
    "survey": ("reading", "readings", "the hottest"),
    "findings": ("finding", "findings", "of a loose or damaged joint"),
    "installs": ("torque record", "torque records", "of work not done right"),
    "tools": ("row of a tool", "rows of tools", "of one out of tolerance"),
    "connections": ("row of the register", "rows of the register", "with a lower limit or more at stake"),
    "notices": ("notice", "notices", "of what is made safe no longer"),
    "deferrals": ("deferral", "deferrals", "withdrawn"),
}
PLACES = ("equipment", "circuit", "device", "group")
ORDERS = {
    "ranking": lists.by_severity,
    "retighten_first": lists.retighten_first,
    "other_actions": lists.other_actions,
    "resurvey": lists.resurvey,
    "not_surveyed": lists.not_surveyed,
}


@dataclass(frozen=True)
class Results:
    """Everything `riskscope rank` says: the tables of `riskscope.schema.results` and a summary."""

    tables: Mapping[str, pd.DataFrame]
    summary: Mapping[str, Any]

    def __getitem__(self, table: str) -> pd.DataFrame:
        return self.tables[table]


def results(assessment: Assessment, units: Units) -> Results:
    """The result tables of an assessment, made once for a choice of units.

    Parameters
    ----------
    units : Units
        Units of the sentences; numbers stay in the units of their columns.
    """
    return assessment.remember(("results", units), lambda: _make(assessment, units))


def _make(assessment: Assessment, units: Units) -> Results:
    rows = described(assessment, units)
    ids = lists.id_order(rows)
    columns = {column.name: column for name in ORDERS for column in schema.TABLES[name].columns}
    shown = {name: _kind(rows[name], column) for name, column in columns.items()}
    tables = {name: _listed(shown, *order(rows, ids), schema.TABLES[name]) for name, order in ORDERS.items()}
    tables["retired"] = typed(assessment.retired, schema.TABLES["retired"])
    tables["rejected"] = typed(assessment.tables.refused, schema.TABLES["rejected"])
    tables["coverage"] = typed(coverage(rows), schema.TABLES["coverage"])
    return Results(tables, summary(assessment))


def _listed(shown: Mapping[str, pd.Series], places: Ints, made: Mapping[str, object], table: Table) -> pd.DataFrame:
    """The rows of a list in its order, each column taken once; `shown` are the columns of all, each of its kind."""
    index = pd.RangeIndex(len(places))
    return pd.DataFrame(
        {
            name: _kind(pd.Series(made[name], index=index), column)  # type: ignore[call-overload]
            if name in made
            else shown[name].take(places).set_axis(index)
            for name, column in table.by_name.items()
        },
        index=index,
    )


def coverage(rows: pd.DataFrame) -> pd.DataFrame:
    """By site and equipment: how much was surveyed, rated, and has which record."""
    frame = pd.DataFrame(
        {
            "site": rows["site"],
            "equipment": rows["equipment"],
            "connections": 1,
            "surveyed": rows["surveyed"].astype(int),
            "read_this_time": (rows["surveyed"] & ~rows["not read this time"]).astype(int),
            "rated": rows["severity"].notna().astype(int),
            "severity_3_or_4": (rows["severity"] >= 3).astype(int),
            **{state.column: (rows["record_now"] == state.name).astype(int) for state in codes.STATES.values()},
        }
    )
    keys = ["site", "equipment"]
    sums = frame.groupby(keys, dropna=False, sort=True).sum(numeric_only=True)
    looked = rows.groupby(keys, dropna=False, sort=True)[["inspected_on", "inspection_result"]].first()
    return sums.join(looked).reset_index()


def summary(assessment: Assessment) -> dict[str, Any]:
    """Counts, and all that made them."""
    rows, tables, criteria = assessment.connections, assessment.tables, assessment.criteria
    read = rows[rows["surveyed"].to_numpy(dtype=bool)]
    bands = {str(value): int((read["severity"] == value).sum()) for value in range(5)}
    bands["not rated"] = int(read["severity"].isna().sum())
    now = rows[rows["urgency"] == "now"]
    return {
        "as_of": assessment.on.isoformat(),
        "version": riskscope.__version__,
        "tables": tables.counts,
        "now": lists.urgent_first(now)["connection_id"].tolist(),
        "bands": bands,
        "actions": _counts(rows["action"], codes.ACTIONS),
        "urgency": _counts(rows["urgency"], codes.URGENCIES),
        "records": _counts(rows["record_now"], codes.STATES),
        "work_states": _counts(rows["work_state"], codes.WORK_STATES),
        "retired": len(assessment.retired),
        "not_surveyed": int((~rows["surveyed"].to_numpy(dtype=bool)).sum()),
        "notes": [str(note) for note in tables.notes],
        "criteria": {"name": criteria.name, "title": criteria.title, "edition": criteria.edition},
        "settings": dataclasses.asdict(assessment.settings),
        "settings_from": {name: place for name, place in assessment.origin.items() if place != "default"},
        "input_files": [
            {"file": file.name, "tables": list(file.tables), "sha256": file.sha256} for file in tables.files
        ],
    }


def _counts(column: pd.Series, names: Iterable[str]) -> dict[str, int]:
    counted = column.value_counts()
    return {name: int(counted.get(name, 0)) for name in names}


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
        return named(("no", "yes"), values.to_numpy(dtype=bool).astype(np.int64)).set_axis(values.index)
    if column.kind == "date":
        return pd.to_datetime(values)
    if values.isna().all():
        return pd.Series(np.nan, index=values.index, dtype="str")
    return values.astype("str").replace("", np.nan)


def left_out(assessment: Assessment) -> str:
    """What no list of what must not wait speaks of: readings rejected, of later days or not rated, files not read."""
    parts = _rejected(assessment.tables.refused, assessment.connections["connection_id"])
    if later := _of_later_days(assessment):
        parts.append(later)
    rows = assessment.connections
    if unrated := int((rows["surveyed"].to_numpy(dtype=bool) & rows["severity"].isna().to_numpy()).sum()):
        parts.append(f"{many(unrated, 'connection')} not rated")
    parts += _compared_with_nothing(rows, assessment.tables.refused)
    missed = [note for note in assessment.tables.notes if note.text.startswith("NOT READ")]
    if missed:
        parts.append(f"{many(len(missed), 'file or sheet', 'files or sheets')} not read")
    return f"Not in this list: {'; '.join(parts)}." if parts else ""


def _rejected(refused: pd.DataFrame, known: pd.Series) -> list[str]:
    """Rows rejected, by table, with what they may say and whose they are as long as nobody dismissed them."""
    refused = refused[(refused["kind"] == "rejected").to_numpy()]
    tables, parts = refused["table"], []
    open_ = refused[refused["dismissed_by"].isna()]
    for table, (noun, plural, what) in REJECTED.items():
        if count := int((tables == table).sum()):
            rows = may_be_hottest(open_) if table == "survey" else open_[(open_["table"] == table).to_numpy()]
            parts.append(
                f"{many(count, noun, plural)} rejected{_perhaps(what, lists.rejected_first(rows), count, known)}"
            )
    if others := int((~tables.isin(list(REJECTED))).sum()):
        parts.append(f"{many(others, 'other row')}{' rejected' if not parts else ''}")
    return parts


def _compared_with_nothing(rows: pd.DataFrame, refused: pd.DataFrame) -> list[str]:
    """Connections read that have no siblings because nobody says where they are, where others have some, or because
    the readings of those were rejected."""
    board, circuit, device, group = (rows[part].notna().to_numpy() for part in PLACES)
    placed = group | ((circuit | device) & (board | ~board.any()))
    alone = rows["surveyed"].to_numpy(dtype=bool) & rows["reference"].isna().to_numpy()
    lost = {"its board or circuit is not known": alone & ~placed & rows["reference"].eq("sibling").any()}
    lost["a reading of its circuit was rejected"] = alone & placed & siblings_refused(rows, refused)
    told = {why: rows["connection_id"][which] for why, which in lost.items() if which.any()}
    return [
        f"{many(len(ids), 'connection')} compared with no sibling, as {why} ({_first(ids)})"
        for why, ids in told.items()
    ]


def _perhaps(what: str, rows: pd.DataFrame, count: int, known: pd.Series) -> str:
    """What open rejected rows may be, and whose they are, as these are called here."""
    names, line = called(rows), rows["file"] + " line " + rows["line"].astype("str")
    names = names.mask(bare(names).isin(known), bare(names)).fillna(line).drop_duplicates()
    which = "" if len(rows) == count else f"{len(rows):,} of them "
    return f", {which}perhaps {what} ({_first(names)})" if len(rows) else ""


def _of_later_days(assessment: Assessment) -> str:
    """Readings of days after that of the assessment, the hottest first."""
    survey = assessment.tables["survey"]
    later = survey[(survey["survey_date"] > pd.Timestamp(assessment.on)).to_numpy()]
    if not len(later):
        return ""
    if "connection_c" in later:
        later = later.sort_values("connection_c", ascending=False, kind="stable")
    names = _first(later["connection_id"].drop_duplicates())
    return f"{many(len(later), 'reading')} of later days, not assessed yet ({names})"


def _first(names: pd.Series) -> str:
    """The first of these names, each not too long, and how many more there are."""
    first = [name if len(name) <= LONGEST_NAME else f"{name[:LONGEST_NAME]}…" for name in names.head(MOST_ROWS)]
    return ", ".join(first) + (f" and {len(names) - MOST_ROWS:,} more" if len(names) > MOST_ROWS else "")


def write(results: Results, folder: Path) -> list[Path]:
    """Write every table and the summary: all of them, or none.

    Raises
    ------
    UnusableInput
        If the folder cannot be written to.
    """
    made: dict[Path, files.Content] = {
        folder / f"{name}.csv": partial(write_csv, frame) for name, frame in results.tables.items()
    }
    text = json.dumps(results.summary, ensure_ascii=False, indent=2) + "\n"
    made[folder / SUMMARY] = text.encode("utf-8")
    return files.write(dict(sorted(made.items())))


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
