"""From samples to what is stroked: upright lines where many share a pixel column, else the samples joined."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood.plotting.pyramid import Stretches

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood.plotting.pyramid import Envelope
    from knowngood.plotting.scales import Across, Upright
    from knowngood.plotting.series import TimeAxis

DENSE = 3
"""Above so many samples a pixel column they are drawn as upright lines."""

_OUTSIDE = 2


@dataclass(frozen=True, eq=False)
class Columns:
    """The samples of each pixel column of a view; curves on one time axis share it.

    The first and the last stretch hold the one sample before and after the view: there the line enters
    and leaves. ``index`` is the column of each stretch, those two stand apart from all others; ``broken``
    tells before which of them nothing was recorded.
    """

    stretches: Stretches
    index: NDArray[np.intp]
    enter_s: NDArray[np.float64]
    leave_s: NDArray[np.float64]
    broken: NDArray[np.bool_]
    count: int

    @classmethod
    def of(cls, axis: TimeAxis, across: Across, count: int) -> Columns:
        """Cut the view into ``count`` columns of one width."""
        moments = axis.moments
        cuts = np.linspace(across.start_s, across.end_s, count + 1)
        # Samples at the very end of the view are in view.
        edges = np.concatenate((moments.places(cuts[:-1]), moments.places(cuts[-1:], "right")))
        before, behind = edges[:1], edges[-1:]
        starts = np.concatenate((np.maximum(before - 1, 0), edges[:-1], behind))
        stops = np.concatenate((before, edges[1:], np.minimum(behind + 1, len(axis))))
        index = np.concatenate(([-_OUTSIDE], np.arange(count), [count - 1 + _OUTSIDE]))
        enter_s, leave_s = moments.take(starts), moments.take(stops - 1)
        return cls(Stretches(starts, stops), index, enter_s, leave_s, axis.broken_before(starts), count)


def upright(
    columns: Columns, envelope: Envelope, across: Across, scale: Upright, thickness: float
) -> NDArray[np.float64]:
    """Lines x1, y1, x2, y2 [px], shape (k, 4), that show a curve column by column.

    Each reaches from the smallest to the largest sample of its column, and half-way towards its neighbours;
    where columns hold no sample, slanted lines join the samples on both sides. NaN, and a hole in time,
    break the line.
    """
    held = columns.stretches.filled
    index = columns.index[held]
    low, high, first, last = (
        scale.y(part[held]) for part in (envelope.low, envelope.high, envelope.first, envelope.last)
    )
    enter, leave = columns.enter_s[held], columns.leave_s[held]
    joined = np.isfinite(last[:-1]) & np.isfinite(first[1:]) & ~columns.broken[held][1:]
    beside = joined & (np.diff(index) == 1)
    halfway = np.where(beside, 0.5 * (last[:-1] + first[1:]), np.nan)
    bottom, top = low.copy(), high.copy()
    for edge, pick in ((bottom, np.fmax), (top, np.fmin)):
        edge[:-1] = pick(edge[:-1], halfway)
        edge[1:] = pick(edge[1:], halfway)
    drawn = np.isfinite(top) & (index >= 0) & (index < columns.count)
    # In the middle of a pixel, else each line would be smeared over two.
    x = np.floor(across.left + (index[drawn] + 0.5) * across.width / columns.count) + 0.5
    bars = np.column_stack((x, top[drawn] - thickness / 2, x, bottom[drawn] + thickness / 2))
    apart = joined & ~beside
    links = np.column_stack(
        (across.x(leave[:-1][apart]), last[:-1][apart], across.x(enter[1:][apart]), first[1:][apart])
    )
    return np.concatenate((bars, links))


def dashed(lines: NDArray[np.float64], on: float, off: float) -> NDArray[np.float64]:
    """Leave lines out so that the rest makes dashes: ``on`` pixels drawn, ``off`` pixels not.

    A line that reaches beyond those of the dashes on both its sides stays: a dash hides no spike.
    """
    if not len(lines):
        return lines
    cell, place = np.divmod(lines[:, 0], on + off)
    number = (cell - cell.min()).astype(np.intp)
    kept = place < on
    top, bottom = np.full(int(number.max()) + 2, np.inf), np.full(int(number.max()) + 2, -np.inf)
    np.minimum.at(top, number[kept], lines[kept, 1:4:2].min(axis=1))
    np.maximum.at(bottom, number[kept], lines[kept, 1:4:2].max(axis=1))
    above = lines[:, 1:4:2].min(axis=1) < np.minimum(top[number], top[number + 1])
    below = lines[:, 1:4:2].max(axis=1) > np.maximum(bottom[number], bottom[number + 1])
    drawn: NDArray[np.float64] = lines[kept | above | below]
    return drawn


def runs(values: NDArray[np.float64], broken: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """The stretches, as start and stop, in which samples follow one another without NaN and hole.

    >>> import numpy as np
    >>> broken = np.array([False, False, False, False, True])
    >>> runs(np.array([1.0, 2.0, np.nan, 3.0, 4.0]), broken)
    [(0, 2), (3, 4), (4, 5)]
    """
    finite = np.isfinite(values)
    goes_on = finite[:-1] & finite[1:] & ~broken[1:]
    begins = np.flatnonzero(finite & ~np.concatenate(([False], goes_on)))
    ends = np.flatnonzero(finite & ~np.concatenate((goes_on, [False])))
    return [(int(begin), int(end) + 1) for begin, end in zip(begins, ends, strict=True)]
