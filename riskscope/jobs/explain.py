"""explain: the whole chain of one connection."""

from __future__ import annotations

import pandas as pd

from riskscope.analysis.assess import assess_readings
from riskscope.analysis.likelihood import Prior
from riskscope.errors import UnusableInput, nearest
from riskscope.jobs.rank import Ranked
from riskscope.report import results
from riskscope.words.chain import Chain, Section, sections
from riskscope.words.render import Reader


def explain(ranked: Ranked, connection_id: str, reader: Reader) -> tuple[str, list[Section]]:
    """The chain of one connection of an assessment.

    Returns
    -------
    str
        The connection's id as it is spelled in the files.
    list of (str, list of str)
        Headings and their lines.

    Raises
    ------
    UnusableInput
        If there is no such connection.
    """
    wanted = " ".join(connection_id.split()).casefold()
    described = results.describe_all(
        ranked.found, ranked.intake, ranked.settings, ranked.criteria, reader
    )
    rows = described[described["connection_id"].str.casefold() == wanted]
    if rows.empty:
        raise UnusableInput(
            f"there is no connection {connection_id!r} in these files.",
            hint=nearest(connection_id, ranked.found["connection_id"].tolist()),
        )
    row = rows.iloc[0].copy()
    siblings, reading = pd.DataFrame(), None
    if row["surveyed"]:
        readings = assess_readings(
            ranked.intake, on=ranked.on, settings=ranked.settings, criteria=ranked.criteria
        )
        siblings, reading = _around(readings, ranked.intake["survey"], row)
        if row["reference"] == "sibling":
            row["reference_id"] = readings["connection_id"].iloc[int(row["sibling"])]
    tools = _of(ranked, "installs", row["connection_id"])
    used = set(tools.get("tool_id", pd.Series(dtype="str")).dropna())
    history = ranked.intake.get("tools", pd.DataFrame({"tool_id": pd.Series(dtype="str")}))
    prior = Prior(ranked.settings)
    chain = Chain(
        row=row, siblings=siblings, reading=reading, installs=tools,
        findings=_of(ranked, "findings", row["connection_id"]),
        tools=history[history["tool_id"].isin(used)],
        prior=float(prior.prior(rows)[0]), factor=float(prior.factor(rows)[0]),
    )  # fmt: skip
    return row["connection_id"], sections(chain, ranked.criteria, ranked.settings, reader)


def _of(ranked: Ranked, table: str, connection_id: str) -> pd.DataFrame:
    frame = ranked.intake.get(table)
    if frame is None:
        return pd.DataFrame()
    mine = frame[frame["connection_id"] == connection_id]
    return mine.sort_values("work_date", kind="stable")


def _around(
    readings: pd.DataFrame, survey: pd.DataFrame, row: pd.Series
) -> tuple[pd.DataFrame, pd.Series]:
    """Assessed readings of its group, and its own row of the survey."""
    group = readings[(readings["group_code"] == row["group_code"]) & (readings["group_code"] >= 0)]
    mine = survey[
        (survey["source_file"] == row["source_file"]) & (survey["source_line"] == row["source_line"])
        & (survey["connection_id"] == row["connection_id"])
    ]  # fmt: skip
    return group.sort_values("connection_id", kind="stable"), mine.iloc[0]
