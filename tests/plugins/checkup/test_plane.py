"""The known-good responses to engine speed, and the ellipse around them."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from knowngood_checkup.core.plane import KnownGoodResponse, Leg, ellipse, known_good_responses
from knowngood_refdata.records import (
    AirSource,
    Conditions,
    Estimate,
    Quantity,
    Reading,
    Response,
    Standing,
    SteadyWindow,
    Verdict,
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


HEALTHY = [9.0, 10.0, 11.0, 10.5, 9.5]


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


RESPONSE = Response(
    750.0,
    2000.0,
    Estimate(-5e4, 1e4),
    Estimate(2e5, 2e4),
    Verdict.FALLS,
    Verdict.RISES,
    same_fan_stage=True,
)


AT_STAGE_1 = Leg(750.0, 2000.0, 1, 1)


def pressures(rpm: float, low: float, high: float, car: int, day: int, stage: int = 1) -> Reading:
    (reading,) = book([10.0], cars=[car], rpm=rpm, stage=stage)
    values = {Quantity.LOW_SIDE: Estimate(low, 1.0), Quantity.HIGH_SIDE: Estimate(high, 1.0)}
    return replace(reading, taken_at=DAY + timedelta(days=day), values=values)


def test_a_response_is_the_change_between_two_readings_of_one_car_and_visit() -> None:
    readings = [
        pressures(750.0, 3.0e5, 10e5, car=1, day=0),
        pressures(2000.0, 2.6e5, 12e5, car=1, day=0),
        pressures(2000.0, 2.0e5, 13e5, car=1, day=9),
        pressures(2000.0, 2.0e5, 13e5, car=2, day=0),
    ]
    (found,) = known_good_responses(AT_STAGE_1, SUMMER, readings)
    assert found.low_pa == pytest.approx(-4e4)
    assert found.high_pa == pytest.approx(2e5)
    assert found.car == 1


def test_a_pair_at_two_fan_stages_is_no_response_to_engine_speed() -> None:
    readings = [pressures(750.0, 3e5, 10e5, 1, 0), pressures(2000.0, 2.6e5, 12e5, 1, 0, stage=2)]
    assert known_good_responses(AT_STAGE_1, SUMMER, readings) == ()


def test_a_response_across_a_fan_step_is_compared_with_those_across_the_same_step() -> None:
    readings = [
        pressures(750.0, 3e5, 10e5, 1, 0),
        pressures(2000.0, 2.6e5, 12e5, 1, 0),
        pressures(2000.0, 2.9e5, 9e5, 1, 0, stage=2),
    ]
    (found,) = known_good_responses(replace(AT_STAGE_1, to_stage=2), SUMMER, readings)
    assert found.high_pa == pytest.approx(-1e5)


def test_a_response_at_an_unknown_fan_stage_has_no_counterpart() -> None:
    readings = [pressures(750.0, 3e5, 10e5, 1, 0), pressures(2000.0, 2.6e5, 12e5, 1, 0)]
    unknown = replace(AT_STAGE_1, from_stage=None, to_stage=None)
    assert known_good_responses(unknown, SUMMER, readings) == ()


def test_four_cars_are_too_few_for_an_ellipse() -> None:
    assert ellipse([KnownGoodResponse(float(i), float(i * i), i) for i in range(4)], 0.9) is None


def test_ninety_percent_of_new_cars_fall_into_the_ellipse() -> None:
    random = np.random.default_rng(7)
    held, trials = 0, 3000
    for _ in range(trials):
        points = random.multivariate_normal([1.0, -2.0], [[2.0, 1.2], [1.2, 1.5]], 9)
        shape = ellipse([KnownGoodResponse(x, y, i) for i, (x, y) in enumerate(points[:8])], 0.90)
        assert shape is not None
        x, y = points[8] - (shape.low_pa, shape.high_pa)
        along = x * np.cos(shape.angle_rad) + y * np.sin(shape.angle_rad)
        across = -x * np.sin(shape.angle_rad) + y * np.cos(shape.angle_rad)
        held += (along / shape.half_major_pa) ** 2 + (across / shape.half_minor_pa) ** 2 <= 1
    assert held / trials == pytest.approx(0.90, abs=3 * np.sqrt(0.09 / trials))
