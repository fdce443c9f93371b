"""How a likelihood is said, so that a reader can add it up."""

from __future__ import annotations

import math
import re

import pandas as pd
import pytest

from riskscope.results import likelihood
from riskscope.settings import Settings
from riskscope.words.render import Units

ROW = {
    "likelihood": "high",
    "likelihood_loose": 0.82,
    "likelihood_state": "unrecorded",
    "evidence": 2.36,
    "evidence_latest": 1.95,
    "evidence_before": 0.51,
    "evidence_third": 0.10,
    "survey_date": pd.Timestamp("2026-05-04"),
    "evidence_before_on": pd.Timestamp("2025-05-04"),
    "evidence_third_on": pd.Timestamp("2024-05-04"),
}


def said(**row: object) -> str:
    return " ".join(likelihood.lines(pd.Series({**ROW, **row}), 0.3, Settings(), Units()))


def test_what_is_printed_adds_up_to_the_likelihood() -> None:
    """−0.85 + 1.95 + 0.7 × 0.51 + 0.5 × 0.10 = 1.51, a likelihood of 0.82."""
    text = said()
    assert "−0.85 for its record (assumed 0.30), +1.95 by the survey of 4 May 2026, 0.7 × +0.51 by" in text
    numbers = re.search(r"odds: (.*?); together", text).group(1)  # type: ignore[union-attr]
    total = sum(
        float(weight or 1) * float(number.replace("−", "-"))
        for weight, number in re.findall(r"(?:(0\.\d) × )?([+−]\d+\.\d\d)", numbers)
    )
    assert 1 / (1 + math.exp(-total)) == pytest.approx(0.82, abs=0.005)
    assert text.startswith("High: 0.82.")
    assert f"; together +{-0.8473 + 2.36:.2f}." in text


def test_old_health_that_counts_nothing_is_said() -> None:
    text = said(evidence_before=-1.5)
    assert "counts nothing, as the latest does not: 4 May 2025." in text
    assert "by the survey of 4 May 2025" not in text


def test_without_a_reading_that_speaks_it_says_so() -> None:
    none = {f"evidence_{name}": math.nan for name in ("latest", "before", "third")}
    text = said(
        **none,
        evidence=math.nan,
        likelihood="siblings cannot tell",
        likelihood_loose=0.03,
        cannot_tell="nothing speaks",
    )
    assert "No reading that can be used speaks of it beside its record" in text
    assert "The siblings cannot tell: there is no reading, or the latest says nothing of it." in text


@pytest.mark.parametrize(("value", "words"), [(0.9999, "over 0.99"), (1e-9, "under 0.01"), (0.99, "0.99")])
def test_it_is_never_as_sure_as_0_or_1(value: float, words: str) -> None:
    assert said(likelihood_loose=value).startswith(f"High: {words}.")


def test_found_loose_by_hand_is_said() -> None:
    none = {"evidence_before": math.nan, "evidence_third": math.nan}
    text = said(likelihood_state="found loose", evidence=0.0, evidence_latest=-2.0, **none)
    assert "counts nothing, as it was found loose by hand: 4 May 2026." in text
    assert "by the survey of" not in text


@pytest.mark.parametrize(
    ("value", "cannot_tell", "word"),
    [(0.51, "all hot", "high"), (0.5, "all hot", "medium"), (0.1, None, "medium"), (0.099, None, "low"),
     (0.099, "all hot", "siblings cannot tell")],
)  # fmt: skip
def test_words(value: float, cannot_tell: str | None, word: str) -> None:
    rows = pd.DataFrame({"likelihood_loose": [value], "cannot_tell": [cannot_tell]})
    assert likelihood.word(rows, Settings()).tolist() == [word]
