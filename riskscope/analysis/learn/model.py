"""A logistic model of findings, adopted only where it beats the recalibrated prior for sure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from riskscope.analysis.learn.examples import FEATURES
from riskscope.analysis.learn.posterior import ORDER
from riskscope.analysis.likelihood import logit
from riskscope.units import Floats

FEWEST, FEWEST_OF_EACH = 50, 10
FOLDS = 5
STRENGTH = 0.3  # of the findings beside ½ Σ w², as scikit-learn's C
STEPS = [f"worse than {state}" for state in ORDER[:-1]]
NAMES = [*STEPS, *FEATURES[1:]]
NEVER_NEGATIVE = (*STEPS, "exceedance", "aluminium")  # the trade knows the sign
POWER = "evidence"


def matrix(frame: pd.DataFrame) -> Floats:
    """The features as numbers: a step for each state that is worse than the one below, then the rest.

    Parameters
    ----------
    frame : DataFrame
        With `FEATURES`.

    Returns
    -------
    ndarray, shape (rows, len(NAMES))
    """
    place = frame["install_state"].map({state: n for n, state in enumerate(ORDER)}).to_numpy(dtype=float)
    steps = (place[:, None] > np.arange(len(ORDER) - 1)[None, :]).astype(float)
    return np.column_stack([steps, frame[list(FEATURES[1:])].to_numpy(dtype=float)])


@dataclass(frozen=True, eq=False)
class Fitted:
    """A logistic model beside the assumed likelihood: its logit is an offset, what the findings add has weights.

    Attributes
    ----------
    mean, spread, weights : ndarray, shape (len(NAMES),)
        Of each feature, and its weight in units of its spread.
    intercept : float
    """

    mean: Floats
    spread: Floats
    weights: Floats
    intercept: float

    def scaled(self, frame: pd.DataFrame) -> Floats:
        """The features of each row, in units of their spread."""
        return (matrix(frame) - self.mean) / self.spread

    def probability(self, frame: pd.DataFrame) -> Floats:
        """Likelihood of each row, 0 to 1. [-]"""
        of_odds = logit(assumed(frame)) + self.scaled(frame) @ self.weights + self.intercept
        return 1 / (1 + np.exp(-of_odds))


def fit(frame: pd.DataFrame, loose: Floats, strength: float = STRENGTH) -> Fitted:
    """The weights that make ½ Σ w² + C Σ log loss least, of `NEVER_NEGATIVE` none against what the trade knows.

    With what is assumed beside them a worse record never counts less, nor a larger exceedance, nor aluminium. The power
    of the siblings' evidence is learned too, but never below 0, and only where joints that read cool were opened: of
    hot ones alone it is not known.
    """
    from scipy.optimize import minimize

    x = matrix(frame)
    mean, spread = x.mean(axis=0), x.std(axis=0)
    spread = np.where(spread > 0, spread, 1.0)
    x, offset = (x - mean) / spread, logit(assumed(frame))
    sign = np.where(np.asarray(loose, dtype=bool), 1.0, -1.0)

    def loss(w: Floats) -> tuple[float, Floats]:
        margin = sign * (offset + x @ w[:-1] + w[-1])
        pull = -strength * sign / (1 + np.exp(np.clip(margin, -500, 500)))
        value = 0.5 * w[:-1] @ w[:-1] + strength * np.logaddexp(0.0, -margin).sum()
        return float(value), np.append(w[:-1] + x.T @ pull, pull.sum())

    least = {**dict.fromkeys(NEVER_NEGATIVE, 0.0), **_assumed_steps(frame), POWER: 1.0}
    bounds: list[Any] = [
        (-least[name] * width if name in least else None, None) for name, width in zip(NAMES, spread, strict=True)
    ]
    if frame["hot"].all():
        bounds[NAMES.index(POWER)] = (0.0, 0.0)
    made = minimize(loss, np.zeros(x.shape[1] + 1), jac=True, method="L-BFGS-B", bounds=[*bounds, (None, None)])
    return Fitted(mean, spread, made.x[:-1], float(made.x[-1]))


def _assumed_steps(frame: pd.DataFrame) -> dict[str, float]:
    """How much more each worse record is assumed to count, as far as the findings have both: weights may take it away.
    [of the logit]"""
    by_state = pd.Series(logit(frame["prior"].to_numpy(dtype=float))).groupby(frame["install_state"].to_numpy()).mean()
    steps = by_state.reindex(list(ORDER)).diff().iloc[1:]
    return {name: max(float(step), 0.0) for name, step in zip(STEPS, steps, strict=True) if step == step}


def assumed(examples: pd.DataFrame) -> Floats:
    """The prior with its sibling evidence, before any finding."""
    prior, factor = (examples["prior"].to_numpy(dtype=float), examples["factor"].to_numpy(dtype=float))
    odds = prior / (1 - prior) * factor
    return np.asarray(np.clip(odds / (1 + odds), 1e-4, 1 - 1e-4))


def recalibrated(train: pd.DataFrame, test: pd.DataFrame) -> Floats:
    """The prior of `test`, intercept and slope on its logit fitted to the findings of `train`."""
    from sklearn.linear_model import LogisticRegression

    loose = train["loose"].to_numpy(dtype=bool)
    if loose.all() or not loose.any():
        return np.full(len(test), loose.mean())
    fitted = LogisticRegression(C=1e6, max_iter=500).fit(logit(assumed(train))[:, None], loose)
    return np.asarray(fitted.predict_proba(logit(assumed(test))[:, None])[:, 1])


@dataclass(frozen=True)
class Verdict:
    """Whether the model speaks, and why or why not.

    Attributes
    ----------
    adopted : bool
    why : str
    findings, loose : int
    brier_model, brier_prior, log_loss_model, log_loss_prior : float
        Out of fold; NaN where there are too few findings.
    gain, gain_se : float
        Mean difference of the Brier scores and its standard error.
    coefficients : dict of str to float
        In units of each feature's spread.
    reliability : DataFrame
        ``likelihood_said share_found_loose findings`` by fifths of the model's likelihood.
    model : Fitted or None
    """

    adopted: bool
    why: str
    findings: int
    loose: int
    brier_model: float = float("nan")
    brier_prior: float = float("nan")
    log_loss_model: float = float("nan")
    log_loss_prior: float = float("nan")
    gain: float = float("nan")
    gain_se: float = float("nan")
    coefficients: dict[str, float] = field(default_factory=dict)
    reliability: pd.DataFrame = field(default_factory=pd.DataFrame)
    model: Fitted | None = None


def judge(examples: pd.DataFrame) -> Verdict:
    """Fit the model and adopt it only as the rules say.

    At least 50 findings and 10 of each kind; in folds grouped by equipment its Brier score beats the
    recalibrated prior's by more than one standard error of the paired difference. Weights of which the trade knows the
    sign cannot be negative; see `fit`.
    """
    from sklearn.metrics import brier_score_loss, log_loss
    from sklearn.model_selection import GroupKFold

    loose = examples["loose"].to_numpy(dtype=float)
    count, bad = len(examples), int(loose.sum())
    if count < FEWEST or min(bad, count - bad) < FEWEST_OF_EACH:
        return Verdict(
            False,
            f"too few findings: {count} ({bad} loose); it takes {FEWEST}, {FEWEST_OF_EACH} of each kind",
            count,
            bad,
        )
    boards = examples["equipment"].nunique()
    if boards < 2:
        return Verdict(False, "all findings are of one board: nothing to test the model on", count, bad)
    ours, theirs = np.empty(count), np.empty(count)
    for train, test in GroupKFold(min(FOLDS, boards)).split(examples, groups=examples["equipment"]):
        part = examples.iloc[train]
        theirs[test] = recalibrated(part, examples.iloc[test])
        if part["loose"].nunique() < 2:
            ours[test] = theirs[test]
        else:
            ours[test] = fit(part, part["loose"].to_numpy(dtype=float)).probability(examples.iloc[test])
    difference = (theirs - loose) ** 2 - (ours - loose) ** 2
    gain, error = float(difference.mean()), _grouped_error(difference, examples["equipment"])
    model = fit(examples, loose)
    coefficients = dict(zip(NAMES, model.weights.tolist(), strict=True))
    if gain <= error:
        why = f"it does not beat the recalibrated prior for sure (gain {gain:.4f}, standard error {error:.4f})"
    else:
        why = f"it beats the recalibrated prior by {gain:.4f} (standard error {error:.4f})"
    return Verdict(
        gain > error,
        why,
        count,
        bad,
        float(brier_score_loss(loose, ours)),
        float(brier_score_loss(loose, theirs)),
        float(log_loss(loose, ours)),
        float(log_loss(loose, theirs)),
        gain,
        error,
        coefficients,
        _reliability(ours, loose),
        model,
    )


def _grouped_error(difference: Floats, groups: pd.Series) -> float:
    """Standard error of the mean, the larger of that over findings and that over boards."""
    plain = float(difference.std(ddof=1) / np.sqrt(len(difference)))
    sums = pd.Series(difference).groupby(groups.to_numpy()).agg(["sum", "size"])
    mean = difference.mean()
    spread = float(((sums["sum"] - mean * sums["size"]) ** 2).sum())
    clustered = float(np.sqrt(spread * len(sums) / max(len(sums) - 1, 1)) / len(difference))
    return max(plain, clustered)


def _reliability(p: Floats, loose: Floats) -> pd.DataFrame:
    fifth = pd.qcut(pd.Series(p).rank(method="first"), 5, labels=False)
    grouped = pd.DataFrame({"said": p, "loose": loose}).groupby(fifth)
    return pd.DataFrame(
        {
            "likelihood_said": grouped["said"].mean(),
            "share_found_loose": grouped["loose"].mean(),
            "findings": grouped.size(),
        }
    ).reset_index(drop=True)


def causes(model: Fitted, frame: pd.DataFrame, most: int = 3) -> list[Sequence[str]]:
    """What the findings make raise the likelihood of each row most, in words, strongest first."""
    weight = model.scaled(frame) * model.weights
    words = [name.replace("_", " ") for name in NAMES]
    return [[words[place] for place in np.argsort(-row)[:most] if row[place] > 0] for row in weight]
