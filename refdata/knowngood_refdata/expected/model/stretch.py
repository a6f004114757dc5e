"""How far makers, families and configurations draw apart under different conditions.

What two cars differ by is mostly a share of what they do: condensers of different size stand further apart
under load. So the level of a node counts 1 + s·x times at conditions x, which lets slopes deviate together
with the level, s being their regression on it. It is renewed by expectation and maximisation (Dempster, Laird
and Rubin, J. Royal Stat. Soc. B 39 (1977) 1) in steps of twice the length, single ones being short where
slopes are seen with much uncertainty.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.model.elimination import Belief
from knowngood_refdata.expected.model.passes import spread_out

if TYPE_CHECKING:
    from knowngood_refdata.expected.model.elimination import Message
    from knowngood_refdata.expected.model.nesting import Floats, Grouping
    from knowngood_refdata.expected.model.passes import Passed, Stand

REACH = 2.5
"""Further than so many usual differences from the middle levels stretch no further."""
LEAST, MOST = 0.3, 3.0
USUAL = 0.3
"""By about so much a usual difference of a condition stretches levels (common practice, no source)."""
_STEP = 2.0


def stretched(stretch: Floats, x: Floats) -> Floats:
    """How many times a level counts (n,), from the stretch (d - 1,) and a design (d, n)."""
    return np.asarray(np.clip(1.0 + stretch @ np.clip(x[1:], -REACH, REACH), LEAST, MOST))


def restretched(stretch: Floats, family: Grouping, passed: Passed, stand: Stand) -> Floats:
    """The stretch (d - 1,) renewed from one pass."""
    parents = Belief(passed.family.mean[:, family.of], passed.family.cov[:, :, family.of])
    squares, products = np.zeros_like(stretch), np.zeros_like(stretch)
    for sites, slopes, below, above, found in (
        (stand.family, stand.family_slopes, passed.below_family, passed.above_family,
         passed.family_deviations),
        (stand.configuration, stand.configuration_slopes, passed.below_configuration, parents,
         passed.configuration_deviations),
    ):  # fmt: skip
        level = found.mean[0] + sites.centre
        together = beside_level(below, above, spread_out(sites, slopes))
        weight = np.divide(1.0, slopes[1:], out=np.zeros_like(stretch), where=slopes[1:] > 0.0)
        squares += weight * (level**2 + found.variance[0]).sum()
        products += weight * (level * found.mean[1:] + together[1:]).sum(axis=1)
    return (squares * stretch + _STEP * products) / (squares + USUAL**-2)


def beside_level(below: Message, above: Belief, variance: Floats) -> Floats:
    """Posterior covariance (d, n) of the deviation of the level with those of all coefficients.

    Given the parent the deviations have the covariance K = (J + V⁻¹)⁻¹, and they follow the parent by -K J.
    """
    scale = np.sqrt(variance).T
    precision = below.precision.transpose(2, 0, 1)
    inner = np.linalg.inv(np.eye(scale.shape[1]) + scale[:, :, None] * precision * scale[:, None])
    own = scale[:, :, None] * inner * scale[:, None]
    follow = own @ precision
    across = follow[:, :1] @ above.cov.transpose(2, 0, 1) @ follow.transpose(0, 2, 1)
    return np.asarray((own[:, 0] + across[:, 0]).T)
