"""Where a reading lies against a range, whatever the range comes from: never more than it can tell."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from knowngood_refdata.records import Estimate

EXPANSION = 1.96
"""Coverage factor of a 95 % uncertainty when many small contributions make it up (JCGM 100:2008, 6.3)."""


class Outcome(StrEnum):
    """The word at the end of a range strip."""

    INSIDE = "inside"
    BELOW = "below"
    ABOVE = "above"
    CANNOT_TELL = "cannot tell"
    NOT_COMPARABLE = "not comparable"


def placed(reading: Estimate, low: float | None, high: float | None) -> Outcome:
    """Where a reading lies: a distance smaller than its 95 % uncertainty is no finding.

    Parameters
    ----------
    low, high
        The edges in the unit of the reading, None where there is no such edge.

    >>> from knowngood_refdata.records import Estimate
    >>> [str(placed(Estimate(value, 0.5), 2.0, 8.0)) for value in (5.0, 1.5, 0.5, 9.5)]
    ['inside', 'cannot tell', 'below', 'above']
    >>> str(placed(Estimate(-40.0, 0.5), None, 8.0))
    'inside'
    """
    half = EXPANSION * reading.standard_uncertainty
    if (low is None or low <= reading.value) and (high is None or reading.value <= high):
        return Outcome.INSIDE
    if low is not None and reading.value + half < low:
        return Outcome.BELOW
    if high is not None and reading.value - half > high:
        return Outcome.ABOVE
    return Outcome.CANNOT_TELL
