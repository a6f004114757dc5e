"""The book learns what a car should read, from its own readings or its kin's."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import pytest
from tests.refdata.expected.drawn_fleet import drawn_fleet
from tests.refdata.expected.fleet import Fleet, Kept, reading, vehicle
from tests.refdata.expected.physical_fleet import physical_fleet
from tests.refdata.expected.shop import CONDITIONS, K, four_families, readings_of, subject

from knowngood_refdata.expected.book import Book, settled_count
from knowngood_refdata.expected.forecasts import Basis, Forecast, Side, Subject, What
from knowngood_refdata.expected.match import Point
from knowngood_refdata.records import Estimate, Quantity
from knowngood_refdata.refrigerants import saturation

if TYPE_CHECKING:
    from collections.abc import Iterable

    from knowngood_refdata.records import Reading

FAHRENHEIT_K = 5.0 / 9.0


@cache
def shop() -> tuple[Fleet, Book]:
    fleet = physical_fleet(6, makers=5, families=9, configurations=40)
    return fleet, Book.of(fleet.library, fleet.vehicles)


def about(fleet: Fleet, one: Reading) -> Subject:
    return Subject(fleet.vehicle(one), one.unit_id, Point(one.conditions, one.engine_rpm, one.fan_stage))


def all_ranges(book: Book, fleet: Fleet, kept: Iterable[tuple[Kept, Reading]]) -> list[Forecast]:
    return [
        replace(book.forecast(about(fleet, one), what), outlook=None, scale=None)
        for _, one in kept
        for what in (*Quantity, *Side)
    ]


def test_the_same_readings_give_the_same_ranges_to_the_last_digit_in_any_order() -> None:
    fleet, book = shop()
    shuffled = list(fleet.library)
    random.Random(5).shuffle(shuffled)
    other = Book.of(shuffled, reversed(fleet.vehicles))
    assert all_ranges(book, fleet, fleet.kept_back[:25]) == all_ranges(other, fleet, fleet.kept_back[:25])


def test_a_book_that_grew_is_the_one_that_was_made_at_once() -> None:
    fleet, book = shop()
    grown = Book.of(fleet.library[:-25], fleet.vehicles)
    for one in fleet.library[-25:-5]:
        grown = grown.with_readings([one])
    grown = grown.with_readings(fleet.library[-5:])
    assert len(fleet.library) > settled_count(len(fleet.library)) > len(fleet.library) - 25
    assert all_ranges(grown, fleet, fleet.kept_back[:25]) == all_ranges(book, fleet, fleet.kept_back[:25])


def test_a_quantity_that_is_measured_late_is_known_as_soon_as_it_is_measured() -> None:
    fleet, _ = shop()
    late = len(fleet.library) - 30
    library = [
        one
        if n >= late
        else replace(one, values={q: e for q, e in one.values.items() if q is not Quantity.VENT})
        for n, one in enumerate(fleet.library)
    ]
    grown = Book.of(library[:late], fleet.vehicles)
    assert not grown.forecast(about(fleet, fleet.library[-1]), Quantity.VENT).known
    for one in library[late:]:
        grown = grown.with_readings([one])
    assert grown.forecast(about(fleet, fleet.library[-1]), Quantity.VENT).known
    book = Book.of(library, fleet.vehicles)
    assert all_ranges(grown, fleet, fleet.kept_back[:10]) == all_ranges(book, fleet, fleet.kept_back[:10])


def test_an_old_reading_that_is_accepted_late_counts_as_if_it_had_always_been_there() -> None:
    fleet, book = shop()
    late = fleet.library[10]
    grown = book.without({late.id}).with_readings([late])
    assert all_ranges(grown, fleet, fleet.kept_back[:15]) == all_ranges(book, fleet, fleet.kept_back[:15])


def test_retiring_a_reading_moves_the_ranges_of_its_car() -> None:
    fleet, book = shop()
    one = fleet.library[10]
    before = book.forecast(about(fleet, one), Quantity.SUPERHEAT)
    after = book.without({one.id}).forecast(about(fleet, one), Quantity.SUPERHEAT)
    assert before.centre != after.centre
    assert after.readings == before.readings - 1 or after.basis is not before.basis


def test_a_vehicle_that_moves_to_another_family_takes_its_readings_along() -> None:
    fleet, book = shop()
    one = fleet.library[10]
    moved = replace(fleet.vehicle(one), maker="Lathe", family="Lathe system 99", family_id=99)
    there = Subject(replace(moved, id=10_000), None, Point(one.conditions, one.engine_rpm, one.fan_stage))
    assert book.forecast(there, Quantity.SUPERHEAT).basis is Basis.ALL
    assert book.with_readings([], [moved]).forecast(there, Quantity.SUPERHEAT).basis is Basis.FAMILY


def test_a_reading_without_its_vehicle_is_refused() -> None:
    fleet, book = shop()
    with pytest.raises(ValueError, match="vehicle 9999, which was not given"):
        book.with_readings([replace(fleet.library[0], id=77_777, vehicle_id=9999)])


def test_the_nearest_kin_answers_and_is_named() -> None:
    fleet, book = shop()
    expected = {
        Kept.KNOWN: Basis.UNIT,
        Kept.NEW_UNIT: Basis.CONFIGURATION,
        Kept.NEW_CONFIGURATION: Basis.FAMILY,
        Kept.NEW_MAKER: Basis.ALL,
    }
    found = {kept: book.forecast(about(fleet, one), Quantity.VENT).basis for kept, one in fleet.kept_back}
    assert found == expected


def test_the_less_is_known_the_wider_is_the_range() -> None:
    fleet, book = shop()
    widths: dict[Kept, list[float]] = {kept: [] for kept in Kept}
    for kept, one in fleet.kept_back:
        outer = book.forecast(about(fleet, one), Quantity.CONDENSING_ABOVE_AMBIENT).outer
        assert outer is not None
        widths[kept].append(outer.high - outer.low)
    means = [float(np.mean(widths[kept])) for kept in Kept]
    assert means == sorted(means)
    assert means[-1] > 1.5 * means[0]


def test_pressures_are_the_saturation_pressures_of_the_modelled_temperatures() -> None:
    fleet, book = shop()
    one = fleet.kept_back[0][1]
    curve = saturation(fleet.vehicle(one).refrigerant or "")
    low, high = (book.forecast(about(fleet, one), q) for q in (Quantity.LOW_SIDE, Quantity.HIGH_SIDE))
    evaporating = book.forecast(about(fleet, one), Quantity.EVAPORATING)
    above = book.forecast(about(fleet, one), Quantity.CONDENSING_ABOVE_AMBIENT)
    assert low.outer
    assert high.outer
    assert evaporating.outer
    assert above.outer
    assert low.outer.low == pytest.approx(curve.pressure_pa(evaporating.outer.low))
    ambient = one.conditions.ambient_k
    assert ambient is not None
    assert high.outer.high == pytest.approx(curve.pressure_pa(ambient + above.outer.high))
    assert low.probability_below(low.outer.low) == pytest.approx(0.05, abs=1e-6)


def test_a_hotter_day_moves_the_high_side_up() -> None:
    fleet, book = shop()
    one = fleet.kept_back[0][1]
    hot = replace(one.conditions, ambient_k=(one.conditions.ambient_k or 0.0) + 3.0)
    usual, hotter = (
        book.forecast(about(fleet, replace(one, conditions=c)), Quantity.HIGH_SIDE)
        for c in (one.conditions, hot)
    )
    assert usual.centre
    assert hotter.centre
    assert 40_000.0 < hotter.centre - usual.centre < 400_000.0


def test_worse_instruments_make_the_range_wider() -> None:
    fleet, book = shop()
    sharp = about(fleet, fleet.kept_back[0][1])
    blunt = replace(sharp, uncertainty={Quantity.SUPERHEAT: 4.0})
    widths = []
    for one in (sharp, blunt):
        outer = book.forecast(one, Quantity.SUPERHEAT).outer
        assert outer is not None
        widths.append(outer.high - outer.low)
    assert widths[1] > 1.2 * widths[0]


def test_four_families_at_their_own_subcooling_give_four_ranges_and_a_fifth_no_narrow_one() -> None:
    # Healthy cars of different makes hold subcooling near 0, 8, 13 and 36 °F (common practice, no source).
    vehicles = four_families()
    levels = [FAHRENHEIT_K * (0.0, 8.0, 13.0, 36.0)[i % 4] for i in range(len(vehicles))]
    book = Book.of(readings_of(vehicles, Quantity.SUBCOOLING, levels), vehicles)
    ranges = []
    for of, level in zip(vehicles[:4], levels[:4], strict=True):
        new = replace(of, id=100 + of.id)
        known = book.forecast(subject(new), Quantity.SUBCOOLING)
        assert known.basis is Basis.FAMILY
        assert known.outer is not None
        assert level in known.outer
        assert known.outer.high - known.outer.low < 8.0
        ranges.append(known.inner)
    ordered = [(one.low, one.high) for one in ranges if one is not None]
    assert all(high < low for (_, high), (low, _) in pairwise(ordered))
    fifth = book.forecast(subject(vehicle(50, "Beck", 9, K.EXTERNAL_VARIABLE)), Quantity.SUBCOOLING)
    assert not fifth.known or (fifth.outer and fifth.outer.high - fifth.outer.low > 20.0)


def test_weights_tell_by_how_much_the_centre_follows_a_reading() -> None:
    # A small move of one reading, with what was learnt held fixed by the many others, moves the centre by
    # its weight.
    fleet, book = shop()
    one = fleet.kept_back[0][1]
    behind = book.behind(about(fleet, one), Quantity.SUPERHEAT)
    heaviest = behind[0]
    by_car: dict[int | None, float] = {}
    for each in behind:
        by_car[each.reading.unit_id] = by_car.get(each.reading.unit_id, 0.0) + each.weight
    assert max(by_car, key=lambda car: by_car[car]) == one.unit_id
    assert sum(each.weight for each in behind) == pytest.approx(1.0, abs=0.02)
    values = {**heaviest.reading.values}
    values[Quantity.SUPERHEAT] = replace(
        values[Quantity.SUPERHEAT], value=values[Quantity.SUPERHEAT].value + 0.01
    )
    changed = [replace(r, values=values) if r.id == heaviest.reading.id else r for r in fleet.library]
    moved = Book.of(changed, fleet.vehicles).forecast(about(fleet, one), Quantity.SUPERHEAT)
    before = book.forecast(about(fleet, one), Quantity.SUPERHEAT)
    assert moved.centre is not None
    assert before.centre is not None
    assert (moved.centre - before.centre) / 0.01 == pytest.approx(heaviest.weight, rel=0.25)


def test_every_level_of_kin_lists_the_readings_behind_it() -> None:
    fleet, book = shop()
    for _, one in fleet.kept_back[:40]:
        what: What
        for what in (Quantity.SUPERHEAT, Side.LOW):
            behind = book.behind(about(fleet, one), what)
            assert behind
            assert abs(behind[0].weight) == max(abs(each.weight) for each in behind)


def test_a_car_with_many_readings_speaks_for_itself() -> None:
    vehicles = [vehicle(n + 1, "Tarn", 1, K.FIXED) for n in range(8)]
    library = readings_of(vehicles, Quantity.SUPERHEAT, [6.0] * 8)
    own = [
        reading(
            500 + n, vehicles[0], 900, 500 + n, CONDITIONS, 800.0, {Quantity.SUPERHEAT: Estimate(9.0, 0.5)}, 1
        )
        for n in range(12)
    ]
    book = Book.of([*library, *own], vehicles)
    known = book.forecast(subject(vehicles[0], 900), Quantity.SUPERHEAT)
    other = book.forecast(subject(vehicles[0], 901), Quantity.SUPERHEAT)
    assert known.basis is Basis.UNIT
    assert known.readings == 12
    assert known.centre == pytest.approx(9.0, abs=0.5)
    assert other.centre is not None
    assert other.centre < 8.5


def test_answers_to_engine_speed_come_from_pairs_of_one_visit() -> None:
    of = [vehicle(n + 1, maker, n + 1, K.FIXED) for n, maker in enumerate(("Tarn", "Fen", "Moor", "Gill"))]
    library = []
    for n in range(24):
        for step, (rpm, low, high) in enumerate(((800.0, 300e3, 1400e3), (1600.0, 240e3, 1540e3))):
            values = {Quantity.LOW_SIDE: Estimate(low, 3e3), Quantity.HIGH_SIDE: Estimate(high, 9e3)}
            library.append(reading(2 * n + step + 1, of[n % 4], n, n, CONDITIONS, rpm, values, 1))
    book = Book.of(library, of)
    falls = book.response(subject(of[0]), Side.LOW, 1600.0)
    rises = book.response(subject(of[0]), Side.HIGH, 1600.0)
    assert falls.centre == pytest.approx(np.log(0.8), abs=0.01)
    assert rises.centre == pytest.approx(np.log(1.1), abs=0.01)
    assert falls.readings == 6


def test_a_fan_that_switched_makes_no_answer_to_engine_speed() -> None:
    of = vehicle(1, "Tarn", 1, K.FIXED)
    values = {Quantity.LOW_SIDE: Estimate(300e3, 3e3), Quantity.HIGH_SIDE: Estimate(1400e3, 9e3)}
    library = [
        reading(2 * n + step + 1, of, n, n, CONDITIONS, rpm, values, stage)
        for n in range(8)
        for step, (rpm, stage) in enumerate(((800.0, 1), (1600.0, 2)))
    ]
    answer = Book.of(library, [of]).response(subject(of), Side.LOW, 1600.0)
    assert not answer.known
    assert answer.readings == 0


@pytest.mark.parametrize("draw", [drawn_fleet, physical_fleet])
def test_nine_in_ten_healthy_readings_lie_inside(draw: object) -> None:
    held: list[bool] = []
    fleet: Fleet = draw(7, configurations=80)  # type: ignore[operator]
    book = Book.of(fleet.library, fleet.vehicles)
    for _, one in fleet.kept_back:
        for quantity, found in one.values.items():
            outer = book.forecast(about(fleet, one), quantity).outer
            held += [] if outer is None else [found.value in outer]
    assert 0.86 < np.mean(held) < 0.95
