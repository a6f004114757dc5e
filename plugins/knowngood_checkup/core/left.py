"""As found against as left: two sessions of one car, quantity by quantity, with the difference's uncertainty.

Each reading counts by its distance from what the book expects under its own conditions, so that a cooler day
is no improvement. Without a range, like is compared with like, and then nothing is called better or worse.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from knowngood_refdata.expected.match import ENGINE_WITHIN_RPM, Point, match_conditions
from knowngood_refdata.expected.outcome import EXPANSION, Outcome
from knowngood_refdata.records import Estimate

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from knowngood_refdata.expected.comparison import QuantityComparison, WindowComparison
    from knowngood_refdata.records import Conditions, Quantity, SteadyWindow


class Change(StrEnum):
    """What became of a quantity from one session to the other."""

    IMPROVED = "improved"
    WORSE = "worse"
    CHANGED = "changed"
    SAME = "no difference beyond its uncertainty"
    NOT_COMPARABLE = "not comparable"


@dataclass(frozen=True, slots=True)
class Difference:
    """A quantity as found and as left, in SI.

    ``change`` is the difference, as left less as found; where both have a range it is that of their distances
    from what is expected, and ``corrected`` is true.
    """

    quantity: Quantity
    found: Estimate
    left: Estimate
    change: Estimate
    corrected: bool
    verdict: Change
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Pair:
    """Two steady windows that belong together, and their differences."""

    found: SteadyWindow
    left: SteadyWindow
    differences: tuple[Difference, ...]


def found_and_left(
    found: Sequence[WindowComparison],
    left: Sequence[WindowComparison],
    found_at: Conditions,
    left_at: Conditions,
) -> tuple[Pair, ...]:
    """Pair the windows of two sessions by engine speed and compare them."""
    return tuple(
        Pair(before.window, after.window, tuple(_differences(before, after, found_at, left_at)))
        for after in left
        if (before := _partner(after, found)) is not None
    )


def _partner(after: WindowComparison, found: Sequence[WindowComparison]) -> WindowComparison | None:
    def apart(one: WindowComparison) -> tuple[bool, float]:
        here, there = after.window.engine_rpm, one.window.engine_rpm
        off = 0.0 if here is None and there is None else abs((here or 0.0) - (there or 0.0))
        return one.window.fan_stage != after.window.fan_stage, off

    near = [one for one in found if apart(one)[1] <= ENGINE_WITHIN_RPM]
    return min(near, key=apart) if near else None


def _differences(
    before: WindowComparison, after: WindowComparison, found_at: Conditions, left_at: Conditions
) -> Iterator[Difference]:
    obstacles = match_conditions(_point(before.window, found_at), _point(after.window, left_at))
    earlier = {one.quantity: one for one in before.strips}
    for strip in after.strips:
        if strip.quantity in earlier:
            yield _difference(earlier[strip.quantity], strip, obstacles)


def _point(window: SteadyWindow, conditions: Conditions) -> Point:
    return Point(conditions, window.engine_rpm, window.fan_stage)


def _difference(
    before: QuantityComparison, after: QuantityComparison, obstacles: Sequence[str]
) -> Difference:
    unsure = math.hypot(before.reading.standard_uncertainty, after.reading.standard_uncertainty)
    off_before, off_after = _off(before), _off(after)
    if off_before is not None and off_after is not None:
        change = Estimate(off_after - off_before, unsure)
        verdict = _judged(before, after, off_before, off_after, EXPANSION * unsure)
        return Difference(
            before.quantity, before.reading, after.reading, change, corrected=True, verdict=verdict
        )
    change = Estimate(after.reading.value - before.reading.value, unsure)
    if obstacles:
        verdict, reason = Change.NOT_COMPARABLE, "no range, and different: " + ", ".join(obstacles)
    else:
        beyond = abs(change.value) > EXPANSION * unsure
        verdict, reason = (Change.CHANGED if beyond else Change.SAME), ""
    return Difference(
        before.quantity,
        before.reading,
        after.reading,
        change,
        corrected=False,
        verdict=verdict,
        reason=reason,
    )


def _off(strip: QuantityComparison) -> float | None:
    """Distance from what is expected; None without a range that it may be compared with."""
    if strip.outcome is Outcome.NOT_COMPARABLE or strip.forecast.centre is None:
        return None
    return strip.reading.value - strip.forecast.centre


def _judged(
    before: QuantityComparison, after: QuantityComparison, off_before: float, off_after: float, beyond: float
) -> Change:
    if abs(off_after - off_before) <= beyond:
        return Change.SAME
    nearer = abs(off_before) - abs(off_after)
    if nearer > beyond and not _inside(before):
        return Change.IMPROVED
    if -nearer > beyond and not _inside(after):
        return Change.WORSE
    return Change.CHANGED


def _inside(strip: QuantityComparison) -> bool:
    outer = strip.forecast.outer
    return outer is not None and strip.reading.value in outer
