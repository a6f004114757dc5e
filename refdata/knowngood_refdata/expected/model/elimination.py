"""Nested normal effects in closed form: sums go up the tree, what the whole knows comes down again.

Every node holds coefficients θ (d,): a level and slopes. A child is its parent plus independent deviations
with variances v (d,). What the readings below say about θ is a precision J (d, d) and a vector h = J θ̂.
Adding one deviation of variance v to coefficient k leaves to the parent

    J - J_k J_kᵀ v / (1 + v J_kk),    h - J_k h_k v / (1 + v J_kk)

(Sherman and Morrison 1950; the Woodbury identity one column at a time), and the deviation itself, given the
parent's coefficients ψ, is normal with variance g = v / (1 + v J_kk) and mean g (h_k - J_kᵀ ψ). Harville
(J. Amer. Stat. Assoc. 72 (1977) 320) gives the same for the mixed model as a whole. Arrays hold the nodes of
a level along their last axis.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from knowngood_refdata.expected.model.nesting import Floats


@dataclass(frozen=True, slots=True)
class Message:
    """What lies below says about the coefficients: ``precision`` (d, d, n), ``vector`` (d, n)."""

    precision: Floats
    vector: Floats


@dataclass(frozen=True, slots=True)
class Belief:
    """Normal distribution of coefficients: ``mean`` (d, n), ``cov`` (d, d, n)."""

    mean: Floats
    cov: Floats


@dataclass(frozen=True, slots=True)
class Gains:
    """What the way up remembers for the way down, for each coefficient k that deviates.

    ``gain`` (d, n) are the variances g, ``row`` (d, d, n) the rows J_k and ``pull`` (d, n) the h_k at the
    time of their elimination; coefficients without deviation have gain zero.
    """

    gain: Floats
    row: Floats
    pull: Floats


@dataclass(frozen=True, slots=True)
class Deviations:
    """Posterior mean and variance of the deviations from the parent, both (d, n).

    ``beside_level`` (d, n) is the covariance of the node's coefficients with the deviation of its level.
    """

    mean: Floats
    variance: Floats
    beside_level: Floats


def eliminate(below: Message, variance: Floats, centre: Floats) -> tuple[Message, Gains]:
    """What remains for the parent when each coefficient deviates from it.

    Parameters
    ----------
    variance
        Of the deviations, (d, n); zero where a coefficient does not deviate.
    centre
        Mean of the deviation of the level, the first coefficient, (n,).
    """
    precision = below.precision.copy()
    vector = below.vector - precision[:, 0] * centre
    d, n = vector.shape
    gain, row, pull = np.zeros((d, n)), np.zeros((d, d, n)), np.zeros((d, n))
    for k in range(d):
        if not variance[k].any():
            continue
        row[k], pull[k] = precision[k], vector[k]
        gain[k] = variance[k] / (1.0 + variance[k] * row[k, k])
        part = row[k] * gain[k]
        precision -= part[:, None] * row[k]
        vector -= part * pull[k]
    return Message(precision, vector), Gains(gain, row, pull)


def descend(parent: Belief, gains: Gains, centre: Floats) -> tuple[Belief, Deviations]:
    """The children's coefficients from their parents' (already one column a child)."""
    mean, cov = parent.mean.copy(), parent.cov.copy()
    d, n = mean.shape
    deviation, spread, beside = np.zeros((d, n)), np.zeros((d, n)), np.zeros((d, n))
    for k in reversed(range(d)):
        gain = gains.gain[k]
        if not gain.any():
            continue
        a = gain * gains.row[k]
        deviation[k] = gain * gains.pull[k] - (a * mean).sum(axis=0)
        across = (a[:, None] * cov).sum(axis=0)
        through = (across * a).sum(axis=0)
        spread[k] = gain + through
        cross = cov[k] - across
        cross[k] = cov[k, k] - 2.0 * across[k] + spread[k]
        cov[k] = cross
        cov[:, k] = cross
        mean[k] += deviation[k]
        if k == 0:
            beside = -across
            beside[0] += spread[0]
    mean[0] += centre
    return Belief(mean, cov), Deviations(deviation, spread, beside)
