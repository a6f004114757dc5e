"""The smallest and the largest sample of any stretch, without looking at every sample of it.

A pyramid keeps the extremes of every 16 samples, of every 16 of those, and so on. The extremes of a stretch
come from few whole buckets in its middle and from the single samples at both its ends, so that they are
those of the samples themselves, not of a stretch rounded to buckets.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from knowngood.plotting.growing import Growing

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

FAN = 16
"""Samples a bucket, and buckets a bucket of the next level: a power of two."""

_AT_ONCE = 4_096 * FAN
"""Samples folded in one go."""


@dataclass(frozen=True, eq=False)
class Step:
    """What is read on one level: places of shape (k, m), and which of them lie within their stretch."""

    places: NDArray[np.intp]
    wanted: NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Stretches:
    """Stretches of samples: from ``starts`` up to before ``stops``, shape (m,) each.

    Curves that share a time axis share them, and with them what has to be read on each level.
    """

    starts: NDArray[np.intp]
    stops: NDArray[np.intp]

    @classmethod
    def between(cls, edges: NDArray[np.intp]) -> Stretches:
        """The stretches between edges that never fall, shape (m + 1,)."""
        return cls(edges[:-1], edges[1:])

    @cached_property
    def filled(self) -> NDArray[np.bool_]:
        """Which stretches hold any sample."""
        return self.stops > self.starts

    @cached_property
    def steps(self) -> tuple[Step, ...]:
        """What to read, level by level from the samples upwards."""
        steps = []
        starts, stops = self.starts, self.stops
        while (widest := int((stops - starts).max(initial=0))) > 0:
            if widest <= 2 * FAN:
                places = starts + np.arange(widest)[:, None]
                steps.append(Step(places, places < stops))
                break
            first, last = starts // FAN, stops // FAN
            within = np.arange(FAN)[:, None]
            places = np.concatenate((first * FAN + within, last * FAN + within))
            steps.append(Step(places, (places >= starts) & (places < stops)))
            starts, stops = first + 1, np.maximum(last, first + 1)
        return tuple(steps)


@dataclass(frozen=True, eq=False)
class Envelope:
    """What is drawn of the samples of each stretch, shape (m,) each; NaN where it holds none.

    A sample that is NaN counts for ``first`` and ``last`` only: there the line is broken.
    """

    low: NDArray[np.float64]
    high: NDArray[np.float64]
    first: NDArray[np.float64]
    last: NDArray[np.float64]


class Pyramid:
    """Extremes of samples that may grow at the end; NaN is left out of them.

    Parameters
    ----------
    samples
        Call `grow` after samples were appended to it.
    """

    def __init__(self, samples: Growing) -> None:
        self._samples = samples
        self._levels: list[tuple[Growing, Growing]] = []
        self.grow()

    @property
    def nbytes(self) -> int:
        """What the extremes take beside the samples [bytes]."""
        return sum(low.nbytes + high.nbytes for low, high in self._levels)

    def grow(self) -> None:
        """Take in what was appended to the samples since."""
        low = high = self._samples
        level = 0
        while len(low) >= FAN:
            if level == len(self._levels):
                self._levels.append((Growing(), Growing()))
            above = self._levels[level]
            done, whole = FAN * len(above[0]), len(low) // FAN * FAN
            if whole > done:
                above[0].append(_extremes(low, done, whole, np.fmin))
                above[1].append(_extremes(high, done, whole, np.fmax))
            low, high = above
            level += 1

    def extremes(self, stretches: Stretches) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Smallest and largest sample of each stretch, shape (m,); NaN where there is none."""
        low = np.full(len(stretches.starts), np.nan)
        high = low.copy()
        sources = [(self._samples, self._samples), *self._levels]
        for step, (lows, highs) in zip(stretches.steps, sources, strict=False):
            read = np.where(step.wanted, lows.take(step.places), np.nan)
            low = np.fmin(low, np.fmin.reduce(read, axis=0))
            if lows is not highs:
                read = np.where(step.wanted, highs.take(step.places), np.nan)
            high = np.fmax(high, np.fmax.reduce(read, axis=0))
        return low, high

    def envelope(self, stretches: Stretches) -> Envelope:
        """Extremes with the first and the last sample of each stretch."""
        low, high = self.extremes(stretches)
        ends = (stretches.starts, stretches.stops - 1)
        if not len(self._samples):
            return Envelope(low, high, low, high)
        first, last = (np.where(stretches.filled, self._samples.take(end), np.nan) for end in ends)
        return Envelope(low, high, first, last)


def _extremes(
    values: Growing, start: int, stop: int, pick: Callable[..., NDArray[np.float64]]
) -> NDArray[np.float64]:
    """One value for every `FAN` of some values, read in pieces that stay in the processor's cache."""
    edges = [*range(start, stop, _AT_ONCE), stop]
    return np.concatenate([_folded(values.part(*both), pick) for both in itertools.pairwise(edges)])


def _folded(values: NDArray[np.float64], pick: Callable[..., NDArray[np.float64]]) -> NDArray[np.float64]:
    """One value for every `FAN`; halving four times is seven times faster than reducing rows of 16."""
    for _ in range(FAN.bit_length() - 1):
        values = pick(values[::2], values[1::2])
    return values
