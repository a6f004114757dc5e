"""Each quantity of a steady point against the known-good readings that may be compared with it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.expected.match import Matches, Point, match_all
from knowngood_refdata.expected.outcome import Outcome, placed
from knowngood_refdata.expected.prediction import (
    CARS_NEEDED,
    READINGS_NEEDED,
    ExpectedRange,
    expected_range,
)
from knowngood_refdata.records import Conditions, Estimate, Quantity, Reading, SteadyWindow

if TYPE_CHECKING:
    from collections.abc import Hashable, Sequence


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
class QuantityExpectation:
    """What a quantity should be: the readings behind it and the range they give, or why there is none."""

    quantity: Quantity
    known_good: tuple[float, ...]
    expected: ExpectedRange | None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Expectation:
    """What a reading under some conditions should show, quantity by quantity.

    ``reason`` says why no known-good reading may be looked at, empty when some may.
    """

    matches: Matches
    quantities: tuple[QuantityExpectation, ...]
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
    expectation = expect_quantity(quantity, matches, reason)
    expected, known_good = expectation.expected, expectation.known_good
    if expected is None:
        outcome = Outcome.NOT_COMPARABLE
        return QuantityComparison(quantity, reading, known_good, None, outcome, expectation.reason)
    outcome = placed(reading, expected.outer.low, expected.outer.high)
    doubt = "outside, by less than its uncertainty" if outcome is Outcome.CANNOT_TELL else ""
    return QuantityComparison(quantity, reading, known_good, expected, outcome, doubt)


def expect(point: Point, known_good: Sequence[Reading]) -> Expectation:
    """What a reading under these conditions should show, without one being in hand."""
    matches = match_all(point, known_good)
    reason = _why_not(matches)
    held = {quantity for one in known_good for quantity in one.values}
    quantities = tuple(expect_quantity(one, matches, reason) for one in Quantity if one in held)
    return Expectation(matches, quantities, reason)


def expect_quantity(quantity: Quantity, matches: Matches, reason: str = "") -> QuantityExpectation:
    """The range of one quantity from the readings that match; ``reason`` as for `compare_quantity`."""
    if reason:
        return QuantityExpectation(quantity, (), None, reason)
    kept = [one.reading for one in matches.comparable if quantity in one.reading.values]
    values = tuple(one.values[quantity].value for one in kept)
    expected = expected_range(values, [_car(one) for one in kept])
    if expected is not None:
        return QuantityExpectation(quantity, values, expected)
    cars = len({_car(one) for one in kept})
    too_few = (
        f"{_count(len(values), 'known-good reading')} of {_count(cars, 'car')} under these conditions; "
        f"a range needs {READINGS_NEEDED} of {CARS_NEEDED}"
    )
    return QuantityExpectation(quantity, values, None, too_few)


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
