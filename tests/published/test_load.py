"""The square law against published worked examples, and its exponent against heat transfer."""

from __future__ import annotations

import math

import pytest
from ht.conv_free_immersed import Nu_horizontal_cylinder_Morgan
from scipy.optimize import brentq

from riskscope.physics.load import rise_at_full_load, rise_at_load


@pytest.mark.parametrize(("amps", "rise_k"), [(85, 23), (95, 29), (140, 62)])
def test_worked_example_of_a_connector(amps: float, rise_k: float) -> None:
    """A UL 486 connector at its limit of 50 K at 125 A (secondary); printed in whole kelvin.

    140 A is printed 62 where the law gives 62.7: it was cut, not rounded, so one unit is allowed.
    """
    rise = rise_at_load(50.0, amps / 125)
    assert math.floor(rise) == rise_k or round(float(rise)) == rise_k
    assert rise_at_full_load(rise, amps / 125) == pytest.approx(50.0)


@pytest.mark.parametrize(("exponent", "printed_c"), [(2.0, 42.5), (1.8, 44.4), (1.6, 46.5)])
def test_t_max_example(exponent: float, printed_c: float) -> None:
    """T_max = (I / I_rated)^n · ΔT_rated + T_amb: 300 of 600 A, 50 K, 30 °C (computed by hand)."""
    assert rise_at_load(50.0, 300 / 600, exponent) + 30.0 == pytest.approx(printed_c, abs=0.05)


@pytest.mark.parametrize(
    ("percent", "factor", "exponent"),
    [(90, 1.23, 2), (80, 1.56, 2), (70, 2.04, 2), (60, 2.78, 2), (50, 4.00, 2), (40, 6.25, 2),
     (30, 11.11, 2), (50, 3.03, 1.6), (40, 4.33, 1.6)],
)  # fmt: skip
def test_factor_to_full_load(percent: float, factor: float, exponent: float) -> None:
    """Factors to 100 % load, computed by hand to two decimals."""
    assert rise_at_full_load(1.0, percent / 100, exponent) == pytest.approx(factor, abs=0.005)


def rise_of_a_conductor(current_a: float) -> float:
    """Rise of a horizontal round conductor heated by I² R, cooled by laminar natural convection. [K]

    Nusselt number from the reference library ``ht`` (Morgan, laminar range); air at 313 K.
    """
    resistance, diameter, length = 2e-3, 0.04, 0.3
    area = math.pi * diameter * length
    conductivity, viscosity, prandtl, expansion = 0.0271, 1.70e-5, 0.71, 1 / 313.0

    def balance(rise: float) -> float:
        grashof = 9.81 * expansion * rise * diameter**3 / viscosity**2
        nusselt = Nu_horizontal_cylinder_Morgan(prandtl, grashof)
        return current_a**2 * resistance - nusselt * conductivity / diameter * area * rise

    return float(brentq(balance, 0.1, 500.0))


def test_exponent_of_laminar_natural_convection() -> None:
    """h ∝ ΔT^0.25 makes the rise follow I^(2 / 1.25) = I^1.6: solved, not assumed."""
    low, high = 60.0, 90.0
    exponent = math.log(rise_of_a_conductor(high) / rise_of_a_conductor(low)) / math.log(high / low)
    assert exponent == pytest.approx(1.6, abs=0.05)
