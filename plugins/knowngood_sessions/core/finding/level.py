"""Level, drift and scatter of the readings in many steady stretches at once.

The level is not the mean of all values: a stretch begins when a reading has come within its band, and on the
rest of its way it would pull the mean. How much of the beginning to leave out is told by the marginal
standard error rule: the part left is that whose mean has the least standard error, s² / n, over batches of
five (K. P. White, "An effective truncation heuristic for bias reduction in simulation output", Simulation
69(6), 1997; MSER-5: White, Cobb and Spratt, Winter Simulation Conference 2000; both from memory). At
least half of a stretch is kept.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

import numpy as np

from .hunting import swing
from .pile import Pile, piles
from .trend import HIGHEST_CORRELATION

if TYPE_CHECKING:
    from numpy.typing import NDArray

BATCH = 5
FEWEST_BATCHES = 4


@dataclass(frozen=True, slots=True, eq=False)
class Levels:
    """What a reading did in each of k stretches; every array is (k,), per step where a rate.

    ``mean`` is the level with its standard error ``scatter``; ``drift`` the slope of a straight line through
    the whole stretch with ``drift_error``; ``independent`` how many independent values the stretch is worth;
    ``spread`` the standard deviation about the line; ``amplitude`` and ``period`` NaN without hunting. All
    are NaN where a value is missing in the stretch.
    """

    mean: NDArray[np.float64]
    scatter: NDArray[np.float64]
    drift: NDArray[np.float64]
    drift_error: NDArray[np.float64]
    independent: NDArray[np.float64]
    spread: NDArray[np.float64]
    amplitude: NDArray[np.float64]
    period: NDArray[np.float64]


def levels(series: NDArray[np.float64], first: NDArray[np.intp], last: NDArray[np.intp]) -> Levels:
    """What an even series (m,) did in stretches from ``first`` to ``last``, both (k,) and included."""
    found = Levels(*(np.full(first.size, np.nan) for _ in fields(Levels)))
    for rows, pile in piles(series, first, last - first + 1):
        part = _levels(pile)
        for one in fields(Levels):
            getattr(found, one.name)[rows] = getattr(part, one.name)
    return found


def _levels(pile: Pile) -> Levels:
    count = pile.counts.astype(np.float64)
    place = pile.places
    extent = np.einsum("ij,ij->i", place, place)
    drift = np.einsum("ij,ij->i", place, pile.values) / np.maximum(extent, 1.0)
    residual = pile.less(pile.mean()[:, None] + drift[:, None] * place)
    variance = residual.squares() / np.maximum(count - 2.0, 1.0)
    independent = _independent(count, residual.correlation())
    mean, scatter = _settled(pile)
    hunts = swing(residual)
    return Levels(
        mean=mean,
        scatter=scatter,
        drift=drift,
        drift_error=np.sqrt(variance / np.maximum(extent, 1.0) * count / independent),
        independent=independent,
        spread=np.sqrt(variance),
        amplitude=hunts.amplitude,
        period=hunts.period,
    )


def _settled(pile: Pile) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Mean of the part of each stretch that has levelled off, and its standard error."""
    backward = pile.reversed()
    kept = _kept(backward)
    held = np.arange(backward.values.shape[1]) < kept[:, None]
    part = Pile(np.where(held, backward.values, 0.0), kept, held)
    mean = part.mean()
    off = part.less(mean[:, None])
    count = kept.astype(np.float64)
    variance = off.squares() / np.maximum(count - 1.0, 1.0)
    return mean, np.sqrt(variance / _independent(count, off.correlation()))


def _kept(backward: Pile) -> NDArray[np.intp]:
    """How many values, counted from the end, the rule keeps of each stretch, (k,)."""
    batches = backward.counts // BATCH
    width = backward.values.shape[1] // BATCH
    if width < 2 * FEWEST_BATCHES:
        return backward.counts
    means = backward.values[:, : width * BATCH].reshape(-1, width, BATCH).mean(axis=2)
    means -= means[:, :1]  # squares of large numbers would lose what they differ by
    many = np.arange(1.0, width + 1.0)
    total, squares = np.cumsum(means, axis=1), np.cumsum(means**2, axis=1)
    error = (squares - total**2 / many) / many**2
    least = np.maximum((batches + 1) // 2, FEWEST_BATCHES)
    able = (many >= least[:, None]) & (many <= batches[:, None])
    # Backwards, so that among equals the longest part wins.
    best = width - np.argmin(np.where(able, error, np.inf)[:, ::-1], axis=1)
    whole = (best >= batches) | (batches < 2 * FEWEST_BATCHES)
    return np.where(whole, backward.counts, BATCH * best)


def _independent(count: NDArray[np.float64], correlation: NDArray[np.float64]) -> NDArray[np.float64]:
    """As `trend.effective_count`, for many at once."""
    held = np.clip(correlation, 0.0, HIGHEST_CORRELATION)
    return np.maximum(1.0, count * (1.0 - held) / (1.0 + held))
