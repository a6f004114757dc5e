"""A steady window against what the book expects of its car, and like with like."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from knowngood_refdata.expected.book import Book
from knowngood_refdata.expected.comparison import compare_window, expect, subject_of
from knowngood_refdata.expected.likeness import Condition, Grade
from knowngood_refdata.expected.outcome import Outcome
from knowngood_refdata.records import (
    AirSource,
    CompressorKind,
    Conditions,
    Estimate,
    Opening,
    Quantity,
    Reading,
    SourceKind,
    SpecValue,
    Standing,
    SteadyWindow,
    Vehicle,
)
from knowngood_refdata.refrigerants import saturation

DAY = datetime(2024, 7, 1, 9, tzinfo=UTC)
SUMMER = Conditions(
    ambient_k=304.0, relative_humidity=0.5, barometer_pa=98_500.0, blower=1.0, doors=Opening.CLOSED,
    air_source=AirSource.RECIRCULATION, run_time_s=900.0,
)  # fmt: skip
IDLE = SteadyWindow(10.0, 90.0, 750.0, 1, "idle", {Quantity.SUBCOOLING: Estimate(10.0, 0.5)})
LEVELS = {Quantity.EVAPORATING: 275.0, Quantity.CONDENSING_ABOVE_AMBIENT: 15.0, Quantity.SUBCOOLING: 10.0}
OFFS = (-1.0, 0.0, 1.0, 0.5, -0.5, 0.7, -0.7, 0.2)


def spec(field: str, text: str) -> tuple[SpecValue, ...]:
    return (SpecValue(0, field, None, None, text, SourceKind.UNDER_HOOD_LABEL, "label"),)


def car(number: int = 1, kind: CompressorKind = CompressorKind.FIXED, refrigerant: str = "R-134a") -> Vehicle:
    specs = {"compressor": spec("compressor", str(kind)), "refrigerant": spec("refrigerant", refrigerant)}
    return Vehicle(number, "Tarn", "Skerry", "1.6", 2021, 2023, maker="Tarn", family="A", specs=specs)


def reading(number: int, off: float, unit: int | None, conditions: Conditions = SUMMER, rpm: float = 750.0,
            stage: int | None = 1, vehicle: int = 1) -> Reading:  # fmt: skip
    values = {one: Estimate(level + off, 0.5) for one, level in LEVELS.items()}
    curve = saturation("R-134a")
    values[Quantity.LOW_SIDE] = Estimate(float(curve.pressure_pa(values[Quantity.EVAPORATING].value)), 4e3)
    return Reading(
        number, vehicle, unit, None, DAY + timedelta(days=number), conditions, rpm, stage, values,
        Standing.KNOWN_GOOD,
    )  # fmt: skip


def book(conditions: Conditions = SUMMER, units: bool = True) -> Book:
    held = [reading(at, off, at if units else None, conditions) for at, off in enumerate(OFFS, start=1)]
    return Book.of(held, [car()])


def judged(
    value: float = 10.0, conditions: Conditions = SUMMER, window: SteadyWindow = IDLE, of: Book | None = None
) -> tuple[str, str]:
    window = replace(window, values={Quantity.SUBCOOLING: Estimate(value, 0.5)})
    (strip,) = compare_window(of or book(), car(), None, conditions, window).strips
    return str(strip.outcome), strip.reason


def test_a_reading_amid_the_known_good_ones_is_inside() -> None:
    assert judged() == ("inside", "")


def test_a_reading_clear_of_the_range_is_below_or_above() -> None:
    assert judged(2.0) == ("below", "")
    assert judged(20.0) == ("above", "")


def test_a_reading_out_by_less_than_its_uncertainty_is_no_finding() -> None:
    (strip,) = compare_window(book(), car(), None, SUMMER, IDLE).strips
    assert strip.forecast.outer is not None
    outcome, reason = judged(strip.forecast.outer.low - 0.3)
    assert outcome == "cannot tell"
    assert "less than its uncertainty" in reason


def test_an_empty_book_says_that_it_is_empty() -> None:
    outcome, reason = judged(of=Book.of([], []))
    assert outcome == "not comparable"
    assert reason


@pytest.mark.parametrize(
    ("conditions", "window", "reason"),
    [
        (SUMMER, replace(IDLE, fan_stage=2), "fan stage 2 here, 1 there"),
        (SUMMER, replace(IDLE, fan_stage=None), "fan stage not recorded"),
        (SUMMER, replace(IDLE, engine_rpm=2500.0), "engine speed 2500 here, 750 there"),
        (replace(SUMMER, doors=Opening.OPEN), IDLE, "doors open here, closed 8 there"),
        (
            replace(SUMMER, air_source=AirSource.FRESH),
            IDLE,
            "air source fresh air here, recirculation 8 there",
        ),
        (replace(SUMMER, ambient_k=320.0, relative_humidity=0.15), IDLE, "ambient differs"),
        (replace(SUMMER, ambient_k=None), IDLE, "ambient not recorded and wet bulb not recorded"),
        (replace(SUMMER, run_time_s=60.0), IDLE, "time running before differs"),
        (replace(SUMMER, blower=0.2), IDLE, "blower differs"),
    ],
)
def test_conditions_beyond_all_readings_are_refused_and_named(
    conditions: Conditions, window: SteadyWindow, reason: str
) -> None:
    assert judged(conditions=conditions, window=window) == ("not comparable", reason)


def test_every_obstacle_is_named() -> None:
    far = replace(IDLE, fan_stage=2, engine_rpm=3000.0)
    assert judged(window=far)[1] == "engine speed 3000 here, 750 there and fan stage 2 here, 1 there"


def test_an_electric_compressor_asks_for_no_engine_speed() -> None:
    of = car(kind=CompressorKind.ELECTRIC)
    held = [reading(at, off, at) for at, off in enumerate(OFFS, start=1)]
    compared = compare_window(Book.of(held, [of]), of, None, SUMMER, replace(IDLE, engine_rpm=None))
    assert compared.reason == ""
    assert Condition.ENGINE_SPEED not in [one.condition for one in compared.sheet.lines]


def test_what_lies_near_is_equal_and_what_the_book_has_seen_vary_is_corrected_for() -> None:
    draw = np.random.default_rng(1)
    held = [
        reading(at, 0.3 * float(draw.normal()), at, replace(SUMMER, ambient_k=294.0 + at % 10 * 2.0))
        for at in range(1, 21)
    ]
    known = Book.of(held, [car()])
    compared = compare_window(known, car(), None, replace(SUMMER, ambient_k=311.0), IDLE)
    grades = {one.condition: one.grade for one in compared.sheet.lines}
    assert grades[Condition.AMBIENT] is Grade.CORRECTED
    assert grades[Condition.FAN_STAGE] is grades[Condition.AIR_SOURCE] is Grade.EQUAL
    assert grades[Condition.HOOD] is Grade.NOT_RECORDED
    assert compared.reason == ""


def test_doors_that_were_seen_both_ways_are_corrected_for() -> None:
    held = [
        reading(at, 0.2 * (at % 3), at, replace(SUMMER, doors=Opening.OPEN if at % 2 else Opening.CLOSED))
        for at in range(1, 17)
    ]
    compared = compare_window(Book.of(held, [car()]), car(), None, replace(SUMMER, doors=Opening.OPEN), IDLE)
    grades = {one.condition: one.grade for one in compared.sheet.lines}
    assert grades[Condition.DOORS] is not Grade.DIFFERS
    assert compared.comparable


def test_the_mountain_air_is_taken_up_by_absolute_pressures() -> None:
    high = replace(SUMMER, barometer_pa=80_000.0)
    compared = compare_window(book(), car(), None, high, IDLE)
    assert {one.condition: one.grade for one in compared.sheet.lines}[
        Condition.AIR_PRESSURE
    ] is Grade.CORRECTED
    assert compared.comparable


def test_too_few_readings_give_no_range_and_say_how_many_there_are() -> None:
    few = Book.of([reading(1, 0.0, 1), reading(2, 0.5, 2)], [car()])
    outcome, reason = judged(of=few)
    assert outcome == "not comparable"
    assert reason.startswith("2 known-good readings of 2 cars")


def test_readings_of_unnamed_cars_do_not_count_as_many_cars() -> None:
    outcome, reason = judged(of=book(units=False))
    assert outcome == "not comparable"
    assert "of 1 car " in reason


def test_a_quantity_that_no_known_good_reading_holds_has_no_range() -> None:
    warm = replace(IDLE, values={Quantity.VENT: Estimate(280.0, 0.5)})
    (strip,) = compare_window(book(), car(), None, SUMMER, warm).strips
    assert strip.outcome is Outcome.NOT_COMPARABLE
    assert strip.reason


def test_without_a_reading_the_range_is_the_one_it_would_be_compared_with() -> None:
    known = book()
    there = expect(known, subject_of(car(), None, SUMMER, IDLE), [Quantity.SUBCOOLING])
    (one,), (strip,) = there.quantities, compare_window(known, car(), None, SUMMER, IDLE).strips
    assert (one.forecast.outer, one.known_good) == (strip.forecast.outer, strip.known_good)


def test_readings_of_the_same_conditions_stay_where_they_are_as_ticks() -> None:
    (strip,) = compare_window(book(), car(), None, SUMMER, IDLE).strips
    assert sorted(strip.known_good) == pytest.approx(sorted(10.0 + off for off in OFFS))


def test_a_low_side_is_carried_over_on_the_curve_of_the_cars_own_refrigerant() -> None:
    other = car(2, refrigerant="R-1234yf")
    held = [reading(at, off, at) for at, off in enumerate(OFFS, start=1)]
    window = replace(IDLE, values={Quantity.LOW_SIDE: Estimate(3e5, 4e3)})
    (strip,) = compare_window(Book.of(held, [car(), other]), other, None, SUMMER, window).strips
    curve = saturation("R-1234yf")
    # The same evaporating temperatures as the R-134a kin, on R-1234yf's own curve.
    wanted = sorted(float(curve.pressure_pa(275.0 + off)) for off in OFFS)
    assert sorted(strip.known_good) == pytest.approx(wanted, rel=1e-4)
