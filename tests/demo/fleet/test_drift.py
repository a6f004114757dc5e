"""A unit against its sisters and its own past, like with like."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.demo.fleet.readings import PUNT, WHERRY, reading, sisters

from knowngood_fleet.core.drift import Course, drift, visits
from knowngood_refdata.expected.book import Book
from knowngood_refdata.records import Quantity, Reading

SUBCOOLING, VENT = Quantity.SUBCOOLING, Quantity.VENT


@pytest.fixture(scope="module")
def book() -> Book:
    return Book.of(sisters(), [WHERRY, PUNT])


def own(a_year_k: float, ambients: tuple[float, ...] = (27.0, 34.0, 29.0, 33.0, 31.0)) -> list[Reading]:
    """A unit's readings every half year, its subcooling moving by so much a year."""
    return [
        reading(number, 1, 182 * number, ambient, more_subcooling_k=a_year_k * 182 * number / 365.25)
        for number, ambient in enumerate(ambients)
    ]


def test_a_unit_that_loses_subcooling_year_by_year_is_seen_to_drift(book: Book) -> None:
    found = drift(SUBCOOLING, *visits(book, SUBCOOLING, own(-2.0)))
    assert found.course is Course.FALLING
    assert found.kelvin_per_year is not None
    assert abs(found.kelvin_per_year.value + 2.0) < found.half_width_95
    assert drift(VENT, *visits(book, VENT, own(-2.0))).course is Course.RISING


def test_a_healthy_unit_read_in_ever_hotter_weather_does_not_drift(book: Book) -> None:
    hotter = own(0.0, (26.0, 28.0, 30.0, 32.0, 34.0))
    raw = [one.values[SUBCOOLING].value for one in hotter]
    assert raw[-1] < raw[0] - 0.8, "the weather alone moves the raw readings"
    found = drift(SUBCOOLING, *visits(book, SUBCOOLING, hotter))
    assert found.course is Course.ZERO
    assert str(found.course) == "no drift distinguishable from zero"


def test_a_unit_that_always_stood_apart_is_off_its_sisters_and_does_not_drift(book: Book) -> None:
    apart = [
        reading(number, 1, 182 * number, ambient, more_subcooling_k=-4.0)
        for number, ambient in enumerate((27.0, 34.0, 29.0, 33.0))
    ]
    found = drift(SUBCOOLING, *visits(book, SUBCOOLING, apart))
    assert found.course is Course.ZERO
    assert found.today is not None
    assert found.today.value == pytest.approx(-4.0, abs=0.8)


def test_several_readings_of_one_day_are_one_visit_as_sure_as_one_reading(book: Book) -> None:
    day = [reading(number, 1, 10, 30.0) for number in range(4)]
    (visit,), _ = visits(book, SUBCOOLING, day)
    assert visit.readings == 4
    assert visit.off.standard_uncertainty == pytest.approx(0.4)


def test_visits_come_in_the_order_of_their_days(book: Book) -> None:
    found, _ = visits(book, SUBCOOLING, reversed(own(0.0)))
    assert [one.at for one in found] == sorted(one.at for one in found)


def test_two_visits_make_no_drift(book: Book) -> None:
    found = drift(SUBCOOLING, *visits(book, SUBCOOLING, own(-5.0)[:2]))
    assert found.course is Course.UNKNOWN
    assert "3 visits" in found.reason


def test_a_unit_without_a_sister_is_compared_with_nobody(book: Book) -> None:
    alone = [reading(number, 9, 182 * number, 30.0, vehicle=PUNT) for number in range(4)]
    found, why = visits(book, SUBCOOLING, alone)
    assert found == ()
    assert "no sister" in why
    assert drift(SUBCOOLING, found, why).reason == why


def test_a_reading_without_its_conditions_is_left_out_and_the_reason_is_told(book: Book) -> None:
    bare = replace(own(0.0)[0], conditions=replace(own(0.0)[0].conditions, ambient_k=None))
    found, why = visits(book, SUBCOOLING, [bare, *own(0.0)[1:]])
    assert len(found) == 4
    assert "excludes nothing" in why or "exclude nothing" in why
