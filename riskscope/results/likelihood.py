"""The likelihood that a joint is loose or badly made, in words, and how it comes about."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riskscope.analysis.frames import floats
from riskscope.analysis.likelihood import FOUND_LOOSE
from riskscope.schema.codes import HIGH, LOW, MEDIUM, UNTOLD
from riskscope.settings import Settings
from riskscope.words import codes
from riskscope.words.render import Units, amount, number


def word(rows: pd.DataFrame, settings: Settings) -> pd.Series:
    """High, medium or low; in place of low that the siblings cannot tell, where they cannot."""
    likelihood = floats(rows, "likelihood_loose")
    low = np.where(rows["cannot_tell"].to_numpy(dtype=bool), UNTOLD, LOW)
    words = np.select([likelihood > settings.word_high, likelihood >= settings.word_low], [HIGH, MEDIUM], low)
    return pd.Series(words, index=rows.index, dtype="str")


def lines(row: pd.Series, prior: float, settings: Settings, units: Units) -> list[str]:
    """What the likelihood of one connection is made of: its record, and what each survey adds."""
    parts = [f"{_sum(np.log(prior / (1 - prior)))} for its record (assumed {number([prior], 2)[0]})"]
    latest = row["evidence_latest"]
    if not pd.isna(latest):
        parts.append(f"{_sum(latest)} by the reading of {amount(row['survey_date'], 'day', units)}")
    hidden = []
    for name, weight in (("before", settings.evidence_before), ("third", settings.evidence_third)):
        said, day = row[f"evidence_{name}"], amount(row[f"evidence_{name}_on"], "day", units)
        if pd.isna(said):
            continue
        if latest > 0 > said:
            hidden.append(day)
        else:
            parts.append(f"{weight:g} × {_sum(said)} by that of {day}")
    made = [
        f"{row['likelihood'].capitalize()}: {_share(row['likelihood_loose'])}.",
        f"As logarithms of odds: {', '.join(parts)}.",
        f"What speaks against a bad joint in an earlier survey counts nothing beside the latest ({', '.join(hidden)})."
        if hidden
        else "",
        "It was found loose by hand: what its readings say against that counts nothing."
        if row["likelihood_state"] == FOUND_LOOSE and row["evidence"] == 0
        else "",
        codes.NOTHING_SPEAKS if pd.isna(row["evidence"]) else _how(settings),
        codes.UNTOLD if row["likelihood"] == UNTOLD else "",
    ]
    return [*made, codes.WHAT_LIKELIHOOD_IS]


def _how(settings: Settings) -> str:
    factor, spread = number([settings.evidence_excess, np.exp(settings.evidence_excess_spread)], 1)
    return f"{codes.HOW_SIBLINGS_SPEAK} {factor} times as much, give or take a factor of {spread} (our assumptions)."


def _share(likelihood: float) -> str:
    """With two decimals, but never as sure as 0 or 1."""
    if likelihood > 0.99:
        return "over 0.99"
    return "under 0.01" if likelihood < 0.01 else str(number([likelihood], 2)[0])


def _sum(value: float) -> str:
    """A number to be added, with its sign."""
    text = str(number([value], 2)[0])
    return text if text.startswith("−") else f"+{text}"
