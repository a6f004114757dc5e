"""How conditions bend what is read: a surface of second order, shared by the cars of a compressor kind.

Slopes alone leave a fan stage the same effect in cold and heat, and load the same effect at idle and at
speed. Squares and products of the conditions (Box and Wilson, J. Royal Stat. Soc. B 13 (1951) 1) mend that.
Their coefficients differ by compressor kind and are drawn to those of all cars, and these to nothing, as
far as the readings leave it open. They are renewed with the effects of units and visits summed out and
those above at their expectation (Meng and Rubin, Biometrika 80 (1993) 267), and then taken off the readings.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.model.spread import LEAST, Prior, plain_update

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood_refdata.expected.model.nesting import Floats, Places
    from knowngood_refdata.expected.model.passes import Passed, Stand
    from knowngood_refdata.expected.model.settling import Problem

REACH = 2.5
"""Further than so many usual differences from the middle a bend goes no further."""


@dataclass(frozen=True, slots=True)
class Bends:
    """Coefficients of the terms for each compressor kind.

    ``mean`` (kinds, p) with ``cov`` (kinds, p, p); ``shared`` and ``own`` are the variances of what all cars
    share and of what each kind adds to it.
    """

    mean: Floats
    cov: Floats
    shared: float
    own: float

    def at(self, kind: Places, terms: Floats) -> Floats:
        """By how much readings (n,) of given kinds lie above the slopes."""
        return np.asarray((self.mean @ terms)[kind, np.arange(len(kind))])


@dataclass(frozen=True, slots=True)
class _Sums:
    """What the readings of each kind say: ``precision`` (kinds, p, p), ``vector`` (kinds, p)."""

    precision: Floats
    vector: Floats


def straight(kinds: int, terms: int, variance: float) -> Bends:
    """No bends, before anything is known."""
    return Bends(np.zeros((kinds, terms)), np.zeros((kinds, terms, terms)), variance, variance)


def products(x: Floats) -> Floats:
    """Squares and products (p, n) of scaled conditions (c, n)."""
    held = np.clip(x, -REACH, REACH)
    parts = [held[place] * held[place:] for place in range(len(x))]
    return np.vstack(parts) if parts else held


def renewed(bends: Bends, prior: Prior, problem: Problem, stand: Stand, passed: Passed) -> Bends:
    """The coefficients and their variances renewed from one pass."""
    kinds, terms = bends.mean.shape
    if not terms:
        return bends
    sums, one = _sums(problem, stand, passed, kinds), np.eye(terms)
    # What a kind adds is eliminated; what remains is about what all share.
    inner = np.linalg.inv(one / bends.own + sums.precision)
    inward = inner @ sums.precision
    shared_cov = np.linalg.inv(one / bends.shared + (sums.precision @ (one - inward)).sum(axis=0))
    shared = shared_cov @ _times(inner, sums.vector).sum(axis=0) / bends.own
    mean = _times(inner, sums.vector + shared / bends.own)
    cov = inner + inner @ shared_cov @ inner / bends.own**2
    seen = sums.precision.any(axis=(1, 2))
    added = np.diagonal(inner + inward @ shared_cov @ inward.transpose(0, 2, 1), axis1=1, axis2=2)
    own, _ = plain_update(bends.own, (mean - shared)[seen].ravel(), added[seen].ravel(), prior)
    common, _ = plain_update(bends.shared, shared, np.diag(shared_cov), prior)
    return Bends(mean, cov, max(common, LEAST), max(own, LEAST))


def _times(matrices: NDArray[np.floating], vectors: Floats) -> Floats:
    return np.asarray((matrices @ vectors[:, :, None])[:, :, 0])


def _sums(problem: Problem, stand: Stand, passed: Passed, kinds: int) -> _Sums:
    """Weighted products of terms and rests by kind, the effects of visits and units summed out."""
    nesting, lower = problem.design.nesting, passed.lower
    both = np.vstack([problem.terms, _rest(problem, stand, passed)])
    weight = 1.0 / stand.reading.variance
    visit = nesting.visit.sums(weight * both)
    keep = 1.0 / (1.0 + stand.visit.variance * lower.visit_weight)
    unit = nesting.unit.sums(visit * keep)
    whole = np.zeros((kinds, len(both), len(both)))
    for name, values, gain in (
        ("reading", both, weight), ("visit", visit, -lower.visit_gain), ("unit", unit, -lower.unit_gain)
    ):  # fmt: skip
        group = problem.groups[name]
        for kind in range(kinds):
            at = np.flatnonzero(group == kind)
            whole[kind] += (values[:, at] * gain[at]) @ values[:, at].T
    return _Sums(whole[:, :-1, :-1], whole[:, :-1, -1])


def _rest(problem: Problem, stand: Stand, passed: Passed) -> Floats:
    """What was measured (n,) less the coefficients of the configurations and the centres of the sites."""
    nesting, x = problem.design.nesting, problem.design.x
    visit = nesting.visit.of
    unit = nesting.unit.of[visit]
    centre = stand.reading.centre + stand.visit.centre[visit] + stand.unit.centre[unit]
    of = nesting.configuration.of[unit]
    return np.asarray(problem.measured - centre - (x * passed.configuration.mean[:, of]).sum(axis=0))
