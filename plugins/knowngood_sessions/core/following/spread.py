"""Samples under one time stamp spread up to the next one, as soon as that has come."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

_MOST_WIDTHS = 10_000
_GAP_WIDTHS = 1.5

Floats = NDArray[np.float64]


class Spread:
    """Spreads stamps that stand still as `core.spacing.rising` does in a whole file.

    The first sample of a stamp lies on it; the others wait until the next stamp tells how far they reach.
    """

    def __init__(self) -> None:
        self._stamp: float | None = None
        self._waiting = 0
        self._widths, self._each = np.empty(0), np.empty(0)

    @property
    def waiting(self) -> int:
        """How many samples wait for the next stamp."""
        return self._waiting

    @property
    def last_s(self) -> float:
        """The last stamp, minus infinity before the first one."""
        return -np.inf if self._stamp is None else self._stamp

    def feed(self, stamps_s: Floats) -> Floats:
        """Take stamps of further samples (k,), not falling; give the moments that are certain now (j,)."""
        if stamps_s.size == 0:
            return np.empty(0)
        known = self._stamp is not None
        stamps_s = np.concatenate([np.full((1 + self._waiting) * known, self.last_s), stamps_s])
        first = np.concatenate([[0], np.flatnonzero(np.diff(stamps_s) > 0.0) + 1])
        counts, widths = np.diff(first), np.diff(stamps_s[first])
        self._learn(widths, counts)
        closed = self._spread(stamps_s[first[:-1]], counts, widths)
        self._stamp, self._waiting = float(stamps_s[-1]), int(stamps_s.size - first[-1] - 1)
        # The first sample of the former stamp was given out already.
        return np.append(closed, self._stamp)[int(known) :]

    def finish(self) -> Floats:
        """The moments of the samples that still wait: as wide apart as those before."""
        if self._stamp is None or not self._waiting or not self._widths.size:
            return np.empty(0)
        counts = np.array([1 + self._waiting])
        width = np.maximum(np.median(self._widths), counts * np.median(self._each))
        self._waiting = 0
        return self._spread(np.array([self._stamp]), counts, width)[1:]

    def _learn(self, widths: Floats, counts: NDArray[np.int64]) -> None:
        room = _MOST_WIDTHS - self._widths.size
        if room > 0 and widths.size:
            self._widths = np.concatenate([self._widths, widths[:room]])
            self._each = np.concatenate([self._each, (widths / counts)[:room]])

    def _spread(self, stamps: Floats, counts: NDArray[np.int64], widths: Floats) -> Floats:
        if not counts.size:
            return np.empty(0)
        # A gap in the log must not stretch the samples before it over its whole length.
        usual = np.maximum(np.median(self._widths), counts * np.median(self._each))
        widths = np.minimum(widths, _GAP_WIDTHS * usual)
        within = np.arange(int(counts.sum())) - np.repeat(np.cumsum(counts) - counts, counts)
        return np.asarray(np.repeat(stamps, counts) + within * np.repeat(widths / counts, counts))
