"""What a test may need and a machine may lack."""

from __future__ import annotations

import os

import pytest

REQUIRED = frozenset(filter(None, os.environ.get("RISKSCOPE_TEST_REQUIRE", "").split(",")))


def lacking(what: str, reason: str) -> None:
    """Skip a test for want of something; fail it where RISKSCOPE_TEST_REQUIRE names that thing."""
    if what in REQUIRED:
        pytest.fail(f"{what} is required here: {reason}")
    pytest.skip(reason)
