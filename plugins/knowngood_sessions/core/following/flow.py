"""Further rows on the time axis of a session, given out as soon as their moment is certain."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .spread import Spread

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Emitted:
    """Samples whose moment is certain: seconds from the session's first one, and values by channel."""

    time_s: Floats  # (k,), rising
    values: Floats  # (channels, k)


@dataclass(frozen=True, slots=True)
class Stumble:
    """Where time runs backwards, and how far; ``line`` is that behind the last row which went on well."""

    line: int
    before_s: float
    after_s: float


class Flow:
    """Goes on from rows that were read before.

    Parameters
    ----------
    raw_s
        The stamps of those rows as the file gives them (n,).
    values
        Their values (channels, n).
    last_s
        Where on the session's axis the first row of the last stamp lies.
    last_line
        The file's line of the last row, counted from 1.

    Attributes
    ----------
    stumble
        Where time ran backwards, None while it has not; nothing is taken from there on.
    untimed
        How many rows had no readable time and were left out.
    """

    def __init__(self, raw_s: Floats, values: Floats, last_s: float, last_line: int) -> None:
        self.stumble: Stumble | None = None
        self.untimed = 0
        self._last_line = last_line
        self._spread = Spread()
        # Where the clock began anew or was set back, the reader has mended it: it goes on from there.
        falls = np.flatnonzero(np.diff(raw_s) < 0.0)
        self._spread.feed(raw_s[falls[-1] + 1 :] if falls.size else raw_s)
        self._offset_s = last_s - float(raw_s[-1])
        self._held = values[:, raw_s.size - self._spread.waiting :].copy()

    def feed(self, raw_s: Floats, values: Floats, lines: NDArray[np.int64]) -> Emitted:
        """Take rows: stamps (k,) NaN where unread, values (channels, k) and the file's lines (k,)."""
        timed = np.isfinite(raw_s)
        if self.stumble is None:
            self.untimed += int((~timed).sum())
        raw_s, values, lines = raw_s[timed], values[:, timed], lines[timed]
        count = self._rising(raw_s, lines)
        return self._emit(self._spread.feed(raw_s[:count]), values[:, :count])

    def finish(self) -> Emitted:
        """The samples that still wait for a later one."""
        return self._emit(self._spread.finish(), self._held[:, :0])

    def _rising(self, raw_s: Floats, lines: NDArray[np.int64]) -> int:
        """How many of the rows come before time runs backwards."""
        if self.stumble is not None or raw_s.size == 0:
            return 0
        before = np.concatenate([[self._spread.last_s], raw_s[:-1]])
        back = np.flatnonzero(raw_s < before)
        count = int(back[0]) if back.size else raw_s.size
        if count:
            self._last_line = int(lines[count - 1])
        if back.size:
            # Another recording begins with the lines above its first row: its header and what else.
            self.stumble = Stumble(self._last_line + 1, float(before[count]), float(raw_s[count]))
        return count

    def _emit(self, times_s: Floats, values: Floats) -> Emitted:
        held = np.concatenate([self._held, values], axis=1) if self._held.shape[1] else values
        self._held = held[:, times_s.size :].copy()
        return Emitted(times_s + self._offset_s, held[:, : times_s.size])
