"""Like with like: may a reading be compared with a known-good one, and if not, why not.

The match classes are proposals of the trade (common practice, no source): ambient within 4 K, relative
humidity within 15 points, engine speed within 100 rpm, the same fan stage and the same air source.
What is not recorded is never taken as equal.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from knowngood_refdata.records import Conditions, Reading

AMBIENT_WITHIN_K = 4.0
HUMIDITY_WITHIN = 0.15
ENGINE_WITHIN_RPM = 100.0
BLOWER_WITHIN = 0.10


class Condition(StrEnum):
    """The conditions that a comparison looks at, the ones it cannot do without first."""

    AMBIENT = "ambient"
    HUMIDITY = "humidity"
    ENGINE_SPEED = "engine speed"
    FAN_STAGE = "fan stage"
    AIR_SOURCE = "air source"
    BLOWER = "blower"
    DOORS = "doors"
    HOOD = "hood"
    SUN = "sun"


REQUIRED = (
    Condition.AMBIENT,
    Condition.HUMIDITY,
    Condition.ENGINE_SPEED,
    Condition.FAN_STAGE,
    Condition.AIR_SOURCE,
)


class Grade(StrEnum):
    """How one condition of two readings compares."""

    MATCHES = "matches"
    DIFFERS = "differs"
    NOT_RECORDED = "not recorded here"
    NOT_RECORDED_THERE = "not recorded there"


@dataclass(frozen=True, slots=True)
class Point:
    """A steady point with its conditions: what a comparison needs to know of a reading."""

    conditions: Conditions
    engine_rpm: float | None
    fan_stage: int | None


@dataclass(frozen=True, slots=True)
class Match:
    """How the conditions of a known-good reading compare with those of the point in hand."""

    reading: Reading
    grades: dict[Condition, Grade]

    @property
    def comparable(self) -> bool:
        """Whether every required condition matches."""
        return not self.obstacles

    @property
    def obstacles(self) -> tuple[Condition, ...]:
        """The required conditions that do not match."""
        return tuple(one for one in REQUIRED if self.grades[one] is not Grade.MATCHES)

    @property
    def remarks(self) -> tuple[Condition, ...]:
        """The other conditions that are known to differ, or are unknown."""
        return tuple(
            one for one in Condition if one not in REQUIRED and self.grades[one] is not Grade.MATCHES
        )


def match(point: Point, reading: Reading) -> Match:
    """Grade every condition of a known-good reading against a point."""
    return Match(reading, _grades(point, Point(reading.conditions, reading.engine_rpm, reading.fan_stage)))


def _grades(point: Point, other: Point) -> dict[Condition, Grade]:
    here, there = point.conditions, other.conditions
    return {
        Condition.AMBIENT: _near(here.ambient_k, there.ambient_k, AMBIENT_WITHIN_K),
        Condition.HUMIDITY: _near(here.relative_humidity, there.relative_humidity, HUMIDITY_WITHIN),
        Condition.ENGINE_SPEED: _near(point.engine_rpm, other.engine_rpm, ENGINE_WITHIN_RPM),
        Condition.FAN_STAGE: _same(point.fan_stage, other.fan_stage),
        Condition.AIR_SOURCE: _same(here.air_source, there.air_source),
        Condition.BLOWER: _near(here.blower, there.blower, BLOWER_WITHIN),
        Condition.DOORS: _same(here.doors, there.doors),
        Condition.HOOD: _same(here.hood, there.hood),
        Condition.SUN: _same(here.sun, there.sun),
    }


def match_conditions(here: Point, there: Point) -> tuple[Condition, ...]:
    """The required conditions in which two points do not match."""
    grades = _grades(here, there)
    return tuple(one for one in REQUIRED if grades[one] is not Grade.MATCHES)


def _near(here: float | None, there: float | None, within: float) -> Grade:
    if here is None:
        return Grade.NOT_RECORDED
    if there is None:
        return Grade.NOT_RECORDED_THERE
    # The tolerance itself still matches, whatever binary fractions make of it.
    return Grade.MATCHES if abs(here - there) <= within + 1e-9 else Grade.DIFFERS


def _same(here: object, there: object) -> Grade:
    if here is None:
        return Grade.NOT_RECORDED
    if there is None:
        return Grade.NOT_RECORDED_THERE
    return Grade.MATCHES if here == there else Grade.DIFFERS
