"""A time axis that rises: samples under one time stamp are spread, a step backwards is refused."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from .reader import LogUnreadable

if TYPE_CHECKING:
    from numpy.typing import NDArray


def rising(time_s: NDArray[np.float64], lines: NDArray[np.int64]) -> tuple[NDArray[np.float64], str]:
    """The times (n,) strictly rising, and a sentence when samples had to be spread between time stamps.

    Raises
    ------
    LogUnreadable
        When time runs backwards or stands still throughout.
    """
    steps = np.diff(time_s)
    back = np.flatnonzero(steps < 0.0)
    if back.size:
        first = int(back[0]) + 1
        times = "once" if back.size == 1 else f"{back.size:,} times"
        raise LogUnreadable(
            f"Time runs backwards {times}, first at line {int(lines[first])}: {time_s[first]:g} s after "
            f"{time_s[first - 1]:g} s. Nothing was imported; the file may hold two recordings or another "
            "column may be the time."
        )
    if steps.size == 0 or not (steps > 0.0).any():
        raise LogUnreadable("Time stands still in the whole file. Nothing was imported.")
    if (steps > 0.0).all():
        return time_s, ""
    return _spread(time_s, steps)


def _spread(time_s: NDArray[np.float64], steps: NDArray[np.float64]) -> tuple[NDArray[np.float64], str]:
    """Samples of one stamp lie evenly between it and the next; behind the last stamp as before it."""
    first_of_stamp = np.concatenate([[0], np.flatnonzero(steps > 0.0) + 1])
    stamps = time_s[first_of_stamp]
    counts = np.diff(np.append(first_of_stamp, time_s.size))
    widths = np.append(np.diff(stamps), stamps[-1] - stamps[-2])
    # A gap in the log must not stretch the samples before it over its whole length.
    widths = np.minimum(widths, np.median(widths) * 1.5)
    spread = np.repeat(stamps, counts)
    within = np.arange(time_s.size) - np.repeat(first_of_stamp, counts)
    spread = spread + within * np.repeat(widths / counts, counts)
    return spread, (
        f"Up to {int(counts.max()):,} samples share one time stamp; they were spread evenly up to the next."
    )
