"""A whole session against the book: the sentence that a customer reads, ranking, responses."""

from __future__ import annotations

from dataclasses import replace

import pytest

from knowngood_checkup.core.checkup import Car, CheckUp, check
from knowngood_checkup.core.explain.faults import Fault
from knowngood_checkup.core.explained import Standing
from knowngood_refdata.expected.book import Book
from knowngood_refdata.expected.forecasts import Basis, Side
from knowngood_refdata.expected.outcome import Outcome
from knowngood_refdata.records import (
    CompressorKind,
    Conditions,
    Estimate,
    Findings,
    Opening,
    Quantity,
    Response,
    SteadyWindow,
    Verdict,
)

from .healthy_cars import SUMMER, book, car, readings, window

UNDERCHARGED = {
    Quantity.EVAPORATING: -3.0,
    Quantity.CONDENSING_ABOVE_AMBIENT: -5.0,
    Quantity.SUPERHEAT: 10.0,
    Quantity.SUBCOOLING: -8.0,
    Quantity.VENT: 3.0,
}
BOTH = (window(), window(1560.0, label="1560 rpm"))
RESPONSE = Response(
    780.0, 1560.0, Estimate(-5e4, 4e3), Estimate(6e4, 1e4), Verdict.FALLS, Verdict.RISES, same_fan_stage=True
)


def checked(
    *windows: SteadyWindow, conditions: Conditions = SUMMER, kind: CompressorKind = CompressorKind.FIXED
) -> CheckUp:
    known, vehicle = book(kind)
    return check(known, Car(vehicle, None, conditions), Findings(windows, responses=(RESPONSE,)), {})


def test_a_session_without_steady_windows_says_so() -> None:
    found = checked()
    assert "no steady window" in found.outcome
    assert found.explained is not None
    assert found.explained.standing is Standing.NOTHING


def test_a_healthy_fixed_compressor_car_reads_as_healthy() -> None:
    found = checked(*BOTH)
    assert all(strip.outcome is Outcome.INSIDE for one in found.windows for strip in one.strips)
    assert found.outcome == (
        "All 14 compared values lie where those of healthy cars do. "
        "The air conditioning reads as that of a healthy car."
    )


def test_an_undercharged_car_is_explained_first_by_undercharge() -> None:
    # Common practice, no source: less refrigerant, less subcooling, more superheat, warmer vent.
    found = checked(*(window(one.engine_rpm or 0.0, UNDERCHARGED, label=one.label) for one in BOTH))
    outcomes = {strip.quantity: strip.outcome for strip in found.windows[0].strips}
    assert outcomes[Quantity.SUBCOOLING] is Outcome.BELOW
    assert outcomes[Quantity.SUPERHEAT] is Outcome.ABOVE
    assert found.explained is not None
    assert found.explained.weighed[0].fault is Fault.UNDERCHARGE
    assert "undercharge" in found.outcome


def test_the_evidence_for_an_explanation_names_the_values_that_tell() -> None:
    found = checked(window(moved=UNDERCHARGED))
    assert found.explained is not None
    told = found.explained.arguments[Fault.UNDERCHARGE]
    assert "subcooling" in [str(one.signal) for one in told if one.odds > 0.0]


def test_doors_that_stood_closed_in_all_readings_make_an_open_door_test_not_comparable() -> None:
    found = checked(*BOTH, conditions=replace(SUMMER, doors=Opening.OPEN))
    assert found.outcome.startswith("Nothing could be compared: doors open here, closed 16 there")
    assert found.explained is not None
    assert found.explained.standing is Standing.NOTHING


def test_a_cooler_day_within_what_the_book_has_seen_is_corrected_for() -> None:
    # The readings of this design follow the ambient by 0.8 K a kelvin.
    cool = replace(SUMMER, ambient_k=299.0)
    shifted = {Quantity.EVAPORATING: -4.0, Quantity.VENT: -4.0}
    found = checked(window(moved=shifted), conditions=cool)
    centre = {one.quantity: one.forecast.centre for one in found.windows[0].strips}
    assert centre[Quantity.VENT] == pytest.approx(276.0, abs=1.2)


def test_on_a_variable_compressor_healthy_readings_leave_open_what_this_load_hides() -> None:
    found = checked(*BOTH, kind=CompressorKind.EXTERNAL_VARIABLE)
    assert found.explained is not None
    if found.explained.standing is Standing.MASKED:
        assert "as far as this load can tell" in found.outcome
    assert found.explained.weighed[0].fault is Fault.HEALTHY


def test_a_response_is_shown_with_what_is_expected_of_each_side() -> None:
    (response,) = checked(*BOTH).responses
    low = response.expected[Side.LOW]
    # 5 K of evaporating temperature a doubling: about a sixth of the absolute pressure.
    assert low.centre is not None
    assert low.centre == pytest.approx(-0.18, abs=0.05)
    assert response.expected[Side.HIGH].centre is not None


def test_a_car_of_which_nothing_is_known_gets_no_explanation() -> None:
    known, vehicle = book(cars=1)
    found = check(known, Car(vehicle, None, SUMMER), Findings(BOTH), {})
    assert "Nothing could be compared" in found.outcome
    assert found.explained is not None
    assert found.explained.standing is Standing.NOTHING


def test_an_answer_changes_the_ranking() -> None:
    known, vehicle = book()
    air = {Quantity.CONDENSING_ABOVE_AMBIENT: 6.0, Quantity.SUBCOOLING: 5.0, Quantity.EVAPORATING: 0.8}
    findings = Findings((window(moved=air),))
    before = check(known, Car(vehicle, None, SUMMER), findings, {}).explained
    after = check(known, Car(vehicle, None, SUMMER), findings, {"identifier": "much air"}).explained
    assert before is not None
    assert after is not None
    assert after.probability(Fault.AIR) > before.probability(Fault.AIR)
    assert after.weighed[0].fault is Fault.AIR


def test_ranges_that_borrow_from_strangers_alone_are_no_clean_bill() -> None:
    makers = [
        replace(car(number=number, family=f"{number}"), maker=f"M{number}", family_id=number)
        for number in range(1, 6)
    ]
    known = Book.of([one for vehicle in makers for one in readings(vehicle, 4)], makers)
    stranger = replace(car(number=99, family="Z"), maker="Gill", family_id=99)
    found = check(known, Car(stranger, None, SUMMER), Findings(BOTH), {})
    assert found.windows[0].strips[0].forecast.basis is Basis.ALL
    assert "they borrow from all makers, are wide, and say little" in found.outcome
    assert "reads as that of a healthy car" not in found.outcome
