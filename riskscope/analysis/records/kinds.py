"""Which terminations a torque tool is put on."""

from __future__ import annotations

import pandas as pd

from riskscope.analysis.frames import Bools, is_any

NEEDS_REMAKE = ("compression", "shear bolt")
NEEDS_INSPECTION = ("spring", "plug-in")
POINTS_TO_INSPECT = ("fuse clip", "stab", "contact", "conductor")


def torque_applies(frame: pd.DataFrame) -> Bools:
    """Where there is a screw or bolt to put a torque tool on, as far as is known."""
    return ~is_any(frame, "termination_kind", NEEDS_REMAKE + NEEDS_INSPECTION) & ~is_any(
        frame, "point", (*POINTS_TO_INSPECT, "device body")
    )
