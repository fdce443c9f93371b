"""How many examples a property test tries: few and always the same ones, or many and new ones by hand."""

from __future__ import annotations

import os

from hypothesis import settings

LONG = bool(os.environ.get("RISKSCOPE_TEST_LONG"))
TIMES = 20


def examples(count: int) -> settings:
    """So many, the same at every run; with RISKSCOPE_TEST_LONG set twenty times as many, drawn anew."""
    return settings(max_examples=count * TIMES if LONG else count, deadline=None, derandomize=not LONG)
