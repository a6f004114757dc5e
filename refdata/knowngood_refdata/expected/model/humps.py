"""Two humps in a level: a split of cars that nobody recorded."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import gammaln

from knowngood_refdata.expected.model.sites import Cavity, tilt
from knowngood_refdata.expected.model.spread import LEAST, log_likelihood

if TYPE_CHECKING:
    from knowngood_refdata.expected.model.nesting import Floats, Places
    from knowngood_refdata.expected.model.scales import Level

STICKS = (0.5, 1.0, 2.0, 4.0, 10.0, 40.0)
"""How much the children of a parent may lean to one hump; see `Level`."""
_STEPS = 25
_STARTS = (-1.0, 0.0, 1.0)
_NARROWER = (0.3, 0.5, 0.7, 1.0, 1.4)


def with_two_humps(level: Level, around: Cavity, group: Places) -> tuple[Level, float]:
    """The level with two humps, and by how much the log likelihood gains from the second one.

    Maximum likelihood of two centres, their shares and the common scale, by expectation and maximisation
    from three starts (Dempster, Laird and Rubin, J. Royal Stat. Soc. B 39 (1977) 1).
    """
    known = np.isfinite(around.variance)
    usable = Cavity(around.mean[known], around.variance[known])
    of = group[known]
    base = max(_stretched(level, usable, of)[1], log_likelihood(level, usable, of))
    spread = float(np.sqrt(np.mean(level.whole(of))))
    best, best_log = level, -math.inf
    for start in _STARTS:
        tried = replace(
            level, weight=(0.5, 0.5), centre=(spread * (start - 0.8), spread * (start + 0.8)),
            variance=level.variance * 0.2,
        )  # fmt: skip
        for _ in range(_STEPS):
            tried = _hump_step(tried, usable, of)
        log = log_likelihood(tried, usable, of)
        if log > best_log:
            best, best_log = tried, log
    return best, best_log - base


def _stretched(level: Level, around: Cavity, group: Places) -> tuple[Level, float]:
    tried = [replace(level, variance=level.variance * s) for s in _NARROWER]
    logs = [log_likelihood(one, around, group) for one in tried]
    place = int(np.argmax(logs))
    return tried[place], logs[place]


def _hump_step(
    level: Level, around: Cavity, group: Places, own: Floats | None = None, shares: float = 2.0
) -> Level:
    mixture = level.mixture(group, 0.0, own)
    tilted = tilt(around, mixture)
    humps = len(level.weight)
    parts = len(mixture.weight) // humps
    share = tilted.share.reshape(humps, parts, -1)
    precision = share / (mixture.variance + around.variance).reshape(humps, parts, -1)
    centre = (precision * around.mean).sum(axis=(1, 2)) / np.maximum(precision.sum(axis=(1, 2)), 1e-300)
    weight = share.sum(axis=(1, 2)) + shares
    weight /= weight.sum()
    whole = mixture.variance
    squares = (tilted.share * ((tilted.mean - mixture.centre) ** 2 + tilted.variance) / whole).sum()
    factor = float(np.clip(squares / len(around.mean), 0.3, 3.0))
    return replace(
        level, weight=tuple(map(float, weight)), centre=tuple(map(float, centre)),
        variance=np.maximum(level.variance * factor, LEAST),
    )  # fmt: skip


def recentred(level: Level) -> Level:
    """The same humps with mean zero: the mean belongs to the level above."""
    mean = float(np.dot(level.weight, level.centre))
    return replace(level, centre=tuple(one - mean for one in level.centre))


def hump_update(level: Level, around: Cavity, group: Places, own: Floats) -> Level:
    """Move the humps a step further; the scale has its own way."""
    known = np.isfinite(around.variance)
    kept = Cavity(around.mean[known], around.variance[known])
    moved = _hump_step(level, kept, group[known], own[:, known])
    return recentred(replace(moved, variance=level.variance))


def stickiest(level: Level, counts: Floats) -> Level:
    """How much the children of a parent lean to one hump, from their counts (humps, parents).

    The likeliest of a few values under the Dirichlet-multinomial distribution (Mosimann, Biometrika 49
    (1962) 65).
    """
    weight = np.array(level.weight)[:, None]
    logs = [
        float((gammaln(counts + a * weight) - gammaln(a * weight)).sum())
        + float((gammaln(a) - gammaln(counts.sum(axis=0) + a)).sum())
        for a in STICKS
    ]
    return replace(level, stick=STICKS[int(np.argmax(logs))])
