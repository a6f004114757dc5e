"""All deviations of a session as one vector, and the heavy-tailed density that they are judged by."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import gammaln

from knowngood_checkup.core.explain.evidence import SIGNALS, Signal

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood_checkup.core.explain.evidence import WindowDeviations

    Vector = NDArray[np.float64]

_HIGH, _SUBCOOLING = SIGNALS.index(Signal.HIGH), SIGNALS.index(Signal.SUBCOOLING)
FREEDOM = 6.0
"""Of Student's t: one bad reading must not decide."""


@dataclass(frozen=True)
class Stack:
    """All deviations of a session one below the other, (n,), and where each stands: its window and signal."""

    values: Vector
    spread: NDArray[np.float64]  # (n, n)
    place: tuple[tuple[int, int], ...]

    @cached_property
    def whitener(self) -> NDArray[np.float64]:
        """The inverse of the spread's Cholesky factor, (n, n)."""
        return np.linalg.inv(np.linalg.cholesky(self.spread))

    @cached_property
    def window_of(self) -> NDArray[np.intp]:
        """The window of each value, (n,)."""
        return np.array([window for window, _ in self.place], dtype=np.intp)

    @cached_property
    def signal_of(self) -> NDArray[np.intp]:
        """The signal of each value, by its place in `SIGNALS`, (n,)."""
        return np.array([signal for _, signal in self.place], dtype=np.intp)

    def alike(self, in_all_windows: float, tied: float = 0.0) -> NDArray[np.float64]:
        """Correlation of a scatter, (n, n): of one signal between windows, of high side and subcooling."""
        same = np.eye(len(SIGNALS))
        same[_HIGH, _SUBCOOLING] = same[_SUBCOOLING, _HIGH] = tied
        here = self.window_of[:, None] == self.window_of[None, :]
        by_signal = same[np.ix_(self.signal_of, self.signal_of)]
        correlation: NDArray[np.float64] = by_signal * np.where(here, 1.0, in_all_windows)
        return correlation


def stacked(windows: tuple[WindowDeviations, ...]) -> Stack:
    """All deviations of a session as one vector with their covariance."""
    place = [
        (index, number)
        for index, window in enumerate(windows)
        for number, signal in enumerate(SIGNALS)
        if signal in window.signals
    ]
    if not place:
        return Stack(np.zeros(0), np.zeros((0, 0)), ())
    parts = [windows[index].signals[SIGNALS[number]] for index, number in place]
    values = np.array([one.value_k for one in parts])
    sigma = np.array([max(one.spread_k, 1e-3) for one in parts])
    lasting = np.sqrt(np.array([one.lasting for one in parts]))
    signal_of = np.array([number for _, number in place])
    alike = (signal_of[:, None] == signal_of[None, :]) * np.outer(lasting, lasting)
    np.fill_diagonal(alike, 1.0)
    return Stack(values, alike * np.outer(sigma, sigma), tuple(place))


def log_t(off: Vector, spread: NDArray[np.float64]) -> float:
    """Logarithm of the density of a multivariate t with the covariance-like scale ``spread``, (n, n)."""
    factor = np.linalg.cholesky(spread)
    standard = np.linalg.solve(factor, off)
    log_det = np.log(np.diag(factor)).sum()
    return float(log_t_at(standard @ standard, log_det, off.size))


def log_t_at(distance: Vector, log_det: Vector, n: int) -> Vector:
    """Its logarithm at a squared distance, with half the logarithm of the determinant; any shape."""
    log_norm = gammaln(0.5 * (FREEDOM + n)) - gammaln(0.5 * FREEDOM) - 0.5 * n * np.log(FREEDOM * np.pi)
    density: Vector = log_norm - log_det - 0.5 * (FREEDOM + n) * np.log1p(distance / FREEDOM)
    return density
