"""An even time grid under an unevenly sampled recording, so that long sessions stay quick to search."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .derive import Derived

FINEST_STEP_S = 1.0
"""Nothing that is searched for happens faster than this, engine-speed steps apart (see `engine`)."""

LONGEST_GAP_S = 10.0
"""Over a longer gap a channel is unknown: nothing is claimed there."""

SPIKE_FRACTION = 0.02
SPIKE_SIGMAS = 6.0
MAD_TO_SIGMA = 1.4826
BLOCKS_STEPS = (5, 15)


@dataclass(frozen=True, slots=True)
class Grid:
    """Channels averaged into even steps; each array is (m,), None where there is no channel.

    Steps without a sample are bridged by a straight line; ``known`` is False where any channel was
    silent for longer than `LONGEST_GAP_S`.
    """

    time_s: NDArray[np.float64]
    step_s: float
    known: NDArray[np.bool_]
    low_pa: NDArray[np.float64] | None
    high_pa: NDArray[np.float64] | None
    suction_line_k: NDArray[np.float64] | None
    liquid_line_k: NDArray[np.float64] | None
    engine_rpm: NDArray[np.float64] | None

    def steps(self, seconds: float, at_least: int = 1) -> int:
        """How many steps a duration takes."""
        return max(at_least, round(seconds / self.step_s))

    def index(self, at_s: float) -> int:
        """The step in which a moment lies, inside the grid."""
        return int(np.clip(round((at_s - float(self.time_s[0])) / self.step_s), 0, self.time_s.size - 1))


def grids(derived: Derived) -> tuple[Grid, ...]:
    """One grid for each stretch of the recording that has no long gap in its time stamps."""
    time_s = derived.time_s
    if time_s.size == 0:
        return ()
    between = np.diff(time_s)
    sampling = float(np.median(between)) if between.size else FINEST_STEP_S
    step = max(FINEST_STEP_S, sampling)
    longest = max(LONGEST_GAP_S, 5.0 * sampling)
    cuts = np.flatnonzero(between > longest) + 1
    edges = [0, *cuts.tolist(), time_s.size]
    channels = (
        derived.low_pa,
        derived.high_pa,
        derived.suction_line_k,
        derived.liquid_line_k,
        derived.engine_rpm,
    )
    cleaned = [None if one is None else without_spikes(one) for one in channels]
    return tuple(
        _grid(time_s[a:b], [None if one is None else one[a:b] for one in cleaned], step, longest)
        for a, b in pairwise(edges)
    )


def _grid(
    time_s: NDArray[np.float64], channels: list[NDArray[np.float64] | None], step: float, longest: float
) -> Grid:
    bins = np.rint((time_s - time_s[0]) / step).astype(np.intp)
    count = int(bins[-1]) + 1
    known = np.ones(count, dtype=bool)
    means: list[NDArray[np.float64] | None] = []
    for values in channels:
        if values is None or not np.isfinite(values).any():
            means.append(None)
            continue
        mean, seen = _bin_means(values, bins, count)
        means.append(mean)
        known &= _near_a_sample(seen, longest / step)
    return Grid(time_s[0] + step * np.arange(count), step, known, *means)


def _bin_means(
    values: NDArray[np.float64], bins: NDArray[np.intp], count: int
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    finite = np.isfinite(values)
    if not finite.all():
        values, bins = values[finite], bins[finite]
    samples = np.bincount(bins, minlength=count)
    sums = np.bincount(bins, weights=values, minlength=count)
    seen = samples > 0
    mean = sums / np.maximum(samples, 1)
    if not seen.all():
        where = np.arange(count)
        mean = np.interp(where, where[seen], mean[seen])
    return mean, seen


def _near_a_sample(seen: NDArray[np.bool_], longest: float) -> NDArray[np.bool_]:
    """Whether each step lies between two samples that are at most ``longest`` steps apart."""
    if seen.all():
        return seen
    where = np.flatnonzero(seen)
    after = np.searchsorted(where, np.arange(seen.size))
    inside = (after < where.size) & (after > 0)
    gap = np.full(seen.size, np.inf)
    gap[inside] = where[after[inside]] - where[after[inside] - 1]
    near: NDArray[np.bool_] = seen | (gap <= longest)
    return near


def without_spikes(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """The samples (n,) with each lone outlier replaced by the middle one of it and its neighbours.

    A lone sample counts as a spike when it lies further off than `SPIKE_FRACTION` of the value and
    `SPIKE_SIGMAS` of the sample-to-sample scatter: a lost byte, not refrigerant.
    """
    if values.size < 3:
        return values
    left, centre, right = values[:-2], values[1:-1], values[2:]
    middle = np.maximum(np.minimum(left, right), np.minimum(np.maximum(left, right), centre))
    off = np.abs(centre - middle)
    scatter = noise_sigma(values)
    spike = np.flatnonzero(off > np.maximum(SPIKE_SIGMAS * scatter, SPIKE_FRACTION * np.abs(middle)))
    if spike.size == 0:
        return values
    cleaned = values.copy()
    cleaned[spike + 1] = middle[spike]
    return cleaned


def noise_sigma(values: NDArray[np.float64]) -> float:
    """Standard deviation of the sample-to-sample noise, blind to drift and to steps.

    The median absolute second difference, scaled for normal noise: sigma = 1.4826 MAD / sqrt(6), with a
    series of up to 20,000 samples taken evenly in blocks from a longer one.
    """
    block = 2_000
    if values.size > 10 * block:
        starts = np.linspace(0, values.size - block, 10).astype(int)
        second = np.concatenate([np.diff(values[a : a + block], n=2) for a in starts])
    else:
        second = np.diff(values, n=2)
    second = np.abs(second[np.isfinite(second)])
    return float(MAD_TO_SIGMA * np.median(second) / np.sqrt(6.0)) if second.size else 0.0


def slow_noise(values: NDArray[np.float64], blocks_steps: tuple[int, ...] = BLOCKS_STEPS) -> float:
    """Noise of one step of a channel as it counts for means over many: hunting and memory included.

    From the scatter of means over blocks of steps, as if the steps in a block were independent.
    """
    noise = noise_sigma(values)
    for steps in blocks_steps:
        blocks = values[: values.size // steps * steps].reshape(-1, steps).mean(axis=1)
        noise = max(noise, noise_sigma(blocks) * float(np.sqrt(steps)))
    return noise
