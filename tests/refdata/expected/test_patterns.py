"""What a few hundred readings show as a whole: rules of families, kin, strangers."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from tests.refdata.expected.fleet import Fleet, reading, vehicle
from tests.refdata.expected.physical_fleet import physical_fleet
from tests.refdata.expected.shop import CONDITIONS, K, readings_of

from knowngood_refdata.expected.apart import Why
from knowngood_refdata.expected.book import Book
from knowngood_refdata.expected.forecasts import Side
from knowngood_refdata.expected.patterns import Patterns, find_patterns
from knowngood_refdata.records import Estimate, Quantity, Vehicle

MAKERS = ("Tarn", "Fen", "Moor", "Gill", "Beck", "Holm")


@cache
def seen() -> tuple[Fleet, Patterns]:
    fleet = physical_fleet(1)
    return fleet, find_patterns(Book.of(fleet.library, fleet.vehicles))


def families_of_two_kinds() -> list[Vehicle]:
    """Six families of six makers with four configurations each."""
    return [
        vehicle(4 * f + i + 1, maker, f + 1, K.EXTERNAL_VARIABLE)
        for f, maker in enumerate(MAKERS)
        for i in range(4)
    ]


def test_every_family_is_there_with_its_cars_and_readings() -> None:
    fleet, patterns = seen()
    families = {fleet.vehicle(one).family for one in fleet.library}
    assert {one.name for one in patterns.families} == families
    assert sum(one.readings for one in patterns.families) == len(fleet.library)


def test_compressors_that_float_with_the_load_lie_lower_than_those_that_hold_a_set_point() -> None:
    # In this fleet fixed compressors evaporate colder; they answer engine speed with a falling low side.
    _, patterns = seen()
    levels = {one.name: one.levels for one in patterns.kinds}
    fixed, variable = levels["fixed displacement"], levels["externally controlled variable"]
    assert fixed[Quantity.EVAPORATING].value < variable[Quantity.EVAPORATING].value - 1.0
    assert fixed[Side.LOW].value < variable[Side.LOW].value


def test_the_rule_of_a_family_says_what_both_sides_do() -> None:
    kinds = {K.FIXED: (0.75, 1.15), K.EXTERNAL_VARIABLE: (1.01, 0.99), K.INTERNAL_VARIABLE: (1.12, 0.88)}
    vehicles = [vehicle(n + 1, MAKERS[n % 3], n % 3 + 1, list(kinds)[n % 3]) for n in range(12)]
    library = []
    for n in range(48):
        of = vehicles[n % 12]
        low, high = kinds[list(kinds)[n % 3]]
        for step in range(2):
            values = {
                Quantity.LOW_SIDE: Estimate(300e3 * (low if step else 1.0), 3e3),
                Quantity.HIGH_SIDE: Estimate(1400e3 * (high if step else 1.0), 9e3),
            }
            library.append(reading(2 * n + step + 1, of, n, n, CONDITIONS, 800.0 * (1 + step), values, 1))
    patterns = find_patterns(Book.of(library, vehicles))
    rules = {one.compressor: one.plane.rule for one in patterns.families if one.plane}
    said = "with engine speed the low side {} and the high side {}"
    assert rules == {
        "fixed displacement": said.format("falls", "rises"),
        "externally controlled variable": said.format("stays level", "stays level"),
        "internally controlled variable": said.format("rises", "falls"),
    }
    planes = [one.plane for one in patterns.families if one.plane]
    assert [len(one.cars) for one in planes] == [16, 16, 16]


def test_families_that_behave_alike_form_a_group_and_the_mark_says_how_it_differs() -> None:
    vehicles = families_of_two_kinds()
    levels = [4.0 if n < 12 else 14.0 for n in range(len(vehicles))]
    patterns = find_patterns(Book.of(readings_of(vehicles, Quantity.SUBCOOLING, levels), vehicles))
    groups = {frozenset(name.split()[0] for name in one.families): one.marks for one in patterns.groups}
    assert set(groups) == {frozenset(MAKERS[:3]), frozenset(MAKERS[3:])}
    assert "subcooling below the others" in groups[frozenset(MAKERS[:3])]
    assert "subcooling above the others" in groups[frozenset(MAKERS[3:])]


def test_a_split_that_nobody_recorded_is_found_family_by_family() -> None:
    _, patterns = seen()
    assert patterns.splits
    assert {one.what for one in patterns.splits} == {Quantity.SUBCOOLING}
    for one in patterns.splits:
        assert one.lower
        assert one.upper
        assert 4.0 < one.apart < 12.0


def test_a_car_booked_under_the_wrong_family_is_told_from_its_readings() -> None:
    vehicles = families_of_two_kinds()
    superheat = [4.0 + 2.5 * (n // 4) for n in range(len(vehicles))]
    library = readings_of(vehicles, Quantity.SUPERHEAT, superheat)
    # Vehicle 1 of Tarn reads like Holm: its parts came from there.
    library = [
        replace(one, values={**one.values, Quantity.SUPERHEAT: Estimate(16.5, 0.5)})
        if one.vehicle_id == 1
        else one
        for one in library
    ]
    found = find_patterns(Book.of(library, vehicles)).apart
    assert [one.vehicle_id for one in found] == [1]
    assert found[0].what is Quantity.SUPERHEAT
    assert found[0].off == pytest.approx(12.5, abs=1.5)
    assert found[0].why is Why.WRONG_FAMILY
    assert found[0].like == "Holm system 6"


def test_a_stranger_that_rests_on_one_visit_is_put_down_to_the_reading() -> None:
    vehicles = families_of_two_kinds()
    library = readings_of(vehicles, Quantity.SUPERHEAT, [6.0] * len(vehicles))
    odd = vehicle(90, "Tarn", 1, K.EXTERNAL_VARIABLE)
    values = {**library[0].values, Quantity.SUPERHEAT: Estimate(17.0, 0.5)}
    library.append(reading(900, odd, 900, 900, CONDITIONS, 800.0, values, 1))
    found = find_patterns(Book.of(library, [*vehicles, odd])).apart
    assert [one.vehicle_id for one in found] == [90]
    assert found[0].why is Why.BAD_READING


def test_an_empty_book_shows_no_patterns() -> None:
    patterns = find_patterns(Book.of([], []))
    assert patterns == Patterns((), (), (), (), (), ())
