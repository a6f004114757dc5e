"""The many ways in which a fault may show in one session, and how well each fits."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_checkup.core.explain.stack import Stack, log_t_at

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Vector = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Versions:
    """Versions of a fault with one form of scatter.

    Each has a share before anything was measured, whose logarithm is ``log_share``, a ``size`` and a
    ``factor`` of the scatter's standard deviation, all (versions,), and a ``move``, (versions, n). The
    ``scatter`` of a car about them is (n, n).
    """

    log_share: Vector
    size: Vector
    move: NDArray[np.float64]
    factor: Vector
    scatter: NDArray[np.float64]

    def log_joint(self, stack: Stack) -> Vector:
        """Logarithm of share times density of what was read, (versions,).

        With S = L L' and L^-1 D L'^-1 = U diag(l) U', the scale S + f^2 D has the eigenvalues 1 + f^2 l in
        the coordinates U' L^-1, so that one decomposition serves all versions.
        """
        whiten = stack.whitener
        shares, axes = np.linalg.eigh(whiten @ self.scatter @ whiten.T)
        off = (stack.values - self.move) @ (axes.T @ whiten).T
        scale = 1.0 + self.factor[:, None] ** 2 * np.maximum(shares, 0.0)
        log_det = -np.log(np.diag(whiten)).sum() + 0.5 * np.log(scale).sum(axis=1)
        joint: Vector = self.log_share + log_t_at((off**2 / scale).sum(axis=1), log_det, stack.values.size)
        return joint

    def variance(self, stack: Stack) -> NDArray[np.float64]:
        """Variance of each value about its move, (versions, n)."""
        total: NDArray[np.float64] = np.diag(stack.spread) + self.factor[:, None] ** 2 * np.diag(self.scatter)
        return total


def middle_of(size: Vector, log_joint: Vector, levels: tuple[float, ...]) -> list[float]:
    """Quantiles of the size, weighed by how well each version fits."""
    order = np.argsort(size, kind="stable")
    share = np.exp(log_joint[order] - log_joint.max())
    # A version stands for its surroundings: half of its share lies below its size.
    below = np.cumsum(share) - 0.5 * share
    return [float(one) for one in np.interp(levels, below / share.sum(), size[order])]
