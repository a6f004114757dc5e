"""Statistical intervals of a normal sample: what holds a share of all cars, and what holds the next one.

Tolerance factors after ISO 16269-6: so many standard deviations of the sample about its mean hold at least
the share ``coverage`` of the population, in the share ``confidence`` of samples. The two-sided one is the
exact solution by numerical integration (Odeh and Owen, *Tables for Normal Tolerance Limits*, 1980), the
one-sided one that of the noncentral t distribution. The prediction factor is that of Hahn and Meeker,
*Statistical Intervals*, ch. 3.
"""

from __future__ import annotations

import math
from functools import cache

import numpy as np
from scipy.optimize import brentq
from scipy.special import chndtrix, gammaincc, nctdtrit, ndtri, stdtrit

FEWEST = 2
_FURTHEST = 8.0
"""Standard deviations of the mean beyond which nothing is left to integrate."""
_NODES = 96


@cache
def two_sided_factor(n: int, coverage: float, confidence: float) -> float:
    """The exact two-sided tolerance factor of a sample of ``n``.

    >>> round(two_sided_factor(10, 0.95, 0.95), 4)
    3.3934

    Raises
    ------
    ValueError
        For fewer than two values, or shares outside 0 to 1.
    """
    _check(n, coverage, confidence)

    nodes, weights = np.polynomial.legendre.leggauss(_NODES)
    # How far the sample's mean lies off, in its own standard deviations, and how often.
    off = 0.5 * _FURTHEST * (nodes + 1.0)
    often = 0.5 * _FURTHEST * weights * 2.0 / math.sqrt(2.0 * math.pi) * np.exp(-0.5 * off**2)
    # The squared half-width that covers enough about such a mean.
    needed = chndtrix(coverage, 1.0, off**2 / n)
    half = 0.5 * (n - 1)

    def missing(factor: float) -> float:
        return float(often @ gammaincc(half, half * needed / factor**2)) - confidence

    low, high = 0.1, 10.0
    while missing(high) < 0.0:
        low, high = high, 4.0 * high
    return float(brentq(missing, low, high, xtol=1e-10, rtol=1e-12))


def one_sided_factor(n: int, coverage: float, confidence: float) -> float:
    """The exact one-sided tolerance factor of a sample of ``n``.

    >>> round(one_sided_factor(10, 0.95, 0.95), 4)
    2.911

    Raises
    ------
    ValueError
        For fewer than two values, or shares outside 0 to 1.
    """
    _check(n, coverage, confidence)
    away = float(ndtri(coverage)) * math.sqrt(n)
    return float(nctdtrit(n - 1, away, confidence)) / math.sqrt(n)


def prediction_factor(n: int, confidence: float) -> float:
    """Standard deviations about the mean of ``n`` values that hold the next one, two-sided.

    Raises
    ------
    ValueError
        For fewer than two values, or a share outside 0 to 1.
    """
    _check(n, confidence, confidence)
    return float(stdtrit(n - 1, 0.5 + 0.5 * confidence)) * math.sqrt(1.0 + 1.0 / n)


def _check(n: int, *shares: float) -> None:
    if n < FEWEST:
        raise ValueError(f"An interval needs {FEWEST} values or more, not {n}.")
    if not all(0.0 < share < 1.0 for share in shares):
        raise ValueError("Coverage and confidence lie between 0 and 1.")
