"""The book of a library as it stands: learnt once, and brought up to date."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_refdata.drafts import ReadingDraft, SessionDraft, SpecDraft, VehicleDraft
from knowngood_refdata.expected.book import Book
from knowngood_refdata.expected.forecasts import Subject
from knowngood_refdata.expected.match import Point
from knowngood_refdata.queries import readings, sessions, vehicles
from knowngood_refdata.queries.known_book import book_for_session, known_book
from knowngood_refdata.records import (
    AirSource,
    Channel,
    Conditions,
    Estimate,
    Quantity,
    Recording,
    Role,
    SourceKind,
    Standing,
)

if TYPE_CHECKING:
    from knowngood_refdata.store import Store

DAY = datetime(2025, 6, 2, 9, tzinfo=UTC)
SUMMER = Conditions(ambient_k=304.0, relative_humidity=0.5, air_source=AirSource.RECIRCULATION)


@pytest.fixture
def vehicle(store: Store) -> int:
    spec = SpecDraft("compressor", None, "fixed displacement", SourceKind.UNDER_HOOD_LABEL, "label")
    return vehicles.add_vehicle(store, VehicleDraft("Tarn", "Skerry", "1.6", 2021, family="A", specs=(spec,)))


def draft(vehicle: int, unit: int, subcooling: float, session: int | None = None) -> ReadingDraft:
    return ReadingDraft(
        vehicle, unit, session, DAY + timedelta(days=unit), SUMMER, 780.0, 1,
        {Quantity.SUBCOOLING: Estimate(subcooling, 0.5)}, Standing.KNOWN_GOOD, "weighed in",
    )  # fmt: skip


def add(store: Store, vehicle: int, *subcoolings: float) -> list[int]:
    return [
        readings.add(store, draft(vehicle, vehicles.add_unit(store, vehicle, fleet_number=str(one)), one))
        for one in subcoolings
    ]


def centre(store: Store, vehicle: int, book: Book | None = None) -> float:
    subject = Subject(vehicles.vehicle(store, vehicle), None, Point(SUMMER, 780.0, 1))
    found = (book or known_book(store)).forecast(subject, Quantity.SUBCOOLING).centre
    assert found is not None
    return found


def test_a_library_without_readings_has_an_empty_book(store: Store) -> None:
    assert known_book(store).readings == ()


def test_the_same_library_is_learnt_from_once(store: Store, vehicle: int) -> None:
    add(store, vehicle, 9.0, 10.0, 11.0, 10.5)
    assert known_book(store) is known_book(store)


def test_an_added_reading_gives_the_ranges_that_learning_anew_would_give(store: Store, vehicle: int) -> None:
    add(store, vehicle, 9.0, 10.0, 11.0, 10.5)
    known_book(store)
    add(store, vehicle, 14.0)
    grown = known_book(store)
    anew = Book.of(grown.readings, grown.vehicles.values())
    assert len(grown.readings) == 5
    assert centre(store, vehicle, grown) == centre(store, vehicle, anew)


def test_a_retired_reading_moves_the_range(store: Store, vehicle: int) -> None:
    *_, last = add(store, vehicle, 9.0, 10.0, 11.0, 10.5, 20.0)
    before = centre(store, vehicle)
    readings.decide(store, last, 1, Standing.RETIRED, "filter blocked")
    assert len(known_book(store).readings) == 4
    assert centre(store, vehicle) < before


def test_candidates_and_imported_readings_stand_apart(store: Store, vehicle: int) -> None:
    add(store, vehicle, 9.0, 10.0)
    unit = vehicles.add_unit(store, vehicle, fleet_number="x")
    for standing in (Standing.CANDIDATE, Standing.IMPORTED):
        number = readings.add(store, draft(vehicle, unit, 30.0))
        readings.decide(store, number, 1, standing, "not of this shop")
    assert len(known_book(store).readings) == 2
    assert [
        one.values[Quantity.SUBCOOLING].value for one in known_book(store, Standing.IMPORTED).readings
    ] == [30.0]


def test_a_corrected_record_of_the_vehicle_is_learnt_anew(store: Store, vehicle: int) -> None:
    add(store, vehicle, 9.0, 10.0, 11.0, 10.5)
    before = known_book(store)
    vehicles.add_spec(
        store, vehicle, SpecDraft("refrigerant", None, "R-134a", SourceKind.UNDER_HOOD_LABEL, "label")
    )
    after = known_book(store)
    assert after is not before
    assert after.vehicles[vehicle].refrigerant == "R-134a"


def test_a_sessions_own_readings_are_no_evidence_for_it(store: Store, vehicle: int) -> None:
    add(store, vehicle, 9.0, 10.0, 11.0, 10.5)
    time = np.arange(4.0)
    recording = Recording(time, (Channel("P1", Role.LOW_SIDE, "psi", True, time),))
    session = sessions.save(store, SessionDraft(vehicle, "check", "R-134a", "a.csv"), recording, b"a")
    unit = vehicles.add_unit(store, vehicle, fleet_number="own")
    readings.add(store, draft(vehicle, unit, 25.0, session))
    assert len(known_book(store).readings) == 5
    assert len(book_for_session(store, session).readings) == 4
    assert centre(store, vehicle, book_for_session(store, session)) < centre(store, vehicle)
