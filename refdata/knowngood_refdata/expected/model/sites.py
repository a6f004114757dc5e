"""Effects that are no bell curve, each stood in for by a normal one that fits where it matters.

Every effect (of a reading, visit, car, configuration, family) is drawn from a mixture of normals: a long
tail is a mixture of scales, two humps are two centres. Around all that is known otherwise about an effect,
its *cavity*, the mixture is replaced by the normal that gives the right mean and variance: expectation
propagation (Minka, Uncertainty in Artificial Intelligence 17 (2001) 362; Rasmussen and Williams, Gaussian
Processes for Machine Learning, 3.6).

Student's t with ν degrees of freedom is the mixture of N(0, λ) with ν/λ drawn from chi squared with ν
degrees (Lange, Little and Taylor, J. Amer. Stat. Assoc. 84 (1989) 881), here at the middles of five equal
parts and of two thin tails.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import chdtri

if TYPE_CHECKING:
    from knowngood_refdata.expected.model.nesting import Floats

NORMAL = 41
"""From so many degrees of freedom on, Student's t is taken for the normal distribution."""

_PARTS = np.array([0.0, 0.22, 0.44, 0.66, 0.85, 0.95, 0.99, 1.0])
_WIDEST = 20.0
"""No normal in place of a mixture is wider than so many times its variance."""
_GENTLE = 0.8
"""How far a site moves towards its new place in one step, so that two cannot throw each other about."""


@dataclass(frozen=True, slots=True)
class Mixture:
    """Normals with ``weight``, ``centre`` and ``variance``, each (parts,) or (parts, n)."""

    weight: Floats
    centre: Floats
    variance: Floats

    def times(self, factor: float) -> Mixture:
        """The distribution of so many times the effect."""
        return Mixture(self.weight, self.centre * factor, self.variance * factor**2)


@dataclass(frozen=True, slots=True)
class Sites:
    """The normals that stand in for the effects of one level: ``centre`` and ``variance``, (n,)."""

    centre: Floats
    variance: Floats


@dataclass(frozen=True, slots=True)
class Cavity:
    """What all else says about each effect: ``mean`` and ``variance`` (n,), infinite where nothing."""

    mean: Floats
    variance: Floats


@dataclass(frozen=True, slots=True)
class Tilted:
    """The mixture around its cavity: for each part and effect its share, mean and variance (parts, n)."""

    share: Floats
    mean: Floats
    variance: Floats

    def moments(self) -> tuple[Floats, Floats]:
        """Mean and variance of each effect, (n,)."""
        mean = (self.share * self.mean).sum(axis=0)
        return mean, (self.share * (self.variance + (self.mean - mean) ** 2)).sum(axis=0)


@cache
def tail(freedom: int) -> tuple[Floats, Floats]:
    """Weights and scales λ of the normals that make Student's t of whole degrees of freedom."""
    if freedom >= NORMAL:
        return np.ones(1), np.ones(1)
    middle = 0.5 * (_PARTS[1:] + _PARTS[:-1])
    return np.diff(_PARTS), freedom / chdtri(freedom, middle)


def cavity(mean: Floats, variance: Floats, sites: Sites) -> Cavity:
    """Take each site out of the posterior of its effect."""
    own = 1.0 / np.maximum(sites.variance, 1e-300)
    precision = np.maximum(1.0 / np.maximum(variance, 1e-300) - own, 0.0)
    known = precision > 1e-9 * own
    safe = np.where(known, precision, 1.0)
    without = (mean / np.maximum(variance, 1e-300) - sites.centre * own) / safe
    return Cavity(np.where(known, without, 0.0), np.where(known, 1.0 / safe, np.inf))


def tilt(around: Cavity, mixture: Mixture) -> Tilted:
    """The mixture times what else is known of each effect."""
    known = np.isfinite(around.variance)
    width = np.where(known, around.variance, 1.0)
    total = mixture.variance + width
    keep = np.where(known, 1.0, 0.0) * mixture.variance / total
    off = around.mean - mixture.centre
    log = off * off
    log /= total
    log += np.log(total)
    log *= np.where(known, -0.5, 0.0)
    log += np.log(mixture.weight)
    log -= log.max(axis=0)
    share = np.exp(log, out=log)
    share /= share.sum(axis=0)
    return Tilted(share, mixture.centre + keep * off, mixture.variance * (1.0 - keep))


def resettled(old: Sites, around: Cavity, tilted: Tilted, whole: Floats | float) -> Sites:
    """Sites that give each effect the mean and variance of its tilted mixture.

    ``whole`` is the variance of the mixture itself, against which a site must not grow too wide.
    """
    mean, variance = tilted.moments()
    outside = np.where(np.isfinite(around.variance), 1.0 / around.variance, 0.0)
    own = 1.0 / np.maximum(variance, 1e-300) - outside
    own = np.maximum(own, 1.0 / (_WIDEST * np.maximum(whole, 1e-300)))
    pull = mean * (own + outside) - around.mean * outside
    before = 1.0 / np.maximum(old.variance, 1e-300)
    precision = _GENTLE * own + (1.0 - _GENTLE) * before
    moved = _GENTLE * pull + (1.0 - _GENTLE) * before * old.centre
    return Sites(moved / precision, 1.0 / precision)
