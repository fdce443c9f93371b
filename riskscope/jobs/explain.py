"""explain: the whole chain of one connection."""

from __future__ import annotations

import pandas as pd

from riskscope.analysis.assess import assess_readings
from riskscope.jobs.rank import Ranked
from riskscope.results.chains import Chains
from riskscope.results.story import Section
from riskscope.words.render import Units


def chains(ranked: Ranked, units: Units, readings: pd.DataFrame | None = None) -> Chains:
    """The chains of all connections of an assessment; `readings` where they are assessed already."""
    if readings is None:
        readings = assess_readings(ranked.intake, on=ranked.on, settings=ranked.settings, criteria=ranked.criteria)
    return Chains(ranked.found, readings, ranked.intake, ranked.settings, ranked.criteria, units)


def explain(ranked: Ranked, connection_id: str, units: Units) -> tuple[str, list[Section]]:
    """The chain of one connection of an assessment.

    Returns
    -------
    str
        The connection's id as it is spelled in the files.
    list of (str, list of str)
        Headings and their lines.

    Raises
    ------
    UnusableInput
        If there is no such connection.
    """
    made = chains(ranked, units)
    name = made.find(connection_id)
    return name, made.sections(name)
