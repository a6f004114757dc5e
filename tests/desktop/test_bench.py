"""What is in hand stays consistent, and everyone hears of a change once."""

from __future__ import annotations

from dataclasses import replace

import pytest

from knowngood.bench import Bench
from knowngood_refdata.records import Conditions, Instruments, SessionInfo, Unit, Vehicle

SKERRY = Vehicle(1, "Tarn", "Skerry", "1.6 petrol", 2021, 2023)
HOLM = Vehicle(2, "Tarn", "Holm", "2.0 diesel", 2019, None)
SESSION = SessionInfo(
    7, 1, 11, "as found", None, "R-1234yf", Conditions(), Instruments(), 600.0, 6000, "log.csv", "ab"
)


@pytest.fixture
def bench() -> Bench:
    return Bench({1: SKERRY, 2: HOLM}.__getitem__)


def heard(bench: Bench) -> list[str]:
    said: list[str] = []
    bench.vehicle_changed.connect(lambda: said.append("vehicle"))
    bench.unit_changed.connect(lambda: said.append("unit"))
    bench.session_changed.connect(lambda: said.append("session"))
    return said


def test_taking_a_session_takes_its_vehicle_along(bench: Bench) -> None:
    said = heard(bench)
    bench.take_session(SESSION)
    assert bench.vehicle is SKERRY
    assert said == ["vehicle", "session"]


def test_taking_another_vehicle_puts_session_and_car_down(bench: Bench) -> None:
    bench.take_unit(Unit(11, 1, fleet_number="14"))
    bench.take_session(SESSION)
    said = heard(bench)
    bench.take_vehicle(HOLM)
    assert (bench.vehicle, bench.unit, bench.session) == (HOLM, None, None)
    assert said == ["vehicle", "unit", "session"]


def test_taking_the_same_vehicle_anew_keeps_the_session(bench: Bench) -> None:
    bench.take_session(SESSION)
    said = heard(bench)
    bench.take_vehicle(replace(SKERRY, notes="label photographed"))
    assert bench.session is SESSION
    assert said == ["vehicle"]


def test_a_listener_never_sees_the_session_of_another_vehicle(bench: Bench) -> None:
    bench.take_session(SESSION)
    seen: list[SessionInfo | None] = []
    bench.vehicle_changed.connect(lambda: seen.append(bench.session))
    bench.take_vehicle(HOLM)
    assert seen == [None]


def test_a_session_of_another_car_of_the_same_vehicle_puts_the_car_down(bench: Bench) -> None:
    bench.take_unit(Unit(12, 1))
    bench.take_session(SESSION)
    assert bench.unit is None


def test_a_car_takes_its_vehicle_along_and_another_cars_session_off(bench: Bench) -> None:
    bench.take_session(SESSION)
    bench.take_unit(Unit(21, 2))
    assert (bench.vehicle, bench.session) == (HOLM, None)


def test_a_session_without_vehicle_leaves_none_in_hand(bench: Bench) -> None:
    bench.take_vehicle(SKERRY)
    bench.take_session(replace(SESSION, vehicle_id=None, unit_id=None))
    assert bench.vehicle is None
    assert bench.session is not None


def test_nothing_is_said_when_nothing_changes(bench: Bench) -> None:
    bench.take_vehicle(SKERRY)
    said = heard(bench)
    bench.take_vehicle(SKERRY)
    bench.take_session(None)
    assert said == []
