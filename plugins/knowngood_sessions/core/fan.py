"""Fan-stage steps: the high side jumps within seconds while engine speed and low side hold.

A fan stage changes the air over the condenser at once, so the high side starts to move with a kink and is
most of the way within ten seconds. Three things look alike and are told apart:

- the compressor going off line moves the low side as well, the other way;
- the settling after an engine-speed step, and a change of blower or of load, bend smoothly or take longer;
- a step that falls together with an engine-speed step cannot be seen as a kink of its own. But with the
  air over the condenser unchanged a faster engine never lowers the high side and a slower one never raises
  it (common practice, no source): see `fan_with_engine`.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.ndimage import uniform_filter1d

from .grid import slow_noise

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from .engine import EngineStep
    from .grid import Grid

SMALLEST_STEP = 0.05
DETECTED_FROM = 0.9 * SMALLEST_STEP
"""Least change of the logarithm of the high side; a step of just 5 % must survive the noise."""

TIME_CONSTANTS_S = (0.7, 1.5, 3.0, 6.0, 10.0, 14.0)
SPANS_S = ((-18.0, 14.0), (-10.0, 14.0), (-5.0, 8.0))
"""Windows about a candidate: the longest that no other disturbance reaches into is taken."""

ONSETS = range(-5, 6)
ONSETS_AROUND = range(-9, 6)
"""Steps from a candidate at which the kink is sought: first coarsely, then about the kink found."""

BETTER_THAN_A_BEND = 0.75
SIGMAS = 4.0
KINK_BLOCKS = (5, 10)
LOW_HOLDS = 0.05
LOW_SHARE = 0.4
LOW_SHARE_OPPOSITE = 0.7
"""How far the low side may move, as part of the high side's step: with it as a change of load would move
it, and against it, when the engine speed is known to hold (else that looks like another engine speed)."""

SLOW_RATIO = 1.75
LATER_S = (30.0, 40.0)
APART_S = 6.0


@dataclass(frozen=True, slots=True)
class FanStep:
    """The condenser fan goes up (``up``: more air, the high side falls) or down one stage."""

    at_s: float
    up: bool
    with_engine: bool = False


@dataclass(frozen=True, slots=True)
class _Shape:
    """Regression of a window about a candidate: straight line and a first-order step, for each shape."""

    before: int
    after: int
    onset: NDArray[np.float64]  # (k,) steps from the candidate
    reached: NDArray[np.float64]  # (k,) part of the step that is done at the window's end
    basis: NDArray[np.float64]  # (k, window, 3) orthonormal; its last column is the step beyond the line
    spread: NDArray[np.float64]  # (k,) variance of the step's size for unit noise
    bend: NDArray[np.float64]  # (window, window) projects onto what a parabola leaves

    def parts(self, high: NDArray[np.float64]) -> NDArray[np.float64]:
        """Coordinates (c, k, 3) of windows (c, window) in each basis."""
        return np.asarray(np.einsum("kwp,cw->ckp", self.basis, high, optimize=True))

    def squares(self, high: NDArray[np.float64]) -> NDArray[np.float64]:
        """Sum of squares (c, k) that each shape leaves of windows whose mean is nought."""
        parts = self.parts(high)
        total = np.einsum("cw,cw->c", high, high)
        return np.asarray(np.maximum(total[:, None] - np.einsum("ckp,ckp->ck", parts, parts), 0.0))


def fan_steps(grid: Grid, engine: Sequence[EngineStep], compressor_s: Sequence[float]) -> tuple[FanStep, ...]:
    """Fan-stage steps in order of time.

    Parameters
    ----------
    engine
        Engine-speed steps of the session.
    compressor_s
        Moments at which the compressor went off line or back; nothing is read beside them.
    """
    if grid.high_pa is None or grid.high_pa.size < 16:
        return ()
    log_high = np.log(np.maximum(grid.high_pa, 1.0))
    log_low = None if grid.low_pa is None else np.log(np.maximum(grid.low_pa, 1.0))
    disturbed = np.array([*(step.at_s for step in engine), *compressor_s])
    steps = _kinks(grid, log_high, log_low, disturbed)
    return tuple(sorted(steps, key=lambda one: one.at_s))


def _kinks(
    grid: Grid,
    log_high: NDArray[np.float64],
    log_low: NDArray[np.float64] | None,
    disturbed: NDArray[np.float64],
) -> list[FanStep]:
    candidates = _at_kink(grid, log_high, _candidates(grid, log_high))
    left = np.ones(candidates.size, dtype=bool)
    found: list[tuple[FanStep, float]] = []
    for span_s in SPANS_S:
        shape = _shape(grid, *span_s)
        clear = left & _clear(grid, candidates, disturbed, shape)
        found += _judge(grid, log_high, log_low, candidates[clear], shape)
        left &= ~clear
    found.sort(key=lambda one: -one[1])
    taken: list[float] = []
    kept = []
    for step, _ in found:
        at = bisect_left(taken, step.at_s)
        if all(abs(step.at_s - other) >= APART_S for other in taken[max(0, at - 1) : at + 1]):
            taken.insert(at, step.at_s)
            kept.append(step)
    return [step for step in kept if _engine_holds(grid, step.at_s)]


def _candidates(grid: Grid, log_high: NDArray[np.float64]) -> NDArray[np.intp]:
    """Steps (c,) at which the means after and before differ most within their neighbourhood."""
    width = grid.steps(8.0, at_least=4)
    mean = uniform_filter1d(log_high, width, mode="nearest")
    half = width // 2 + 1
    jump = np.zeros_like(mean)
    jump[half:-half] = np.abs(mean[2 * half :] - mean[: -2 * half])
    large = np.flatnonzero(jump >= 0.6 * SMALLEST_STEP)
    local = np.ones(large.size, dtype=bool)
    for shift in (-2, -1, 1, 2):
        local &= jump[large] >= jump[np.clip(large + shift, 0, jump.size - 1)]
    return large[local]


def _at_kink(grid: Grid, log_high: NDArray[np.float64], candidates: NDArray[np.intp]) -> NDArray[np.intp]:
    """The candidates moved to where a kink fits best, each once."""
    shape = _shape(grid, *SPANS_S[-1], ONSETS_AROUND)
    inside = candidates[(candidates >= shape.before) & (candidates + shape.after < log_high.size)]
    if inside.size == 0:
        return inside
    windows = _windows(log_high, inside, shape)
    rising = windows[:, -1] > windows[:, 0]
    same_way = (shape.parts(windows)[:, :, 2] > 0.0) == rising[:, None]
    best = np.argmin(np.where(same_way, shape.squares(windows), np.inf), axis=1)
    return np.unique(inside + shape.onset[best].astype(np.intp))


def _windows(values: NDArray[np.float64], candidates: NDArray[np.intp], shape: _Shape) -> NDArray[np.float64]:
    """The values (c, window) about each candidate, their mean taken off."""
    windows = values[candidates[:, None] + np.arange(-shape.before, shape.after + 1)]
    return np.asarray(windows - windows.mean(axis=1, keepdims=True))


def _shape(grid: Grid, from_s: float, to_s: float, sought: range = ONSETS) -> _Shape:
    before, after = grid.steps(-from_s, at_least=6), grid.steps(to_s, at_least=8)
    at = np.arange(-before, after + 1, dtype=np.float64)
    line = np.stack([np.ones_like(at), at / after])
    onsets, steps = [], []
    for onset in sought:
        for constant_s in TIME_CONSTANTS_S:
            since = np.maximum(at - onset, 0.0) * grid.step_s
            onsets.append(float(onset))
            steps.append(1.0 - np.exp(-since / constant_s))
    response = np.stack(steps)
    basis, triangle = np.linalg.qr(np.stack([np.vstack([line, one]).T for one in response]))
    basis[:, :, 2] *= np.sign(triangle[:, 2, 2])[:, None]
    spread = 1.0 / triangle[:, 2, 2] ** 2
    parabola = np.vstack([line, (at / after) ** 2]).T
    bend = np.eye(at.size) - parabola @ np.linalg.pinv(parabola)
    return _Shape(before, after, np.array(onsets), response[:, -1], basis, spread, bend)


def _clear(
    grid: Grid, candidates: NDArray[np.intp], disturbed: NDArray[np.float64], shape: _Shape
) -> NDArray[np.bool_]:
    """Whether a candidate's window lies inside the grid and holds no other disturbance."""
    inside = (candidates >= shape.before) & (candidates + shape.after < grid.time_s.size)
    if disturbed.size == 0:
        return inside
    ordered = np.sort((disturbed - grid.time_s[0]) / grid.step_s)
    first = np.searchsorted(ordered, candidates - shape.before - 1.0)
    last = np.searchsorted(ordered, candidates + shape.after + 1.0)
    clear: NDArray[np.bool_] = inside & (first == last)
    return clear


def _judge(
    grid: Grid,
    log_high: NDArray[np.float64],
    log_low: NDArray[np.float64] | None,
    candidates: NDArray[np.intp],
    shape: _Shape,
) -> list[tuple[FanStep, float]]:
    """Fan steps among the candidates, each with the size of its step."""
    if candidates.size == 0:
        return []
    high = _windows(log_high, candidates, shape)
    squares = shape.squares(high)
    best = np.argmin(squares, axis=1)
    row = np.arange(candidates.size)
    noise = np.maximum(squares[row, best] / (high.shape[1] - 3), slow_noise(log_high, KINK_BLOCKS) ** 2)
    error = np.sqrt(shape.spread[best])
    size = shape.parts(high)[row, best, 2] * error
    change = size * shape.reached[best]
    bent = high @ shape.bend
    onset = shape.onset[best]
    good = (
        (np.abs(change) >= DETECTED_FROM)
        & (np.abs(size) >= SIGMAS * np.sqrt(noise) * error)
        & (squares[row, best] <= BETTER_THAN_A_BEND * np.einsum("cw,cw->c", bent, bent))
        & (np.abs(onset) < ONSETS[-1])
        & _soon_done(grid, log_high, candidates + onset.astype(np.intp), change)
    )
    if log_low is not None:
        low_size = shape.parts(_windows(log_low, candidates, shape))[row, best, 2] * error
        low_error = slow_noise(log_low, KINK_BLOCKS) * error
        opposite = (low_size * size < 0.0) & (grid.engine_rpm is not None)
        share = np.where(opposite, LOW_SHARE_OPPOSITE, LOW_SHARE)
        allowed = np.maximum(LOW_HOLDS, share * np.abs(size)) + 2.0 * low_error
        good &= np.abs(low_size) <= allowed
    when = grid.time_s[0] + grid.step_s * (candidates + onset)
    return [
        (FanStep(float(when[i]), up=bool(change[i] < 0.0)), float(abs(change[i])))
        for i in np.flatnonzero(good)
    ]


def _soon_done(
    grid: Grid, log_high: NDArray[np.float64], onset: NDArray[np.intp], change: NDArray[np.float64]
) -> NDArray[np.bool_]:
    """Whether the high side does not go on far beyond where it is after the window, as a slow one does."""
    total = np.concatenate([[0.0], np.cumsum(log_high)])
    size = log_high.size

    def mean(first: NDArray[np.intp], last: NDArray[np.intp]) -> NDArray[np.float64]:
        a, b = np.clip(first, 0, size - 1), np.clip(last, 1, size)
        return np.asarray((total[b] - total[np.minimum(a, b - 1)]) / (b - np.minimum(a, b - 1)))

    before = mean(onset - grid.steps(6.0), onset)
    soon = mean(onset + grid.steps(10.0), onset + grid.steps(14.0) + 1) - before
    late = mean(onset + grid.steps(LATER_S[0]), onset + grid.steps(LATER_S[1]) + 1) - before
    sign = np.sign(change)
    return np.asarray(sign * late <= SLOW_RATIO * sign * soon)


def _engine_holds(grid: Grid, at_s: float) -> bool:
    if grid.engine_rpm is None:
        return True
    at, reach = grid.index(at_s), grid.steps(6.0)
    before = float(np.median(grid.engine_rpm[max(0, at - reach) : at + 1]))
    after = float(np.median(grid.engine_rpm[at : at + reach + 1]))
    return abs(after - before) <= max(100.0, 0.08 * before)
