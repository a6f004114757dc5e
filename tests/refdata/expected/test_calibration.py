"""Calibration is counted on the library itself, and says where it fails."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import pytest
from tests.refdata.expected.drawn_fleet import drawn_fleet
from tests.refdata.expected.shop import four_families, readings_of

from knowngood_refdata.expected.book import Book
from knowngood_refdata.expected.calibration import Calibration, Cancelled, LeftOut, calibrate
from knowngood_refdata.expected.failures import failures
from knowngood_refdata.expected.forecasts import Basis, Side, Subject
from knowngood_refdata.expected.match import Point
from knowngood_refdata.expected.nodes import car_of
from knowngood_refdata.records import Quantity

if TYPE_CHECKING:
    from tests.refdata.expected.fleet import Fleet

    from knowngood_refdata.records import Reading


@cache
def counted() -> tuple[Fleet, Book, Calibration]:
    fleet = drawn_fleet(4, makers=5, families=10, configurations=40)
    book = Book.of(fleet.library, fleet.vehicles)
    return fleet, book, calibrate(book)


def test_ninety_percent_ranges_hold_about_nine_in_ten_readings_left_out() -> None:
    _, _, calibration = counted()
    for left_out in LeftOut:
        tally = calibration.tally(left_out)
        assert tally.of > 400
        assert 0.85 < tally.share < 0.96
        assert 0.42 < tally.inner_held / tally.of < 0.65


def test_every_reading_is_left_out_with_its_configuration_and_every_car_that_has_company() -> None:
    fleet, _, calibration = counted()
    measured = {one.id for one in fleet.library}
    whole = [one for one in calibration.asked if one.left_out is LeftOut.CONFIGURATION]
    assert {one.reading.id for one in whole if one.what is Quantity.VENT} == measured
    cars: dict[int, set[tuple[int, int]]] = {}
    for one in fleet.library:
        cars.setdefault(one.vehicle_id, set()).add(car_of(one))
    in_company = {one.id for one in fleet.library if len(cars[one.vehicle_id]) > 1}
    single = [one for one in calibration.asked if one.left_out is LeftOut.UNIT]
    assert {one.reading.id for one in single if one.what is Quantity.VENT} == in_company
    assert {one.basis for one in single} == {Basis.CONFIGURATION}
    assert {one.basis for one in whole} <= {Basis.FAMILY, Basis.MAKER, Basis.ALL}


def test_answers_to_engine_speed_are_counted_too() -> None:
    _, _, calibration = counted()
    for side in Side:
        assert calibration.tally(what=side).of > 40


def test_what_is_left_out_is_not_known() -> None:
    # Fitted anew from nothing but the rest, the answer is much the same: nothing leaks.
    fleet, _, calibration = counted()
    number = fleet.library[20].vehicle_id
    rest = Book.of([one for one in fleet.library if one.vehicle_id != number], fleet.vehicles)
    asked = [
        one
        for one in calibration.asked
        if one.left_out is LeftOut.CONFIGURATION
        and one.reading.vehicle_id == number
        and one.what is Quantity.SUPERHEAT
    ]
    assert asked
    for one in asked:
        point = Point(one.reading.conditions, one.reading.engine_rpm, one.reading.fan_stage)
        about = Subject(fleet.vehicle(one.reading), one.reading.unit_id, point)
        found = rest.forecast(about, Quantity.SUPERHEAT).probability_below(
            one.reading.values[Quantity.SUPERHEAT].value
        )
        assert one.place == pytest.approx(found, abs=0.08)


def test_tallies_add_up() -> None:
    _, _, calibration = counted()
    whole = calibration.tally()
    parts = [calibration.tally(left_out, what=what) for left_out in LeftOut for what in (*Quantity, *Side)]
    assert sum(one.of for one in parts) == whole.of
    assert sum(one.held for one in parts) == whole.held
    assert len(calibration.misses) == whole.of - whole.held


def test_a_calibration_can_be_watched_and_stopped() -> None:
    vehicles = four_families()
    book = Book.of(readings_of(vehicles, Quantity.SUPERHEAT, [6.0] * 12), vehicles)
    shares: list[float] = []
    calibrate(book, shares.append, quantities=[Quantity.SUPERHEAT])
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    with pytest.raises(Cancelled):
        calibrate(book, cancelled=lambda: True)


def test_the_page_names_the_maker_whose_cars_do_not_fit() -> None:
    # Every other car of Gill blows 4 K warmer, the rest 4 K colder: no other maker's cars differ so.
    fleet, _, _ = counted()
    shaken = [
        _warmer(one, 4.0 if (one.unit_id or 0) % 2 else -4.0) if fleet.vehicle(one).maker == "Gill" else one
        for one in fleet.library
    ]
    book = Book.of(shaken, fleet.vehicles)
    found = failures(book, calibrate(book, quantities=[Quantity.VENT]))
    assert found
    assert {one.what for one in found} == {Quantity.VENT}
    assert all("Gill" in one.group for one in found)
    assert f"held {found[0].held} of {found[0].of} readings" in found[0].sentence


def _warmer(one: Reading, by_k: float) -> Reading:
    vent = one.values[Quantity.VENT]
    return replace(one, values={**one.values, Quantity.VENT: replace(vent, value=vent.value + by_k)})


def test_a_library_that_fits_has_nothing_to_name() -> None:
    _, book, calibration = counted()
    assert len(failures(book, calibration)) <= 1


def test_an_empty_book_has_nothing_to_count() -> None:
    calibration = calibrate(Book.of([], []))
    assert calibration.asked == ()
    assert np.isnan(calibration.tally().share)
