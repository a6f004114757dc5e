"""Decide about a reading of the book, and tell how the ranges of its vehicle moved."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.expected.forecasts import Subject
from knowngood_refdata.expected.match import Point
from knowngood_refdata.queries import readings, vehicles
from knowngood_refdata.queries.known_book import known_book
from knowngood_refdata.records import Quantity

if TYPE_CHECKING:
    from knowngood_refdata.expected.forecasts import Forecast
    from knowngood_refdata.records import Reading, Standing
    from knowngood_refdata.store import Store

TOLD = (Quantity.SUBCOOLING, Quantity.SUPERHEAT, Quantity.HIGH_SIDE, Quantity.LOW_SIDE)


@dataclass(frozen=True, slots=True)
class Moved:
    """The ranges under the reading's conditions before and after the decision, by quantity."""

    before: dict[Quantity, Forecast]
    after: dict[Quantity, Forecast]


def decide(store: Store, reading: Reading, standing: Standing, why: str) -> Moved:
    """Change the standing of a reading under the user's name, and look at the ranges before and after.

    Raises
    ------
    knowngood_refdata.queries.readings.ReasonMissing
        Without a reason or a user's name.
    knowngood_refdata.store.StoreError
        When someone else decided meanwhile, or the library cannot be written.
    """
    point = Point(reading.conditions, reading.engine_rpm, reading.fan_stage)
    subject = Subject(vehicles.vehicle(store, reading.vehicle_id), None, point)
    before = _ranges(store, subject)
    readings.decide(store, reading.id, reading.version, standing, why)
    return Moved(before, _ranges(store, subject))


def _ranges(store: Store, subject: Subject) -> dict[Quantity, Forecast]:
    book = known_book(store)
    return {one: book.forecast(subject, one) for one in TOLD}
