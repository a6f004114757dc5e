"""One line for a family: what holds most of its configurations, from its own readings alone."""

from __future__ import annotations

import numpy as np
import pytest
from tests.refdata.expected.physical_fleet import physical_fleet

from knowngood_refdata.expected.book import Book
from knowngood_refdata.expected.patterns import find_patterns
from knowngood_refdata.expected.spans import FEWEST, span_of, spans
from knowngood_refdata.records import Quantity


def test_a_span_is_the_tolerance_interval_of_the_levels() -> None:
    # Hahn and Meeker, Statistical Intervals, ch. 3: five voltages, mean 50.10, s 1.31; the factor for 90 % of
    # the population with 95 % confidence is 4.29 (all from memory).
    span = span_of(np.array([50.3, 48.3, 49.6, 50.4, 51.9]))
    assert (span.low, span.high) == pytest.approx((50.10 - 4.29 * 1.31, 50.10 + 4.29 * 1.31), abs=0.02)
    assert span.configurations == 5


def test_a_family_has_one_when_enough_of_its_configurations_were_read() -> None:
    fleet = physical_fleet(1)
    patterns = find_patterns(Book.of(fleet.library, fleet.vehicles))
    read: dict[str, set[int]] = {}
    for one in fleet.library:
        if Quantity.SUBCOOLING in one.values:
            read.setdefault(fleet.vehicle(one).family, set()).add(one.vehicle_id)
    assert any(len(of) < FEWEST for of in read.values())
    for family in patterns.families:
        span = family.spans.get(Quantity.SUBCOOLING)
        assert (span is not None) == (len(read[family.name]) >= FEWEST), family.name
        if span is not None:
            assert span.configurations == len(read[family.name])
            assert span.low < family.levels[Quantity.SUBCOOLING].value < span.high


def test_the_weather_of_the_readings_does_not_widen_it() -> None:
    # Condensing above ambient moves by many kelvins with load and fan; what is left is from car to car.
    fleet = physical_fleet(1)
    book = Book.of(fleet.library, fleet.vehicles)
    what, seen = Quantity.CONDENSING_ABOVE_AMBIENT, 0
    for branch, of_family in spans(book).items():
        members = {number for number, place in book.places.items() if place.branch == branch}
        plain = [one.values[what].value for one in fleet.library if one.vehicle_id in members]
        if what in of_family and of_family[what].configurations >= 6:
            half = 0.5 * (of_family[what].high - of_family[what].low)
            assert half < 3.0 * float(np.std(plain))
            seen += 1
    assert seen > 2


def test_nothing_can_be_said_of_one_configuration() -> None:
    with pytest.raises(ValueError, match="needs 2 values"):
        span_of(np.array([5.0]))
