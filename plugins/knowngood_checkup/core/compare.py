"""Each quantity of a steady window against the known-good readings that may be compared with it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from knowngood_refdata.expected.match import Matches, Point, match_all
from knowngood_refdata.expected.prediction import (
    CARS_NEEDED,
    READINGS_NEEDED,
    ExpectedRange,
    expected_range,
)
from knowngood_refdata.records import Conditions, Estimate, Quantity, Reading, SteadyWindow

if TYPE_CHECKING:
    from collections.abc import Hashable, Sequence

EXPANSION = 1.96
"""Coverage factor of a 95 % uncertainty when many small contributions make it up (JCGM 100:2008, 6.3)."""


class Outcome(StrEnum):
    """The word at the end of a range strip."""

    INSIDE = "inside"
    BELOW = "below"
    ABOVE = "above"
    CANNOT_TELL = "cannot tell"
    NOT_COMPARABLE = "not comparable"


@dataclass(frozen=True, slots=True)
class QuantityComparison:
    """One strip: the reading, the readings it is compared with, the range they give, the outcome.

    Values are in the SI unit of the quantity. ``expected`` is None when too little stands behind it;
    ``reason`` says why an outcome is not one of inside, below, above.
    """

    quantity: Quantity
    reading: Estimate
    known_good: tuple[float, ...]
    expected: ExpectedRange | None
    outcome: Outcome
    reason: str = ""


@dataclass(frozen=True, slots=True)
class WindowComparison:
    """A steady window against the book: its strips and the sheet of matched conditions."""

    window: SteadyWindow
    matches: Matches
    strips: tuple[QuantityComparison, ...]
    reason: str = ""

    @property
    def comparable(self) -> bool:
        """Whether at least one known-good reading was taken under matching conditions."""
        return bool(self.matches.comparable)


def compare_window(
    window: SteadyWindow, conditions: Conditions, known_good: Sequence[Reading]
) -> WindowComparison:
    """Compare every quantity of a steady window with the known-good readings that match it."""
    point = Point(conditions, window.engine_rpm, window.fan_stage)
    matches = match_all(point, known_good)
    reason = _why_not(matches)
    strips = tuple(
        compare_quantity(quantity, window.values[quantity], matches, reason)
        for quantity in Quantity
        if quantity in window.values
    )
    return WindowComparison(window, matches, strips, reason)


def compare_quantity(
    quantity: Quantity, reading: Estimate, matches: Matches, reason: str = ""
) -> QuantityComparison:
    """Compare one quantity; ``reason`` tells why nothing is comparable, empty when something is."""
    if reason:
        return QuantityComparison(quantity, reading, (), None, Outcome.NOT_COMPARABLE, reason)
    kept = [one.reading for one in matches.comparable if quantity in one.reading.values]
    values = tuple(one.values[quantity].value for one in kept)
    expected = expected_range(values, [_car(one) for one in kept])
    if expected is None:
        cars = len({_car(one) for one in kept})
        too_few = (
            f"{_count(len(values), 'known-good reading')} of {_count(cars, 'car')} under these conditions; "
            f"a range needs {READINGS_NEEDED} of {CARS_NEEDED}"
        )
        return QuantityComparison(quantity, reading, values, None, Outcome.NOT_COMPARABLE, too_few)
    outcome = place(reading, expected)
    doubt = "outside, by less than its uncertainty" if outcome is Outcome.CANNOT_TELL else ""
    return QuantityComparison(quantity, reading, values, expected, outcome, doubt)


def place(reading: Estimate, expected: ExpectedRange) -> Outcome:
    """Where a reading lies: a distance smaller than its 95 % uncertainty is no finding.

    >>> from knowngood_refdata.expected.prediction import Interval
    >>> band = ExpectedRange(5.0, Interval(4.0, 6.0), Interval(2.0, 8.0), 9, 5, 6.0)
    >>> [str(place(Estimate(value, 0.5), band)) for value in (5.0, 1.5, 0.5, 9.5)]
    ['inside', 'cannot tell', 'below', 'above']
    """
    if reading.value in expected.outer:
        return Outcome.INSIDE
    half = EXPANSION * reading.standard_uncertainty
    if reading.value + half < expected.outer.low:
        return Outcome.BELOW
    if reading.value - half > expected.outer.high:
        return Outcome.ABOVE
    return Outcome.CANNOT_TELL


def _car(reading: Reading) -> Hashable:
    # A reading of an unnamed car cannot be told from one of another unnamed car: taking each as a car
    # of its own would feign evidence, so all of them count as one.
    return reading.unit_id


def _why_not(matches: Matches) -> str:
    if not matches.all:
        return "the book holds no known-good reading of this vehicle"
    if matches.comparable:
        return ""
    missing = matches.not_recorded()
    if missing:
        return f"{_listed([str(one) for one in missing])} of this session not recorded"
    return _nearest_obstacles(matches)


def _nearest_obstacles(matches: Matches) -> str:
    """Name the conditions that exclude the readings which come closest to matching."""
    fewest = min(len(one.obstacles) for one in matches.all)
    nearest = [one for one in matches.all if len(one.obstacles) == fewest]
    named = dict.fromkeys(condition for one in nearest for condition in one.obstacles)
    differences = _listed([describe(condition, matches.point, nearest[0].reading) for condition in named])
    return f"no known-good reading matches: {differences}"


def describe(condition: str, point: Point, reading: Reading) -> str:
    """A condition of the point and of a reading in words, for the conditions counted in plain numbers."""
    if condition == "fan stage":
        there = "not recorded" if reading.fan_stage is None else f"stage {reading.fan_stage}"
        return f"fan stage {point.fan_stage} here, {there} there"
    if condition == "engine speed" and point.engine_rpm is not None and reading.engine_rpm is not None:
        return f"engine speed {point.engine_rpm:.0f} rpm here, {reading.engine_rpm:.0f} rpm there"
    if condition == "air source":
        return f"air source {point.conditions.air_source} here, {reading.conditions.air_source} there"
    return f"{condition} differs"


def _listed(parts: Sequence[str]) -> str:
    return ", ".join(parts[:-1]) + " and " + parts[-1] if len(parts) > 1 else "".join(parts)


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
