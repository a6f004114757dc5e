"""A curve's samples on their time axis: which lie in a stretch, which is nearest, where the line breaks."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from knowngood.plotting.gaps import Gaps
from knowngood.plotting.growing import Growing
from knowngood.plotting.pyramid import Pyramid, Stretches

if TYPE_CHECKING:
    from numpy.typing import NDArray

_LOOKED_AT = 20_000
REACH = 5.0
"""At the ends and beside a hole a sample speaks for moments up to this many usual spacings away."""

_AROUND = 8
_AT_ONCE = 65_536


class TimeAxis:
    """Moments of samples [s] that never fall, evenly spaced or not.

    Raises
    ------
    ValueError
        The moments are not one row of finite numbers, or fall.
    """

    def __init__(self, time_s: NDArray[np.float64]) -> None:
        self.moments = Growing(_checked(time_s))
        self.holes = Growing()
        self._set_spacing()
        self._find_holes(0)

    def __len__(self) -> int:
        return len(self.moments)

    def append(self, time_s: NDArray[np.float64]) -> None:
        """Add moments at the end; ValueError, and nothing added, when they fall."""
        time_s = _checked(time_s)
        if len(time_s) and len(self) and time_s[0] < self.moments.at(-1):
            raise ValueError("The added samples lie before the last one; they were not added.")
        before = len(self)
        self.moments.append(time_s)
        if len(self) <= _LOOKED_AT:
            self._set_spacing()
        self._find_holes(before)

    @property
    def ends(self) -> tuple[float, float] | None:
        """The first and the last moment [s]; None when there is none."""
        return (self.moments.at(0), self.moments.at(-1)) if len(self) else None

    def broken(self, start: int, stop: int) -> NDArray[np.bool_]:
        """Before which samples from ``start`` up to before ``stop`` nothing was recorded, shape (k,)."""
        found = np.zeros(stop - start, dtype=np.bool_)
        first, last = self.holes.places(np.array([float(start), float(stop)]))
        found[self.holes.part(int(first), int(last)).astype(np.intp) - start] = True
        return found

    def broken_before(self, places: NDArray[np.intp]) -> NDArray[np.bool_]:
        """Before which of some samples nothing was recorded, in the shape of ``places``."""
        if not len(self.holes):
            return np.zeros(len(places), dtype=np.bool_)
        at = places.astype(np.float64)
        return self.holes.places(at, "right") > self.holes.places(at)

    def within(self, start_s: float, end_s: float) -> tuple[int, int]:
        """The samples in a stretch with one more on either side, as start and stop: the line enters."""
        ends = self.moments.places(np.array([start_s, end_s]))
        return max(int(ends[0]) - 1, 0), min(int(ends[1]) + 1, len(self))

    def stretches(self, edges_s: NDArray[np.float64]) -> Stretches:
        """The samples between rising edges [s], shape (m + 1,); each edge belongs to what follows it."""
        return Stretches.between(self.moments.places(edges_s))

    def nearest(self, at_s: float) -> int | None:
        """The sample nearest to a moment; None when none was recorded so near that it speaks for it."""
        found = self._closest(at_s)
        if found is None:
            return None
        # A little more, so that rounding never loses a sample at the very edge of the reach.
        if abs(self.moments.at(found) - at_s) <= REACH * self.spacing_s * (1 + 1e-9):
            return found
        after = int(self.moments.places(np.array([at_s]))[0])
        inside = 0 < after < len(self) and not self.broken(after, after + 1)[0]
        return found if inside else None

    def stepped(self, at_s: float, steps: int) -> float:
        """The moment some samples after (before) the one nearest to ``at_s``; not beyond the ends."""
        found = self._closest(at_s)
        if found is None:
            return at_s
        # Of samples with one and the same moment a step leaves all behind.
        here = np.array([self.moments.at(found)])
        first, behind = int(self.moments.places(here)[0]), int(self.moments.places(here, "right")[0])
        wanted = behind - 1 + steps if steps > 0 else first + steps
        return self.moments.at(min(max(wanted, 0), len(self) - 1))

    def _closest(self, at_s: float) -> int | None:
        after = int(self.moments.places(np.array([at_s]))[0])
        around = [place for place in (after - 1, after) if 0 <= place < len(self)]
        return min(around, key=lambda place: abs(self.moments.at(place) - at_s), default=None)

    def _set_spacing(self) -> None:
        steps = np.diff(self.moments.part(0, min(len(self), _LOOKED_AT)))
        steps = steps[steps > 0.0]
        self.spacing_s = float(np.median(steps)) if len(steps) else 1.0

    def _find_holes(self, first: int) -> None:
        """Find before which samples, from ``first`` on, nothing was recorded.

        A hole is wider than twice the reach, both by the usual spacing and by the spacing around it: a logger
        that goes on at a slower rate leaves no holes.
        """
        # What was found before stays as it is, even where the samples added now would say otherwise.
        begin = max(first - _AROUND, 1)
        steps = np.diff(self.moments.part(begin - 1, len(self)))
        long = np.flatnonzero(steps > 2 * REACH * self.spacing_s)
        long = long[long >= max(first, 1) - begin]
        near = np.arange(-_AROUND, _AROUND + 1)[:, None]
        for part in range(0, len(long), _AT_ONCE):
            one = long[part : part + _AT_ONCE]
            usual = np.median(steps.take(one + near, mode="clip"), axis=0)
            self.holes.append((one[steps[one] > 2 * REACH * usual] + begin).astype(np.float64))


class Series:
    """The samples of one curve, shape (n,), with their extremes; infinite samples count as missing.

    What is shown of ``values`` is ``values * factor + offset``; values added later are shown as they are.
    """

    def __init__(
        self, axis: TimeAxis, values: NDArray[np.float64], factor: float = 1.0, offset: float = 0.0
    ) -> None:
        values = np.asarray(values, dtype=np.float64)
        if values.shape != (len(axis),):
            raise ValueError(f"A curve has {values.size} values, its time axis {len(axis)} moments.")
        self.axis = axis
        self.values = Growing(_without_infinities(values), factor, offset)
        self.pyramid = Pyramid(self.values)
        self.gaps = Gaps()
        self._find_gaps(0)

    @property
    def nbytes(self) -> int:
        """What samples, extremes and gaps take, without the axis [bytes]."""
        return self.values.nbytes + self.pyramid.nbytes + self.gaps.nbytes

    def append(self, values: NDArray[np.float64]) -> None:
        """Add as many samples as moments were added to the axis."""
        before = len(self.values)
        self.values.append(_without_infinities(values))
        self.pyramid.grow()
        self._find_gaps(before)

    def range_between(self, start_s: float, end_s: float) -> tuple[float, float] | None:
        """The smallest and the largest sample of a stretch; None when there is none."""
        start, stop = self.axis.within(start_s, end_s)
        low, high = self.pyramid.extremes(Stretches(np.array([start]), np.array([stop])))
        return None if np.isnan(low[0]) else (float(low[0]), float(high[0]))

    def at(self, at_s: float) -> tuple[float, float] | None:
        """Moment and value of the nearest sample; None in a gap and where nothing was recorded."""
        place = self.axis.nearest(at_s)
        if place is None or np.isnan(value := self.values.at(place)):
            return None
        return self.axis.moments.at(place), value

    def _find_gaps(self, first: int) -> None:
        stop = len(self.values)
        time_s, broken = self.axis.moments.part(first, stop), self.axis.broken(first, stop)
        self.gaps.grow(time_s, self.values.part(first, stop), broken)


def _checked(time_s: NDArray[np.float64]) -> NDArray[np.float64]:
    time_s = np.asarray(time_s, dtype=np.float64)
    if time_s.ndim != 1 or not np.isfinite(time_s).all():
        raise ValueError("The moments of samples have to be one row of numbers.")
    if (time_s[1:] < time_s[:-1]).any():
        raise ValueError("The moments of samples fall; sort the samples by time first.")
    return time_s


def _without_infinities(values: NDArray[np.float64]) -> NDArray[np.float64]:
    infinite = np.isinf(values)
    return np.where(infinite, np.nan, values) if infinite.any() else values
