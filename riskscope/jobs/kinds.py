"""The kinds of settings there are, and how one of them is filled from the places they share."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, TypeVar

from riskscope.intake.options import Limits
from riskscope.planning.settings import Planning
from riskscope.report.layout import Layout
from riskscope.settings import Settings
from riskscope.settings.core import fill, gather

KINDS: tuple[type, ...] = (Settings, Limits, Layout, Planning)
T = TypeVar("T")


def load(kind: type[T], options: Mapping[str, Any], folder: Path | None = None) -> tuple[T, dict[str, str]]:
    """Settings of one kind, and where the value of each comes from; see `fill`."""
    others = tuple(other for other in KINDS if other is not kind)
    return fill(kind, gather(options, folder), others)
