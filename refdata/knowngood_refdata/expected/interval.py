"""A closed interval."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Interval:
    """Both edges belong to it; in the unit of the values it holds.

    >>> 2.0 in Interval(1.0, 2.0), 2.1 in Interval(1.0, 2.0)
    (True, False)
    """

    low: float
    high: float

    def __contains__(self, value: float) -> bool:
        return self.low <= value <= self.high
