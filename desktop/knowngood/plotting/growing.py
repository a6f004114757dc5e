"""Values that grow at the end while a logger still writes, without the first array ever being copied."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

_FIRST_ROOM = 256


class Growing:
    """Values in two parts: the array that was there first, and what was added since.

    Parameters
    ----------
    base
        Shape (n,). Float64 values are kept as they are, others are converted.
    factor, offset
        What is read of the base is ``base * factor + offset``, and no second array is made of it; what is
        added is read as it is. The factor is above zero.
    """

    def __init__(self, base: ArrayLike = (), factor: float = 1.0, offset: float = 0.0) -> None:
        self._base = np.asarray(base, dtype=np.float64)
        self._factor, self._offset = factor, offset
        self._as_it_is = factor == 1.0 and offset == 0.0
        self._room = np.empty(0)
        self._used = 0

    def __len__(self) -> int:
        return len(self._base) + self._used

    @property
    def nbytes(self) -> int:
        """What both parts take [bytes]."""
        return int(self._base.nbytes + self._room.nbytes)

    def append(self, values: NDArray[np.float64]) -> None:
        """Add values of shape (k,) at the end; the time this takes grows with k alone."""
        wanted = self._used + len(values)
        if wanted > len(self._room):
            room = np.empty(max(2 * wanted if self._used else wanted, _FIRST_ROOM))
            room[: self._used] = self._added
            self._room = room
        self._room[self._used : wanted] = values
        self._used = wanted

    def take(self, places: NDArray[np.intp]) -> NDArray[np.float64]:
        """The values at some places, in the shape of ``places``; one behind the end is taken as the last."""
        if not self._used:
            return self._read(self._base.take(places, mode="clip"))
        if not len(self._base):
            return self._added.take(places, mode="clip")
        behind = places - len(self._base)
        if int(places.min(initial=len(self))) >= len(self._base):
            return self._added.take(behind, mode="clip")
        old = self._read(self._base.take(places, mode="clip"))
        if int(behind.max(initial=-1)) < 0:
            return old
        return np.where(behind >= 0, self._added.take(behind, mode="clip"), old)

    def part(self, start: int, stop: int) -> NDArray[np.float64]:
        """The values from ``start`` up to before ``stop``."""
        old = len(self._base)
        if stop <= old:
            return self._read(self._base[start:stop])
        if start >= old:
            return self._added[start - old : stop - old]
        return np.concatenate((self._read(self._base[start:]), self._added[: stop - old]))

    def places(
        self, values: NDArray[np.float64], side: Literal["left", "right"] = "left"
    ) -> NDArray[np.intp]:
        """Where values, shape (k,), would stand in values that never fall: counts of smaller ones.

        ``side`` "right" counts those that are not larger.
        """
        wanted = values if self._as_it_is else (values - self._offset) / self._factor
        found = self._base.searchsorted(wanted, side)
        if not self._used:
            return found
        # Nothing added is smaller than what was there, so it counts only behind the whole base.
        added = self._added.searchsorted(values, side)
        return np.where(found < len(self._base), found, len(self._base) + added)

    def at(self, place: int) -> float:
        """One value; a negative place counts from the end."""
        place = place if place >= 0 else len(self) + place
        old = len(self._base)
        if place >= old:
            return float(self._added[place - old])
        return float(self._base[place] * self._factor + self._offset)

    def _read(self, held: NDArray[np.float64]) -> NDArray[np.float64]:
        """Values of the base as they are read."""
        if self._as_it_is:
            return held
        shown = held * self._factor
        shown += self._offset
        return shown

    @property
    def _added(self) -> NDArray[np.float64]:
        return self._room[: self._used]
