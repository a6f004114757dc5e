"""Stretches of unequal length laid under one another as a matrix: one step for all of them at once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

CELLS = 400_000
"""Most cells of one matrix: it should stay in the processor's cache."""


@dataclass(frozen=True, slots=True, eq=False)
class Pile:
    """Values of k stretches, each beginning at column 0; what lies beyond its end is 0.

    Attributes
    ----------
    values
        (k, n), n the longest.
    counts
        (k,) how many values each stretch has.
    held
        (k, n) whether a cell holds a value.
    """

    values: NDArray[np.float64]
    counts: NDArray[np.intp]
    held: NDArray[np.bool_]

    @property
    def places(self) -> NDArray[np.float64]:
        """Each value's place counted from the middle of its stretch, (k, n); 0 beyond the end."""
        place = np.arange(self.values.shape[1]) - 0.5 * (self.counts[:, None] - 1)
        return np.asarray(np.where(self.held, place, 0.0))

    def less(self, taken: NDArray[np.float64]) -> Pile:
        """What is left when something, (k, n) or (k, 1), is taken off every value."""
        return Pile(np.where(self.held, self.values - taken, 0.0), self.counts, self.held)

    def mean(self) -> NDArray[np.float64]:
        """Mean of each stretch, (k,)."""
        return np.asarray(self.values.sum(axis=1) / self.counts)

    def squares(self) -> NDArray[np.float64]:
        """Sum of squares of each stretch, (k,)."""
        return np.asarray(np.einsum("ij,ij->i", self.values, self.values))

    def correlation(self) -> NDArray[np.float64]:
        """Lag-one autocorrelation of each stretch, (k,), its mean taken to be 0; 0 for nothing but zeros."""
        total = self.squares()
        lagged = np.einsum("ij,ij->i", self.values[:, :-1], self.values[:, 1:])
        return np.asarray(np.divide(lagged, total, out=np.zeros_like(total), where=total > 0.0))

    def reversed(self) -> Pile:
        """The same with each stretch running backwards, its last value in column 0."""
        column = self.counts[:, None] - 1 - np.arange(self.values.shape[1])
        values = np.take_along_axis(self.values, np.maximum(column, 0), axis=1)
        return Pile(np.where(self.held, values, 0.0), self.counts, self.held)


def piles(
    series: NDArray[np.float64], first: NDArray[np.intp], counts: NDArray[np.intp]
) -> Iterator[tuple[NDArray[np.intp], Pile]]:
    """Matrices of stretches of about equal length, each with the numbers (k,) of its stretches.

    Parameters
    ----------
    series
        (m,), of which stretch i is ``series[first[i] : first[i] + counts[i]]``.
    """
    order = np.argsort(counts, kind="stable")
    done = 0
    while done < order.size:
        longest = 2.0 * counts[order[done]] + 16
        rows = int(np.searchsorted(counts[order[done:]], longest, side="right"))
        width = int(counts[order[done + rows - 1]])
        rows = min(rows, max(1, CELLS // max(width, 1)))
        chosen = order[done : done + rows]
        done += rows
        yield chosen, _pile(series, first[chosen], counts[chosen])


def _pile(series: NDArray[np.float64], first: NDArray[np.intp], counts: NDArray[np.intp]) -> Pile:
    column = np.arange(int(counts.max()))
    held = column < counts[:, None]
    values = series[np.minimum(first[:, None] + column, series.size - 1)]
    return Pile(np.where(held, values, 0.0), counts, held)
