"""What the library answers about a vehicle."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_refdata.drafts import ReadingDraft, SessionDraft, VehicleDraft
from knowngood_refdata.queries import readings, sessions, vehicles
from knowngood_refdata.records import Conditions, Estimate, Quantity, Recording, Standing
from knowngood_specs.gather import AlreadyHeld, Evidence, add_new_vehicle, evidence

if TYPE_CHECKING:
    from knowngood_refdata.store import Store


def add_reading(store: Store, vehicle_id: int, car: int | None, standing: Standing) -> None:
    draft = ReadingDraft(
        vehicle_id,
        car,
        None,
        datetime(2026, 8, 14, tzinfo=UTC),
        Conditions(),
        750.0,
        1,
        {Quantity.LOW_SIDE: Estimate(308_000.0, 3_000.0)},
        standing,
        "weighed in",
    )
    readings.add(store, draft)


def add_session(store: Store, vehicle_id: int) -> None:
    draft = SessionDraft(vehicle_id, "idle", "R-1234yf", "log.csv")
    sessions.save(store, draft, Recording(np.array([0.0, 1.0]), ()), b"time\n0\n1\n")


def test_only_known_good_readings_count_and_each_car_once(store: Store, skerry: int) -> None:
    first, second = (vehicles.add_unit(store, skerry, fleet_number=name) for name in ("12", "13"))
    for car in (first, first, second, None):
        add_reading(store, skerry, car, Standing.KNOWN_GOOD)
    add_reading(store, skerry, second, Standing.CANDIDATE)
    assert evidence(store, skerry) == Evidence(4, 2, 0)


def test_sessions_of_other_vehicles_do_not_count(store: Store, skerry: int) -> None:
    (other,) = vehicles.search(store, "combe")
    add_session(store, skerry)
    add_session(store, other.id)
    add_session(store, skerry)
    assert evidence(store, skerry).sessions == 2


def test_a_vehicle_that_is_on_record_is_not_added_again(store: Store, skerry: int) -> None:
    before = vehicles.count(store)
    with pytest.raises(AlreadyHeld, match="Nothing was stored"):
        add_new_vehicle(store, VehicleDraft("tarn", "SKERRY", "1.6 petrol", 2021, 2023))
    assert vehicles.count(store) == before


def test_a_variant_is_added_beside_the_vehicle_it_resembles(store: Store, skerry: int) -> None:
    added = add_new_vehicle(store, VehicleDraft("Tarn", "Skerry", "1.6 petrol", 2021, 2023, market="south"))
    assert added.id != skerry
    assert len(vehicles.search(store, "tarn skerry")) == 2
