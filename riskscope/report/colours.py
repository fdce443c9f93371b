"""The one ramp of severity and the one accent, for every screen, chart and report.

Steps differ in lightness as well as hue, so that they are told apart in grey and by the
colour-blind; the number always stands beside the colour.
"""

from __future__ import annotations

SEVERITY = {0: "#E9EDF1", 1: "#F6E3B4", 2: "#F0B95B", 3: "#D9722B", 4: "#8C2409"}
SEVERITY_TEXT = {0: "#14202B", 1: "#14202B", 2: "#14202B", 3: "#14202B", 4: "#FFFFFF"}
NOT_RATED = "#FFFFFF"
ACCENT = "#1F5A85"
INK = "#14202B"
QUIET = "#4C5A67"
LINE = "#C5CED6"


def of(severity: str) -> tuple[str, str] | None:
    """Fill and text colour of a severity as it is printed; None where it is not one."""
    if severity not in {"0", "1", "2", "3", "4"}:
        return None
    return SEVERITY[int(severity)], SEVERITY_TEXT[int(severity)]
