"""From a node of the tree back to what it stands for: readings, vehicles, a name."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.forecasting import model_of
from knowngood_refdata.expected.model.extract import NOBODY

if TYPE_CHECKING:
    from collections.abc import Iterable

    from knowngood_refdata.expected.book import Book
    from knowngood_refdata.expected.forecasts import What
    from knowngood_refdata.expected.model.fitted import Fitted
    from knowngood_refdata.expected.model.nesting import Places
    from knowngood_refdata.records import Reading, Vehicle


@dataclass(frozen=True, slots=True)
class Node:
    """A node with the vehicles and readings below it, both in the order of the tree.

    ``value`` is the middle of what its readings show, ``taken`` that of what the model took: nonsense is
    not taken for as far off as it is.
    """

    name: str
    vehicles: tuple[Vehicle, ...]
    readings: tuple[Reading, ...]
    value: float
    taken: float

    def expected(self, off: float) -> float:
        """What its kin let expect, from how far off the model found what it took."""
        return self.taken - off

    @property
    def visits(self) -> int:
        """How many visits the readings come from."""
        return len(
            {(one.vehicle_id, one.unit_id, one.session_id, one.taken_at.date()) for one in self.readings}
        )


def node_of(book: Book, what: What, level: str, number: int) -> Node:
    """The node of a level: ``reading``, ``visit``, ``unit``, ``configuration`` or ``family``; as modelled."""
    fit, part = book.fit_of(what), book.part_of(what)
    assert fit is not None
    at = np.flatnonzero(of_readings(fit, level) == number)
    rows = fit.tree.rows[at]
    readings = tuple(part.rows.readings[row] for row in rows)
    vehicles = tuple(book.vehicles[i] for i in dict.fromkeys(one.vehicle_id for one in readings))
    value = float(np.median(part.rows.values[part.models.index(model_of(what)), rows]))
    taken = float(np.median(fit.tree.problem.measured[at])) + fit.frame.origin
    return Node(_name(level, vehicles, readings), vehicles, readings, value, taken)


def of_readings(fit: Fitted, level: str) -> Places:
    """The node of a level that each reading of a fit belongs to (n,)."""
    nesting = fit.tree.nesting
    visit = nesting.visit.of
    unit = nesting.unit.of[visit]
    configuration = nesting.configuration.of[unit]
    of = {
        "reading": np.arange(len(visit)),
        "visit": visit,
        "unit": unit,
        "configuration": configuration,
        "family": nesting.family.of[configuration],
    }
    return of[level]


def _name(level: str, vehicles: tuple[Vehicle, ...], readings: tuple[Reading, ...]) -> str:
    first, reading = vehicles[0], readings[0]
    if level == "family":
        return family_name(vehicles)
    if level == "configuration":
        return first.name
    car = reading.unit_name or (
        "a car without a name" if reading.unit_id is None else f"car {reading.unit_id}"
    )
    if level == "unit":
        return f"{first.name}, {car}"
    if level == "visit":
        return f"visit of {reading.taken_at:%Y-%m-%d}, {first.name}, {car}"
    return f"reading {reading.id} of {reading.taken_at:%Y-%m-%d}, {first.name}, {car}"


def family_name(vehicles: Iterable[Vehicle]) -> str:
    """The name on record of a family, or that of its first vehicle."""
    first = next(iter(vehicles))
    return first.family or first.name


def car_of(reading: Reading) -> tuple[int, int]:
    """Which car a reading is of, as the model counts cars."""
    return reading.vehicle_id, NOBODY if reading.unit_id is None else reading.unit_id
