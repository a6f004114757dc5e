"""From effects seen with uncertainty to the spread of the level they come from.

The fixed point of restricted maximum likelihood for a variance component (Harville, J. Amer. Stat. Assoc. 72
(1977) 320, equation 5.1; MacKay, Neural Computation 4 (1992) 415): v = Σ m² / Σ (1 - D/v), with m and D the
posterior mean and variance of each effect. A prior of a few degrees of freedom keeps a level with few nodes
from collapsing to nothing or running away.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import ndtr

from knowngood_refdata.expected.model.sites import tail

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood_refdata.expected.model.nesting import Floats, Places
    from knowngood_refdata.expected.model.scales import Level
    from knowngood_refdata.expected.model.sites import Cavity, Mixture, Tilted

FREEDOMS = (5, 9, 21, 41)
_STRETCH = (0.65, 0.82, 1.0, 1.2, 1.5)
LEAST = 1e-12


@dataclass(frozen=True, slots=True)
class Prior:
    """What is held of a variance beforehand: as if ``freedom`` effects of the square ``variance`` were seen.

    Groups of one level are drawn to their common variance as if by ``pooling`` effects more.
    """

    variance: float
    freedom: float
    pooling: float = 12.0


def updated(
    level: Level,
    group: Places,
    prior: Prior,
    mixture: Mixture,
    tilted: Tilted,
    extra: Floats | float = 0.0,
) -> Level:
    """The level's variances renewed from its effects around their cavities."""
    own = mixture.variance - extra
    whole = np.maximum(mixture.variance, 1e-300)
    part = tilted.share * own / whole
    squares = (part * (tilted.mean - mixture.centre) ** 2 / whole).sum(axis=0) * level.variance[group]
    freedom = (part * np.maximum(1.0 - tilted.variance / whole, 0.0)).sum(axis=0)
    groups = len(level.variance)
    square, known = np.bincount(group, squares, groups), np.bincount(group, freedom, groups)
    held = prior.freedom * prior.variance
    common = (square.sum() + held) / max(float(known.sum()) + prior.freedom, LEAST)
    variance = np.full(groups, common)
    if groups > 1:
        variance = (square + prior.pooling * common) / (known + prior.pooling)
    shrink = freedom**2
    return replace(level, variance=np.maximum(variance, LEAST), known=float(shrink.sum()) + prior.freedom)


def plain_update(variance: float, mean: Floats, spread: Floats, prior: Prior) -> tuple[float, float]:
    """Variance of normal effects from their posterior means and variances, and its degrees of freedom."""
    shrink = np.clip(1.0 - spread / variance, 0.0, 1.0) if variance > 0.0 else np.zeros(len(mean))
    square = float((mean**2).sum())
    new = (square + prior.freedom * prior.variance) / max(float(shrink.sum()) + prior.freedom, LEAST)
    return max(new, 0.0), float((shrink**2).sum()) + prior.freedom


def log_likelihood(level: Level, around: Cavity, group: Places, extra: Floats | float = 0.0) -> float:
    """Log likelihood of the effects as their cavities show them, up to a constant."""
    mixture = level.mixture(group, extra)
    known = np.isfinite(around.variance)
    total = np.where(known, around.variance, 1.0) + mixture.variance
    log = -0.5 * (np.log(total) + (around.mean - mixture.centre) ** 2 / total)
    top = log.max(axis=0)
    summed = top + np.log((mixture.weight * np.exp(log - top)).sum(axis=0))
    return float(np.where(known, summed, 0.0).sum())


def with_tails(level: Level, around: Cavity, group: Places, extra: Floats | float = 0.0) -> Level:
    """The level with the tails that fit best, its variances stretched to match."""
    now = _quartile(level.freedom)
    found = []
    for freedom in FREEDOMS:
        matched = (now / _quartile(freedom)) ** 2
        tried = [replace(level, freedom=freedom, variance=level.variance * matched * by) for by in _STRETCH]
        found.append(_highest(tried, lambda one: log_likelihood(one, around, group, extra)))
    return max(found, key=lambda pair: pair[1])[0]


def _highest(tried: list[Level], log: Callable[[Level], float]) -> tuple[Level, float]:
    """The best of levels whose likelihood has one summit, climbed from the middle, and its log."""
    place = len(tried) // 2
    best = log(tried[place])
    for step in (-1, 1):
        while 0 <= place + step < len(tried) and (next_log := log(tried[place + step])) > best:
            place, best = place + step, next_log
    return tried[place], best


@cache
def _quartile(freedom: int) -> float:
    """Upper quartile of the mixture that stands for Student's t, against that of the normal."""
    weight, scale = tail(freedom)
    low, high = 0.1, 3.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        if float(weight @ ndtr(middle / np.sqrt(scale))) < 0.75:
            low = middle
        else:
            high = middle
    return middle
