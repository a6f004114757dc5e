"""Like with like: which known-good readings may be compared. The classes are common practice, no source."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from knowngood_refdata.expected.match import Condition, Grade, Point, match
from knowngood_refdata.records import AirSource, Conditions, Opening, Reading, Standing

SUMMER = Conditions(
    ambient_k=304.65,
    relative_humidity=0.48,
    blower=1.0,
    air_source=AirSource.RECIRCULATION,
    doors=Opening.CLOSED,
    hood=Opening.CLOSED,
    sun=False,
)
IDLE = Point(SUMMER, 750.0, 1)


def known_good(conditions: Conditions = SUMMER, rpm: float | None = 750.0, stage: int | None = 1) -> Reading:
    return Reading(
        id=1,
        vehicle_id=1,
        unit_id=1,
        session_id=None,
        taken_at=datetime(2024, 7, 1, tzinfo=UTC),
        conditions=conditions,
        engine_rpm=rpm,
        fan_stage=stage,
        values={},
        standing=Standing.KNOWN_GOOD,
    )


def test_a_reading_under_the_same_conditions_is_comparable() -> None:
    result = match(IDLE, known_good())
    assert result.comparable
    assert result.remarks == ()


@pytest.mark.parametrize(
    ("reading", "obstacle"),
    [
        (known_good(replace(SUMMER, ambient_k=304.65 + 4.1)), Condition.AMBIENT),
        (known_good(replace(SUMMER, relative_humidity=0.64)), Condition.HUMIDITY),
        (known_good(rpm=860.0), Condition.ENGINE_SPEED),
        (known_good(stage=2), Condition.FAN_STAGE),
        (known_good(replace(SUMMER, air_source=AirSource.FRESH)), Condition.AIR_SOURCE),
    ],
)
def test_each_required_condition_excludes_a_reading_by_itself(reading: Reading, obstacle: Condition) -> None:
    assert match(IDLE, reading).obstacles == (obstacle,)


@pytest.mark.parametrize(
    "reading",
    [
        known_good(replace(SUMMER, ambient_k=304.65 + 4.0)),
        known_good(replace(SUMMER, relative_humidity=0.63)),
        known_good(rpm=850.0),
    ],
)
def test_a_difference_at_the_limit_still_matches(reading: Reading) -> None:
    assert match(IDLE, reading).comparable


def test_what_is_not_recorded_is_never_taken_as_equal() -> None:
    blank = Point(Conditions(), None, None)
    result = match(blank, known_good(Conditions(), None, None))
    assert not result.comparable
    assert set(result.grades.values()) == {Grade.NOT_RECORDED}


def test_an_open_hood_is_named_but_does_not_exclude() -> None:
    open_hood = match(IDLE, known_good(replace(SUMMER, hood=Opening.OPEN)))
    assert open_hood.comparable
    assert open_hood.remarks == (Condition.HOOD,)
    assert match(IDLE, known_good()).remarks == ()
