"""The response plane: how both sides answer engine speed, on this car and on the known-good ones."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.match import Point, match
from knowngood_refdata.records import Quantity

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_refdata.records import Conditions, Reading

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


@dataclass(frozen=True, slots=True)
class Leg:
    """The two ends of a response: engine speeds [rpm] and the fan stages there."""

    from_rpm: float
    to_rpm: float
    from_stage: int | None
    to_stage: int | None


def known_good_responses(
    leg: Leg, conditions: Conditions, readings: Sequence[Reading]
) -> tuple[KnownGoodResponse, ...]:
    """Pairs of known-good readings of one car and visit at both ends of a response.

    Each end must match the session at that end in everything, engine speed and fan stage included: where
    the fan switched on the way, only cars whose fan switched alike are like with like.
    """
    by_visit: dict[tuple[object, ...], dict[str, Reading]] = {}
    ends = {
        "from": Point(conditions, leg.from_rpm, leg.from_stage),
        "to": Point(conditions, leg.to_rpm, leg.to_stage),
    }
    for reading in readings:
        for end, point in ends.items():
            if _has_pressures(reading) and match(point, reading).comparable:
                visit = (reading.unit_id, reading.session_id, reading.taken_at.date())
                by_visit.setdefault(visit, {})[end] = reading
    return tuple(
        _change(pair["from"], pair["to"]) for pair in by_visit.values() if ends.keys() <= pair.keys()
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


def _has_pressures(reading: Reading) -> bool:
    return Quantity.LOW_SIDE in reading.values and Quantity.HIGH_SIDE in reading.values


def _change(start: Reading, end: Reading) -> KnownGoodResponse:
    low, high = Quantity.LOW_SIDE, Quantity.HIGH_SIDE
    return KnownGoodResponse(
        end.values[low].value - start.values[low].value,
        end.values[high].value - start.values[high].value,
        start.unit_id,
    )
