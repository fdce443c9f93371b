"""Settings of the outage plan: minutes, chances of cure, weights. All are common practice, no source."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

from riskscope.errors import WrongUsage
from riskscope.settings.core import setting


@dataclass(frozen=True)
class Planning:
    """Minutes of work, what it is worth, how long the solver may search."""

    minutes_retighten: float = setting(6.0, "Minutes to retighten one joint.", "min", "common practice, no source")
    minutes_remake: float = setting(30.0, "Minutes to remake one joint.", "min", "common practice, no source")
    minutes_check: float = setting(
        3.0, "Minutes to check the torque of one joint.", "min", "common practice, no source"
    )
    setup_min: float = setting(
        30.0, ("Minutes to isolate a board where the register does not say."), "min", "common practice, no source"
    )
    restore_min: float = setting(
        30.0, ("Minutes to restore a board where the register does not say."), "min", "common practice, no source"
    )
    cure_retighten: float = setting(
        0.6, "Chance that tightening cures a loose joint.", "", "maintenance press 1998: two in five stay hot"
    )
    cure_remake: float = setting(0.9, "Chance that a remake cures.", "", "assumption")
    severity_base: float = setting(2.0, "Each severity weighs so many times the one below.", "", "assumption")
    criticality_middle: float = setting(3.0, "Criticality that weighs 1.", "", "assumption")
    crew_use: float = setting(0.85, "Share of the crews' hours that can be planned.", "", "common practice, no source")
    plan_gap: float = setting(0.001, "Gap to the best possible plan at which the search stops.", "")
    plan_nodes: int = setting(20000, "Most branches the search looks at.", "")

    def __post_init__(self) -> None:
        for field in dataclasses.fields(self):
            value = getattr(self, field.name)
            if not value > 0:
                raise WrongUsage(f"setting {field.name} must be above 0; got {value:g}.")
        for name in ("cure_retighten", "cure_remake", "crew_use"):
            if getattr(self, name) > 1:
                raise WrongUsage(f"setting {name} must be at most 1; got {getattr(self, name):g}.")
