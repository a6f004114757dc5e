"""Effects that are more likely mistakes than part of the scatter: readings, configurations, families."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.model.settling import cavities_of, mixture_of
from knowngood_refdata.expected.model.sites import Cavity, Mixture, tilt

if TYPE_CHECKING:
    from knowngood_refdata.expected.model.fitted import Fitted
    from knowngood_refdata.expected.model.nesting import Floats
    from knowngood_refdata.expected.model.scales import Level


@dataclass(frozen=True, slots=True)
class Effects:
    """The effects of all nodes of a level against what their kin lets expect.

    Attributes
    ----------
    around
        What all else says about each; ``mixture`` what effects of the level are like.
    mistaken
        Probability that each is a mistake, (n,).
    spread
        Standard deviation of the level's effects, (n,).
    """

    around: Cavity
    mixture: Mixture
    mistaken: Floats
    spread: Floats

    def known(self, node: int) -> bool:
        """Whether its kin say anything about a node."""
        return bool(np.isfinite(self.around.variance[node]))

    def stands_off(self, node: int, deviations: float) -> bool:
        """Whether a node lies further off than so many standard deviations of the level."""
        return self.known(node) and abs(self.around.mean[node]) > deviations * self.spread[node]

    def log_density(self, node: int, off: float) -> float:
        """Log of the density at a distance from what the kin lets expect, mistakes included."""
        weight, centre, variance = (
            part[:, min(node, part.shape[1] - 1)]
            for part in (self.mixture.weight, self.mixture.centre, self.mixture.variance)
        )
        total = variance + self.around.variance[node]
        parts = np.log(weight) - 0.5 * (np.log(total) + (off - centre) ** 2 / total)
        return float(np.logaddexp.reduce(parts))


def stray_readings(fitted: Fitted) -> Floats:
    """Probability that each reading is a mistake (n,)."""
    return effects(fitted, "reading").mistaken


def effects(fitted: Fitted, name: str) -> Effects:
    """The effects of a level: ``reading``, ``unit``, ``configuration``, ``family``."""
    problem, state = fitted.tree.problem, fitted.state
    level: Level = getattr(state.scales, name)
    around = cavities_of(problem, state.stand, state.passed)[name]
    mixture = mixture_of(problem, state.scales, name, state.labels)
    share = tilt(around, mixture).share
    by_hump = share.reshape(len(level.weight), len(share) // len(level.weight), share.shape[1])
    mistaken = by_hump[:, -1].sum(axis=0) if level.strays > 0.0 else np.zeros(share.shape[1])
    whole = level.whole(problem.groups[name], problem.besides(name, state.scales))
    return Effects(around, mixture, np.asarray(mistaken), np.sqrt(whole))
