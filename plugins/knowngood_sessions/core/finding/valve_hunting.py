"""The expansion valve hunts: the low side swings to and fro by itself, once or twice a minute.

A valve that answers its bulb too late overshoots, and the low side, and with it the suction line, swings with
a period of some 20 to 120 s (common practice, no source). Nothing else may explain it: it is sought between
the disturbances, outside clutch cycling, and counts only where neither the engine nor the high side, by
itself, swings along.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from .lines import strongest_lines
from .moments import inside
from .steady import segments

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from .grid import Grid

STEP_S = 4.0
WINDOWS_S = (120.0, 240.0, 480.0)
PERIODS_S = (15.0, 135.0)
SETTLES_S = 15.0
LEAST_SWING = 0.006
"""Least half swing of the logarithm of the low side: about a quarter of a psi at 30 psi gauge."""

HIGH_SHARE = 1.0
ENGINE_SWINGS = 0.015
SAME_PERIOD = 1.35
BRIDGED_S = 60.0
LEAST_CYCLES = 4.5
FEWEST_STEPS = 3.0
"""Steps a cycle must have to be told from its own echo at a coarse sampling."""

PHASE_ERROR = 0.05


@dataclass(frozen=True, slots=True)
class ValveHunting:
    """The low side swings from ``from_s`` to ``until_s``: half the swing in pascals, and the period."""

    from_s: float
    until_s: float
    period_s: float
    period_uncertainty_s: float
    low_pa: float


@dataclass(frozen=True, slots=True, eq=False)
class _Coarse:
    """Logarithms in steps of some seconds: what swings faster is no hunting of a valve."""

    step_s: float
    low: NDArray[np.float64]  # (m,)
    others: tuple[
        tuple[NDArray[np.float64], float], ...
    ]  # (m,) each, and by what of the low side's it may swing


@dataclass(frozen=True, slots=True)
class _Found:
    first: int
    last: int
    period: float
    amplitude: float


def valve_hunting(
    grid: Grid, disturbed_s: Sequence[float], cycling_s: Sequence[tuple[float, float]] = ()
) -> tuple[ValveHunting, ...]:
    """Stretches in which the low side hunts, in order of time."""
    if grid.low_pa is None:
        return ()
    factor = max(1, int(STEP_S / grid.step_s))
    coarse = _coarse(grid, grid.low_pa, factor)
    parts = [
        ((first + grid.steps(SETTLES_S)) // factor + 1, (last + 1) // factor)
        for first, last in segments(grid, disturbed_s, grid.steps(0.5 * WINDOWS_S[0]))
        if not inside(cycling_s, float(grid.time_s[(first + last) // 2]))
    ]
    windows = [
        one
        for count, first in _placed(parts, coarse.step_s).items()
        for one in _hunting(coarse, np.array(first, dtype=np.intp), count)
    ]
    start_s = float(grid.time_s[0])
    return tuple(
        _told(run, start_s, coarse)
        for run in _runs(windows, round(BRIDGED_S / coarse.step_s))
        if (run[-1].last - run[0].first) * coarse.step_s >= LEAST_CYCLES * run[0].period
    )


def _coarse(grid: Grid, low_pa: NDArray[np.float64], factor: int) -> _Coarse:
    def means(values: NDArray[np.float64]) -> NDArray[np.float64]:
        count = values.size // factor
        level = values[: count * factor].reshape(count, factor).mean(axis=1)
        return np.asarray(np.log(np.maximum(level, 1.0)))

    others = [] if grid.high_pa is None else [(means(grid.high_pa), HIGH_SHARE)]
    if grid.engine_rpm is not None:
        others.append((means(grid.engine_rpm), ENGINE_SWINGS))
    return _Coarse(factor * grid.step_s, means(low_pa), tuple(others))


def _placed(parts: Sequence[tuple[int, int]], step_s: float) -> dict[int, list[int]]:
    """First steps of windows over the parts, by how many steps they are long.

    Each part is covered by windows of the usual lengths, half over one another, and where it is not longer
    than the longest one by itself as a whole.
    """
    placed: dict[int, list[int]] = defaultdict(list)
    lengths = [round(seconds / step_s) for seconds in WINDOWS_S]
    for first, end in parts:
        for length in lengths:
            if end - first > length:
                placed[length] += range(first, end - length, max(1, length // 2))
                placed[length].append(end - length)
        if lengths[0] // 2 <= end - first <= lengths[-1]:
            placed[end - first].append(first)
    return placed


def _hunting(coarse: _Coarse, first: NDArray[np.intp], count: int) -> Iterator[_Found]:
    """The windows of a common length in which the low side hunts."""
    shortest = max(PERIODS_S[0] / coarse.step_s, FEWEST_STEPS)
    longest = min(PERIODS_S[1] / coarse.step_s, count / LEAST_CYCLES)
    if longest <= shortest:
        return
    lines = strongest_lines(coarse.low[first[:, None] + np.arange(count)], shortest, longest)
    # Means over a step are flatter than what they are the means of.
    amplitude = lines.amplitude / np.sinc(1.0 / lines.period)
    chosen = np.flatnonzero(lines.sure & (amplitude >= LEAST_SWING))
    for values, share in coarse.others:
        if chosen.size == 0:
            return
        other = strongest_lines(values[first[chosen, None] + np.arange(count)], shortest, longest)
        along = other.sure & (np.abs(np.log(other.period / lines.period[chosen])) < np.log(SAME_PERIOD))
        most = share if share < HIGH_SHARE else share * amplitude[chosen]
        chosen = chosen[~(along & (other.amplitude >= most))]
    for i in chosen:
        yield _Found(
            int(first[i]), int(first[i]) + count, float(lines.period[i]) * coarse.step_s, float(amplitude[i])
        )


def _runs(windows: Sequence[_Found], bridged: int) -> Iterator[list[_Found]]:
    """Windows that agree on the period, with no more than so many steps between them."""
    runs: list[list[_Found]] = []
    near: list[tuple[int, list[_Found]]] = []
    for window in sorted(windows, key=lambda one: one.first):
        near = [(last, run) for last, run in near if window.first <= last + bridged]
        agrees = next((i for i, (_, run) in enumerate(near) if _same_period(window, run[0])), None)
        if agrees is None:
            runs.append([window])
            near.append((window.last, runs[-1]))
        else:
            last, run = near[agrees]
            run.append(window)
            near[agrees] = max(last, window.last), run
    yield from runs


def _same_period(one: _Found, other: _Found) -> bool:
    return max(one.period, other.period) <= SAME_PERIOD * min(one.period, other.period)


def _told(run: Sequence[_Found], start_s: float, coarse: _Coarse) -> ValveHunting:
    first, last = run[0].first, max(one.last for one in run)
    periods = np.array([one.period for one in run])
    period = float(np.median(periods))
    length_s = (last - first) * coarse.step_s
    scatter = float(periods.std()) / np.sqrt(max(1.0, periods.size / 2.0))
    level_pa = float(np.exp(coarse.low[first:last].mean()))
    return ValveHunting(
        start_s + first * coarse.step_s,
        start_s + last * coarse.step_s,
        period,
        float(np.hypot(scatter, PHASE_ERROR * period**2 / length_s)),
        level_pa * float(np.median([one.amplitude for one in run])),
    )
