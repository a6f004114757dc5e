"""The conditions that known-good readings were taken under, to choose from without typing."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from knowngood_refdata.records import AirSource, Conditions, Reading, Standing
from knowngood_specs.core.met_points import met_points


def reading(
    rpm: float | None, stage: int | None, ambient_k: float, source: AirSource = AirSource.RECIRCULATION
) -> Reading:
    conditions = Conditions(ambient_k=ambient_k, relative_humidity=0.5, air_source=source, altitude_m=1000.0)
    return Reading(
        1, 1, 1, None, datetime(2025, 6, 2, tzinfo=UTC), conditions, rpm, stage, {}, Standing.KNOWN_GOOD
    )


def test_readings_at_one_engine_speed_fan_stage_and_air_source_make_one_point() -> None:
    readings = [
        reading(780.0, 1, 303.0),
        reading(2000.0, 1, 303.0),
        reading(800.0, 1, 305.0),
        reading(790.0, 1, 310.0),
        reading(790.0, 2, 303.0),
        reading(790.0, 1, 303.0, AirSource.FRESH),
    ]
    points = met_points(readings)
    assert [one.readings for one in points] == [3, 1, 1, 1]
    middle = points[0].point
    assert (middle.engine_rpm, middle.fan_stage, middle.conditions.ambient_k) == (790.0, 1, 305.0)


def test_the_air_pressure_of_a_point_is_that_of_the_place_of_its_readings() -> None:
    # ASHRAE Handbook, Fundamentals 2017, chapter 1, table 1: 89,875 Pa at 1,000 m.
    assert met_points([reading(780.0, 1, 303.0)])[0].barometer_pa == pytest.approx(89_875, abs=5)


def test_a_reading_without_a_condition_that_comparing_needs_is_in_no_point() -> None:
    assert met_points([reading(None, 1, 303.0), reading(780.0, None, 303.0)]) == ()
