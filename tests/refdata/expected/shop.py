"""Small libraries made by hand: families at given levels, one car a configuration unless said otherwise."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from tests.refdata.expected.fleet import reading, vehicle

from knowngood_refdata.expected.forecasts import Subject
from knowngood_refdata.expected.match import Point
from knowngood_refdata.records import (
    AirSource,
    CompressorKind,
    Conditions,
    Estimate,
    Opening,
    Quantity,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_refdata.records import Reading, Vehicle

CONDITIONS = Conditions(
    ambient_k=303.15, intake_k=299.15, relative_humidity=0.5, barometer_pa=100_000.0, blower=1.0,
    air_source=AirSource.RECIRCULATION, doors=Opening.CLOSED, hood=Opening.OPEN, sun=False, fan_stage=1,
)  # fmt: skip
USUAL = {
    Quantity.EVAPORATING: 276.0,
    Quantity.CONDENSING_ABOVE_AMBIENT: 18.0,
    Quantity.SUPERHEAT: 6.0,
    Quantity.SUBCOOLING: 6.0,
    Quantity.VENT: 281.0,
}
K = CompressorKind


def subject(of: Vehicle, unit_id: int | None = None, conditions: Conditions = CONDITIONS) -> Subject:
    """A reading to come at idle."""
    return Subject(of, unit_id, Point(conditions, 800.0, 1))


def readings_of(
    vehicles: Sequence[Vehicle], quantity: Quantity, levels: Sequence[float], each: int = 4, seed: int = 3,
    scatter: float = 0.5,
) -> list[Reading]:  # fmt: skip
    """For each vehicle cars with one reading each, scattered about the vehicle's level of one quantity."""
    rng = np.random.default_rng(seed)
    found: list[Reading] = []
    for of, level in zip(vehicles, levels, strict=True):
        for _ in range(each):
            number = len(found) + 1
            values = {q: Estimate(v + rng.normal(0.0, scatter), 0.5) for q, v in USUAL.items()}
            values[quantity] = Estimate(level + rng.normal(0.0, scatter), 0.5)
            found.append(reading(number, of, number, number, CONDITIONS, 800.0, values, 1))
    return found


def four_families(each: int = 3) -> list[Vehicle]:
    """Four families of four makers, each of several configurations."""
    return [
        vehicle(4 * i + f + 1, maker, f + 1, K.EXTERNAL_VARIABLE)
        for i in range(each)
        for f, maker in enumerate(("Tarn", "Fen", "Moor", "Gill"))
    ]
