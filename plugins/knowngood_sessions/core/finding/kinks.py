"""Where a channel takes another course within seconds: candidates, and how well a kink fits there."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from .grid import noise_sigma

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .grid import Grid

TIME_CONSTANTS_S = (0.7, 1.5, 3.0, 5.0, 7.0, 10.0, 14.0)
ONSETS = range(-4, 5)
ONSETS_AROUND = range(-6, 7)
"""Steps from a candidate at which the kink is sought: first coarsely, then about the kink found."""

LEAST_TURN = 0.02
LEAST_SIGMAS = 3.0
ARM_S = (4.0, 9.0)
NEIGHBOURS = 3
MOST_MEMORY = 0.8
BEYOND_NOISE = 4.0
TURN_NOISE = 1.3
"""Standard deviation of `turning` for unit noise."""

FAR_S, MOST_FAR = 3.0, 2.0
CALM_SHARE = 0.5
FIFTH_OF_NORMAL = 0.2533
"""The fifth part of normal noise lies within so many of its standard deviations."""


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """Regression of a window about a candidate: a straight line and a first-order step, for each shape."""

    before: int
    after: int
    onset: NDArray[np.intp]  # (k,) steps from the candidate
    constant_s: NDArray[np.float64]  # (k,)
    reached: NDArray[np.float64]  # (k,) part of the step that is done at the window's end
    basis: NDArray[np.float64]  # (k, window, 3) orthonormal; its last column is the step beyond the line
    spread: NDArray[np.float64]  # (k,) variance of the step's size for unit noise
    parabola: NDArray[np.float64]  # (window, 3) orthonormal

    def windows(self, values: NDArray[np.float64], at: NDArray[np.intp]) -> NDArray[np.float64]:
        """The values (c, window) about each step, their mean taken off."""
        windows = values[at[:, None] + np.arange(-self.before, self.after + 1)]
        return np.asarray(windows - windows.mean(axis=1, keepdims=True))


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """The best kink at each candidate, arrays (c,)."""

    onset: NDArray[np.intp]
    """Steps from the candidate."""

    size: NDArray[np.float64]
    change: NDArray[np.float64]
    """The step's size in the end, and what of it is done at the window's end."""

    error: NDArray[np.float64]
    """Standard error of the size, honest about the memory of what the kink leaves."""

    of_a_bend: NDArray[np.float64]
    """What the kink leaves of the window, as part of what a parabola leaves."""

    beyond_noise: NDArray[np.bool_]
    """Whether the kink leaves more than the noise of single samples does."""


@lru_cache(maxsize=32)
def shape(step_s: float, before: int, after: int, onsets: range) -> Shape:
    """The regression for windows of so many steps before and after a candidate."""
    at = np.arange(-before, after + 1, dtype=np.float64)
    line = np.stack([np.ones_like(at), at / after])
    pairs = [(onset, constant_s) for onset in onsets for constant_s in TIME_CONSTANTS_S]
    response = np.stack([1.0 - np.exp(-np.maximum(at - o, 0.0) * step_s / tau) for o, tau in pairs])
    basis, triangle = np.linalg.qr(np.stack([np.vstack([line, one]).T for one in response]))
    basis[:, :, 2] *= np.sign(triangle[:, 2, 2])[:, None]
    parabola, _ = np.linalg.qr(np.vstack([line, (at / after) ** 2]).T)
    return Shape(
        before,
        after,
        np.array([onset for onset, _ in pairs], dtype=np.intp),
        np.array([constant_s for _, constant_s in pairs]),
        response[:, -1],
        basis,
        1.0 / triangle[:, 2, 2] ** 2,
        parabola,
    )


def span_shape(grid: Grid, from_s: float, to_s: float, onsets: range = ONSETS) -> Shape:
    """The regression for a window from so many seconds before a candidate to so many after it."""
    return shape(grid.step_s, grid.steps(-from_s, at_least=5), grid.steps(to_s, at_least=5), onsets)


def fitted(form: Shape, values: NDArray[np.float64], at: NDArray[np.intp]) -> Fit:
    """The best kink about each of the steps (c,), whose windows lie inside the values."""
    windows = form.windows(values, at)
    parts = np.einsum("kwp,cw->ckp", form.basis, windows, optimize=True)
    total = np.einsum("cw,cw->c", windows, windows)
    best = np.argmax(np.einsum("ckp,ckp->ck", parts, parts), axis=1)
    mine = parts[np.arange(at.size), best]
    left = windows - np.einsum("cwp,cp->cw", form.basis[best], mine)
    squares = np.maximum(np.einsum("cw,cw->c", left, left), 1e-15)
    memory = np.clip(np.einsum("cw,cw->c", left[:, 1:], left[:, :-1]) / squares, 0.0, MOST_MEMORY)
    variance = np.maximum(
        squares / (windows.shape[1] - 3) * (1.0 + memory) / (1.0 - memory), noise_sigma(values) ** 2
    )
    bent = windows @ form.parabola
    unbent = np.maximum(total - np.einsum("cp,cp->c", bent, bent), 1e-15)
    size = mine[:, 2] * np.sqrt(form.spread[best])
    return Fit(
        form.onset[best],
        size,
        size * form.reached[best],
        np.sqrt(variance * form.spread[best]),
        squares / unbent,
        squares > BEYOND_NOISE * (windows.shape[1] - 3) * noise_sigma(values) ** 2,
    )


def turning(grid: Grid, values: NDArray[np.float64]) -> NDArray[np.float64]:
    """By how much the values (m,) leave, within `ARM_S`, the course they had before; nought at the ends."""
    inner, outer = (grid.steps(seconds) for seconds in ARM_S)
    total = np.concatenate([[0.0], np.cumsum(values)])
    turn = np.zeros_like(values)
    at = np.arange(outer, values.size - outer)
    if at.size == 0:
        return turn

    def mean(first: int, last: int) -> NDArray[np.float64]:
        return np.asarray((total[at + last + 1] - total[at + first]) / (last - first + 1))

    turn[at] = mean(inner, outer) - 2.0 * mean(-1, 1) + mean(-outer, -inner)
    return turn


def candidates(values: NDArray[np.float64], turns: NDArray[np.float64]) -> NDArray[np.intp]:
    """Steps (c,) at which the values may take another course, in order: where they turn most.

    ``turns`` is how much they turn at each step, (m,), as `turning` tells it.
    """
    turn = np.abs(turns)
    least = max(LEAST_TURN, LEAST_SIGMAS * TURN_NOISE * noise_sigma(values))
    large = np.flatnonzero(turn >= least)
    if large.size == 0:
        return large
    local = np.ones(large.size, dtype=bool)
    for shift in range(1, NEIGHBOURS + 1):
        for beside in (large - shift, large + shift):
            local &= turn[large] >= turn[np.clip(beside, 0, turn.size - 1)]
    return large[local]


def wandering(grid: Grid, values: NDArray[np.float64]) -> float:
    """Standard deviation of the difference of two short means some seconds apart, in a channel at rest.

    White noise averages out; noise with a memory does not, and shows by its growing with the distance at
    which neighbours are compared.
    """
    near = max(_calmest(values), CALM_SHARE * noise_sigma(values))
    far = min(_calmest(values[:: max(1, int(FAR_S / grid.step_s))]), MOST_FAR * near)
    memory = max(far / near, 1.0) if near > 0.0 else 1.0
    return max(near, far) * (0.8 + 2.0 * (memory - 1.0))


def _calmest(values: NDArray[np.float64]) -> float:
    """Noise from the quietest fifth of the third differences: a saw-tooth has its corners in the others."""
    third = np.abs(np.diff(values, n=3))
    if third.size == 0:
        return 0.0
    fifth = np.partition(third, third.size // 5)[third.size // 5]
    # Of a display's coarse last digit the fifth says too much, of a saw-tooth the median.
    return min(float(fifth / FIFTH_OF_NORMAL / np.sqrt(20.0)), noise_sigma(values))
