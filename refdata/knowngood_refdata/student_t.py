"""Student's t distribution, small enough that a coverage factor needs no statistics library."""

from __future__ import annotations

import math
from statistics import NormalDist

TERMS = 400
"""More than the continued fraction ever takes at the places where it is used."""


def cumulative(t: float, degrees_of_freedom: float) -> float:
    """Probability of a value below t: 1 - ½ I_x(ν/2, ½) with x = ν/(ν + t²), for t above zero.

    Abramowitz and Stegun, 26.7.1 and 26.5.27. For infinite ν the normal distribution.

    >>> cumulative(0.0, 3.0)
    0.5
    """
    if math.isinf(degrees_of_freedom):
        return NormalDist().cdf(t)
    x = degrees_of_freedom / (degrees_of_freedom + t * t)
    tail = 0.5 * _incomplete_beta(degrees_of_freedom / 2.0, 0.5, x, t * t / (degrees_of_freedom + t * t))
    return 1.0 - tail if t > 0.0 else tail


def quantile(probability: float, degrees_of_freedom: float) -> float:
    """The value that t stays below with a probability; the inverse of `cumulative`.

    JCGM 100:2008, table G.2: t of 95 % two-sided, that is 0.975 one-sided, is 2.23 for 10 degrees.
    NaN for NaN degrees of freedom.

    Raises
    ------
    ValueError
        When the probability is not between 0 and 1, or there is less than one degree of freedom.

    >>> round(quantile(0.975, 10.0), 2)
    2.23
    """
    if not 0.0 < probability < 1.0:
        raise ValueError(f"a probability lies between 0 and 1, not at {probability:g}")
    if math.isnan(degrees_of_freedom):
        return math.nan
    if degrees_of_freedom < 1.0:
        raise ValueError(
            f"a coverage factor takes at least one degree of freedom, not {degrees_of_freedom:g}"
        )
    if math.isinf(degrees_of_freedom):
        return NormalDist().inv_cdf(probability)
    if probability < 0.5:
        return -quantile(1.0 - probability, degrees_of_freedom)
    # The tails of one degree of freedom are the widest, and those of the normal the narrowest.
    low = NormalDist().inv_cdf(probability)
    high = math.tan(math.pi * (probability - 0.5)) + 1e-9
    t = low
    for _ in range(100):
        excess = cumulative(t, degrees_of_freedom) - probability
        low, high = (low, t) if excess > 0.0 else (t, high)
        following = t - excess / _density(t, degrees_of_freedom)
        if not low <= following <= high:
            following = 0.5 * (low + high)
        if abs(following - t) <= 1e-13 * max(t, 1.0):
            return following
        t = following
    return t


def _density(t: float, nu: float) -> float:
    log = math.lgamma((nu + 1.0) / 2.0) - math.lgamma(nu / 2.0) - 0.5 * math.log(nu * math.pi)
    return math.exp(log - (nu + 1.0) / 2.0 * math.log1p(t * t / nu))


def _incomplete_beta(a: float, b: float, x: float, rest: float) -> float:
    """I_x(a, b), with ``rest`` = 1 - x given apart since it may be tiny (Abramowitz and Stegun, 26.5.8)."""
    if x <= 0.0 or rest <= 0.0:
        return 0.0 if x <= 0.0 else 1.0
    front = math.exp(
        math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log(rest)
    )
    # The fraction converges fast below the mean of the distribution only.
    if x < (a + 1.0) / (a + b + 2.0):
        return front / (a * _continued_fraction(a, b, x))
    return 1.0 - front / (b * _continued_fraction(b, a, rest))


def _continued_fraction(a: float, b: float, x: float) -> float:
    """1 + d₁/(1 + d₂/(1 + ...)), evaluated from the front by Lentz's method."""
    value, above, below = 1.0, 1.0, 0.0
    for term in range(1, TERMS):
        half = term // 2
        if term % 2:
            d = -(a + half) * (a + b + half) * x / ((a + 2 * half) * (a + 2 * half + 1))
        else:
            d = half * (b - half) * x / ((a + 2 * half - 1) * (a + 2 * half))
        below = 1.0 / (1.0 + d * below)
        above = 1.0 + d / above
        value *= above * below
        if abs(above * below - 1.0) < 1e-15:
            break
    return value
