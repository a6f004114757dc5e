"""A time axis that rises: what is clear about stamps that stand still or go back is mended, else refused."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.logs import LogUnreadable

from .backwards import Clock, mended

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["Clock", "Rising", "rising"]

_GAP_WIDTHS = 1.5
_UNKNOWN = Clock()
DAY_S = 86_400.0
LONGEST_S = 40.0 * DAY_S
"""Whatever lasts longer was no recording of one car on one day."""


@dataclass(frozen=True, slots=True, eq=False)
class Rising:
    """Times strictly rising (n,), the row that belongs to each of them, and what was mended, in words."""

    time_s: NDArray[np.float64]
    rows: NDArray[np.intp] | None
    told: tuple[str, ...]


def rising(time_s: NDArray[np.float64], lines: NDArray[np.int64], clock: Clock = _UNKNOWN) -> Rising:
    """Times strictly rising, from times (n,) as a file gives them.

    Parameters
    ----------
    lines
        The file's line of each time (n,).
    clock
        What the time was counted by.

    Raises
    ------
    LogUnreadable
        When time runs backwards and nobody can tell why, stands still throughout, or goes on for weeks.
    """
    times, rows, told = mended(time_s, lines, clock)
    if times.size and times[-1] - times[0] > LONGEST_S:
        raise LogUnreadable(
            f"The times of the file lie {(times[-1] - times[0]) / DAY_S:,.4g} days apart, which is no "
            "session. Nothing was imported; choose another unit for the time, or another column."
        )
    steps = np.diff(times)
    if steps.size == 0 or not (steps > 0.0).any():
        raise LogUnreadable("Time stands still in the whole file. Nothing was imported.")
    if (steps > 0.0).all():
        return Rising(times, rows, told)
    spread, words = _spread(times, steps)
    return Rising(spread, rows, (*told, words))


def _spread(time_s: NDArray[np.float64], steps: NDArray[np.float64]) -> tuple[NDArray[np.float64], str]:
    """Samples of one stamp lie evenly between it and the next; behind the last stamp as before it."""
    first_of_stamp = np.concatenate([[0], np.flatnonzero(steps > 0.0) + 1])
    stamps = time_s[first_of_stamp]
    counts = np.diff(np.append(first_of_stamp, time_s.size))
    widths = np.append(np.diff(stamps), np.inf)
    # A gap in the log must not stretch the samples before it over its whole length, nor a clock that
    # stood still press many samples into the width of one stamp.
    usual, each = np.median(widths[:-1]), np.median(widths[:-1] / counts[:-1])
    widths = np.minimum(widths, _GAP_WIDTHS * np.maximum(usual, counts * each))
    widths[-1] = min(widths[-1], max(usual, counts[-1] * each))
    spread = np.repeat(stamps, counts)
    within = np.arange(time_s.size) - np.repeat(first_of_stamp, counts)
    spread = spread + within * np.repeat(widths / counts, counts)
    return spread, (
        f"Up to {int(counts.max()):,} samples share one time stamp; they were spread evenly up to the next."
    )
