"""Arrays that grow at their end without being copied each time."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

_LEAST = 1_024
_LEAST_GROWTH, _GOLDEN = 1.3, 0.618_034


class GrowingArray:
    """Samples (n,) that are added to at the end; what was added is never changed again.

    A `view` stays valid and as it was while more is added, also on another thread. When room runs out,
    everything moves to a larger one, so that adding a sample costs the same on average however many there
    are. Arrays that grow together should not all move at once.

    Parameters
    ----------
    growth
        By how much more than is needed room is made, above 1.
    """

    def __init__(self, growth: float = 2.0) -> None:
        self._growth = growth
        self._room = np.empty(_LEAST)
        self._count = 0

    def __len__(self) -> int:
        return self._count

    def extend(self, values: NDArray[np.float64]) -> None:
        """Add values (k,) at the end."""
        count = self._count + values.size
        if count > self._room.size:
            room = np.empty(int(self._growth * count) + 1)
            room[: self._count] = self._room[: self._count]
            self._room = room
        self._room[self._count : count] = values
        self._count = count

    @classmethod
    def out_of_step(cls, number: int) -> GrowingArray:
        """One of several that grow together: each moves at another moment than the others."""
        return cls(_LEAST_GROWTH + (number * _GOLDEN) % 1.0)

    def view(self) -> NDArray[np.float64]:
        """All samples so far (n,), read-only and not copied."""
        view = self._room[: self._count]
        view.flags.writeable = False
        return view
