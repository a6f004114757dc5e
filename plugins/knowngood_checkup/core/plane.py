"""The response plane: how both sides answer engine speed, on this car and on the known-good ones."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.match import ENGINE_WITHIN_RPM, Condition, Point, match
from knowngood_refdata.records import Quantity

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_refdata.records import Conditions, Reading, Response

ELLIPSE_NEEDS = 5


@dataclass(frozen=True, slots=True)
class KnownGoodResponse:
    """Change of both sides of one known-good car between two engine speeds, in pascals."""

    low_pa: float
    high_pa: float
    car: int | None


@dataclass(frozen=True, slots=True)
class Ellipse:
    """An ellipse about a cloud: centre and half-axes in pascals, turned by ``angle_rad``."""

    low_pa: float
    high_pa: float
    half_major_pa: float
    half_minor_pa: float
    angle_rad: float


def known_good_responses(
    response: Response, conditions: Conditions, fan_stage: int | None, readings: Sequence[Reading]
) -> tuple[KnownGoodResponse, ...]:
    """Pairs of known-good readings of one car and visit at the two engine speeds of a response.

    Both readings must match the session in everything but engine speed, at the same fan stage. A
    response across a change of fan stage has no counterpart: the fan moved it.
    """
    if not response.same_fan_stage:
        return ()
    by_visit: dict[tuple[object, ...], dict[str, Reading]] = {}
    for reading in readings:
        for end, rpm in (("from", response.from_rpm), ("to", response.to_rpm)):
            if _at(reading, Point(conditions, rpm, fan_stage)):
                visit = (reading.unit_id, reading.session_id, reading.taken_at.date())
                by_visit.setdefault(visit, {})[end] = reading
    return tuple(
        _change(ends["from"], ends["to"]) for ends in by_visit.values() if {"from", "to"} <= ends.keys()
    )


def ellipse(cloud: Sequence[KnownGoodResponse], coverage: float) -> Ellipse | None:
    """The prediction ellipse that should hold the next car's response with this probability.

    For a bivariate normal sample the squared distance of a further point follows
    2 (n² - 1) / (n (n - 2)) F(2, n - 2), and that F quantile has the closed form
    (n - 2)/2 ((1 - coverage)^(-2/(n - 2)) - 1). Source: the T² prediction region of Johnson and Wichern,
    Applied Multivariate Statistical Analysis, section 5.4 (from memory); checked by simulation in the tests.

    Returns None with fewer than `ELLIPSE_NEEDS` cars.
    """
    n = len(cloud)
    if n < ELLIPSE_NEEDS:
        return None
    points = np.array([(one.low_pa, one.high_pa) for one in cloud])
    spread, axes = np.linalg.eigh(np.cov(points.T))
    quantile = (n - 2) / 2.0 * ((1.0 - coverage) ** (-2.0 / (n - 2)) - 1.0)
    scale = 2.0 * (n * n - 1.0) / (n * (n - 2.0)) * quantile
    minor, major = np.sqrt(np.maximum(spread, 0.0) * scale)
    low, high = points.mean(axis=0)
    angle = np.arctan2(axes[1, 1], axes[0, 1])
    return Ellipse(float(low), float(high), float(major), float(minor), float(angle))


def _at(reading: Reading, point: Point) -> bool:
    if reading.engine_rpm is None or abs(reading.engine_rpm - (point.engine_rpm or 0.0)) > ENGINE_WITHIN_RPM:
        return False
    has_both = Quantity.LOW_SIDE in reading.values and Quantity.HIGH_SIDE in reading.values
    return has_both and not set(match(point, reading).obstacles) - {Condition.ENGINE_SPEED}


def _change(start: Reading, end: Reading) -> KnownGoodResponse:
    low, high = Quantity.LOW_SIDE, Quantity.HIGH_SIDE
    return KnownGoodResponse(
        end.values[low].value - start.values[low].value,
        end.values[high].value - start.values[high].value,
        start.unit_id,
    )
