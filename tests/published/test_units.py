"""Unit constants: NIST SP 811 (2008) appendix B.8 by hand, and the general units library ``pint``."""

from __future__ import annotations

import pint
import pytest

from riskscope import units

REGISTRY = pint.UnitRegistry()


@pytest.mark.parametrize(
    ("unit", "nm", "digits"),
    [("lbf·in", 0.1129848, 5e-8), ("lbf·ft", 1.355818, 5e-7), ("kgf·m", 9.80665, 1e-12),
     ("ozf·in", 7.061552e-3, 5e-9)],
)  # fmt: skip
def test_torque_of_nist(unit: str, nm: float, digits: float) -> None:
    """Printed digits of NIST SP 811; half of the last one is allowed."""
    tolerance = 2e-9 if unit == "ozf·in" else digits
    assert units.to_inside(1.0, "torque", unit) == pytest.approx(nm, abs=tolerance)


@pytest.mark.parametrize(
    ("unit", "theirs"),
    [("lbf·in", "force_pound * inch"), ("lbf·ft", "force_pound * foot"),
     ("kgf·m", "force_kilogram * meter"), ("ozf·in", "force_ounce * inch"),
     ("cN·m", "centinewton * meter")],
)  # fmt: skip
def test_torque_of_the_library(unit: str, theirs: str) -> None:
    reference = REGISTRY.Quantity(1.0, theirs).to("newton * meter").magnitude
    assert units.to_inside(1.0, "torque", unit) == pytest.approx(reference, rel=1e-6)


@pytest.mark.parametrize("value", [-40.0, 32.0, 98.6, 212.0])
def test_fahrenheit_of_the_library(value: float) -> None:
    reference = REGISTRY.Quantity(value, "degF").to("degC").magnitude
    assert units.to_inside(value, "temperature", "°F") == pytest.approx(reference, abs=1e-9)


def test_difference_has_no_offset() -> None:
    reference = REGISTRY.Quantity(27.0, "delta_degF").to("delta_degC").magnitude
    assert units.to_inside(27.0, "difference", "°F") == pytest.approx(reference)


@pytest.mark.parametrize(("quantity", "unit", "theirs", "inside"), [
    ("length", "ft", "foot", "meter"), ("small length", "in", "inch", "millimeter"),
    ("speed", "mph", "mile / hour", "meter / second"), ("duration", "h", "hour", "minute"),
])  # fmt: skip
def test_others_of_the_library(quantity: str, unit: str, theirs: str, inside: str) -> None:
    reference = REGISTRY.Quantity(1.0, theirs).to(inside).magnitude
    assert units.to_inside(1.0, quantity, unit) == pytest.approx(reference)
