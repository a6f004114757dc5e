"""Steady windows: where pressures, line temperatures and engine speed have settled, all at once.

Three things must hold in a window, for every channel:

- *it has arrived*: smoothed, the channel stays within a band about where the window ends, 2.5 % of an
  absolute pressure or 1 K of a line temperature;
- *it does not go on*: over the last minute the drift is not above what counts as standing still (1 psi a
  minute on the low side, 3 psi a minute on the high side, 1 K a minute), as far as its own standard error
  lets one see;
- *it does not swing*: hunting about the level stays within 1.4 times the band.

Windows lie between disturbances, never across one. Each channel is smoothed as far as its noise asks for,
so nothing depends on the sampling rate or on a noise level known beforehand. See `settling`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.ndimage import binary_closing

from .settling import UNSURE_SIGMAS, WIDEST, arrival, settling_channels, stands, swings
from .trend import mean_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from knowngood_refdata.records import Role

    from .grid import Grid
    from .settling import Settling

SHORTEST_S = 22.0
FEWEST_STEPS = 3
COARSEST_S = 30.0
"""At a slower pace of the samples a fan could come and go between two of them: nothing is claimed."""

GUARD_S = 2.5
"""A window keeps this far away from the moment of a disturbance: that moment is not known exactly."""

SLOPE_OVER_S = (30.0, 90.0)
LENIENT = 4.0
BRIDGED_S = 8.0
LATER_BY_S = 4.0
AT_REST_RATIO = 1.3


@dataclass(frozen=True, slots=True)
class Stretch:
    """Beginning and end of a steady stretch, in seconds from the recording's first sample.

    ``slowest`` is the channel that arrived last, None where all had arrived at the beginning.
    """

    start_s: float
    end_s: float
    slowest: Role | None = None


def steady_stretches(
    grid: Grid, disturbed_s: Sequence[float], channels: Sequence[Settling] | None = None
) -> tuple[Stretch, ...]:
    """Steady stretches of a grid between the moments at which it was disturbed, in order of time.

    A stretch at rest, the sides equal, is none: nothing is at work there.
    """
    if (grid.low_pa is None and grid.high_pa is None) or grid.step_s > COARSEST_S:
        return ()
    judged = settling_channels(grid) if channels is None else tuple(channels)
    return tuple(
        Stretch(float(grid.time_s[start]), float(grid.time_s[end]), slowest)
        for first, last in segments(grid, disturbed_s, grid.steps(SHORTEST_S, FEWEST_STEPS))
        for start, end, slowest in _windows(grid, judged, first, last)
        if not at_rest(grid, start, end)
    )


def segments(grid: Grid, disturbed_s: Sequence[float], shortest: int) -> Iterator[tuple[int, int]]:
    """First and last step of each part between disturbances and unknown stretches."""
    usable = grid.known.copy()
    for moment in disturbed_s:
        from_s, to_s = (moment + sign * GUARD_S - float(grid.time_s[0]) for sign in (-1, 1))
        first, last = int(np.ceil(from_s / grid.step_s)), int(np.floor(to_s / grid.step_s))
        usable[max(0, first) : max(0, last + 1)] = False
    yield from _long_enough(usable, shortest)


def at_rest(grid: Grid, start: int, last: int) -> bool:
    """Whether the sides are about equal, so that nothing is at work."""
    if grid.low_pa is None or grid.high_pa is None:
        return False
    part = slice(start, last + 1)
    return mean_of(grid.high_pa[part]) < AT_REST_RATIO * mean_of(grid.low_pa[part])


def _long_enough(mask: NDArray[np.bool_], shortest: int) -> Iterator[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate([[False], mask, [False]]).astype(np.int8)))
    for first, end in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        if end - first > shortest:
            yield first, end - 1


def _windows(
    grid: Grid, channels: Sequence[Settling], first: int, last: int
) -> list[tuple[int, int, Role | None]]:
    """Steady windows of a segment: the one at its end, and others before it if something moved within."""
    final = _arrived(grid, channels, first, first, last)
    before = last + 1 if final is None else final[0] - 1
    if before - first < grid.steps(SHORTEST_S, FEWEST_STEPS):
        return [] if final is None else [final]
    runs = [run for run in _runs(grid, channels, first, last) if run[1] < before]
    windows = [_arrived(grid, channels, first, *run) for run in runs]
    return _joined(grid, channels, [window for window in (*windows, final) if window is not None])


def _joined(
    grid: Grid, channels: Sequence[Settling], windows: Sequence[tuple[int, int, Role | None]]
) -> list[tuple[int, int, Role | None]]:
    """Neighbours in one segment as one window, where all channels begin and end within their bands."""
    joined: list[tuple[int, int, Role | None]] = []
    for window in windows:
        if joined and _alike(grid, channels, joined[-1][0], window[1]):
            joined[-1] = (joined[-1][0], window[1], joined[-1][2])
        else:
            joined.append(window)
    return joined


def _alike(grid: Grid, channels: Sequence[Settling], first: int, last: int) -> bool:
    ends = grid.steps(SHORTEST_S, FEWEST_STEPS)
    for channel in channels:
        values = channel.values[first : last + 1]
        level = float(values[-ends:].mean())
        band = channel.band(level)
        unsure = UNSURE_SIGMAS * channel.noise * float(ends**-0.5)
        blocks = values[: values.size // ends * ends].reshape(-1, ends).mean(axis=1)
        if np.abs(blocks - level).max() > min(band + unsure, WIDEST * band):
            return False
    return True


def _runs(grid: Grid, channels: Sequence[Settling], first: int, last: int) -> Iterator[tuple[int, int]]:
    """Parts of a segment in which no channel clearly moves: candidates, judged leniently."""
    calm = np.ones(last - first + 1, dtype=bool)
    for channel in channels:
        if channel.drift is not None:
            calm &= _calm(channel, channel.drift, slice(first, last + 1), grid)
    bridge = grid.steps(BRIDGED_S)
    padded = np.pad(calm, bridge, mode="edge")
    closed = binary_closing(padded, np.ones(bridge + 1, dtype=bool))[bridge:-bridge]
    for start, end in _long_enough(closed | calm, grid.steps(SHORTEST_S, FEWEST_STEPS)):
        yield first + start, first + end


def _calm(channel: Settling, drift: float, part: slice, grid: Grid) -> NDArray[np.bool_]:
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
    grid: Grid, channels: Sequence[Settling], segment: int, first: int, last: int
) -> tuple[int, int, Role | None] | None:
    """The part of a run from where every channel has arrived, and which was the last to.

    None when it is too short, still drifts, or swings. ``segment`` is the first step after the disturbance
    before it.
    """
    arrivals = [arrival(grid, channel, first, last) for channel in channels]
    start = max(arrivals, default=first)
    slowest = channels[arrivals.index(start)].role if start > first else None
    shortest = max(grid.steps(SHORTEST_S, FEWEST_STEPS), (last - start) // 2)
    while last - start >= shortest:
        if all(stands(grid, channel, segment, last) for channel in channels):
            swing = any(swings(grid, channel, start, last) for channel in channels)
            return None if swing else (start, last, slowest)
        start += grid.steps(LATER_BY_S)
    return None
