"""Published tables and their look-ups, each saying which row answered.

Status of a row: *verified* read in the source or in two independent public copies, *secondary*
read in a page that reports the source, *memory* not checked against text, *practice* common
practice without a published source.
"""

from __future__ import annotations

import csv
from importlib import resources


def read(name: str) -> list[dict[str, str]]:
    """The rows of one data file of this package."""
    text = (resources.files("riskscope.standards") / "data" / f"{name}.csv").read_text("utf-8")
    return list(csv.DictReader(text.splitlines()))
