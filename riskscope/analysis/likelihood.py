"""Likelihood that a joint is loose or badly made: a prior by its record, odds by what its surveys say.

These are assumptions until the user's own findings speak, and never a chance of failure.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
import pandas as pd

from riskscope.analysis.frames import Bools, floats, is_any, positions
from riskscope.schema.codes import STATES
from riskscope.settings import Settings
from riskscope.units import Floats

READS = ("likelihood_state", "found_tight_since", "evidence")

FOUND_LOOSE = "found loose"
HOT_PATTERNS, HOT_SEVERITY = ("one joint hot", "all hot beyond load"), 2
MOST = 50.0  # of a logarithm of odds: beyond it a likelihood is 0 or 1 to the last digit


class Likelihood(Protocol):
    """Anything that gives each row of an assessment a likelihood."""

    @property
    def name(self) -> str:
        """Which model speaks."""

    def probability(self, frame: pd.DataFrame) -> Floats:
        """Likelihood of each row, 0 to 1."""


@dataclass(frozen=True)
class Prior:
    """Prior by state of the record, odds multiplied by what its surveys say; see `riskscope.analysis.steps.evidence`.

    Reads
        `READS`
    """

    settings: Settings = Settings()
    name: str = "assumed priors"

    def probability(self, frame: pd.DataFrame) -> Floats:
        """Likelihood of each row, 0 to 1. [-]"""
        return updated(self.prior(frame), floats(frame, "evidence"))

    def prior(self, frame: pd.DataFrame) -> Floats:
        """Likelihood by the record alone: as it stood at the reading, and where it was worked on since as it is now."""
        return prior_of(frame["likelihood_state"], frame["found_tight_since"].to_numpy(dtype=bool), self.settings)


def logit(chance: Floats) -> Floats:
    """Logarithm of the odds. [-]"""
    return np.log(chance) - np.log1p(-chance)


def factor(evidence: Floats) -> Floats:
    """Factor on the odds by what the surveys say; 1 where they say nothing. [-]"""
    return np.exp(np.clip(np.nan_to_num(evidence), -MOST, MOST))


def updated(chance: Floats, evidence: Floats) -> Floats:
    """A likelihood with what the surveys say. [-]"""
    odds = chance / (1 - chance) * factor(evidence)
    return odds / (1 + odds)


def prior_of(states: pd.Series, tight_since: Bools, settings: Settings) -> Floats:
    """Likelihood by the state of the record, and whether it was found tight since. [-]"""
    priors = {state.name: getattr(settings, f"prior_{state.column}") for state in STATES.values()}
    chance = np.append([*priors.values()], np.nan)[positions(pd.Series([*priors]), states)]
    return np.where(tight_since, found_tight(chance, settings), chance)


def found_tight(chance: Floats, settings: Settings) -> Floats:
    """The likelihood of a joint that was found tight since. [-]"""
    odds = chance / (1 - chance) * settings.factor_found_tight
    return odds / (1 + odds)


def reads_hot(rows: pd.DataFrame) -> Bools:
    """Joints that a reading calls hot: those are the ones that are opened."""
    return is_any(rows, "pattern", HOT_PATTERNS) | (np.nan_to_num(floats(rows, "severity")) >= HOT_SEVERITY)
