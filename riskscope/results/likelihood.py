"""The likelihood that a joint is loose or badly made, in words, and how it comes about."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.analysis.frames import floats
from riskscope.analysis.likelihood import FOUND_LOOSE, logit
from riskscope.schema.codes import HIGH, LOW, MEDIUM, UNTOLD
from riskscope.settings import Settings
from riskscope.units import Floats
from riskscope.words import codes
from riskscope.words.render import Units, amount, number

LEAST, MOST = 0.01, 0.99


def word(rows: pd.DataFrame, settings: Settings) -> pd.Series:
    """High, medium or low; in place of low that the siblings cannot tell, where they cannot."""
    likelihood = floats(rows, "likelihood_loose")
    low = np.where(rows["cannot_tell"].notna().to_numpy(), UNTOLD, LOW)
    words = np.select([likelihood > settings.word_high, likelihood >= settings.word_low], [HIGH, MEDIUM], low)
    return pd.Series(words, index=rows.index, dtype="str")


def lines(row: pd.Series, prior: float, settings: Settings, units: Units) -> list[str]:
    """What the likelihood of one connection is made of: its record, and what each survey adds."""
    own = float(logit(np.array([prior]))[0])
    parts = [f"{_sum(own)} for its record (assumed {number([prior], 2)[0]})"]
    latest, total = row["evidence_latest"], row["evidence"]
    hidden = []
    for name, weight in (("latest", 1.0), ("before", settings.evidence_before), ("third", settings.evidence_third)):
        said = row[f"evidence_{name}"]
        if pd.isna(said):
            continue
        day = amount(row["survey_date" if name == "latest" else f"evidence_{name}_on"], "day", units)
        against = said < 0 and row["likelihood_state"] == FOUND_LOOSE
        if against or (said < 0 and not latest <= 0):
            hidden.append(day)
        else:
            scaled = "" if name == "latest" else f"{weight:g} × "
            parts.append(f"{scaled}{_sum(said)} by the survey of {day}")
    because = "it was found loose by hand" if row["likelihood_state"] == FOUND_LOOSE else "the latest does not"
    made = [
        f"{row['likelihood'].capitalize()}: {_share(row['likelihood_loose'])}.",
        f"As natural logarithms of odds: {', '.join(parts)}; together {_sum(own + np.nan_to_num(total))}. "
        "A sum s is a likelihood of 1 / (1 + e^−s).",
        f"What speaks against a bad joint counts nothing, as {because}: {', '.join(hidden)}." if hidden else "",
        codes.NOTHING_SPEAKS if pd.isna(total) else _how(settings),
        f"The siblings cannot tell: {codes.UNTOLD[row['cannot_tell']]}." if row["likelihood"] == UNTOLD else "",
    ]
    return [*made, codes.WHAT_LIKELIHOOD_IS]


def _how(settings: Settings) -> str:
    factor, spread = number([settings.evidence_excess, np.exp(settings.evidence_excess_spread)], 1)
    return f"{codes.HOW_SIBLINGS_SPEAK} {factor} times as much, give or take a factor of {spread} (our assumptions)."


def printed(likelihood: Floats) -> Floats:
    """As far as it is told apart in words: to two decimals, and never as sure as 0 or 1."""
    return np.clip(np.round(likelihood, 2), LEAST, MOST)


def _share(likelihood: float) -> str:
    if likelihood > MOST:
        return f"over {MOST:.2f}"
    return f"under {LEAST:.2f}" if likelihood < LEAST else str(number([likelihood], 2)[0])


def _sum(value: float) -> str:
    """A number to be added, with its sign."""
    text = str(number([value], 2)[0])
    return text if text.startswith("−") else f"+{text}"
