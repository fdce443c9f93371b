"""Units in, one unit inside: °C, K, A, N·m, m, minutes.

Torque factors: NIST SP 811 (2008), appendix B.8. A temperature in °F converts with the offset, a
temperature *difference* by 5/9 alone.
"""

from __future__ import annotations

import re
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from riskscope.errors import OutOfRange

Floats = NDArray[np.float64]

NM_PER_LBF_IN = 0.1129848290276167
NM_PER_LBF_FT = 1.3558179483314004
NM_PER_KGF_M = 9.80665
NM_PER_OZF_IN = 0.00706155

# quantity -> unit -> (factor, offset added before the factor); the first is the unit used inside
UNITS: dict[str, dict[str, tuple[float, float]]] = {
    "temperature": {"°C": (1.0, 0.0), "°F": (5 / 9, -32.0), "K": (1.0, -273.15)},
    "difference": {"K": (1.0, 0.0), "°C": (1.0, 0.0), "°F": (5 / 9, 0.0)},
    "current": {"A": (1.0, 0.0), "kA": (1000.0, 0.0), "mA": (0.001, 0.0)},
    "torque": {
        "N·m": (1.0, 0.0),
        "lbf·in": (NM_PER_LBF_IN, 0.0),
        "lbf·ft": (NM_PER_LBF_FT, 0.0),
        "kgf·m": (NM_PER_KGF_M, 0.0),
        "ozf·in": (NM_PER_OZF_IN, 0.0),
        "cN·m": (0.01, 0.0),
    },
    "load": {"%": (1.0, 0.0)},
    "share": {"%": (1.0, 0.0)},
    "length": {"m": (1.0, 0.0), "mm": (0.001, 0.0), "cm": (0.01, 0.0), "ft": (0.3048, 0.0)},
    "small length": {"mm": (1.0, 0.0), "cm": (10.0, 0.0), "in": (25.4, 0.0)},
    "duration": {"min": (1.0, 0.0), "h": (60.0, 0.0), "s": (1 / 60, 0.0)},
    "hours": {"h": (1.0, 0.0), "min": (1 / 60, 0.0)},
    "speed": {"m/s": (1.0, 0.0), "km/h": (1 / 3.6, 0.0), "mph": (0.44704, 0.0)},
    "voltage": {"V": (1.0, 0.0), "kV": (1000.0, 0.0)},
    "resistance": {"µΩ": (1.0, 0.0), "mΩ": (1000.0, 0.0)},
    "angle": {"mrad": (1.0, 0.0)},
}

_SPELLINGS: dict[str, tuple[str, ...]] = {
    "°C": ("c", "degc", "degreesc", "celsius", "centigrade", "℃"),
    "°F": ("f", "degf", "degreesf", "fahrenheit", "℉"),
    "K": ("k", "kelvin", "kelvins"),
    "A": ("a", "amp", "amps", "ampere", "amperes"),
    "kA": ("ka",),
    "mA": ("ma",),
    "N·m": ("nm", "newtonmetre", "newtonmetres", "newtonmeter", "newtonmeters"),
    "cN·m": ("cnm",),
    "lbf·in": ("lbfin", "inlbf", "lbin", "inlb", "lbsin", "inlbs", "poundinch", "inchpounds",
               "inchpound", "poundinches"),
    "lbf·ft": ("lbfft", "ftlbf", "lbft", "ftlb", "lbsft", "ftlbs", "poundfoot", "footpounds",
               "footpound", "poundfeet"),
    "kgf·m": ("kgfm", "kgm", "mkgf", "mkg", "kpm"),
    "ozf·in": ("ozfin", "inozf", "ozin", "inoz"),
    "%": ("%", "pct", "percent"),
    "m": ("m", "metre", "metres", "meter", "meters"),
    "mm": ("mm",),
    "cm": ("cm",),
    "ft": ("ft", "feet", "foot"),
    "in": ("in", "inch", "inches"),
    "min": ("min", "mins", "minute", "minutes"),
    "h": ("h", "hr", "hrs", "hour", "hours"),
    "s": ("s", "sec", "seconds"),
    "m/s": ("m/s", "ms", "mps"),
    "km/h": ("km/h", "kmh", "kph"),
    "mph": ("mph",),
    "V": ("v", "volt", "volts"),
    "kV": ("kv",),
    "µΩ": ("µω", "uohm", "µohm", "microohm", "microohms", "μω", "μohm"),
    "mΩ": ("mω", "mohm", "milliohm", "milliohms"),
    "mrad": ("mrad",),
}  # fmt: skip
_BY_SPELLING = {spelling: unit for unit, all_ in _SPELLINGS.items() for spelling in all_}
_FILLER = re.compile(r"[\s.·⋅•*°º\-_'’]+")


def find_unit(text: str, quantity: str | None = None) -> str | None:
    """The unit a piece of text spells, such as ``in-lb`` -> ``lbf·in``; None if it spells none.

    Parameters
    ----------
    text : str
        A unit as people write it; case, dots, hyphens and the degree sign do not matter.
    quantity : str, optional
        A key of `UNITS`; a unit of another quantity is then not found.
    """
    unit = _BY_SPELLING.get(_FILLER.sub("", text.strip().casefold()))
    if unit is None or quantity is None:
        return unit
    return unit if unit in UNITS[quantity] else None


def to_inside(values: ArrayLike, quantity: str, unit: str) -> Floats:
    """Values in `unit` as the unit used inside (the first of ``UNITS[quantity]``)."""
    factor, offset = UNITS[quantity][unit]
    return (np.asarray(values, dtype=float) + offset) * factor


def from_inside(values: ArrayLike, quantity: str, unit: str) -> Floats:
    """Values in the unit used inside as `unit`; the inverse of `to_inside`."""
    factor, offset = UNITS[quantity][unit]
    return np.asarray(values, dtype=float) / factor - offset


def edge(values: ArrayLike) -> Floats:
    """Values as they are compared with an edge, limit or tolerance: rounded to 1e-6.

    Both sides of every such comparison pass through here and nothing else is rounded, so that
    35.2 − 20.2 is 15 whatever the unit it was typed in.
    """
    return np.round(np.asarray(values, dtype=float), 6)


def check_range(
    name: str,
    values: ArrayLike,
    *,
    above: float | None = None,
    at_least: float | None = None,
    at_most: float | None = None,
) -> Any:
    """`values` as floats, or one sentence naming the rule broken and the first value received.

    NaN means "not measured" and passes.

    Raises
    ------
    OutOfRange
        If a value breaks a bound.
    """
    array = np.asarray(values, dtype=float)
    rules = (
        ("above", above, lambda limit: array <= limit),
        ("at least", at_least, lambda limit: array < limit),
        ("at most", at_most, lambda limit: array > limit),
    )
    for word, limit, broken in rules:
        if limit is not None and (bad := broken(limit)).any():
            value = float(array[bad].flat[0]) if array.ndim else float(array)
            rule = f"{word} {limit:g}"
            raise OutOfRange(f"{name} must be {rule}; got {value:g}.", column=None, value=value)
    return array
