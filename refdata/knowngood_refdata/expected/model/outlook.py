"""The distribution of a reading to come: a normal part, and independent effects that are mixtures.

The characteristic function of a sum of independent parts is the product of theirs; the distribution comes
back from it as a cosine series over a support wide enough for the tails (Fang and Oosterlee, SIAM J. Sci.
Comput. 31 (2008) 826). A fixed number of terms makes it quick and the same to the last digit each time.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from knowngood_refdata.expected.model.nesting import Floats
    from knowngood_refdata.expected.model.sites import Mixture

_REACH = 9.0
_TERMS = (320, 700, 1500)
"""How many terms there may be; few choices, so that what is tabled once serves again."""
_CELLS = 512
_STEPS = 5


@dataclass(frozen=True, slots=True)
class Outlook:
    """``parts`` are mixtures of one column each; their sum is the reading to come."""

    parts: tuple[Mixture, ...]

    def mean(self) -> float:
        """Expected value."""
        return float(sum((p.weight * p.centre).sum() for p in self.parts))

    def variance(self) -> float:
        """Variance, tails included."""
        return float(sum(_variance(p) for p in self.parts))

    def quantiles(self, probabilities: Floats) -> Floats:
        """Quantiles at probabilities (m,)."""
        return _Series.of(self).quantiles(probabilities)

    def cumulative(self, value: float) -> float:
        """Probability of a reading below a value."""
        series = _Series.of(self)
        return float(series.cumulative(np.array([value]))[0])


def _variance(part: Mixture) -> float:
    mean = (part.weight * part.centre).sum()
    return float((part.weight * (part.variance + (part.centre - mean) ** 2)).sum())


@dataclass(frozen=True, slots=True)
class _Series:
    start: float
    width: float
    frequency: Floats
    coefficient: Floats

    @classmethod
    def of(cls, outlook: Outlook) -> _Series:
        sd = np.sqrt(max(outlook.variance(), 1e-300))
        narrowest = np.sqrt(sum(float(p.variance.min()) for p in outlook.parts))
        half = _REACH * sd
        needed = int(np.ceil(5.0 * 2.0 * half / (np.pi * max(narrowest, 1e-3 * sd))))
        terms = next((count for count in _TERMS if needed <= count), _TERMS[-1])
        start = outlook.mean() - half
        frequency = np.arange(1, terms) * (np.pi / (2.0 * half))
        shape = np.exp(-1j * frequency * start)
        square = -0.5 * frequency**2
        for part in outlook.parts:
            shape = shape * _characteristic(part, frequency, square)
        return cls(start, 2.0 * half, frequency, shape.real / (half * frequency))

    def cumulative(self, values: Floats) -> Floats:
        off = np.clip(values - self.start, 0.0, self.width)
        waves = np.sin(off[:, None] * self.frequency) @ self.coefficient
        return np.asarray(off / self.width + waves)

    def density(self, values: Floats) -> Floats:
        off = np.clip(values - self.start, 0.0, self.width)
        return np.asarray(
            1.0 / self.width + np.cos(off[:, None] * self.frequency) @ (self.coefficient * self.frequency)
        )

    def quantiles(self, probabilities: Floats) -> Floats:
        grid = _waves(len(self.frequency)) @ self.coefficient + np.linspace(0.0, 1.0, _CELLS + 1)
        grid = np.maximum.accumulate(grid)
        edges = self.start + np.linspace(0.0, self.width, _CELLS + 1)
        place = np.clip(np.searchsorted(grid, probabilities), 1, _CELLS)
        low, high = edges[place - 1], edges[place]
        rise = np.maximum(grid[place] - grid[place - 1], 1e-300)
        found = low + (probabilities - grid[place - 1]) / rise * (high - low)
        for _ in range(_STEPS):
            over = self.cumulative(found) - probabilities
            low, high = np.where(over < 0.0, found, low), np.where(over < 0.0, high, found)
            slope = np.maximum(self.density(found), 1e-12 / self.width)
            tried = found - over / slope
            # Where Newton would leave what brackets the quantile, it is halved.
            found = np.where((tried >= low) & (tried <= high), tried, 0.5 * (low + high))
        return found


def _characteristic(part: Mixture, frequency: Floats, square: Floats) -> Floats:
    weight, centre, variance = part.weight.ravel(), part.centre.ravel(), part.variance.ravel()
    bells = np.exp(variance[:, None] * square)
    if not centre.any():
        return np.asarray(weight @ bells)
    return np.asarray((weight[:, None] * bells * np.exp(1j * centre[:, None] * frequency)).sum(axis=0))


@cache
def _waves(terms: int) -> Floats:
    cells = np.arange(_CELLS + 1)
    return np.asarray(np.sin(np.outer(cells, np.arange(1, terms + 1)) * (np.pi / _CELLS)))
