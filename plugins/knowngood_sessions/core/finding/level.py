"""Level, drift and scatter of the readings in many steady stretches at once.

The level is not the mean of all values: a stretch begins when a reading has come within its band, and on the
rest of its way it would pull the mean. That rest is sought as level + a exp(-t / tau), tau one of a few parts
of the stretch's length, by least squares over equal blocks of the stretch. Where the blocks show it for sure,
the level is what the curve says of the last twenty seconds, otherwise the mean. The error is that of means
of batches, widened by the memory that they still have of one another (G. S. Fishman, Grouping observations in
digital simulation, Management Science 24, 1978, from memory).
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

BLOCKS = 24
FEWEST = 8
"""A shorter stretch tells nothing of a way in."""

ENDS_STEPS = 20
SURE = 3.0
MOST_MEMORY = 0.9
FITTED = 3
PARTS = np.geomspace(0.07, 1.4, 9)
"""Time constants of the way in, as parts of the stretch's length."""

EDGES = np.linspace(0.0, 1.0, BLOCKS + 1)


def _curve(part: NDArray[np.float64], start: NDArray[np.float64] | float) -> NDArray[np.float64]:
    """Mean of exp(-u / part) from a start to the end of a stretch, whose length is 1."""
    return np.asarray(part * (np.exp(-start / part) - np.exp(-1.0 / part)) / (1.0 - start))


DECAYS = PARTS[:, None] * -np.diff(np.exp(-EDGES / PARTS[:, None]), axis=1) * BLOCKS
WAYS = DECAYS - DECAYS.mean(axis=1, keepdims=True)
SQUARES = np.einsum("ij,ij->i", WAYS, WAYS)


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


def levels(
    series: NDArray[np.float64], first: NDArray[np.intp], last: NDArray[np.intp], ends: int = ENDS_STEPS
) -> Levels:
    """What an even series (m,) did in stretches from ``first`` to ``last``, both (k,) and included.

    ``ends`` is how many steps at its end say where a stretch that is on its way has come to.
    """
    found = Levels(*(np.full(first.size, np.nan) for _ in fields(Levels)))
    for rows, pile in piles(series, first, last - first + 1):
        part = _levels(pile, ends)
        for one in fields(Levels):
            getattr(found, one.name)[rows] = getattr(part, one.name)
    return found


def _levels(pile: Pile, ends: int) -> Levels:
    count = pile.counts.astype(np.float64)
    place = pile.places
    extent = np.einsum("ij,ij->i", place, place)
    mean = pile.mean()
    drift = np.einsum("ij,ij->i", place, pile.values) / np.maximum(extent, 1.0)
    residual = pile.less(mean[:, None] + drift[:, None] * place)
    variance = residual.squares() / np.maximum(count - 2.0, 1.0)
    independent = _independent(count, residual.correlation())
    shift, scatter = _settled(residual, drift, ends)
    short = count < FEWEST
    hunts = swing(residual)
    return Levels(
        mean=np.where(short, mean, mean + shift),
        scatter=np.where(short, np.sqrt((variance + drift**2 * extent / count) / independent), scatter),
        drift=drift,
        drift_error=np.sqrt(variance / np.maximum(extent, 1.0) * count / independent),
        independent=independent,
        spread=np.sqrt(variance),
        amplitude=hunts.amplitude,
        period=hunts.period,
    )


def _settled(
    residual: Pile, drift: NDArray[np.float64], ends: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """By how much the level of each stretch is off its mean, and its standard error, both (k,).

    Parameters
    ----------
    residual
        The stretches less their mean and their ``drift`` a step.
    """
    middle = 0.5 * (EDGES[1:] + EDGES[:-1]) - 0.5
    blocks = _blocks(residual) + (drift * residual.counts)[:, None] * middle
    along = blocks @ WAYS.T / SQUARES
    row = np.arange(drift.size)
    best = np.argmax(along**2 * SQUARES, axis=1)
    size = along[row, best]
    worth = np.minimum(residual.counts, BLOCKS)
    left = _noise(blocks - size[:, None] * WAYS[best], worth - FITTED)
    on_its_way = size**2 * SQUARES[best] > SURE**2 * left
    start = 1.0 - np.minimum(ends / residual.counts, 0.5)
    lever = _curve(PARTS[best], start) - DECAYS.mean(axis=1)[best]
    straight = np.sqrt(_noise(blocks, worth - 1) / BLOCKS)
    curved = np.sqrt(left * (1.0 / BLOCKS + lever**2 / SQUARES[best]))
    return np.where(on_its_way, size * lever, 0.0), np.where(on_its_way, curved, straight)


def _blocks(pile: Pile) -> NDArray[np.float64]:
    """Means of `BLOCKS` equal parts of each stretch, (k, `BLOCKS`); a value may belong to two in part."""
    total = np.zeros((pile.counts.size, pile.values.shape[1] + 2))
    np.cumsum(pile.values, axis=1, out=total[:, 1:-1])
    at = EDGES * pile.counts[:, None]
    whole = at.astype(np.intp)
    row = np.arange(pile.counts.size)[:, None]
    before = total[row, whole]
    after = np.where(whole < pile.counts[:, None], total[row, whole + 1], before)
    return np.asarray(np.diff(before + (at - whole) * (after - before), axis=1) / np.diff(at, axis=1))


def _noise(left: NDArray[np.float64], freedom: NDArray[np.intp]) -> NDArray[np.float64]:
    """Variance of a block, (k,), as it counts for means over many: widened by its memory."""
    squares = np.einsum("ij,ij->i", left, left)
    lagged = np.einsum("ij,ij->i", left[:, 1:], left[:, :-1])
    memory = np.divide(lagged, squares, out=np.zeros_like(squares), where=squares > 0.0)
    memory = np.clip(memory, 0.0, MOST_MEMORY)
    return np.asarray(squares / np.maximum(freedom, 1) * (1.0 + memory) / (1.0 - memory))


def _independent(count: NDArray[np.float64], correlation: NDArray[np.float64]) -> NDArray[np.float64]:
    """As `trend.effective_count`, for many at once."""
    held = np.clip(correlation, 0.0, HIGHEST_CORRELATION)
    return np.maximum(1.0, count * (1.0 - held) / (1.0 + held))
