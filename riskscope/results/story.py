"""The whole story of one connection, from reading to action."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd

from riskscope.analysis.assessment import Assessment
from riskscope.analysis.frames import Ints, with_columns
from riskscope.analysis.likelihood import Prior
from riskscope.analysis.proof import refused
from riskscope.analysis.proof.notes import deferrals
from riskscope.analysis.proof.whose import whose
from riskscope.results.describe import describe, described
from riskscope.results.sections import Chain, Section, sections
from riskscope.words.render import Units, amount

NO_TOOLS = pd.Series(dtype="str")
WHEN = {"notices": "told_on", "renamings": "renamed_on"}


def story(assessment: Assessment, connection_id: str, units: Units) -> list[Section]:
    """All that the rating of one connection rests on, as headings and lines.

    Parameters
    ----------
    connection_id : str
        As it is spelled in the tables; see `Assessment.find`.
    """
    return sections(chain(assessment, connection_id, units), assessment.criteria, assessment.settings, units)


def chain(assessment: Assessment, connection_id: str, units: Units) -> Chain:
    """One connection with everything around it."""
    tables, settings = assessment.tables, assessment.settings
    described_row = described_one(assessment, connection_id, units)
    row = described_row.iloc[0].copy()
    if row["surveyed"] and row["reference"] == "sibling":
        row["reference_id"] = assessment.readings["connection_id"].iloc[int(row["sibling"])]
    installs, findings, notices, renamings = (
        _history(assessment, name, connection_id) for name in ("installs", "findings", "notices", "renamings")
    )
    put_off = deferrals(assessment.tables)
    tools = tables.get("tools", pd.DataFrame({"tool_id": NO_TOOLS}))
    used = pd.concat([rows["tool_id"].dropna() for rows in (installs, findings) if "tool_id" in rows] or [NO_TOOLS])
    return Chain(
        row=row,
        siblings=siblings(assessment, row),
        reading=reading(assessment, row),
        refused=refused.refused_of(refused_readings(assessment), assessment.tables.refused, connection_id),
        installs=installs,
        findings=findings,
        deferrals=put_off[(put_off["connection_id"] == connection_id).to_numpy()],
        notices=notices,
        renamings=renamings,
        tools=tools[tools["tool_id"].isin(used)],
        prior=float(Prior(settings).prior(described_row)[0]),
    )


def refused_readings(assessment: Assessment) -> pd.DataFrame:
    """Whose the readings are that were refused and may be the hottest; see `whose`."""
    tables = assessment.tables
    return assessment.remember(
        "refused readings", lambda: whose(refused.may_be_hottest(tables.refused), tables, tables.refused)
    )


def described_one(assessment: Assessment, connection_id: str, units: Units) -> pd.DataFrame:
    """The one row of a connection with its sentence columns; the others are described only if they are yet."""
    at = _rows(assessment, "connections", assessment.connections, connection_id)
    if ("described", units) in assessment.memo:
        return described(assessment, units).iloc[at]
    return describe(assessment, assessment.connections.iloc[at], units)


def siblings(assessment: Assessment, row: pd.Series) -> pd.DataFrame:
    """Assessed readings of a connection's group in its survey, itself included; empty without a reading.

    With ``named``, the connection and, where it was read before and after work, the day; ``is_own``, the reading that
    the connection stands on.
    """
    if not row["surveyed"]:
        return pd.DataFrame()
    groups = assessment.remember("groups", lambda: assessment.readings.groupby("group_code", sort=False).indices)
    code = int(row["group_code"])
    members = assessment.readings.iloc[groups[code] if code >= 0 else []]
    members = members.sort_values(["connection_id", "survey_date"], kind="stable")
    twice = members["connection_id"].duplicated(keep=False)
    day = pd.Series([f", {amount(day, 'day', Units())}" for day in members["survey_date"]], members.index, dtype="str")
    own = (members["connection_id"] == row["connection_id"]) & (members["source_line"] == row["source_line"])
    return with_columns(members, {"named": members["connection_id"] + day.where(twice, ""), "is_own": own})


def reading(assessment: Assessment, row: pd.Series) -> pd.Series | None:
    """The row of the survey a connection is rated on, as it was read; None without one."""
    if not row["surveyed"]:
        return None
    survey = assessment.tables["survey"]
    mine = survey.iloc[_rows(assessment, "survey", survey, row["connection_id"])]
    same = mine[(mine["source_line"] == row["source_line"]) & (mine["source_file"] == row["source_file"])]
    return same.iloc[0] if len(same) else None


def photographs(assessment: Assessment, connection_id: str, units: Units) -> list[tuple[str, str]]:
    """The photographs that findings of a connection name, oldest first, each with what it shows."""
    rows = _history(assessment, "findings", connection_id)
    if "photo" not in rows:
        return []
    return [
        (row["photo"], f"{amount(row['work_date'], 'day', units)}: found {row['as_found']}, action {row['action']}")
        for row in rows.dropna(subset=["photo"]).to_dict("records")
    ]


def _history(assessment: Assessment, table: str, connection_id: str) -> pd.DataFrame:
    """What a table holds of a connection, oldest first."""
    frame = assessment.tables.get(table)
    if frame is None:
        return pd.DataFrame()
    return frame.iloc[_rows(assessment, table, frame, connection_id)].sort_values(
        WHEN.get(table, "work_date"), kind="stable"
    )


def _rows(assessment: Assessment, name: str, frame: pd.DataFrame, connection_id: str) -> Ints:
    """Where a connection stands in a frame; looked up once for all connections."""
    places = assessment.remember(("rows of", name), lambda: frame.groupby("connection_id", sort=False).indices)
    return np.asarray(places.get(connection_id, []), dtype=np.int64)


def as_text(connection_id: str, made: Sequence[Section], width: int = 100) -> str:
    """The sections as plain text."""
    import textwrap

    lines = [connection_id, "=" * len(connection_id)]
    for title, body in made:
        lines += ["", title, "-" * len(title)]
        for line in body:
            lines += textwrap.wrap(line, width, initial_indent="  ", subsequent_indent="    ")
    return "\n".join(lines)


def as_data(made: Sequence[Section]) -> Mapping[str, list[str]]:
    """The sections as data."""
    return dict(made)
