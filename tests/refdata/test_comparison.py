"""A steady window against the known-good readings of its vehicle."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from knowngood_refdata.expected.comparison import compare_window, expect
from knowngood_refdata.expected.match import Point
from knowngood_refdata.expected.outcome import Outcome
from knowngood_refdata.records import (
    AirSource,
    Conditions,
    Estimate,
    Quantity,
    Reading,
    Standing,
    SteadyWindow,
)

DAY = datetime(2024, 7, 1, 9, tzinfo=UTC)
SUMMER = Conditions(ambient_k=304.0, relative_humidity=0.5, air_source=AirSource.RECIRCULATION)
IDLE = SteadyWindow(
    10.0,
    90.0,
    750.0,
    1,
    "idle",
    {Quantity.SUBCOOLING: Estimate(10.0, 0.5), Quantity.HIGH_SIDE: Estimate(11e5, 1e4)},
)


def book(
    subcoolings: list[float],
    *,
    cars: list[int | None] | None = None,
    rpm: float = 750.0,
    stage: int | None = 1,
) -> list[Reading]:
    named = cars if cars is not None else list(range(len(subcoolings)))
    return [
        Reading(
            id=index,
            vehicle_id=1,
            unit_id=car,
            session_id=None,
            taken_at=DAY + timedelta(days=index),
            conditions=SUMMER,
            engine_rpm=rpm,
            fan_stage=stage,
            values={Quantity.SUBCOOLING: Estimate(value, 0.5)},
            standing=Standing.KNOWN_GOOD,
        )
        for index, (value, car) in enumerate(zip(subcoolings, named, strict=True))
    ]


def subcooling(
    outcome_of: list[Reading], value: float = 10.0, window: SteadyWindow = IDLE
) -> tuple[str, str]:
    window = replace(window, values={Quantity.SUBCOOLING: Estimate(value, 0.5)})
    (strip,) = compare_window(window, SUMMER, outcome_of).strips
    return str(strip.outcome), strip.reason


HEALTHY = [9.0, 10.0, 11.0, 10.5, 9.5]


def test_a_reading_amid_the_known_good_ones_is_inside() -> None:
    assert subcooling(book(HEALTHY)) == ("inside", "")


def test_a_reading_clear_of_the_range_is_below_or_above() -> None:
    assert subcooling(book(HEALTHY), 2.0) == ("below", "")
    assert subcooling(book(HEALTHY), 20.0) == ("above", "")


def test_a_reading_out_by_less_than_its_uncertainty_is_no_finding() -> None:
    (strip,) = compare_window(
        replace(IDLE, values={Quantity.SUBCOOLING: Estimate(10.0, 0.5)}), SUMMER, book(HEALTHY)
    ).strips
    assert strip.expected is not None
    outcome, reason = subcooling(book(HEALTHY), strip.expected.outer.low - 0.3)
    assert outcome == "cannot tell"
    assert "less than its uncertainty" in reason


def test_an_empty_book_says_that_it_is_empty() -> None:
    assert subcooling([]) == ("not comparable", "the book holds no known-good reading of this vehicle")


def test_another_fan_stage_is_refused_and_both_stages_are_named() -> None:
    outcome, reason = subcooling(book(HEALTHY), window=replace(IDLE, fan_stage=2))
    assert outcome == "not comparable"
    assert "fan stage 2 here, stage 1 there" in reason


def test_an_unknown_fan_stage_is_refused_as_not_recorded() -> None:
    outcome, reason = subcooling(book(HEALTHY), window=replace(IDLE, fan_stage=None))
    assert outcome == "not comparable"
    assert reason == "fan stage of this session not recorded"


def test_every_obstacle_of_the_nearest_readings_is_named() -> None:
    far = replace(IDLE, fan_stage=2, engine_rpm=2000.0)
    _, reason = subcooling(book(HEALTHY), window=far)
    assert "engine speed 2000 rpm here, 750 rpm there" in reason
    assert "fan stage 2 here, stage 1 there" in reason


def test_too_few_readings_are_shown_without_a_range() -> None:
    comparison = compare_window(IDLE, SUMMER, book([9.0, 11.0]))
    strip = next(one for one in comparison.strips if one.quantity is Quantity.SUBCOOLING)
    assert strip.expected is None
    assert strip.known_good == (9.0, 11.0)
    assert strip.outcome is Outcome.NOT_COMPARABLE
    assert strip.reason.startswith("2 known-good readings of 2 cars")


def test_readings_of_unnamed_cars_do_not_count_as_many_cars() -> None:
    outcome, reason = subcooling(book(HEALTHY, cars=[None] * 5))
    assert outcome == "not comparable"
    assert "of 1 car " in reason


def test_a_quantity_that_no_known_good_reading_holds_has_no_range() -> None:
    strips = compare_window(IDLE, SUMMER, book(HEALTHY)).strips
    high = next(one for one in strips if one.quantity is Quantity.HIGH_SIDE)
    assert high.outcome is Outcome.NOT_COMPARABLE
    assert high.reason.startswith("0 known-good readings")


def test_without_a_reading_the_range_is_the_one_it_would_be_compared_with() -> None:
    there = expect(Point(SUMMER, 750.0, 1), book(HEALTHY))
    (one,) = there.quantities
    strip = next(
        one
        for one in compare_window(IDLE, SUMMER, book(HEALTHY)).strips
        if one.quantity is Quantity.SUBCOOLING
    )
    assert (one.expected, one.known_good) == (strip.expected, strip.known_good)
    assert there.reason == ""


def test_without_a_reading_unlike_conditions_are_refused_in_words() -> None:
    there = expect(Point(SUMMER, 750.0, 2), book(HEALTHY))
    assert "fan stage 2 here, stage 1 there" in there.reason
    assert [one.expected for one in there.quantities] == [None]
