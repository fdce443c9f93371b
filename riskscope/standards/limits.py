"""Temperature limits by class."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from riskscope import standards


@dataclass(frozen=True)
class Limit:
    """One row of the table of limits.

    `total_c` is the printed total, else the printed rise over the printed air temperature. Classes
    with use ``ampacity`` choose a conductor's ampacity; they are shown and never are the limit of
    what a camera sees (NEC 110.14(C)).
    """

    key: str
    use: str
    what: str
    total_c: float
    regime: str
    source: str
    status: str

    @property
    def is_surface_limit(self) -> bool:
        return self.use == "limit"


@lru_cache
def table() -> Mapping[str, Limit]:
    """Every class, by key."""
    return {row["key"]: _limit(row) for row in standards.read("temperature_limits")}


def _limit(row: Mapping[str, str]) -> Limit:
    total = row["total_c"] or float(row["rise_k"]) + float(row["ambient_c"])
    return Limit(row["key"], row["use"], row["what"], float(total), row["regime"], row["source"], row["status"])


def find(limit_class: str) -> Limit | None:
    """The class a user named, case and spaces ignored; None if there is none."""
    return table().get("-".join(limit_class.casefold().split()))
