"""Posterior likelihood by state of the record, each finding's sibling evidence as an offset."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from riskscope.analysis.frames import floats
from riskscope.analysis.likelihood import Likelihood, Prior, found_tight, prior_of, reads_hot, updated
from riskscope.settings import Settings
from riskscope.units import Floats

WEIGHT = 10.0  # findings that the assumed prior counts for
LOGIT = np.linspace(-25.0, 18.0, 4301)  # even steps of the logit: close to 0 and 1 the beta has no end
# From the best record to the worst: a worse one is never likelier to be tight.
ORDER = ("verified", "over-torqued", "doubtful", "unrecorded", "under-torqued", "found loose")


@dataclass(frozen=True)
class State:
    """One state of record: assumed prior, findings, posterior mean with its 95 % interval."""

    state: str
    prior: float
    findings: int
    loose: int
    mean: float
    low: float
    high: float


def posterior(prior: float, loose: Floats, factor: Floats) -> tuple[float, float, float]:
    """Mean and 95 % credible interval of the likelihood in one state.

    The prior is Beta(10 π, 10 (1 − π)). A finding's odds are those of the state times its own factor,
    so that sibling evidence is not counted twice; with factors of 1 this is the Beta-binomial.

    Parameters
    ----------
    prior : float
        π, the assumed likelihood. [-]
    loose : array-like of bool, shape (n,)
    factor : array-like, shape (n,)
        Factor of the siblings on the odds. [-]
    """
    theta = 1 / (1 + np.exp(-LOGIT))
    log = WEIGHT * prior * np.log(theta) + WEIGHT * (1 - prior) * np.log1p(-theta)
    if len(loose):
        logit = LOGIT[:, None] + np.log(np.asarray(factor, dtype=float))[None, :]
        p = np.clip(1 / (1 + np.exp(-logit)), 1e-12, 1 - 1e-12)
        log = log + np.where(np.asarray(loose, dtype=bool)[None, :], np.log(p), np.log1p(-p)).sum(axis=1)
    weight = np.exp(log - log.max())
    weight /= weight.sum()
    below = np.cumsum(weight)
    low, high = (float(end) for end in np.interp([0.025, 0.975], np.asarray(below), theta))
    return float(theta @ weight), low, high


def states(examples: pd.DataFrame, settings: Settings) -> list[State]:
    """The posterior of every state of record."""
    assumed = prior_of(pd.Series(ORDER), np.zeros(len(ORDER), dtype=bool), settings)
    made = []
    for state, prior in zip(ORDER, assumed, strict=True):
        mine = examples[examples["install_state"] == state]
        loose = mine["loose"].to_numpy(dtype=bool)
        mean, low, high = posterior(float(prior), loose, mine["factor"].to_numpy(dtype=float))
        made.append(State(state, float(prior), len(mine), int(loose.sum()), mean, low, high))
    return made


def monotone(known: list[State]) -> dict[str, float]:
    """The means in order of the states, pooled where a worse state came out below a better one."""
    from sklearn.isotonic import isotonic_regression

    weights = [WEIGHT + state.findings for state in known]
    means = isotonic_regression([state.mean for state in known], sample_weight=weights)
    return {state.state: float(mean) for state, mean in zip(known, means, strict=True)}


@dataclass(frozen=True)
class Posterior:
    """A `Likelihood`: posterior by state, odds times the siblings' factor as in the prior.

    Reads
        as `riskscope.analysis.likelihood.Prior`
    """

    by_state: dict[str, float]
    findings: int
    settings: Settings = field(default_factory=Settings)

    @property
    def name(self) -> str:
        return f"priors with {self.findings} findings"

    def probability(self, frame: pd.DataFrame) -> Floats:
        """Likelihood of each row, 0 to 1. [-]"""
        prior = frame["likelihood_state"].map(self.by_state).to_numpy(dtype=float)
        prior = np.where(frame["found_tight_since"], found_tight(prior, self.settings), prior)
        return updated(prior, floats(frame, "evidence"))


@dataclass(frozen=True)
class OfHotJoints:
    """A `Likelihood` learned where nearly all that was opened read hot: the others keep the assumed priors.

    Reads
        as `riskscope.analysis.likelihood.Prior`; ``pattern``, ``severity``
    """

    learned: Likelihood
    settings: Settings = field(default_factory=Settings)

    @property
    def name(self) -> str:
        return f"{self.learned.name}, for joints that read hot; assumed priors for the others"

    def probability(self, frame: pd.DataFrame) -> Floats:
        """Likelihood of each row, 0 to 1. [-]"""
        return np.where(reads_hot(frame), self.learned.probability(frame), Prior(self.settings).probability(frame))
