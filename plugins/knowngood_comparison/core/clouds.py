"""Known-good readings of two refrigerants on saturation temperatures, like only with like.

The pressures of the two refrigerants do not compare; their saturation temperatures do, each from its own
curve. Nothing is pooled: every figure belongs to one refrigerant.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.match import Point, match
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Quantity
from knowngood_refdata.refrigerants import saturation

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from knowngood_refdata.records import Reading
    from knowngood_refdata.refrigerants import SaturationCurve

IDLE_BELOW_RPM = 1_100.0
"""Slower than this an engine idles, high idle of hybrids included (common practice, no source)."""


class Speeds(StrEnum):
    """Which readings count, by the speed of the engine."""

    IDLE = "at idle"
    ABOVE = "above idle"
    ALL = "at any speed"


COMPARED = (
    (Quantity.CONDENSING_ABOVE_AMBIENT, Kind.TEMPERATURE_DIFFERENCE),
    (Quantity.SUPERHEAT, Kind.TEMPERATURE_DIFFERENCE),
    (Quantity.SUBCOOLING, Kind.TEMPERATURE_DIFFERENCE),
    (Quantity.VENT, Kind.TEMPERATURE),
)
"""What is compared beside the two saturation temperatures, with its kind."""


@dataclass(frozen=True, slots=True, eq=False)
class Cloud:
    """Readings of one refrigerant with their saturation temperatures [K], shape (n,).

    ``alike`` tells, for each reading, whether one of the other refrigerant was taken under like conditions.
    ``left_out`` readings lack a pressure, or have one that is off the curve.
    """

    refrigerant: str
    readings: tuple[Reading, ...]
    evaporating_k: NDArray[np.float64]
    condensing_k: NDArray[np.float64]
    alike: NDArray[np.bool_]
    left_out: int = 0

    @property
    def cars(self) -> int:
        """How many cars stand behind the readings; a reading without one counts for itself."""
        return cars(self.readings)

    @property
    def like_readings(self) -> tuple[Reading, ...]:
        """The readings that have a like one on the other side."""
        return tuple(one for one, like in zip(self.readings, self.alike, strict=True) if like)


@dataclass(frozen=True, slots=True)
class Range:
    """Least, median and most of a quantity in SI, with the readings and cars behind it."""

    least: float
    median: float
    most: float
    readings: int
    cars: int


@dataclass(frozen=True, slots=True)
class RangeRow:
    """One quantity under like conditions on both sides; None where no reading holds it."""

    name: str
    kind: Kind
    ranges: tuple[Range | None, Range | None]


def clouds(
    first: tuple[str, Sequence[Reading]], second: tuple[str, Sequence[Reading]]
) -> tuple[Cloud, Cloud]:
    """The readings of two refrigerants, each with its designation, and which of them may be compared.

    Like is like when ambient, humidity, engine speed, fan stage and air source match, as everywhere in the
    book; what is not recorded never matches.
    """
    ours, theirs = _placed(*first), _placed(*second)
    return _marked(ours, theirs.readings), _marked(theirs, ours.readings)


def ranges(pair: tuple[Cloud, Cloud]) -> tuple[RangeRow, ...]:
    """What the readings under like conditions show, a row a quantity, the refrigerants apart."""
    rows: tuple[tuple[str, Kind, Callable[[Cloud], NDArray[np.float64]]], ...] = (
        ("Evaporating", Kind.TEMPERATURE, lambda cloud: cloud.evaporating_k),
        ("Condensing", Kind.TEMPERATURE, lambda cloud: cloud.condensing_k),
        *((quantity.capitalize(), kind, _reader(quantity)) for quantity, kind in COMPARED),
    )
    first, second = pair
    return tuple(
        RangeRow(name, kind, (_range(first, get(first)), _range(second, get(second))))
        for name, kind, get in rows
    )


def taken(readings: Sequence[Reading], speeds: Speeds) -> tuple[Reading, ...]:
    """The readings of some engine speeds; without a speed on record a reading counts only at any speed."""
    if speeds is Speeds.ALL:
        return tuple(readings)
    known = (one for one in readings if one.engine_rpm is not None and one.engine_rpm > 0.0)
    wanted = speeds is Speeds.IDLE
    return tuple(one for one in known if ((one.engine_rpm or 0.0) < IDLE_BELOW_RPM) is wanted)


def cars(readings: Sequence[Reading]) -> int:
    """How many cars stand behind readings; a reading that names none counts for one of its own."""
    named = {one.unit_id for one in readings if one.unit_id is not None}
    return len(named) + sum(one.unit_id is None for one in readings)


def _placed(refrigerant: str, readings: Sequence[Reading]) -> Cloud:
    curve = saturation(refrigerant)
    placed = [(one, *_saturation_k(curve, one)) for one in readings]
    kept = [item for item in placed if np.isfinite(item[1]) and np.isfinite(item[2])]
    return Cloud(
        refrigerant,
        tuple(item[0] for item in kept),
        np.array([item[1] for item in kept], dtype=np.float64),
        np.array([item[2] for item in kept], dtype=np.float64),
        np.zeros(len(kept), dtype=np.bool_),
        len(placed) - len(kept),
    )


def _saturation_k(curve: SaturationCurve, reading: Reading) -> tuple[float, float]:
    low, high = (reading.values.get(one) for one in (Quantity.LOW_SIDE, Quantity.HIGH_SIDE))
    if low is None or high is None:
        return np.nan, np.nan
    return curve.temperature_k(low.value), curve.temperature_k(high.value)


def _marked(cloud: Cloud, others: Sequence[Reading]) -> Cloud:
    alike = np.array([_has_like(one, others) for one in cloud.readings], dtype=np.bool_)
    return replace(cloud, alike=alike)


def _has_like(reading: Reading, others: Sequence[Reading]) -> bool:
    point = Point(reading.conditions, reading.engine_rpm, reading.fan_stage)
    return any(match(point, other).comparable for other in others)


def _reader(quantity: Quantity) -> Callable[[Cloud], NDArray[np.float64]]:
    def read(cloud: Cloud) -> NDArray[np.float64]:
        values = (one.values.get(quantity) for one in cloud.readings)
        return np.array([np.nan if one is None else one.value for one in values], dtype=np.float64)

    return read


def _range(cloud: Cloud, values: NDArray[np.float64]) -> Range | None:
    used = cloud.alike & np.isfinite(values)
    if not used.any():
        return None
    kept = values[used]
    behind = [one for one, take in zip(cloud.readings, used, strict=True) if take]
    return Range(float(kept.min()), float(np.median(kept)), float(kept.max()), len(kept), cars(behind))
