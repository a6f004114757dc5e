"""Each quantity of a steady window against what the book expects of this car under these conditions."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.expected.carrying import carried
from knowngood_refdata.expected.forecasts import Subject
from knowngood_refdata.expected.likeness import Condition, Grade, match_sheet
from knowngood_refdata.expected.match import Point
from knowngood_refdata.expected.outcome import Outcome, placed
from knowngood_refdata.records import Quantity

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from knowngood_refdata.expected.book import Book
    from knowngood_refdata.expected.forecasts import Behind, Forecast
    from knowngood_refdata.expected.likeness import Likeness, MatchSheet
    from knowngood_refdata.records import Conditions, Estimate, Reading, SteadyWindow, Vehicle

MOST_TICKS = 16
"""So many of the heaviest readings are drawn behind a range."""
PLAIN_NUMBERS = (Condition.ENGINE_SPEED, Condition.FAN_STAGE)
"""Conditions that read alike in every unit system."""
OUTSIDE_BUT_UNSURE = "outside, by less than its uncertainty"


@dataclass(frozen=True, slots=True)
class QuantityExpectation:
    """What a quantity should be: its range, and the readings behind it carried over to these conditions."""

    quantity: Quantity
    forecast: Forecast
    known_good: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class QuantityComparison:
    """One strip: the reading, its range, the readings behind it, the outcome.

    Values are in the SI unit of the quantity. ``reason`` says why an outcome is not one of inside, below,
    above.
    """

    quantity: Quantity
    reading: Estimate
    forecast: Forecast
    known_good: tuple[float, ...]
    outcome: Outcome
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Expectation:
    """What a reading under some conditions should show, without one being in hand."""

    sheet: MatchSheet
    quantities: tuple[QuantityExpectation, ...]
    behind: tuple[Behind, ...]


@dataclass(frozen=True, slots=True)
class WindowComparison:
    """A steady window against the book: its strips, the match sheet, the readings behind.

    ``reason`` says why nothing of it is comparable, empty when something is.
    """

    window: SteadyWindow
    sheet: MatchSheet
    strips: tuple[QuantityComparison, ...]
    behind: tuple[Behind, ...]
    reason: str = ""

    @property
    def comparable(self) -> bool:
        """Whether at least one quantity could be compared."""
        return any(one.outcome is not Outcome.NOT_COMPARABLE for one in self.strips)


def subject_of(
    vehicle: Vehicle, unit_id: int | None, conditions: Conditions, window: SteadyWindow
) -> Subject:
    """The subject of a steady window, its measuring uncertainty included."""
    point = Point(conditions, window.engine_rpm, window.fan_stage)
    uncertainty = {quantity: one.standard_uncertainty for quantity, one in window.values.items()}
    return Subject(vehicle, unit_id, point, uncertainty)


def expect(
    book: Book, subject: Subject, quantities: Iterable[Quantity] = Quantity, *, ticks: bool = True
) -> Expectation:
    """What a reading of a subject should show; without ``ticks`` no readings are carried over."""
    behind = book.behind(subject, Quantity.EVAPORATING)
    readings = _heaviest(book, subject, behind) if ticks else []
    found = tuple(
        QuantityExpectation(one, book.forecast(subject, one), carried(book, subject, one, readings))
        for one in quantities
    )
    return Expectation(match_sheet(book, subject, behind), found, behind)


def compare_window(
    book: Book,
    vehicle: Vehicle,
    unit_id: int | None,
    conditions: Conditions,
    window: SteadyWindow,
    *,
    ticks: bool = True,
) -> WindowComparison:
    """Compare every quantity of a steady window with what the book expects; see `expect` for ``ticks``."""
    subject = subject_of(vehicle, unit_id, conditions, window)
    expected = expect(book, subject, [one for one in Quantity if one in window.values], ticks=ticks)
    blocked = blocking_words(expected.sheet)
    strips = tuple(_strip(one, window.values[one.quantity], blocked) for one in expected.quantities)
    return WindowComparison(window, expected.sheet, strips, expected.behind, _whole_reason(strips, blocked))


def blocking_words(sheet: MatchSheet) -> str:
    """Why nothing under these conditions is comparable; empty when something is.

    >>> from knowngood_refdata.expected.likeness import Condition, Grade, Likeness, MatchSheet
    >>> doors = Likeness(Condition.DOORS, Grade.DIFFERS, words_here="open", words_there="closed 9")
    >>> blocking_words(MatchSheet((doors,), 9))
    'doors open here, closed 9 there'
    """
    told = [_blocked(one) for one in sheet.blocking]
    return ", ".join(told[:-1]) + " and " + told[-1] if len(told) > 1 else "".join(told)


def _blocked(one: Likeness) -> str:
    if one.grade is Grade.NOT_RECORDED:
        return f"{one.condition} not recorded"
    if one.words_here:
        return f"{one.condition} {one.words_here} here, {one.words_there} there"
    if one.condition in PLAIN_NUMBERS and one.here is not None and one.there is not None:
        low, high = one.there
        there = f"{low:.0f}" if f"{low:.0f}" == f"{high:.0f}" else f"{low:.0f} to {high:.0f}"
        return f"{one.condition} {one.here:.0f} here, {there} there"
    return f"{one.condition} differs"


def _strip(expected: QuantityExpectation, reading: Estimate, blocked: str) -> QuantityComparison:
    forecast = expected.forecast
    if forecast.outer is None or blocked:
        outcome, reason = Outcome.NOT_COMPARABLE, blocked or forecast.reason
    else:
        outcome = placed(reading, forecast.outer.low, forecast.outer.high)
        reason = OUTSIDE_BUT_UNSURE if outcome is Outcome.CANNOT_TELL else ""
    return QuantityComparison(expected.quantity, reading, forecast, expected.known_good, outcome, reason)


def _whole_reason(strips: Sequence[QuantityComparison], blocked: str) -> str:
    reasons = {one.reason for one in strips}
    if blocked or (len(reasons) == 1 and all(one.outcome is Outcome.NOT_COMPARABLE for one in strips)):
        return blocked or reasons.pop()
    return ""


def _heaviest(book: Book, subject: Subject, behind: Sequence[Behind]) -> list[Reading]:
    """The heaviest readings of the nearest kin: those of its kin's kin say more of slopes than of levels."""
    kin = [one for one in behind if not one.flagged and _kin(book, subject.vehicle, one.reading)]
    own = [one for one in kin if one.reading.vehicle_id == subject.vehicle.id]
    return [one.reading for one in (own or kin)[:MOST_TICKS]]


def _kin(book: Book, vehicle: Vehicle, reading: Reading) -> bool:
    other = book.vehicles[reading.vehicle_id]
    return other.id == vehicle.id or (other.maker, other.family) == (vehicle.maker, vehicle.family)
