"""How much a test tries: a part and always the same, or by hand all of it."""

from __future__ import annotations

import os
from collections.abc import Iterable
from typing import TypeVar

from hypothesis import settings

LONG = bool(os.environ.get("RISKSCOPE_TEST_LONG"))
TIMES = 20
T = TypeVar("T")


def examples(count: int) -> settings:
    """So many, the same at every run; with RISKSCOPE_TEST_LONG set twenty times as many, drawn anew."""
    return settings(max_examples=count * TIMES if LONG else count, deadline=None, derandomize=not LONG)


def part(values: Iterable[T], count: int) -> list[T]:
    """So many of the values, the first ones; with RISKSCOPE_TEST_LONG set all of them."""
    return list(values) if LONG else list(values)[:count]
