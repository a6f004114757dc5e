"""What the page asks the library for, beyond the vehicle itself."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.queries import filters, readings, sessions, vehicles
from knowngood_refdata.records import Standing
from knowngood_specs.core.form import same_vehicle

if TYPE_CHECKING:
    from knowngood_refdata.drafts import VehicleDraft
    from knowngood_refdata.records import Vehicle
    from knowngood_refdata.store import Store


@dataclass(frozen=True, slots=True)
class Evidence:
    """How many known-good readings of how many named cars, and how many sessions a vehicle has."""

    readings: int
    cars: int
    sessions: int


class AlreadyHeld(ValueError):  # noqa: N818 - reads as what it is
    """The library holds this very vehicle."""


def evidence(store: Store, vehicle_id: int) -> Evidence:
    """What the book knows about a vehicle."""
    known_good, cars = readings.count(store, vehicle_id, Standing.KNOWN_GOOD)
    return Evidence(known_good, cars, sessions.count(store, vehicle_id))


def filter_choices(store: Store) -> dict[filters.Choice, tuple[str, ...]]:
    """What the library holds for each filter of the list."""
    return {one: filters.choices(store, one) for one in filters.Choice}


def add_new_vehicle(store: Store, draft: VehicleDraft) -> Vehicle:
    """Add a vehicle that the library does not hold yet; the record of it.

    Raises
    ------
    AlreadyHeld
        When make, model, engine, years, market and evaporators are all those of one on record.
    """
    held = same_vehicle(draft, vehicles.search(store, f"{draft.make} {draft.model}"))
    if held is not None:
        raise AlreadyHeld(
            f"The library holds {held.name} already. Nothing was stored. Add a value to that record, or tell "
            "this vehicle apart by engine, market, years or evaporators."
        )
    return vehicles.vehicle(store, vehicles.add_vehicle(store, draft))
