"""Settings: their order of precedence (`core`) and the method's own (`method`)."""

from __future__ import annotations

from riskscope.settings.method import Settings

__all__ = ["Settings"]
