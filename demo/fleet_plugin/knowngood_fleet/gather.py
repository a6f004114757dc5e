"""Look at the whole fleet, off the GUI thread: what is due, what leaks, what drifts."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from knowngood_fleet import library
from knowngood_fleet.core.drift import FOLLOWED, Drift, drift, sisters_range, visits
from knowngood_fleet.core.due import Due, State, due
from knowngood_fleet.core.leaks import Leak, leak
from knowngood_fleet.core.refill import Flag, flag
from knowngood_refdata.expected.carrying import carried
from knowngood_refdata.expected.forecasts import Subject
from knowngood_refdata.expected.match import Point
from knowngood_refdata.queries import readings
from knowngood_refdata.queries.known_book import known_book
from knowngood_refdata.records import Standing

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date

    from knowngood_fleet.core.fleet import FleetUnit
    from knowngood_refdata.expected.book import Book
    from knowngood_refdata.expected.forecasts import Forecast
    from knowngood_refdata.records import Estimate, Quantity, Reading
    from knowngood_refdata.store import Store

OWN_PAST = (Standing.KNOWN_GOOD, Standing.CANDIDATE)
"""A unit that drifts away is offered to the book and not taken: its candidates tell most."""


@dataclass(frozen=True, slots=True)
class Against:
    """The last reading of a quantity against the sisters, carried to its conditions."""

    reading: Reading
    value: Estimate
    expected: Forecast
    sisters: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class UnitFound:
    """One unit with everything that was found about it."""

    unit: FleetUnit
    leak: Leak
    flag: Flag
    due: tuple[Due, ...]
    drifts: tuple[Drift, ...] = ()
    against: tuple[Against, ...] = ()

    def pressing(self, *states: State) -> int:
        """How many checks are in one of these states."""
        return sum(one.state in states for one in self.due)


@dataclass(frozen=True, slots=True)
class Fleet:
    """The whole fleet on one day."""

    units: tuple[UnitFound, ...]
    today: date

    @property
    def depots(self) -> dict[str, tuple[UnitFound, ...]]:
        """The units by depot, in the order of their names."""
        names = sorted({one.unit.depot for one in self.units})
        return {name: tuple(one for one in self.units if one.unit.depot == name) for name in names}

    @property
    def designs(self) -> dict[str, tuple[UnitFound, ...]]:
        """The units by design."""
        names = sorted({one.unit.design for one in self.units})
        return {name: tuple(one for one in self.units if one.unit.design == name) for name in names}


@dataclass
class Gatherer:
    """Gathers the fleet; what a unit's readings said is kept while neither they nor the book have changed."""

    store: Store
    _kept: dict[int, tuple[Book, tuple[int, ...], tuple[Drift, ...], tuple[Against, ...]]] = field(
        default_factory=dict
    )

    @property
    def began(self) -> bool:
        """Whether readings were compared before, so that most of the answers are kept."""
        return bool(self._kept)

    def records(self, today: date) -> Fleet:
        """The whole fleet without a look at its readings, which takes longer than all the rest."""
        return Fleet(tuple(looked_at(one, today) for one in library.units(self.store)), today)

    def fleet(self, today: date, progress: Callable[[float], None] = lambda _: None) -> Fleet:
        """The whole fleet; ``progress`` may raise to stop.

        Raises
        ------
        knowngood_refdata.store.StoreError
            When the library cannot be read.
        """
        found = library.units(self.store)
        book = known_book(self.store) if found else None
        own = _own(self.store, found)
        units = []
        for number, one in enumerate(found):
            progress(number / len(found))
            drifts, against = self._compared(one, book, own.get(one.unit_id, ()))
            units.append(looked_at(one, today, drifts, against))
        return Fleet(tuple(units), today)

    def _compared(
        self, unit: FleetUnit, book: Book | None, own: tuple[Reading, ...]
    ) -> tuple[tuple[Drift, ...], tuple[Against, ...]]:
        if book is None:
            return (), ()
        numbers = tuple(one.id for one in own)
        kept = self._kept.get(unit.unit_id)
        if kept is None or kept[0] is not book or kept[1] != numbers:
            kept = (book, numbers, *compared(book, own))
            self._kept[unit.unit_id] = kept
        return kept[2], kept[3]


def looked_at(
    unit: FleetUnit, today: date, drifts: tuple[Drift, ...] = (), against: tuple[Against, ...] = ()
) -> UnitFound:
    """What the records of a unit say on a day."""
    lost = leak(unit.services)
    return UnitFound(unit, lost, flag(lost, unit.usual_loss_kg), due(unit, today), drifts, against)


def compared(book: Book, own: tuple[Reading, ...]) -> tuple[tuple[Drift, ...], tuple[Against, ...]]:
    """The drifts of a unit against its sisters, and its last readings; its own never count as a sister's."""
    ours = {one.id for one in own}
    sisters = book.without(ours) if ours & {one.id for one in book.readings} else book
    drifts = tuple(drift(quantity, *visits(sisters, quantity, own)) for quantity in FOLLOWED)
    against = [_against(sisters, quantity, own) for quantity in FOLLOWED]
    return drifts, tuple(one for one in against if one is not None)


def one_unit(store: Store, unit_id: int, today: date) -> UnitFound | None:
    """One unit as `Gatherer.fleet` finds it; None when the car is no unit of the fleet."""
    found = library.unit(store, unit_id)
    if found is None:
        return None
    own = _own(store, (found,)).get(unit_id, ())
    return looked_at(found, today, *compared(known_book(store), own))


def _against(sisters: Book, quantity: Quantity, own: tuple[Reading, ...]) -> Against | None:
    last = max((one for one in own if quantity in one.values), key=lambda one: one.taken_at, default=None)
    if last is None or last.vehicle_id not in sisters.vehicles:
        return None
    expected = sisters_range(sisters, quantity, last)
    point = Point(last.conditions, last.engine_rpm, last.fan_stage)
    subject = Subject(sisters.vehicles[last.vehicle_id], None, point)
    same = [one for one in sisters.readings if one.vehicle_id == last.vehicle_id]
    ticks = carried(sisters, subject, quantity, same) if expected.known else ()
    return Against(last, last.values[quantity], expected, ticks)


def _own(store: Store, units: tuple[FleetUnit, ...]) -> dict[int, tuple[Reading, ...]]:
    """The readings of each unit, oldest first."""
    found: dict[int, list[Reading]] = {one.unit_id: [] for one in units}
    for vehicle_id in {one.vehicle_id for one in units}:
        for reading in readings.readings(store, vehicle_id):
            if reading.unit_id in found and reading.standing in OWN_PAST:
                found[reading.unit_id].append(reading)
    return {unit_id: tuple(own) for unit_id, own in found.items()}
