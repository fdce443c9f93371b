"""An assessment: what was assessed, with all that made it. Made once, never changed."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Callable, Collection, Hashable, Mapping
from dataclasses import dataclass, field
from typing import Any, Self, TypeVar

import numpy as np
import pandas as pd

from riskscope.analysis.proof.register import former_names
from riskscope.errors import UnusableInput, known_name, nearest
from riskscope.schema.common import AT
from riskscope.schema.tables import Tables
from riskscope.settings import Settings
from riskscope.standards.severity import Criteria

T = TypeVar("T")


@dataclass(frozen=True, eq=False)
class Assessment:
    """Every connection known, every reading that counts, and what they were assessed with.

    What derives from it (lists, sentences, stories, years) are functions of `riskscope.results` and
    `riskscope.report` that remember their answer in its memo: nothing is worked out twice.

    Attributes
    ----------
    connections : DataFrame
        One row for each connection: codes and quantities, as `riskscope.columns` declares them.
    readings : DataFrame
        One row for each reading that counts, of every survey, with its severity.
    tables : Tables
        The rows it was made from.
    settings : Settings
    criteria : Criteria
        The severity table.
    on : date
        The day of the assessment; later rows are not used.
    likelihood : str
        What spoke of the likelihood of a loose joint.
    origin : mapping of str to str
        Where the value of each setting comes from; of those not named it is the default.
    retired : DataFrame
        Connections that are out of use, by the register; they are in no other list.
    """

    connections: pd.DataFrame
    readings: pd.DataFrame
    tables: Tables
    settings: Settings
    criteria: Criteria
    on: dt.date
    likelihood: str = "assumed priors"
    origin: Mapping[str, str] = field(default_factory=dict, repr=False)
    retired: pd.DataFrame = field(default_factory=pd.DataFrame, repr=False)
    memo: dict[Hashable, Any] = field(default_factory=dict, repr=False)

    def remember(self, key: Hashable, make: Callable[[], T]) -> T:
        """What `make` gives, made the first time it is asked for."""
        if key not in self.memo:
            self.memo[key] = make()
        made: T = self.memo[key]
        return made

    def find(self, connection_id: str) -> str:
        """The id of a connection as it is spelled in the tables, case and outer spaces aside; by a former name, too.

        Raises
        ------
        UnusableInput
            If there is no such connection.
        """
        names = self.connections["connection_id"]
        former = self.remember("former names", lambda: former_names(self.tables, names))
        known, wanted = names.tolist(), " ".join(connection_id.split()).casefold()
        if wanted in former and connection_id not in known:
            return former[wanted]
        folded, (bare, _, site) = names.str.casefold(), wanted.rpartition(AT)
        is_it = (folded == bare) | (names == former.get(bare))
        on_site = names[is_it & (self.connections["site"].astype("str").str.casefold() == site)]
        if bare and len(on_site):
            return str(on_site.iloc[0])
        if len(self.retired) and not (folded == wanted).any():
            self._refuse_retired(wanted)
        return known_name(connection_id, known, f"there is no connection {connection_id!r}.")

    def _refuse_retired(self, wanted: str) -> None:
        for row in self.retired[self.retired["connection_id"].str.casefold() == wanted].to_dict("records"):
            since = row["retired_on"]
            raise UnusableInput(
                f"{row['connection_id']!r} is out of use by the register since {since.day} {since:%B %Y}, says "
                f"{row['retired_by']}; its urgency was “{row['urgency']}”."
            )

    def of(self, sites: Collection[str]) -> Self:
        """The same assessment, restricted to some sites; what does not say its site could be of them and stays.

        Raises
        ------
        UnusableInput
            If it knows no such site.
        """
        known = self.connections["site"].dropna().unique().tolist()
        if isinstance(sites, str) or not isinstance(sites, Collection) or not sites:
            raise UnusableInput(f"of takes a list of sites; there are {', '.join(known)}.")
        for site in sites:
            if site not in known:
                raise UnusableInput(f"there is no site {site!r}.", hint=nearest(str(site), known))
        keep = self._is_of(self.readings, sites)
        moved = np.append(np.where(keep, np.cumsum(keep) - 1, -1), -1)  # the last for those without a sibling
        own = self._is_of(self.connections, sites)
        return dataclasses.replace(
            self,
            connections=_moved(self.connections[own], moved),
            readings=_moved(self.readings[keep], moved),
            tables=_of_sites(self.tables, sites, set(self.connections.loc[own, "connection_id"])),
            retired=self.retired[self._is_of(self.retired, sites)] if len(self.retired) else self.retired,
            memo={},
        )

    @staticmethod
    def _is_of(frame: pd.DataFrame, sites: Collection[str]) -> np.ndarray:
        return (frame["site"].isin(list(sites)) | frame["site"].isna()).to_numpy(dtype=bool)


def _moved(frame: pd.DataFrame, moved: np.ndarray) -> pd.DataFrame:
    """The rows numbered anew, their siblings at their new places among the readings."""
    return frame.assign(sibling=moved[frame["sibling"].to_numpy()].astype("int32")).reset_index(drop=True)


def _of_sites(tables: Tables, sites: Collection[str], ids: Collection[str]) -> Tables:
    """The rows that are of these sites, or of their connections; tables without either stay whole.

    A tool stays that one of these records names, though it is listed for another site.
    """
    accepted = {}
    for name, frame in tables.items():
        keep = np.ones(len(frame), dtype=bool)
        if "connection_id" in frame:
            keep = frame["connection_id"].isin(list(ids)).to_numpy(dtype=bool)
        elif "site" in frame:
            keep = (frame["site"].isin(list(sites)) | frame["site"].isna()).to_numpy(dtype=bool)
        if name == "tools":
            keep = keep | frame["tool_id"].isin(_tools_named(tables, ids)).to_numpy(dtype=bool)
        accepted[name] = frame[keep].reset_index(drop=True)
    return dataclasses.replace(tables, accepted=accepted)


def _tools_named(tables: Tables, ids: Collection[str]) -> list[str]:
    """The tools that records of some connections name."""
    records = [tables[name] for name in ("installs", "findings") if name in tables and "tool_id" in tables[name]]
    return [tool for rows in records for tool in rows.loc[rows["connection_id"].isin(list(ids)), "tool_id"].dropna()]
