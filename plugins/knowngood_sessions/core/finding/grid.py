"""An even time grid under an unevenly sampled recording, so that long sessions stay quick to search."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import ndtri

from knowngood_sessions.core.channels.derive import Derived, derived_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood_refdata.refrigerants import SaturationCurve

FINEST_STEP_S = 1.0
"""Nothing that is searched for happens faster than this, engine-speed steps apart (see `engine`)."""

LONGEST_GAP_S = 10.0
"""Over a longer gap a channel is unknown: nothing is claimed there."""

SEARCHED = 5
SPIKE_FRACTION = 0.02
SPIKE_SIGMAS = 6.0
MAD_TO_SIGMA = 1.4826
BLOCKS_STEPS = (5, 15)


@dataclass(frozen=True, slots=True)
class Grid:
    """Channels averaged into even steps; each array is (m,), None where there is no channel.

    Steps without a sample are bridged by a straight line; ``known`` is False where any channel that is
    searched was silent for longer than `LONGEST_GAP_S`. Vent and ambient are not searched: they are NaN
    where they were silent.
    """

    time_s: NDArray[np.float64]
    step_s: float
    known: NDArray[np.bool_]
    low_pa: NDArray[np.float64] | None
    high_pa: NDArray[np.float64] | None
    suction_line_k: NDArray[np.float64] | None
    liquid_line_k: NDArray[np.float64] | None
    engine_rpm: NDArray[np.float64] | None
    vent_k: NDArray[np.float64] | None = None
    ambient_k: NDArray[np.float64] | None = None

    def derived(self, curve: SaturationCurve) -> Derived:
        """What follows from the channels at each step, as `derive` does it for samples."""
        return derived_of(
            Derived(
                self.time_s,
                low_pa=self.low_pa,
                high_pa=self.high_pa,
                suction_line_k=self.suction_line_k,
                liquid_line_k=self.liquid_line_k,
                vent_k=self.vent_k,
                ambient_k=self.ambient_k,
                engine_rpm=self.engine_rpm,
            ),
            curve,
        )

    def steps(self, seconds: float, at_least: int = 1) -> int:
        """How many steps a duration takes."""
        return max(at_least, round(seconds / self.step_s))

    def index(self, at_s: float) -> int:
        """The step in which a moment lies, inside the grid."""
        step = round((at_s - float(self.time_s[0])) / self.step_s)
        return max(0, min(step, self.time_s.size - 1))


def grids(derived: Derived, *, spiky: bool = True) -> tuple[Grid, ...]:
    """One grid for each stretch of the recording that has no long gap in its time stamps.

    ``spiky`` is False for samples that have been through `without_spikes`.
    """
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
        derived.vent_k,
        derived.ambient_k,
    )
    cleaned = [without_spikes(one) if spiky and one is not None else one for one in channels]
    return tuple(
        _grid(time_s[a:b], [None if one is None else one[a:b] for one in cleaned], step, longest)
        for a, b in pairwise(edges)
    )


def _grid(
    time_s: NDArray[np.float64], channels: list[NDArray[np.float64] | None], step: float, longest: float
) -> Grid:
    """The grid of a stretch; the first `SEARCHED` channels must be there for a step to be known."""
    bins = np.rint((time_s - time_s[0]) / step).astype(np.intp)
    count = int(bins[-1]) + 1
    known = np.ones(count, dtype=bool)
    means: list[NDArray[np.float64] | None] = []
    for number, values in enumerate(channels):
        if values is None or not np.isfinite(values).any():
            means.append(None)
            continue
        mean, seen = _bin_means(values, bins, count)
        near = _near_a_sample(seen, longest / step)
        if number < SEARCHED:
            known &= near
        elif not near.all():
            mean = np.where(near, mean, np.nan)
        means.append(mean)
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
    finite = np.isfinite(values)
    if not finite.all():
        cleaned = values.copy()
        cleaned[finite] = without_spikes(values[finite])
        return cleaned
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


def noise_sigma(values: NDArray[np.float64], quantile: float = 0.5) -> float:
    """Standard deviation of the sample-to-sample noise, blind to drift and to steps.

    The median absolute second difference (or another quantile, which is blind to more), scaled for normal
    noise: sigma = 1.4826 MAD / sqrt(6), with a series of up to 20,000 samples taken evenly in blocks from a
    longer one.
    """
    block = 2_000
    if values.size > 10 * block:
        starts = np.linspace(0, values.size - block, 10).astype(int)
        second = np.concatenate([np.diff(values[a : a + block], n=2) for a in starts])
    else:
        second = np.diff(values, n=2)
    second = np.abs(second[np.isfinite(second)])
    if second.size == 0:
        return 0.0
    scale = MAD_TO_SIGMA if quantile == 0.5 else 1.0 / float(ndtri(0.5 + 0.5 * quantile))
    return float(scale * np.quantile(second, quantile) / np.sqrt(6.0))


def slow_noise(
    values: NDArray[np.float64], blocks_steps: tuple[int, ...] = BLOCKS_STEPS, quantile: float = 0.5
) -> float:
    """Noise of one step of a channel as it counts for means over many: hunting and memory included.

    From the scatter of means over blocks of steps, as if the steps in a block were independent. ``quantile``
    under a half is for channels that are on their way for most of the time.
    """
    noise = noise_sigma(values)
    for steps in blocks_steps:
        blocks = values[: values.size // steps * steps].reshape(-1, steps).mean(axis=1)
        noise = max(noise, noise_sigma(blocks, quantile) * float(np.sqrt(steps)))
    return noise
