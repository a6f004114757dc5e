"""Moments in order of time, and how far one lies from them."""

from __future__ import annotations

from bisect import bisect_left
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence


def nearest_s(moments_s: Sequence[float], at_s: float) -> float:
    """Seconds from a moment to the nearest of others that are in order; infinite when there is none.

    >>> nearest_s([10.0, 20.0], 17.0), nearest_s([], 0.0)
    (3.0, inf)
    """
    i = bisect_left(moments_s, at_s)
    return min((abs(one - at_s) for one in moments_s[max(0, i - 1) : i + 1]), default=float("inf"))


def inside(spans_s: Sequence[tuple[float, float]], at_s: float, margin_s: float = 0.0) -> bool:
    """Whether a moment lies in one of the spans, or so near to it.

    >>> inside([(10.0, 20.0)], 21.0), inside([(10.0, 20.0)], 21.0, 2.0)
    (False, True)
    """
    return any(first - margin_s <= at_s <= last + margin_s for first, last in spans_s)
