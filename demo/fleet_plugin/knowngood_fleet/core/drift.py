"""Whether a unit moves away from what its sisters show under the same conditions.

Each reading is set against the range that the known-good readings of its sisters give under the reading's
own conditions, its own readings left out. What is left over, averaged over a visit, is laid over time.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from knowngood_fleet.core.leaks import DAYS_A_YEAR
from knowngood_fleet.core.lines import Line, line
from knowngood_refdata.expected.forecasts import Basis, Forecast, Subject
from knowngood_refdata.expected.match import Point
from knowngood_refdata.records import Estimate, Quantity

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date

    from knowngood_refdata.expected.book import Book
    from knowngood_refdata.records import Reading

FOLLOWED = (Quantity.SUBCOOLING, Quantity.VENT)
"""Subcooling tells of charge, vent temperature of what the driver feels."""
SISTERS = (Basis.CONFIGURATION, Basis.FAMILY)
FEWEST_VISITS = 3
_UNKNOWN_U_K = 1.0


class Course(StrEnum):
    """How a quantity moves over the years against the sisters."""

    RISING = "rises"
    FALLING = "falls"
    ZERO = "no drift distinguishable from zero"
    UNKNOWN = "not enough visits"


@dataclass(frozen=True, slots=True)
class Visit:
    """What one day's readings of a quantity are off from the sisters, on average [K]."""

    at: date
    off: Estimate
    readings: int


@dataclass(frozen=True, slots=True)
class Drift:
    """The course of one quantity.

    Attributes
    ----------
    kelvin_per_year
        Slope of the weighted line through the visits, None when it is not known.
    half_width_95
        Half its 95 % interval, widened where the visits scatter more than their instruments.
    today
        The line at the last visit: by how much the unit is off its sisters.
    reason
        Why there is none; empty otherwise.
    """

    quantity: Quantity
    course: Course
    visits: tuple[Visit, ...] = ()
    kelvin_per_year: Estimate | None = None
    half_width_95: float = math.nan
    today: Estimate | None = None
    fitted: Line | None = None
    reason: str = ""


def visits(book: Book, quantity: Quantity, own: Iterable[Reading]) -> tuple[tuple[Visit, ...], str]:
    """What each visit of a unit is off from its sisters, oldest first, and why readings were left out.

    ``book`` holds the sisters' readings and none of the unit's own.
    """
    by_day: dict[date, list[tuple[float, float]]] = {}
    reasons: dict[str, None] = {}
    for reading in own:
        if quantity not in reading.values:
            continue
        expected = sisters_range(book, quantity, reading)
        if expected.centre is None:
            reasons[expected.reason or "no sister was read under such conditions"] = None
            continue
        estimate = reading.values[quantity]
        u = estimate.standard_uncertainty or _UNKNOWN_U_K
        by_day.setdefault(reading.taken_at.date(), []).append((estimate.value - expected.centre, u))
    return tuple(_visit(day, found) for day, found in sorted(by_day.items())), "; ".join(reasons)


def sisters_range(book: Book, quantity: Quantity, reading: Reading) -> Forecast:
    """What the sisters of a reading's unit show under its conditions; unknown without a sister."""
    vehicle = book.vehicles.get(reading.vehicle_id)
    if vehicle is None:
        return _no_sister(quantity)
    point = Point(reading.conditions, reading.engine_rpm, reading.fan_stage)
    found = book.forecast(Subject(vehicle, None, point), quantity)
    return found if found.basis in SISTERS else _no_sister(quantity)


def drift(quantity: Quantity, found: Sequence[Visit], reason: str = "") -> Drift:
    """The course of a quantity through the visits of a unit."""
    if len(found) < FEWEST_VISITS:
        told = reason or f"{FEWEST_VISITS} visits on different days are needed"
        return Drift(quantity, Course.UNKNOWN, tuple(found), reason=told)
    last = found[-1].at
    fitted = line(
        [(one.at - last).days / DAYS_A_YEAR for one in found],
        [one.off.value for one in found],
        [one.off.standard_uncertainty for one in found],
    )
    half = fitted.half_width_95(scatters=True)
    return Drift(
        quantity, _course(fitted.slope.value, half), tuple(found), fitted.slope, half, fitted.at(0.0), fitted
    )


def _visit(day: date, found: Sequence[tuple[float, float]]) -> Visit:
    """The mean of a day: one instrument read them all, so its error does not shrink with their number."""
    mean = sum(off for off, _ in found) / len(found)
    return Visit(day, Estimate(mean, sum(u for _, u in found) / len(found)), len(found))


def _course(slope: float, half: float) -> Course:
    if abs(slope) <= half:
        return Course.ZERO
    return Course.RISING if slope > 0.0 else Course.FALLING


def _no_sister(quantity: Quantity) -> Forecast:
    return Forecast(
        quantity, None, None, None, None, 0, 0, 0, "no sister of the same design has a known-good reading"
    )
