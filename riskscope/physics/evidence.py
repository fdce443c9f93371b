"""What the rises of a set of siblings say of each of them, all at once: tight, or loose or badly made.

On the scale of logarithms a tight joint stands at the level of its set at full load, N(μ, v), and a bad one above it by
a factor nobody knows, N(μ + ln 2.2, v + 0.6²); the level itself is N(ln 25, 0.6²). The level is integrated out and
every combination of bad and tight joints counted. The figures are our assumptions: nothing is fitted.

Worked example: three joints at x = 3.2, 3.2 and 4.4 with v = 0.0225 each and π = 0.3. Of each combination of bad (b)
and tight joints, with y = x − ln 25 − b ln 2.2 and s = v + b 0.6²,

    ln N = −½ [Σ ln s + Σ y²/s − (Σ y/s)² / (Σ 1/s + 1/0.6²) + ln(1 + 0.6² Σ 1/s)]

stands with weight Π π^b (1 − π)^(1−b): it is 2.297 with the third joint alone bad, 0.363 with the first or the second
bad beside it, −0.654 with all bad, and −9.1 or less of the rest. The third is bad for sure; each of the others stands
at 0.3² 0.7 e^0.363 + 0.3³ e^−0.654 of 0.3 × 0.7² e^2.297 + 2 × 0.3² 0.7 e^0.363 + 0.3³ e^−0.654, which is 0.063. That
all have one fate (weight 0.1: all tight, or all bad by one factor) is out of the question: −17.8 and −18.0.

>>> import numpy as np
>>> x, v = np.array([[3.2], [3.2], [4.4]])[:, np.newaxis], np.full((3, 1, 1), 0.0225)
>>> odds = of_sets(x, v, np.full((3, 1), 0.3), np.zeros((1, 1)), Assumed())
>>> print(np.round(1 / (1 + np.exp(-odds[:, 0])), 3))
[0.063 0.063 1.   ]
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from riskscope.units import Floats

MOST_COUNTED_OUT = 8  # members of which every combination is counted; of more the level is taken in steps
STEPS_IN_SD, REACH_SD = 2.0, 7.0
AT_ONCE = 50_000  # numbers of one array: as many sets at a time as stay near the processor
LEAST_FELT_K, LEAST_FRACTION = -0.5, 0.02
LEAST = 1e-300
UNKNOWN_AIR = 7  # steps of the coolest joint's rise where there is no air temperature


@dataclass(frozen=True)
class Assumed:
    """Our assumptions on sets of siblings.

    Attributes
    ----------
    excess, excess_spread : float
        Factor on the rise of a bad joint, and its spread. [-, of logarithms]
    level_k, level_spread : float
        Rise at full load of a set, and its spread. [K, of logarithms]
    spread : float
        Between tight joints of a set. [of logarithms]
    one_fate : float
        Weight of sets whose joints are all bad alike, or all tight. [-]
    """

    excess: float = 2.2
    excess_spread: float = 0.6
    level_k: float = 25.0
    level_spread: float = 0.6
    spread: float = 0.05
    one_fate: float = 0.1


class Read(NamedTuple):
    """Members of sets of one size as they were read, each an array of shape (members, sets).

    Attributes
    ----------
    rise_k : ndarray
        Over the air; without an air temperature over the coolest of the set. [K]
    u_rise_k : ndarray
        Standard uncertainty, without that of the air. [K]
    fraction : ndarray
        Current over full load. [-]
    u_fraction : ndarray
        Relative standard uncertainty of that. [-]
    """

    rise_k: Floats
    u_rise_k: Floats
    fraction: Floats
    u_fraction: Floats


class Nodes(NamedTuple):
    """Over what is averaged: exponents of load, and what the air may add to every rise.

    Attributes
    ----------
    exponent : ndarray, shape (nodes,)
    shift_k : ndarray, shape (nodes, sets) or (nodes, 1)
        Added to every rise of a set. [K]
    log_weight : ndarray, as `shift_k`
    """

    exponent: Floats
    shift_k: Floats
    log_weight: Floats


def of_known_air(exponents: tuple[float, ...], u_air_k: float) -> Nodes:
    """Nodes where the air was read: its error at −√3, 0 and √3 standard deviations with weights 1/6, 2/3, 1/6."""
    error, weight = np.array([-1.0, 0.0, 1.0]) * np.sqrt(3.0) * u_air_k, np.array([1.0, 4.0, 1.0]) / 6.0
    n = np.repeat(exponents, len(error))
    log_weight = np.log(np.tile(weight, len(exponents)) / len(exponents))
    return Nodes(n, np.tile(error, len(exponents))[:, np.newaxis], log_weight[:, np.newaxis])


def of_unknown_air(read: Read, exponents: tuple[float, ...], assumed: Assumed) -> Nodes:
    """Nodes where only differences are known: the coolest joint's rise as any set's may be.

    A difference of some kelvin says more the smaller the rises are, so that each node counts by the density of the
    differences, not of their logarithms.
    """
    z, weight = np.polynomial.hermite_e.hermegauss(UNKNOWN_AIR)
    n, z = np.repeat(exponents, len(z)), np.tile(z, len(exponents))[:, np.newaxis]
    coolest = read.rise_k.argmin(axis=0)[np.newaxis]
    load = np.log(np.maximum(np.take_along_axis(read.fraction, coolest, axis=0), LEAST_FRACTION))
    shift = np.exp(np.log(assumed.level_k) + assumed.level_spread * z + n[:, np.newaxis] * load) - 1.0
    felt = _felt(read.rise_k[:, np.newaxis], shift)
    others = np.log(felt).sum(axis=0) - np.log(np.take_along_axis(felt, coolest[:, np.newaxis], axis=0))[0]
    log_weight = np.log(np.tile(weight / weight.sum(), len(exponents)) / len(exponents))
    return Nodes(n, shift, log_weight[:, np.newaxis] - others)


def log_odds(read: Read, prior: Floats, nodes: Nodes, assumed: Assumed) -> Floats:
    """Log-odds that each member of sets of one size is bad, those of its prior among them.

    Parameters
    ----------
    prior : ndarray, shape (members, sets)
        Likelihood of each before its set was read, above 0 and below 1. [-]

    Returns
    -------
    ndarray, shape (members, sets)
    """
    made = np.empty_like(prior)
    for part in _parts(prior.shape[0], prior.shape[1], len(nodes.exponent)):
        some = Read(*(values[:, np.newaxis, part] for values in read))
        shift, log_weight = (values[:, part] if values.shape[1] > 1 else values for values in nodes[1:])
        n = nodes.exponent[:, np.newaxis]
        felt = _felt(some.rise_k, shift)
        x = np.log(felt) - n * np.log(np.maximum(some.fraction, LEAST_FRACTION))
        v = (some.u_rise_k / felt) ** 2 + (n * some.u_fraction) ** 2 + assumed.spread**2
        made[:, part] = of_sets(x, v, prior[:, part], log_weight, assumed)
    return made


def _felt(rise_k: Floats, shift_k: Floats) -> Floats:
    return np.maximum(rise_k + shift_k, LEAST_FELT_K) + 1.0


def _parts(members: int, sets: int, nodes: int) -> Iterator[slice]:
    """As many sets at a time as `AT_ONCE` allows."""
    width = nodes * (2**members if members <= MOST_COUNTED_OUT else 1000 * members)
    step = max(AT_ONCE // width, 1)
    for begin in range(0, sets, step):
        yield slice(begin, begin + step)


def of_sets(x: Floats, v: Floats, prior: Floats, log_weight: Floats, assumed: Assumed) -> Floats:
    """`log_odds` of what stands on the scale of logarithms.

    Parameters
    ----------
    x, v : ndarray, shape (members, nodes, sets)
        Logarithm of the rise at full load, ln(max(d + δ, −0.5) + 1) − n ln max(p, 0.02), and its variance. [-]
    prior : ndarray, shape (members, sets)
    log_weight : ndarray, shape (nodes, sets) or (nodes, 1)

    Returns
    -------
    ndarray, shape (members, sets)
    """
    y = x - np.log(assumed.level_k)
    counted = _counted_out if len(x) <= MOST_COUNTED_OUT else _in_steps
    (tight, bad), top = counted(y, v, prior, log_weight, assumed)
    (all_tight, all_bad), top_of_fate = _one_fate(y, v, prior, log_weight, assumed)
    highest = np.maximum(top, top_of_fate)
    alone = (1.0 - assumed.one_fate) * np.exp(top - highest)
    together = assumed.one_fate * np.exp(top_of_fate - highest)
    bad, tight = alone * bad + together * all_bad, alone * tight + together * all_tight
    return np.log(np.maximum(bad, LEAST)) - np.log(np.maximum(tight, LEAST))


def _level(squares: Floats, w: Floats, t: Floats, level_variance: float) -> Floats:
    """ln ∫ Π N(y_i; μ, s_i) N(μ; 0, level_variance) dμ, but for a constant, of Σ(ln s + y²/s), Σ 1/s and Σ y/s."""
    return -0.5 * (squares - t * t / (w + 1.0 / level_variance) + np.log1p(level_variance * w))


def _counted_out(
    y: Floats, v: Floats, prior: Floats, log_weight: Floats, assumed: Assumed
) -> tuple[tuple[Floats, Floats], Floats]:
    """What is seen with each member tight, and bad, every combination of the others counted: parts of e to the power of
    what is returned beside them."""
    members, nodes, sets = y.shape
    more, more_variance = np.log(assumed.excess), assumed.excess_spread**2
    sums = [np.zeros((1, nodes, sets)) for _ in range(3)]
    log_prior = np.zeros((1, 1, sets))
    for member in range(members):
        kinds = []
        for is_bad, chance in ((False, 1.0 - prior[member]), (True, prior[member])):
            s = v[member] + more_variance if is_bad else v[member]
            its = y[member] - more if is_bad else y[member]
            t = its / s
            parts = (np.log(s) + its * t, 1.0 / s, t)
            kinds.append(([total + part for total, part in zip(sums, parts, strict=True)], log_prior + np.log(chance)))
        (tight, log_tight), (bad, log_bad) = kinds
        sums = [np.concatenate(both) for both in zip(tight, bad, strict=True)]
        log_prior = np.concatenate([log_tight, log_bad])
    log = _level(sums[0], sums[1], sums[2], assumed.level_spread**2) + log_prior + log_weight
    top = log.max(axis=(0, 1))
    seen = np.exp(log - top).sum(axis=1)
    among: Floats = np.array([np.arange(2**members) >> member & 1 for member in range(members)], dtype=float)
    return ((1.0 - among) @ seen, among @ seen), top


def _in_steps(
    y: Floats, v: Floats, prior: Floats, log_weight: Floats, assumed: Assumed
) -> tuple[tuple[Floats, Floats], Floats]:
    """The same in steps over the level, where there are too many combinations to count."""
    more, more_variance = np.log(assumed.excess), assumed.excess_spread**2
    reach = REACH_SD * assumed.level_spread
    step = min(float(np.sqrt(v.min())), assumed.level_spread) / STEPS_IN_SD
    mu = np.linspace(-reach, reach, int(np.ceil(2 * reach / step)) + 1)[:, np.newaxis, np.newaxis, np.newaxis]
    log_mu = -0.5 * (mu / assumed.level_spread) ** 2 - np.log(assumed.level_spread) - 0.5 * np.log(2 * np.pi)
    log_mu = (log_mu + np.log(2 * reach / (len(mu) - 1)))[:, 0]
    kinds = []
    for variance, shift, chance in ((v, 0.0, 1.0 - prior), (v + more_variance, more, prior)):
        log_chance = np.log(chance)[:, np.newaxis]
        kinds.append(log_chance - 0.5 * (np.log(variance) + (y - shift - mu) ** 2 / variance))
    either = np.logaddexp(*kinds)
    log = either.sum(axis=1) + log_mu + log_weight
    top = log.max(axis=(0, 1))
    seen = np.exp(log - top)[:, np.newaxis]
    tight, bad = ((seen * np.exp(kind - either)).sum(axis=(0, 2)) for kind in kinds)
    return (tight, bad), top


def _one_fate(
    y: Floats, v: Floats, prior: Floats, log_weight: Floats, assumed: Assumed
) -> tuple[tuple[Floats, Floats], Floats]:
    """What is seen with all members of a set tight, and with all bad by one factor; as `_counted_out`."""
    chance, w = prior.mean(axis=0), 1.0 / v
    seen = []
    for shift, more_variance in ((0.0, 0.0), (np.log(assumed.excess), assumed.excess_spread**2)):
        its = y - shift
        t = its * w
        variance = assumed.level_spread**2 + more_variance
        seen.append(_level((np.log(v) + its * t).sum(axis=0), w.sum(axis=0), t.sum(axis=0), variance) + log_weight)
    top = np.maximum(seen[0].max(axis=0), seen[1].max(axis=0))
    tight, bad = (np.exp(log - top).sum(axis=0) for log in seen)
    return ((1.0 - chance) * tight, chance * bad), top
