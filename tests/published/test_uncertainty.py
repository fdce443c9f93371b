"""First-order uncertainty (JCGM 100:2008) against Monte Carlo (JCGM 101) and ``uncertainties``."""

from __future__ import annotations

import numpy as np
import pytest
from uncertainties import ufloat

from riskscope.physics.uncertainty import Loaded, u_of_difference, u_of_log_ratio, u_siblings, u_single

DRAWS = 400_000


@pytest.mark.parametrize("n", [1.6, 1.8, 2.0])
@pytest.mark.parametrize(("found", "load"), [(5.0, 0.6), (12.0, 0.9), (2.0, 0.45)])
def test_single_equals_the_library(found: float, load: float, n: float) -> None:
    u_rise, u_load = 0.61, 0.03
    reference = ufloat(found, u_rise) * ufloat(load, u_load * load) ** -n
    assert u_single(found * load**-n, load, u_rise, u_load, n) == pytest.approx(reference.s, rel=1e-9)


@pytest.mark.parametrize("shared", [True, False])
@pytest.mark.parametrize("n", [1.6, 2.0])
def test_siblings_equal_the_library(shared: bool, n: float) -> None:
    """Two readings, one air temperature; loads read separately, or one load for both."""
    each, u_air, u_load = u_of_difference(0.5, 0.25) / np.sqrt(2), 1.0, 0.05
    load_1, load_2 = (0.7, 0.7) if shared else (0.7, 0.5)
    rise_1, rise_2 = 20.0, 8.0
    air = ufloat(0.0, u_air)
    relative_1 = ufloat(1.0, u_load)
    relative_2 = relative_1 if shared else ufloat(1.0, u_load)
    reference = (ufloat(rise_1, each) - air) * (load_1 * relative_1) ** -n - (ufloat(rise_2, each) - air) * (
        load_2 * relative_2
    ) ** -n
    ours = u_siblings(
        Loaded(rise_1 * load_1**-n, load_1, u_load),
        Loaded(rise_2 * load_2**-n, load_2, u_load),
        shared,
        u_of_difference(0.5, 0.25),
        u_air,
        n,
    )
    assert ours == pytest.approx(reference.s, rel=1e-9)


def test_siblings_agree_with_monte_carlo() -> None:
    """Within 2 %: the law is bent, so first order is near but not the same."""
    random = np.random.default_rng(7)
    n, load_1, load_2, rise_1, rise_2, u_load = 2.0, 0.8, 0.6, 25.0, 10.0, 0.03
    each = u_of_difference(0.5, 0.25) / np.sqrt(2)
    air = random.normal(0, 1.0, DRAWS)
    first = (rise_1 + random.normal(0, each, DRAWS) - air) * (load_1 * random.normal(1, u_load, DRAWS)) ** -n
    second = (rise_2 + random.normal(0, each, DRAWS) - air) * (load_2 * random.normal(1, u_load, DRAWS)) ** -n
    ours = u_siblings(
        Loaded(rise_1 * load_1**-n, load_1, u_load),
        Loaded(rise_2 * load_2**-n, load_2, u_load),
        False,
        u_of_difference(0.5, 0.25),
        1.0,
        n,
    )
    assert ours == pytest.approx(np.std(first - second), rel=0.02)


def test_log_ratio_equals_the_library() -> None:
    from uncertainties.umath import log

    each, air = u_of_difference(0.5, 0.25) / np.sqrt(2), ufloat(0.0, 1.0)
    load_1, load_2 = ufloat(0.8, 0.8 * 0.03), ufloat(0.6, 0.6 * 0.05)
    reference = log((ufloat(20.0, each) - air + 1) * load_1**-2) - log((ufloat(8.0, each) - air + 1) * load_2**-2)
    ours = u_of_log_ratio(Loaded(20.0, 0.8, 0.03), Loaded(8.0, 0.6, 0.05), False, u_of_difference(0.5, 0.25), 1.0)
    assert ours == pytest.approx(reference.s, rel=1e-9)
