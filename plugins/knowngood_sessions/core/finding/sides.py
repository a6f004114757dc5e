"""Both sides of a session on a grid, as a fan step is read from them."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from .kinks import wandering

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .grid import Grid

SMALLEST_STEP = 0.05
DETECTED_FROM = 0.9 * SMALLEST_STEP
"""Least change of the logarithm of the high side; a step of just 5 % must survive the noise."""

REST_S = (-10.0, -4.0)


@dataclass(frozen=True, slots=True, eq=False)
class Track:
    """Logarithms of a side, (m,), with their running sum, (m + 1,), and how far its short means wander."""

    values: NDArray[np.float64]
    total: NDArray[np.float64]
    noise: float


def track(grid: Grid, side_pa: NDArray[np.float64]) -> Track:
    """The track of a side's pressures (m,), absolute in pascals."""
    values = np.log(np.maximum(side_pa, 1.0))
    return Track(values, np.concatenate([[0.0], np.cumsum(values)]), wandering(grid, values))


@dataclass(frozen=True, slots=True, eq=False)
class Sides:
    """Both sides on a grid, and what is known to have disturbed them."""

    grid: Grid
    high: Track
    low: Track | None
    disturbed_s: tuple[float, ...]
    turns: NDArray[np.float64]  # (m,)
    _totals: list[tuple[NDArray[np.float64], NDArray[np.float64]]] = field(default_factory=list)

    def mean(self, side: Track, at: NDArray[np.intp], from_s: float, to_s: float) -> NDArray[np.float64]:
        """Means (c,) from so many seconds after each step to so many, inside the grid."""
        end = side.values.size - 1
        first = np.clip(at + round(from_s / self.grid.step_s), 0, end)
        last = np.clip(at + round(to_s / self.grid.step_s), first, end)
        return np.asarray((side.total[last + 1] - side.total[first]) / (last + 1 - first))

    def calm_steps(self, at: NDArray[np.intp]) -> NDArray[np.intp]:
        """How many steps (c,) of the grid pass before the next disturbance, or the end."""
        moments = (np.array([*self.disturbed_s, np.inf]) - self.grid.time_s[0]) / self.grid.step_s
        following = moments[np.searchsorted(moments, at, side="right")]
        return np.asarray(np.minimum(following, self.high.values.size) - at, dtype=np.intp)


def to_and_fro(sides: Sides, at: NDArray[np.intp], change: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Whether the high side came the other way just before: a corner of a saw-tooth."""
    came = sides.mean(sides.high, at, -1.0, 1.0) - sides.mean(sides.high, at, *REST_S)
    return np.asarray(np.sign(change) * came < -0.5 * DETECTED_FROM)
