"""learn: what the user's own findings say of the likelihoods, and whether a model may speak."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np
import pandas as pd

from riskscope.analysis.assessment import Assessment
from riskscope.analysis.learn import model
from riskscope.analysis.learn.examples import examples, features, slopes_of
from riskscope.analysis.learn.model import Fitted, Verdict
from riskscope.analysis.learn.posterior import OfHotJoints, Posterior, State, monotone, states
from riskscope.analysis.likelihood import Likelihood
from riskscope.jobs.rank import Progress
from riskscope.settings import Settings
from riskscope.units import Floats

MOSTLY_HOT = 0.8
ONLY_HOT = (
    "{share:.0%} of these findings are of joints that read hot: what they teach is of hot joints, and is not used for "
    "the others. Record how joints are found that read cool, too."
)


@dataclass(frozen=True)
class Learning:
    """What the findings teach.

    Attributes
    ----------
    findings : int
        Findings that were checked and known of before.
    states : list of State
        Posterior of each state of record.
    verdict : Verdict
        The model, and whether it speaks.
    speaks : Likelihood
        The model where it is adopted, else the priors with the findings.
    hot : float
        Share of the findings whose joint read hot; NaN without findings.
    """

    findings: int
    states: list[State]
    verdict: Verdict
    speaks: Likelihood
    hot: float

    @property
    def table(self) -> pd.DataFrame:
        """One row a state: assumed, findings, found loose, posterior with its interval."""
        return pd.DataFrame([vars(state) for state in self.states])

    @property
    def sentences(self) -> list[str]:
        """What speaks, on how many findings, how good it is."""
        verdict = self.verdict
        lines = [
            (
                f"{self.findings:,} findings of connections that were known before, "
                f"{verdict.loose:,} of them loose or badly made."
            ),
            f"Speaks: {self.speaks.name}.",
            *([ONLY_HOT.format(share=self.hot)] if self.hot > MOSTLY_HOT else []),
            f"The model is {'adopted' if verdict.adopted else 'not adopted'}: {verdict.why}.",
        ]
        if not np.isnan(verdict.brier_model):
            lines.append(
                f"Out of fold: Brier score {verdict.brier_model:.4f} (recalibrated prior {verdict.brier_prior:.4f}), "
                f"log loss {verdict.log_loss_model:.4f} ({verdict.log_loss_prior:.4f})."
            )
        lines.append("A likelihood is that of a loose or badly made joint, never a chance of failure.")
        return lines


@dataclass(frozen=True)
class Model:
    """The adopted model as a `Likelihood`."""

    fitted: Fitted
    findings: int
    on: dt.date
    settings: Settings
    slopes: pd.Series

    @property
    def name(self) -> str:
        return f"a model of {self.findings} findings"

    def probability(self, frame: pd.DataFrame) -> Floats:
        """Likelihood of each row, 0 to 1. [-]"""
        return self.fitted.probability(features(frame, self.on, self.settings, self.slopes))


def learn(assessment: Assessment, progress: Progress = lambda text: None) -> Learning:
    """Learn from the findings in the tables of an assessment."""
    known = examples(assessment.tables, assessment.settings, assessment.criteria, progress)
    posterior = states(known, assessment.settings)
    progress("fitting the model")
    verdict = model.judge(known)
    speaks: Likelihood = Posterior(monotone(posterior), len(known), assessment.settings)
    if verdict.model is not None and verdict.adopted:
        slopes = slopes_of(assessment)
        speaks = Model(verdict.model, len(known), assessment.on, assessment.settings, slopes)
    hot = float(known["hot"].mean()) if len(known) else float("nan")
    if hot > MOSTLY_HOT:
        speaks = OfHotJoints(speaks, assessment.settings)
    return Learning(len(known), posterior, verdict, speaks, hot)


def explained(learned: Learning, assessment: Assessment, most: int = 20) -> pd.DataFrame:
    """The likeliest connections with what raises their likelihood, in words."""
    connections = assessment.connections
    p = learned.speaks.probability(connections)
    worst = np.argsort(-p, kind="stable")[:most]
    rows = connections.iloc[worst]
    inner = learned.speaks.learned if isinstance(learned.speaks, OfHotJoints) else learned.speaks
    if isinstance(inner, Model):
        words = model.causes(inner.fitted, features(rows, assessment.on, assessment.settings, inner.slopes))
        why = ["; ".join(parts) or "nothing in particular" for parts in words]
    else:
        says = [
            f"; its surveys add {value:+.1f} to the logarithm of its odds" if value == value else ""
            for value in rows["evidence"]
        ]
        why = [f"record {state}{said}" for state, said in zip(rows["likelihood_state"], says, strict=True)]
    return pd.DataFrame(
        {
            "connection_id": rows["connection_id"].to_numpy(),
            "equipment": rows["equipment"].to_numpy(),
            "likelihood": p[worst],
            "why": why,
        }
    )
