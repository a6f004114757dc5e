"""How far the effects of each level spread, how long their tails are, and whether they have two humps."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.model.sites import NORMAL, Mixture, Sites, tail

if TYPE_CHECKING:
    from knowngood_refdata.expected.model.bends import Bends
    from knowngood_refdata.expected.model.nesting import Floats, Nesting, Places
    from knowngood_refdata.expected.model.root import RootLayout

ANYTHING = 1e3
"""What all cars share is free: its prior deviation is so many times the spread of the readings."""

STRAYS, STRAY_SCALE = 0.003, 100.0
"""Three effects in a thousand are mistakes, of ten times the usual size (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Level:
    """The distribution of one level's effects.

    ``variance`` (groups,) is the squared scale for each group of nodes (the compressor kinds, or one group),
    ``freedom`` the degrees of freedom of its tails; ``weight`` and ``centre`` (humps,) the humps, whose mean
    is zero. ``known`` is how many degrees of freedom the data brought for the variance. Children of one
    parent lean to one hump: their shares are drawn as if ``stick`` earlier children had the common shares
    (Blackwell and MacQueen, Annals of Statistics 1 (1973) 353); infinite where they do not lean. ``strays``
    is the share of effects that are wrong altogether: it serves to judge what was read, and is left out
    when a reading to come is expected.
    """

    variance: Floats
    freedom: int = NORMAL
    weight: tuple[float, ...] = (1.0,)
    centre: tuple[float, ...] = (0.0,)
    known: float = 0.0
    stick: float = math.inf
    strays: float = 0.0

    def mixture(
        self, group: Places | int, extra: Floats | float = 0.0, shares: Floats | None = None
    ) -> Mixture:
        """The mixture for nodes of given groups, each with a variance of its own besides.

        ``shares`` (humps, n) are the nodes' own shares of the humps, the common ones if left out.
        """
        weight, scale = tail(self.freedom)
        if self.strays > 0.0:
            weight = np.append(weight * (1.0 - self.strays), self.strays)
            scale = np.append(scale, STRAY_SCALE)
        variance = np.atleast_1d(self.variance[group])
        parts = scale[:, None] * variance + extra
        humps = len(self.weight)
        own = np.array(self.weight)[:, None] if shares is None else shares
        return Mixture(
            (own[:, None] * weight[:, None]).reshape(humps * len(weight), -1),
            np.repeat(np.array(self.centre), len(scale))[:, None],
            np.tile(parts, (humps, 1)),
        )

    def whole(self, group: Places | int, extra: Floats | float = 0.0) -> Floats:
        """Variance of the effects as a whole, humps and tails included."""
        weight, scale = tail(self.freedom)
        humps = float(np.dot(self.weight, np.square(self.centre)))
        return np.atleast_1d(self.variance[group]) * float(weight @ scale) + humps + extra

    def neutral(self, group: Places, extra: Floats | float = 0.0) -> Sites:
        """Sites before anything is known of the single effects."""
        variance = self.whole(group, extra)
        return Sites(np.zeros_like(variance), np.maximum(variance, 1e-300))


@dataclass(frozen=True, slots=True)
class Scales:
    """All that is learnt about a quantity beside the effects themselves.

    ``instrument`` is the share of the stated variance of the instruments that shows from visit to visit.
    The slopes' variances are (d,), the first unused; ``traits`` hold (d,) for each trait. ``slope_squares``
    (d,) are the mean squares of the slopes: what a condition that was not recorded adds to the scatter.
    ``bends`` are what squares and products of the conditions add, ``stretch`` (d - 1,) by how much the levels
    of makers, families and configurations draw apart with each condition.
    """

    reading: Level
    visit: Level
    unit: Level
    configuration: Level
    family: Level
    instrument: float
    configuration_slopes: Floats
    family_slopes: Floats
    traits: tuple[Floats, ...]
    maker: float
    free: float
    slope_squares: Floats
    bends: Bends
    stretch: Floats
    maker_known: float = 0.0

    def root(self, nesting: Nesting, place: RootLayout) -> Floats:
        """Prior variances of the root's coefficients (size,)."""
        d = len(self.family_slopes)
        variance = np.zeros(place.size)
        variance[:d] = self.free
        at = d
        for groups, each in zip(nesting.traits, self.traits, strict=True):
            variance[at : at + d * groups] = np.tile(each, groups)
            at += d * groups
        variance[place.makers] = self.maker
        return variance
