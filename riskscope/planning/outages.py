"""The outages of the table ``outages``: when, how long, with how many crews, what is isolated."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from riskscope.errors import UnusableInput


@dataclass(frozen=True)
class Outage:
    """One outage: its hours, crews, limits and the boards that are isolated."""

    outage_id: str
    start: pd.Timestamp
    hours: float
    crews: int
    crews_per_board: int
    max_remakes: float
    skills: str
    equipment: tuple[str, ...]


def outages_of(table: pd.DataFrame) -> tuple[Outage, ...]:
    """The outages of a checked table, by id; missing crews, crews per board are 1.

    Raises
    ------
    UnusableInput
        If the rows of one outage contradict each other, or an outage has no hours.
    """
    made = []
    for name, rows in table.groupby("outage_id", sort=True):
        values: dict[str, Any] = {}
        for column, default in (
            ("start", None),
            ("hours", None),
            ("crews", 1.0),
            ("crews_per_board", 1.0),
            ("max_remakes", np.inf),
            ("skills", ""),
        ):
            given = rows[column].dropna().unique() if column in rows else []
            if len(given) > 1:
                raise UnusableInput(f"outage {name}: {column} is not the same in all its rows.")
            values[column] = given[0] if len(given) else default
        if not values["hours"] > 0:
            raise UnusableInput(f"outage {name} lasts {values['hours']:g} h: nothing fits.")
        if not values["crews"] >= 1:
            raise UnusableInput(f"outage {name} has no crew: nothing can be done.")
        made.append(
            Outage(
                str(name),
                pd.Timestamp(values["start"]),
                float(values["hours"]),
                int(values["crews"]),
                max(1, int(values["crews_per_board"])),
                float(values["max_remakes"]),
                str(values["skills"]),
                tuple(dict.fromkeys(rows["equipment"].dropna().astype("str"))),
            )
        )
    if not made:
        raise UnusableInput(
            "there is no outage to plan.", hint="The table outages needs a row for each board that is isolated."
        )
    return tuple(made)
