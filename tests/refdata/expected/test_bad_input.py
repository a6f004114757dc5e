"""Whatever lies in the book, ranges stay finite and honest, and the culprit is named."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.refdata.expected.drawn_fleet import drawn_fleet
from tests.refdata.expected.fleet import reading, vehicle
from tests.refdata.expected.shop import CONDITIONS, USUAL, K, four_families, readings_of, subject

from knowngood_refdata.expected.book import Book
from knowngood_refdata.expected.forecasts import Basis, Side
from knowngood_refdata.expected.match import Point
from knowngood_refdata.expected.suspects import SuspectLevel, suspects
from knowngood_refdata.quantities import ZERO_CELSIUS_K
from knowngood_refdata.records import Conditions, Estimate, Quantity
from knowngood_refdata.refrigerants import saturation

if TYPE_CHECKING:
    from knowngood_refdata.records import Reading, Vehicle

NOTHING_RECORDED = Conditions()


def library(each: int = 4) -> tuple[list[Vehicle], list[Reading]]:
    vehicles = four_families()
    return vehicles, readings_of(vehicles, Quantity.SUPERHEAT, [6.0] * len(vehicles), each)


def changed(one: Reading, quantity: Quantity, value: float) -> Reading:
    return replace(one, values={**one.values, quantity: Estimate(value, 0.5)})


def assert_honest(book: Book, of: Vehicle, unit_id: int | None = None) -> None:
    """Every range is finite and ordered, or there is a reason for none."""
    for what in (*Quantity, *Side):
        found = book.forecast(subject(of, unit_id), what)
        if found.known:
            assert found.inner
            assert found.outer
            assert found.centre is not None
            edges = [found.outer.low, found.inner.low, found.centre, found.inner.high, found.outer.high]
            assert np.isfinite(edges).all()
            assert edges == sorted(edges)
        else:
            assert found.reason


def test_an_empty_book_says_that_it_knows_nothing() -> None:
    of = vehicle(1, "Tarn", 1, K.FIXED)
    found = Book.of([], [of]).forecast(subject(of), Quantity.SUPERHEAT)
    assert not found.known
    assert found.reason == "the book holds no known-good readings of it"
    assert suspects(Book.of([], [of])) == ()


@pytest.mark.parametrize("count", [1, 2, 3])
def test_a_single_reading_or_two_are_not_enough(count: int) -> None:
    of = vehicle(1, "Tarn", 1, K.FIXED)
    book = Book.of(readings_of([of], Quantity.SUPERHEAT, [6.0], count), [of])
    found = book.forecast(subject(of), Quantity.SUPERHEAT)
    assert not found.known
    assert_honest(book, of)


def test_identical_readings_give_a_range_as_wide_as_instruments_are_uncertain() -> None:
    vehicles = [vehicle(n + 1, "Tarn", 1, K.FIXED) for n in range(4)]
    same = readings_of(vehicles, Quantity.SUPERHEAT, [6.0] * 4, scatter=0.0)
    book = Book.of(same, vehicles)
    outer = book.forecast(subject(vehicles[0]), Quantity.SUPERHEAT).outer
    assert outer is not None
    assert 6.0 in outer
    assert 0.8 < outer.high - outer.low < 8.0


def test_contradictory_readings_of_one_car_widen_its_range_and_one_is_flagged() -> None:
    vehicles, many = library()
    number = len(many)
    two = [
        reading(
            number + n + 1,
            vehicles[0],
            999,
            999,
            CONDITIONS,
            800.0,
            {Quantity.SUPERHEAT: Estimate(v, 0.5)},
            1,
        )
        for n, v in enumerate((6.2, 17.0))
    ]
    book = Book.of([*many, *two], vehicles)
    assert_honest(book, vehicles[0], 999)
    centre = book.forecast(subject(vehicles[0], 999), Quantity.SUPERHEAT).centre
    assert centre is not None
    assert 5.0 < centre < 9.0
    flagged = [
        one.reading.id for one in book.behind(subject(vehicles[0], 999), Quantity.SUPERHEAT) if one.flagged
    ]
    assert flagged == [two[1].id]
    named = [one for one in suspects(book) if one.level is SuspectLevel.READING]
    assert [one.reading_ids for one in named] == [(two[1].id,)]


@pytest.mark.parametrize("nonsense", [1e12, -1e9, math.nan, math.inf, -math.inf, 0.0])
@pytest.mark.parametrize("quantity", [Quantity.SUPERHEAT, Quantity.HIGH_SIDE, Quantity.EVAPORATING])
def test_nonsense_moves_no_range_of_others(quantity: Quantity, nonsense: float) -> None:
    vehicles, many = library()
    if quantity is Quantity.HIGH_SIDE:
        many = [_by_pressures(one) for one in many]
    clean = Book.of(many, vehicles)
    many[5] = changed(many[5], quantity, nonsense)
    book = Book.of(many, vehicles)
    shown = Quantity.CONDENSING_ABOVE_AMBIENT if quantity is Quantity.HIGH_SIDE else quantity
    before, after = (one.forecast(subject(vehicles[2]), shown) for one in (clean, book))
    assert before.outer
    assert after.outer
    width = before.outer.high - before.outer.low
    assert after.outer.low == pytest.approx(before.outer.low, abs=0.4 * width)
    assert after.outer.high == pytest.approx(before.outer.high, abs=0.4 * width)
    for of in vehicles:
        assert_honest(book, of)


def _by_pressures(one: Reading) -> Reading:
    curve = saturation("R-134a")
    values = dict(one.values)
    del values[Quantity.CONDENSING_ABOVE_AMBIENT]
    above = one.values[Quantity.CONDENSING_ABOVE_AMBIENT].value
    pressure = curve.pressure_pa((CONDITIONS.ambient_k or 0.0) + above)
    return replace(one, values={**values, Quantity.HIGH_SIDE: Estimate(pressure, 5e3)})


def test_a_bad_reading_is_kept_flagged_and_named() -> None:
    fleet = drawn_fleet(1)
    many = list(fleet.library)
    many[100] = changed(many[100], Quantity.SUPERHEAT, many[100].values[Quantity.SUPERHEAT].value + 15.0)
    book = Book.of(many, fleet.vehicles)
    assert len(book.readings) == len(many)
    named = {
        ident for one in suspects(book) if one.level is SuspectLevel.READING for ident in one.reading_ids
    }
    assert many[100].id in named
    assert len(named) < 12


def test_a_family_entered_in_the_wrong_unit_is_named_with_the_mistake() -> None:
    fleet = drawn_fleet(1)
    many = [_psi_for_kpa(one) if fleet.vehicle(one).family_id == 9 else one for one in fleet.library]
    book = Book.of(many, fleet.vehicles)
    families = [one for one in suspects(book) if one.level is SuspectLevel.FAMILY]
    assert {one.what for one in families} == {Quantity.EVAPORATING, Quantity.CONDENSING_ABOVE_AMBIENT}
    for one in families:
        assert one.name == "Wyke system 9"
        assert one.reason == "it would fit if psi were entered as kilopascals"
        assert one.probability > 0.9
    of_others = next(one for kept, one in fleet.kept_back if fleet.vehicle(one).family_id == 2)
    point = Point(of_others.conditions, of_others.engine_rpm, of_others.fan_stage)
    there = replace(subject(fleet.vehicle(of_others), of_others.unit_id), point=point)
    clean = Book.of(fleet.library, fleet.vehicles).forecast(there, Quantity.EVAPORATING)
    beside = book.forecast(there, Quantity.EVAPORATING)
    assert clean.outer
    assert beside.outer
    assert beside.centre == pytest.approx(clean.centre, abs=0.5)
    assert beside.outer.high - beside.outer.low < 1.5 * (clean.outer.high - clean.outer.low)


def _psi_for_kpa(one: Reading) -> Reading:
    """The gauge pressures of a reading in psi, taken for kilopascals."""
    curve, ambient = saturation("R-134a"), one.conditions.ambient_k or 0.0
    values = dict(one.values)
    for quantity, above in ((Quantity.EVAPORATING, 0.0), (Quantity.CONDENSING_ABOVE_AMBIENT, ambient)):
        pressure = curve.pressure_pa(values[quantity].value + above)
        wrong = (pressure - 101_325.0) / 6894.757 * 1000.0 + 101_325.0
        values[quantity] = replace(values[quantity], value=curve.temperature_k(wrong) - above)
    return replace(one, values=values)


def test_degrees_fahrenheit_in_a_whole_family_are_recognised() -> None:
    fleet = drawn_fleet(1)
    differences = (Quantity.CONDENSING_ABOVE_AMBIENT, Quantity.SUPERHEAT, Quantity.SUBCOOLING)
    many = [
        replace(
            one,
            values={
                q: replace(e, value=e.value * 1.8) if q in differences else e for q, e in one.values.items()
            },
        )
        if fleet.vehicle(one).family_id == 9
        else one
        for one in fleet.library
    ]
    families = [one for one in suspects(Book.of(many, fleet.vehicles)) if one.level is SuspectLevel.FAMILY]
    assert families
    for one in families:
        assert one.name == "Wyke system 9"
        assert one.reason == "it would fit if degrees Fahrenheit were entered as kelvins"


def test_one_car_with_five_hundred_readings_does_not_speak_for_the_others() -> None:
    vehicles, many = library()
    rng = np.random.default_rng(2)
    crowd = [
        reading(
            1000 + n, vehicles[0], 999, 1000 + n // 3, CONDITIONS, 800.0,
            {Quantity.SUPERHEAT: Estimate(9.0 + rng.normal(0.0, 0.4), 0.5)}, 1,
        )
        for n in range(500)
    ]  # fmt: skip
    alone, crowded = Book.of(many, vehicles), Book.of([*many, *crowd], vehicles)
    assert_honest(crowded, vehicles[0], 999)
    own = crowded.forecast(subject(vehicles[0], 999), Quantity.SUPERHEAT)
    assert own.centre == pytest.approx(9.0, abs=0.2)
    before, after = (one.forecast(subject(vehicles[5]), Quantity.SUPERHEAT) for one in (alone, crowded))
    assert before.outer
    assert after.outer
    assert after.centre == pytest.approx(before.centre, abs=0.7)
    assert after.outer.high - after.outer.low > 0.8 * (before.outer.high - before.outer.low)


def test_readings_without_conditions_still_count_and_widen_the_range_that_needs_them() -> None:
    fleet = drawn_fleet(2)
    bare = [
        replace(one, conditions=NOTHING_RECORDED, engine_rpm=None, fan_stage=None) for one in fleet.library
    ]
    half = [one if n % 2 else bare[n] for n, one in enumerate(fleet.library)]
    one = fleet.kept_back[0][1]
    there = replace(subject(fleet.vehicle(one)), point=Point(one.conditions, one.engine_rpm, one.fan_stage))
    mixed = Book.of(half, fleet.vehicles)
    assert mixed.forecast(there, Quantity.VENT).known
    nothing = replace(there, point=Point(NOTHING_RECORDED, None, None))
    wide, narrow = (mixed.forecast(who, Quantity.VENT) for who in (nothing, there))
    assert wide.outer
    assert narrow.outer
    assert wide.outer.high - wide.outer.low > 1.5 * (narrow.outer.high - narrow.outer.low)
    assert "ambient not recorded" in wide.remarks
    all_bare = Book.of(bare, fleet.vehicles)
    assert all_bare.forecast(there, Quantity.VENT).known


def test_the_high_side_needs_todays_ambient() -> None:
    vehicles, many = library()
    book = Book.of(many, vehicles)
    nowhere = subject(vehicles[0], conditions=replace(CONDITIONS, ambient_k=None))
    assert book.forecast(nowhere, Quantity.HIGH_SIDE).reason == "the ambient of this reading is not recorded"
    assert book.forecast(nowhere, Quantity.LOW_SIDE).known


def test_conditions_far_outside_all_readings_are_refused_and_those_at_the_edge_remarked_on() -> None:
    fleet = drawn_fleet(2)
    book = Book.of(fleet.library, fleet.vehicles)
    one = fleet.kept_back[0][1]
    for ambient_c, known, remarked in ((28.0, True, False), (52.0, True, True), (75.0, False, False)):
        there = replace(one.conditions, ambient_k=ambient_c + ZERO_CELSIUS_K, intake_k=298.0)
        found = book.forecast(
            replace(subject(fleet.vehicle(one)), point=Point(there, one.engine_rpm, one.fan_stage)),
            Quantity.VENT,
        )
        assert found.known is known
        assert any("ambient" in remark for remark in found.remarks) is remarked
        assert ("far outside" in found.reason) is not known


def test_two_makers_cannot_tell_what_a_third_does() -> None:
    vehicles = [one for one in four_families() if one.maker in ("Tarn", "Fen")]
    book = Book.of(readings_of(vehicles, Quantity.SUPERHEAT, [6.0] * len(vehicles)), vehicles)
    found = book.forecast(subject(vehicle(90, "Beck", 9, K.EXTERNAL_VARIABLE)), Quantity.SUPERHEAT)
    assert not found.known
    assert found.basis is Basis.ALL
    assert "no reading of this maker" in found.reason


def test_a_kind_of_compressor_never_seen_is_not_guessed_at() -> None:
    vehicles, many = library()
    found = Book.of(many, vehicles).forecast(subject(vehicle(90, "Tarn", 9, K.ELECTRIC)), Quantity.SUPERHEAT)
    assert not found.known
    assert "kind of compressor" in found.reason


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_any_small_library_gives_finite_ranges_or_reasons(data: st.DataObject) -> None:
    vehicles = [vehicle(n + 1, f"M{n % 3}", n % 4, list(K)[n % 4]) for n in range(5)]
    numbers = st.floats(allow_nan=True, allow_infinity=True, width=64)
    many = [
        reading(
            n + 1, data.draw(st.sampled_from(vehicles)), data.draw(st.sampled_from([None, 1, 2])), n // 2,
            data.draw(st.sampled_from([CONDITIONS, NOTHING_RECORDED])),
            data.draw(st.sampled_from([800.0, 1600.0, None])),
            {q: Estimate(data.draw(numbers | st.floats(-10.0, 400.0)), 0.5) for q in USUAL}, None,
        )
        for n in range(data.draw(st.integers(0, 12)))
    ]  # fmt: skip
    book = Book.of(many, vehicles)
    for of in vehicles:
        assert_honest(book, of, 1)
    suspects(book)
