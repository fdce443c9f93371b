"""Who writes, and when."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Stamp:
    """Who writes, and when: an instant in UTC, ISO 8601."""

    actor: str
    at: str
