"""Where a curve has no samples: a gap narrower than a pixel has to be told, since no picture shows it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from knowngood.plotting.growing import Growing

if TYPE_CHECKING:
    from numpy.typing import NDArray


class Gaps:
    """The gaps between the samples of a curve, each from the sample before to the sample after it [s].

    What lies before the first and after the last sample is no gap. The curve may grow at the end.
    """

    def __init__(self) -> None:
        self.starts, self.ends = Growing(), Growing()
        self._last_s: float | None = None
        self._open = False

    def __len__(self) -> int:
        return len(self.starts)

    @property
    def nbytes(self) -> int:
        """What they take [bytes]."""
        return self.starts.nbytes + self.ends.nbytes

    def grow(
        self, time_s: NDArray[np.float64], values: NDArray[np.float64], broken: NDArray[np.bool_]
    ) -> None:
        """Take in further samples, shape (k,); ``broken`` tells before which of them nothing was recorded."""
        missing = np.isnan(values)
        if len(values) and not missing.any() and not broken.any():
            self._join(time_s, broken, 0)
            self._last_s, self._open = float(time_s[-1]), False
            return
        held = np.flatnonzero(~missing)
        if not len(held):
            self._open = self._open or len(values) > 0
            return
        first, last = int(held[0]), int(held[-1])
        self._join(time_s, broken, first)
        if len(held) < len(values) or broken.any():
            apart = (np.diff(held) > 1) | broken[held[1:]]
            self.starts.append(time_s[held[:-1][apart]])
            self.ends.append(time_s[held[1:][apart]])
        self._last_s, self._open = float(time_s[last]), last + 1 < len(values)

    def _join(self, time_s: NDArray[np.float64], broken: NDArray[np.bool_], first: int) -> None:
        """The gap between what was there before and the first sample that came now, if there is one."""
        if self._last_s is not None and (self._open or first > 0 or bool(broken[first])):
            self.starts.append(np.array([self._last_s]))
            self.ends.append(time_s[first : first + 1])

    def thin(self, edges_s: NDArray[np.float64], visible_s: float) -> NDArray[np.bool_]:
        """In which stretches between rising edges, shape (m + 1,), a gap begins that no eye would see.

        Parameters
        ----------
        visible_s
            A gap of this length or longer shows by itself [s].
        """
        if not len(self):
            return np.zeros(len(edges_s) - 1, dtype=np.bool_)
        places = self.starts.places(edges_s)
        count = np.diff(places)
        last = places[1:] - 1
        wide = self.ends.take(last) - self.starts.take(last) >= visible_s
        hidden: NDArray[np.bool_] = (count > 1) | ((count == 1) & ~wide)
        return hidden

    def near(self, at_s: float, reach_s: float, most: int) -> list[tuple[float, float]]:
        """The gaps within reach of a moment, from and to [s]; not more than ``most``."""
        # Gaps follow one another, so their ends rise as their starts do.
        first = int(self.ends.places(np.array([at_s - reach_s]))[0])
        stop = int(self.starts.places(np.array([at_s + reach_s]), "right")[0])
        stop = min(stop, first + most)
        pairs = zip(self.starts.part(first, stop), self.ends.part(first, stop), strict=True)
        return [(float(start), float(end)) for start, end in pairs]
