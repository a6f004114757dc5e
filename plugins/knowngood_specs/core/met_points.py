"""The conditions that known-good readings were taken under, in groups alike enough to compare."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import median
from typing import TYPE_CHECKING

from knowngood_refdata.expected.match import ENGINE_WITHIN_RPM, Point
from knowngood_refdata.local_air import local_air
from knowngood_refdata.records import Conditions

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from knowngood_refdata.records import Reading


@dataclass(frozen=True, slots=True)
class MetPoint:
    """The middle of the conditions of some readings, and how many they are.

    Ambient, humidity, engine speed and air pressure are medians; fan stage and air source are of all of them.
    """

    point: Point
    readings: int

    @property
    def barometer_pa(self) -> float:
        """The air pressure that gauge pressures count from."""
        return self.point.conditions.barometer_pa or local_air(None, None).pressure_pa


def met_points(readings: Sequence[Reading]) -> tuple[MetPoint, ...]:
    """The points that the readings were taken at, the one with the most readings first.

    Readings that lack a condition which a comparison cannot do without are in none of them.
    """
    groups: list[list[Reading]] = []
    for reading in sorted(filter(_complete, readings), key=lambda one: one.engine_rpm or 0.0):
        group = next((one for one in groups if _alike(one[0], reading)), None)
        if group is None:
            groups.append([reading])
        else:
            group.append(reading)
    return tuple(sorted(map(_middle, groups), key=lambda one: -one.readings))


def _complete(reading: Reading) -> bool:
    now = reading.conditions
    needed = (now.ambient_k, now.relative_humidity, now.air_source, reading.engine_rpm, reading.fan_stage)
    return all(one is not None for one in needed)


def _alike(first: Reading, other: Reading) -> bool:
    return (
        first.fan_stage == other.fan_stage
        and first.conditions.air_source is other.conditions.air_source
        and abs((first.engine_rpm or 0.0) - (other.engine_rpm or 0.0)) <= ENGINE_WITHIN_RPM
    )


def _middle(group: Sequence[Reading]) -> MetPoint:
    conditions = [one.conditions for one in group]
    middle = Conditions(
        ambient_k=_median(one.ambient_k for one in conditions),
        relative_humidity=_median(one.relative_humidity for one in conditions),
        barometer_pa=_median(local_air(one.barometer_pa, one.altitude_m).pressure_pa for one in conditions),
        air_source=conditions[0].air_source,
    )
    rpm = _median(one.engine_rpm for one in group)
    return MetPoint(Point(middle, rpm, group[0].fan_stage), len(group))


def _median(values: Iterable[float | None]) -> float:
    return median(one for one in values if one is not None)
