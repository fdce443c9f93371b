"""Emissivity by surface: tables of handbooks and makers of infrared instruments, 8 to 14 µm or total."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from riskscope import standards


@dataclass(frozen=True)
class Surface:
    """One row: the range printed for a surface, its band, how sure we are of it."""

    name: str
    low: float
    high: float
    band: str
    status: str

    @property
    def middle(self) -> float:
        return (self.low + self.high) / 2


@lru_cache
def table() -> Mapping[str, Surface]:
    """Every surface, by name."""
    return {
        row["surface"]: Surface(row["surface"], float(row["low"]), float(row["high"]), row["band"], row["status"])
        for row in standards.read("emissivity")
    }


def find(words: str) -> Surface | None:
    """The surface some words name: its name, or all words of one; None where none or several fit."""
    wanted = set(re.findall(r"\w+", words.casefold().replace("aluminum", "aluminium").replace("oxidized", "oxidised")))
    if not wanted:
        return None
    fits = [surface for name, surface in table().items() if wanted <= set(re.findall(r"\w+", name.casefold()))]
    exact = [surface for surface in fits if set(re.findall(r"\w+", surface.name.casefold())) == wanted]
    if exact:
        return exact[0]
    return fits[0] if len(fits) == 1 else None
