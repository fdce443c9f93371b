"""A logistic model of findings, adopted only where it beats the recalibrated prior for sure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from riskscope.analysis.learn.examples import FEATURES
from riskscope.analysis.learn.posterior import ORDER
from riskscope.units import Floats

FEWEST, FEWEST_OF_EACH = 50, 10
FOLDS = 5
STEPS = [f"worse than {state}" for state in ORDER[:-1]]
NAMES = [*STEPS, *FEATURES[1:]]
NEVER_NEGATIVE = (*STEPS, "log_ratio", "exceedance")


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


def estimator(strength: float = 0.3) -> Any:
    """The model as a plain scikit-learn pipeline: DataFrame with `FEATURES` in, probabilities out."""
    from sklearn.linear_model import LogisticRegression
    from sklearn.pipeline import make_pipeline
    from sklearn.preprocessing import FunctionTransformer, StandardScaler

    return make_pipeline(FunctionTransformer(matrix), StandardScaler(), LogisticRegression(C=strength, max_iter=500))


def assumed(examples: pd.DataFrame) -> Floats:
    """The prior with its sibling evidence, before any finding."""
    prior, factor = (examples["prior"].to_numpy(dtype=float), examples["factor"].to_numpy(dtype=float))
    odds = prior / (1 - prior) * factor
    return np.asarray(np.clip(odds / (1 + odds), 1e-4, 1 - 1e-4))


def recalibrated(train: pd.DataFrame, test: pd.DataFrame) -> Floats:
    """The prior of `test`, intercept and slope on its logit fitted to the findings of `train`."""
    from sklearn.linear_model import LogisticRegression

    def logit(frame: pd.DataFrame) -> Floats:
        p = assumed(frame)
        return np.asarray(np.log(p / (1 - p)))[:, None]

    loose = train["loose"].to_numpy(dtype=bool)
    if loose.all() or not loose.any():
        return np.full(len(test), loose.mean())
    fitted = LogisticRegression(C=1e6, max_iter=500).fit(logit(train), loose)
    return np.asarray(fitted.predict_proba(logit(test))[:, 1])


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
    model : object or None
        The fitted pipeline.
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
    model: Any = None


def judge(examples: pd.DataFrame) -> Verdict:
    """Fit the model and adopt it only as the rules say.

    At least 50 findings and 10 of each kind; in folds grouped by equipment its Brier score beats the
    recalibrated prior's by more than one standard error of the paired difference; no coefficient of
    a worse record, the ratio or the exceedance is negative.
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
            ours[test] = estimator().fit(part, part["loose"].astype(bool)).predict_proba(examples.iloc[test])[:, 1]
    difference = (theirs - loose) ** 2 - (ours - loose) ** 2
    gain, error = float(difference.mean()), _grouped_error(difference, examples["equipment"])
    model = estimator().fit(examples, examples["loose"].astype(bool))
    coefficients = dict(zip(NAMES, model[-1].coef_[0].tolist(), strict=True))
    negative = [name for name in NEVER_NEGATIVE if coefficients[name] < -1e-9 and _varies(examples, name)]
    if gain <= error:
        why = f"it does not beat the recalibrated prior for sure (gain {gain:.4f}, standard error {error:.4f})"
    elif negative:
        why = f"it would rate a joint lower for {', '.join(negative)}: not believed"
    else:
        why = f"it beats the recalibrated prior by {gain:.4f} (standard error {error:.4f})"
    return Verdict(
        gain > error and not negative,
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


def _varies(examples: pd.DataFrame, name: str) -> bool:
    values = matrix(examples)[:, NAMES.index(name)]
    return bool(values.min() < values.max())


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


def causes(model: Any, frame: pd.DataFrame, most: int = 3) -> list[Sequence[str]]:
    """What raises the likelihood of each row most, in words, strongest first."""
    scaled = model[:-1].transform(frame)
    weight = scaled * model[-1].coef_[0]
    words = [name.replace("_", " ") for name in NAMES]
    return [[words[place] for place in np.argsort(-row)[:most] if row[place] > 0] for row in weight]
