"""Likelihood that a joint is loose or badly made: a prior by its record, odds by its siblings.

These are assumptions until the user's own findings speak, and never a chance of failure.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
import pandas as pd

from riskscope.analysis.frames import floats, positions
from riskscope.schema.codes import STATES
from riskscope.settings import Settings
from riskscope.units import Floats

READS = ("likelihood_state", "reference", "low_k", "resistance_ratio", "pattern", "found_tight_since",
         "severity_before_work", "ratable")  # fmt: skip


class Likelihood(Protocol):
    """Anything that gives each row of an assessment a likelihood."""

    @property
    def name(self) -> str:
        """Which model speaks."""

    def probability(self, frame: pd.DataFrame) -> Floats:
        """Likelihood of each row, 0 to 1."""


@dataclass(frozen=True)
class Prior:
    """Prior by state of the record, odds multiplied by what the siblings show.

    Reads
        `READS`
    """

    settings: Settings = Settings()
    name: str = "assumed priors"

    def probability(self, frame: pd.DataFrame) -> Floats:
        """Likelihood of each row, 0 to 1. [-]"""
        prior = self.prior(frame)
        odds = prior / (1 - prior) * self.factor(frame)
        return odds / (1 + odds)

    def prior(self, frame: pd.DataFrame) -> Floats:
        """Likelihood by the record alone: as it stood at the reading, and where it was worked on since as it is now."""
        priors = {state.name: getattr(self.settings, f"prior_{state.column}") for state in STATES.values()}
        place = positions(pd.Series([*priors]), frame["likelihood_state"])
        return np.append(list(priors.values()), np.nan)[place]

    def factor(self, frame: pd.DataFrame) -> Floats:
        """Factor on the odds; 1 where there is nothing to compare with.

        A hot joint without a computable ratio counts with the least ratio that makes a joint hot.
        """
        s = self.settings
        compared = (
            frame["reference"].notna().to_numpy()
            & frame["ratable"].to_numpy(dtype=bool)
            & frame["severity_before_work"].isna().to_numpy()  # else the reading no longer speaks of the joint
        )
        ratio = floats(frame, "resistance_ratio")
        hot = (frame["pattern"] == "one joint hot").to_numpy(dtype=bool)
        ratio = np.where(np.isnan(ratio), np.where(hot, s.hot_ratio, np.nan), ratio)
        by_ratio = np.clip(s.factor_no_excess * ratio**s.factor_ratio_power, s.factor_low, s.factor_high)
        by_ratio = np.where(np.isnan(by_ratio), 1.0, by_ratio)
        factor = np.where(floats(frame, "low_k") <= 0, s.factor_no_excess, by_ratio)
        factor = np.where(compared, factor, 1.0)
        unsure = frame["reference load not compared"].to_numpy(dtype=bool)
        factor = np.where(unsure, np.fmax(factor, 1.0), factor)  # it acquits nothing
        all_hot = (frame["pattern"] == "all hot beyond load").to_numpy(dtype=bool)
        factor = np.where(all_hot, factor * s.factor_all_hot, factor)
        tight = frame["found_tight_since"].to_numpy(dtype=bool)
        return np.where(tight, factor * s.factor_found_tight, factor)
