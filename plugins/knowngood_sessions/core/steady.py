"""Steady windows: where pressures, line temperatures and engine speed have settled, all at once.

Two things must hold in a window, for every channel:

- *it has arrived*: smoothed, the channel stays within a band about where the window ends, 2.5 % of an
  absolute pressure or 1 K of a line temperature (hunting wider than the band widens it, up to double);
- *it does not go on*: over the last minute the drift is not above what counts as standing still (1 psi a
  minute on the low side, 3 psi a minute on the high side, 1 K a minute), as far as its own standard error
  lets one see.

Windows lie between disturbances, never across one. Each channel is smoothed as far as its noise asks for,
so nothing depends on the sampling rate or on a noise level known beforehand.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.ndimage import binary_closing, uniform_filter1d

from knowngood_refdata.quantities import Kind, unit

from .grid import slow_noise
from .trend import trend

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from .grid import Grid

SHORTEST_S = 22.0
END_S = 20.0
DRIFT_OVER_S = 60.0
SLOWER_SIGMAS = 3.5
GUARD_S = 2.5
"""A window keeps this far away from the moment of a disturbance: that moment is not known exactly."""

PRESSURE_BAND = 0.025
LINE_BAND_K = 1.0
ENGINE_BAND = 0.05
ENGINE_BAND_RPM = 60.0

_PSI_A_MINUTE = unit("psi", Kind.PRESSURE).factor / 60.0
LOW_DRIFT_PA_PER_S = 1.0 * _PSI_A_MINUTE
HIGH_DRIFT_PA_PER_S = 3.0 * _PSI_A_MINUTE
LINE_DRIFT_K_PER_S = 1.0 / 60.0

SLOPE_OVER_S = (30.0, 90.0)
LENIENT = 4.0
BRIDGED_S = 8.0
HUNTS = 0.4
"""Half the swing of a smoothed channel, as part of its band, above which it is taken to hunt."""

AT_REST_RATIO = 1.3


@dataclass(frozen=True, slots=True)
class Stretch:
    """Beginning and end of a steady stretch, in seconds from the recording's first sample."""

    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class _Settling:
    """One channel with what settled means for it; drift None where only the band counts."""

    values: NDArray[np.float64]  # (m,)
    share: float
    least: float
    drift: float | None
    noise: float

    def band(self, level: float) -> float:
        return max(self.share * abs(level), self.least)


def steady_stretches(grid: Grid, disturbed_s: Sequence[float]) -> tuple[Stretch, ...]:
    """Steady stretches of a grid between the moments at which it was disturbed, in order of time.

    A stretch at rest, the sides equal, is none: nothing is at work there.
    """
    channels = _channels(grid)
    if grid.low_pa is None and grid.high_pa is None:
        return ()
    stretches = []
    for first, last in _segments(grid, disturbed_s):
        stretches += [
            Stretch(float(grid.time_s[start]), float(grid.time_s[end]))
            for start, end in _windows(grid, channels, first, last)
            if not _at_rest(grid, start, end)
        ]
    return tuple(stretches)


def _channels(grid: Grid) -> tuple[_Settling, ...]:
    wanted = (
        (grid.low_pa, PRESSURE_BAND, 0.0, LOW_DRIFT_PA_PER_S),
        (grid.high_pa, PRESSURE_BAND, 0.0, HIGH_DRIFT_PA_PER_S),
        (grid.suction_line_k, 0.0, LINE_BAND_K, LINE_DRIFT_K_PER_S),
        (grid.liquid_line_k, 0.0, LINE_BAND_K, LINE_DRIFT_K_PER_S),
        (grid.engine_rpm, ENGINE_BAND, ENGINE_BAND_RPM, None),
    )
    return tuple(
        _Settling(values, share, least, drift, slow_noise(values))
        for values, share, least, drift in wanted
        if values is not None
    )


def _segments(grid: Grid, disturbed_s: Sequence[float]) -> Iterator[tuple[int, int]]:
    """First and last step of each part between disturbances and unknown stretches."""
    shortest = grid.steps(SHORTEST_S)
    usable = grid.known.copy()
    for moment in disturbed_s:
        from_s, to_s = (moment + sign * GUARD_S - float(grid.time_s[0]) for sign in (-1, 1))
        first, last = int(np.ceil(from_s / grid.step_s)), int(np.floor(to_s / grid.step_s))
        usable[max(0, first) : max(0, last + 1)] = False
    yield from _long_enough(usable, shortest)


def _long_enough(mask: NDArray[np.bool_], shortest: int) -> Iterator[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate([[False], mask, [False]]).astype(np.int8)))
    for first, end in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        if end - first > shortest:
            yield first, end - 1


def _windows(grid: Grid, channels: Sequence[_Settling], first: int, last: int) -> list[tuple[int, int]]:
    """Steady windows of a segment: the one at its end, and others before it if something moved within."""
    final = _arrived(grid, channels, first, first, last)
    before = last + 1 if final is None else final[0] - 1
    if before - first < grid.steps(SHORTEST_S):
        return [] if final is None else [final]
    runs = [run for run in _runs(grid, channels, first, last) if run[1] < before]
    windows = [_arrived(grid, channels, first, *run) for run in runs]
    return [window for window in (*windows, final) if window is not None]


def _runs(grid: Grid, channels: Sequence[_Settling], first: int, last: int) -> Iterator[tuple[int, int]]:
    """Parts of a segment in which no channel clearly moves: candidates, judged leniently."""
    calm = np.ones(last - first + 1, dtype=bool)
    for channel in channels:
        if channel.drift is not None:
            calm &= _calm(channel, channel.drift, slice(first, last + 1), grid)
    bridge = grid.steps(BRIDGED_S)
    padded = np.pad(calm, bridge, mode="edge")
    closed = binary_closing(padded, np.ones(bridge + 1, dtype=bool))[bridge:-bridge]
    for start, end in _long_enough(closed | calm, grid.steps(SHORTEST_S)):
        yield first + start, first + end


def _calm(channel: _Settling, drift: float, part: slice, grid: Grid) -> NDArray[np.bool_]:
    """Whether the local slope is within the drift allowed, as far as noise lets one see."""
    values = channel.values[part] - channel.values[part].mean()
    step = grid.step_s
    # The slope over T seconds of noise s has the error s sqrt(12 step / T^3): long enough to see the drift.
    needed_s = (2.0 * channel.noise * np.sqrt(12.0 * step) / drift) ** (2.0 / 3.0)
    width = grid.steps(float(np.clip(needed_s, *SLOPE_OVER_S)), at_least=5) | 1
    width = min(width, (values.size - 1) | 1)
    if width < 3:
        return np.ones(values.size, dtype=bool)
    slope = _local_slope(values, width) / step
    error = channel.noise * np.sqrt(12.0 / width) / (width * step)
    calm: NDArray[np.bool_] = np.abs(slope) <= min(drift + 3.0 * error, LENIENT * drift)
    return calm


def _local_slope(values: NDArray[np.float64], width: int) -> NDArray[np.float64]:
    """Least-squares slope a step in a window of odd ``width`` about each value, ends held.

    With sums S0 of the values and S1 of value times place, slope = 12 (S1 - place S0) / (w^3 - w).
    """
    half = width // 2
    padded = np.pad(values, half, mode="edge")
    place = np.arange(padded.size, dtype=np.float64)
    sums = np.concatenate([[0.0], np.cumsum(padded)])
    moments = np.concatenate([[0.0], np.cumsum(place * padded)])
    s0 = sums[width:] - sums[:-width]
    s1 = moments[width:] - moments[:-width]
    slope: NDArray[np.float64] = 12.0 * (s1 - place[half:-half] * s0) / float(width**3 - width)
    return slope


def _arrived(
    grid: Grid, channels: Sequence[_Settling], segment: int, first: int, last: int
) -> tuple[int, int] | None:
    """The part of a run from where every channel has arrived; None when it is too short or still drifts.

    ``segment`` is the first step after the disturbance before it.
    """
    start = max((_arrival(grid, channel, first, last) for channel in channels), default=first)
    shortest = max(grid.steps(SHORTEST_S), (last - start) // 2)
    while last - start >= shortest:
        if all(_stands(grid, channel, segment, last) for channel in channels):
            return start, last
        start += max(1, grid.steps(4.0))
    return None


def _arrival(grid: Grid, channel: _Settling, first: int, last: int) -> int:
    """First step from which the smoothed channel stays in its band about where the run ends."""
    values = channel.values[first : last + 1]
    end = min(values.size, grid.steps(END_S, at_least=3))
    level = float(values[-end:].mean())
    band = channel.band(level)
    wanted = (channel.noise / (0.15 * band)) ** 2 if band > 0.0 else 1.0
    width = int(min(max(wanted, 3.0), max(3.0, float(end)))) | 1
    smooth = uniform_filter1d(values, width, mode="nearest")
    tail = smooth[-min(values.size, 2 * end) :]
    tilted = tail - np.arange(tail.size) * ((tail[-1] - tail[0]) / max(tail.size - 1, 1))
    swing = 0.5 * float(tilted.max() - tilted.min())
    if swing > HUNTS * band:
        level = float(tail.mean())
    allowed = min(max(band + 1.3 * (swing - HUNTS * band), band), 2.0 * band)
    outside = np.flatnonzero(np.abs(smooth - level) > allowed)
    return first + (int(outside[-1]) + 1 if outside.size else 0)


def _stands(grid: Grid, channel: _Settling, segment: int, last: int) -> bool:
    """Whether a channel stands still at the end of a window, judged by the minute that ends there.

    That minute may reach back before the window, to the segment's beginning: a short piece of a ramp does
    not look steady in it. Where it still shows the settling, what is left to go must lie within the band.
    """
    if channel.drift is None:
        return True
    minute = channel.values[max(segment, last - grid.steps(DRIFT_OVER_S)) : last + 1]
    line = trend(minute, grid.step_s)
    if abs(line.slope) <= channel.drift + min(line.standard_error, 2.0 * channel.drift):
        return True
    left = _left_to_go(minute, grid.step_s)
    return left is not None and left <= channel.band(float(minute[minute.size // 2 :].mean()))


def _left_to_go(values: NDArray[np.float64], step_s: float) -> float | None:
    """How far a first-order settling still is from its end; None where it does not clearly slow down.

    With the slopes a and b over the two halves of a stretch, each T long, q = b / a = exp(-T / tau), and
    b T q / (1 - q) is left.
    """
    half = values.size // 2
    early, late = trend(values[:half], step_s), trend(values[half:], step_s)
    if abs(early.slope) - abs(late.slope) < SLOWER_SIGMAS * late.standard_error or early.slope == 0.0:
        return None
    ratio = abs(late.slope / early.slope)
    return abs(late.slope) * half * step_s * ratio / (1.0 - ratio)


def _at_rest(grid: Grid, start: int, last: int) -> bool:
    if grid.low_pa is None or grid.high_pa is None:
        return False
    part = slice(start, last + 1)
    return float(grid.high_pa[part].mean()) < AT_REST_RATIO * float(grid.low_pa[part].mean())
