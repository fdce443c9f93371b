"""Tightening torques: published tables by fastener and size.

The maker's value always comes first; a published value is a stated fallback (Annex I: power and
lighting circuits only) and a yardstick for values that look wrong.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from riskscope import standards
from riskscope.units import UNITS

MM2_PER_KCMIL = 0.506707479
_SPACES = re.compile(r"\s+")


@dataclass(frozen=True)
class Row:
    """One printed row."""

    table: str
    title: str
    fallback: bool
    fastener: str
    size_kind: str
    size: str
    torque: float
    unit: str
    status: str

    @property
    def torque_nm(self) -> float:
        """Printed torque in N·m by the exact factor of its unit."""
        return self.torque * UNITS["torque"][self.unit][0]

    @property
    def words(self) -> str:
        """Which row answered, in words."""
        return f"{self.title}, {self.fastener}, {self.size_kind} {self.size}"


@lru_cache
def rows() -> tuple[Row, ...]:
    """Every printed row, in printed order."""
    return tuple(
        Row(
            row["table"],
            row["title"],
            row["fallback"] == "yes",
            row["fastener"],
            row["size_kind"],
            row["size"],
            float(row["torque"]),
            row["unit"],
            row["status"],
        )
        for row in standards.read("tightening_torque")
    )


def conductor_area_mm2(text: str) -> float | None:
    """Area of a conductor size as written: ``2/0``, ``#4 AWG``, ``350 kcmil``, ``70 mm²``.

    AWG: diameter 0.127 mm · 92^((36 − n) / 39) (ASTM B258, from memory).
    """
    text = _SPACES.sub(" ", text.strip().casefold().replace("mm²", "mm2").replace("mcm", "kcmil"))
    number = r"(\d+(?:\.\d+)?)"
    if match := re.fullmatch(rf"{number} ?mm2", text):
        return float(match[1])
    if match := re.fullmatch(rf"{number} ?kcmil", text):
        return float(match[1]) * MM2_PER_KCMIL
    if match := re.fullmatch(r"(?:awg ?)?#?([1-4])/0(?: ?awg)?", text):
        gauge = 1 - int(match[1])
    elif match := re.fullmatch(r"(?:awg ?)?#?(\d{1,2})(?: ?awg)?", text):
        gauge = int(match[1])
    else:
        return None
    return math.pi / 4 * (0.127 * 92 ** ((36 - gauge) / 39)) ** 2


def width_in(text: str) -> Fraction | None:
    """A width across flats as written: ``5/16``, ``1/4 in``, ``1/2"``."""
    match = re.fullmatch(r"(?:(\d+) )?(\d+)/(\d+) ?(?:in|inch|\"|″)?", text.strip().casefold())
    if not match or not int(match[3]):
        return None
    return int(match[1] or 0) + Fraction(int(match[2]), int(match[3]))


@lru_cache
def _conductor_range(size: str) -> tuple[float, float]:
    """Areas at both ends of a printed conductor size such as ``6-4`` or ``250-350 kcmil``."""
    unit = " kcmil" if "kcmil" in size else ""
    ends = [conductor_area_mm2(end.strip() + unit) for end in size.replace("kcmil", "").split("-")]
    areas = [area for area in ends if area is not None]
    return min(areas), max(areas)


def _kind(fastener: str) -> tuple[str, str] | None:
    """Table and printed fastener that a fastener as people write it stands for."""
    text = _SPACES.sub(" ", fastener.strip().casefold())
    if any(
        word in text
        for word in (
            "recessed hex",
            "internal hex",
            "hex socket",
            "socket head",
            "allen",
            "hex key",
            "square drive",
            "square recess",
        )
    ):
        return "nec-annex-i.3", "recessed hex or square drive"
    if "split bolt" in text or "split-bolt" in text:
        return "nec-annex-i.1", "hex head, split-bolt connector"
    if "hex head" in text:
        return "nec-annex-i.1", "hex head, other connector"
    if "slotted" in text and ("narrow" in text or "<= 1.2" in text):
        return "nec-annex-i.1", "slotted, slot width <= 1.2 mm and length <= 6.4 mm"
    if "slotted" in text and ("wide" in text or "> 1.2" in text):
        return "nec-annex-i.1", "slotted, slot width > 1.2 mm or length > 6.4 mm"
    if "8.8" in text:
        return "din-43673", "bolt, class 8.8"
    return None


@lru_cache(maxsize=4096)
def find(fastener: str = "", size: str = "", thread: str = "", conductor: str = "") -> Row | None:
    """The printed row for a fastener, or None where the description does not settle on one.

    Parameters
    ----------
    fastener : str
        As people write it: ``recessed hex``, ``hex head``, ``split bolt``, ``slotted wide``,
        ``slotted narrow``, ``bolt 8.8``.
    size : str
        Width across flats, such as ``5/16``.
    thread : str
        Thread, such as ``M8``.
    conductor : str
        Conductor size, such as ``2/0`` or ``350 kcmil``.
    """
    kind = _kind(fastener)
    if kind is None:
        return None
    table, printed = kind
    candidates = [row for row in rows() if row.table == table and row.fastener == printed]
    if table == "nec-annex-i.3":
        width = width_in(size)
        return next((row for row in candidates if width_in(row.size) == width), None)
    if table == "din-43673":
        wanted = thread.strip().upper()
        return next((row for row in candidates if row.size == wanted), None)
    area = conductor_area_mm2(conductor)
    if area is None:
        return None
    for row in candidates:
        smallest, largest = _conductor_range(row.size)
        if smallest * 0.999 <= area <= largest * 1.001:
            return row
    return None
