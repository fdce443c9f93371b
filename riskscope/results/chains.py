"""The whole chain of any connection of an assessment, what all of them share worked out once."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import pandas as pd

from riskscope.analysis.likelihood import Prior
from riskscope.errors import UnusableInput, nearest
from riskscope.intake.read import Intake
from riskscope.results import tables as results
from riskscope.results.story import Chain, Section, sections
from riskscope.settings import Settings
from riskscope.standards.severity import Criteria
from riskscope.words.render import Units


@dataclass(frozen=True)
class Chains:
    """An assessment, ready to tell the chain of each of its connections.

    Attributes
    ----------
    found : DataFrame
        From `riskscope.assess`.
    readings : DataFrame
        From `riskscope.assess_readings`, of the same tables.
    """

    found: pd.DataFrame
    readings: pd.DataFrame
    intake: Intake
    settings: Settings
    criteria: Criteria
    units: Units

    @cached_property
    def described(self) -> pd.DataFrame:
        """The assessment with its sentence columns, by connection."""
        made = results.describe_all(self.found, self.intake, self.settings, self.criteria, self.units)
        return made.set_index("connection_id", drop=False)

    @cached_property
    def _groups(self) -> dict[int, pd.DataFrame]:
        grouped = self.readings[self.readings["group_code"] >= 0]
        return dict(iter(grouped.groupby("group_code", sort=False)))

    @cached_property
    def _places(self) -> dict[tuple[str, int, str], int]:
        survey = self.intake["survey"]
        keys = zip(survey["source_file"], survey["source_line"], survey["connection_id"], strict=True)
        return {key: place for place, key in reversed(list(enumerate(keys)))}

    @cached_property
    def _history(self) -> dict[str, dict[str, pd.DataFrame]]:
        made: dict[str, dict[str, pd.DataFrame]] = {}
        for table in ("installs", "findings"):
            frame = self.intake.get(table, pd.DataFrame())
            if len(frame):
                ordered = frame.sort_values("work_date", kind="stable")
                made[table] = dict(iter(ordered.groupby("connection_id", sort=False)))
        return made

    def find(self, connection_id: str) -> str:
        """The id as it is spelled in the files.

        Raises
        ------
        UnusableInput
            If there is no such connection.
        """
        if connection_id in self.described.index:
            return connection_id
        wanted = " ".join(connection_id.split()).casefold()
        known = self.described.index.to_series()
        same = known[known.str.casefold() == wanted]
        if same.empty:
            raise UnusableInput(
                f"there is no connection {connection_id!r} in these files.", hint=nearest(connection_id, known.tolist())
            )
        return str(same.iloc[0])

    def siblings(self, connection_id: str) -> pd.DataFrame:
        """Assessed readings of its group in its survey, itself included; empty without a reading."""
        row = self.described.loc[connection_id]
        if not row["surveyed"]:
            return pd.DataFrame()
        group = self._groups.get(int(row["group_code"]), self.readings.head(0))
        return group.sort_values("connection_id", kind="stable")

    def reading(self, connection_id: str) -> pd.Series | None:
        """The row of the survey it is rated on; None without one."""
        row = self.described.loc[connection_id]
        if not row["surveyed"]:
            return None
        at = self._places.get((row["source_file"], row["source_line"], connection_id))
        return None if at is None else self.intake["survey"].iloc[at]

    def chain(self, connection_id: str) -> Chain:
        """All that the rating of a connection rests on."""
        described = self.described.loc[[connection_id]]
        row = described.iloc[0].copy()
        reading = self.reading(connection_id)
        if row["surveyed"] and row["reference"] == "sibling":
            row["reference_id"] = self.readings["connection_id"].iloc[int(row["sibling"])]
        installs = self._of("installs", connection_id)
        used = set(installs.get("tool_id", pd.Series(dtype="str")).dropna())
        tools = self.intake.get("tools", pd.DataFrame({"tool_id": pd.Series(dtype="str")}))
        prior = Prior(self.settings)
        return Chain(
            row=row,
            siblings=self.siblings(connection_id),
            reading=reading,
            installs=installs,
            findings=self._of("findings", connection_id),
            tools=tools[tools["tool_id"].isin(used)],
            prior=float(prior.prior(described)[0]),
            factor=float(prior.factor(described)[0]),
        )

    def _of(self, table: str, connection_id: str) -> pd.DataFrame:
        return self._history.get(table, {}).get(connection_id, pd.DataFrame())

    def sections(self, connection_id: str) -> list[Section]:
        """The chain as headings and lines."""
        return sections(self.chain(connection_id), self.criteria, self.settings, self.units)
