"""Invented units of one design, read over the years: condenser air and humidity move what they show."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np

from knowngood_refdata.records import (
    AirSource,
    Conditions,
    Estimate,
    Opening,
    Quantity,
    Reading,
    Standing,
    Vehicle,
)

FIRST = datetime(2023, 5, 2, 10, 0, tzinfo=UTC)
WHERRY = Vehicle(1, "Tarn", "Wherry", "city bus", 2022, None, family="Wherry roof unit", family_id=1)
PUNT = Vehicle(2, "Fen", "Punt", "van", 2022, None, family="Punt front unit", family_id=2)


def reading(
    number: int,
    unit_id: int,
    days: int,
    ambient_c: float,
    *,
    more_subcooling_k: float = 0.0,
    seed: int = 1,
    vehicle: Vehicle = WHERRY,
) -> Reading:
    """A reading whose subcooling falls and whose vent temperature rises with the ambient, and scatters."""
    rng = np.random.default_rng((seed, number))
    conditions = Conditions(
        ambient_k=ambient_c + 273.15,
        intake_k=ambient_c + 268.15,
        relative_humidity=0.5,
        barometer_pa=99_000.0,
        blower=1.0,
        air_source=AirSource.RECIRCULATION,
        doors=Opening.CLOSED,
        hood=Opening.OPEN,
        sun=False,
        fan_stage=1,
    )
    subcooling = 9.0 - 0.15 * (ambient_c - 30.0) + more_subcooling_k + rng.normal(0.0, 0.25)
    vent = 281.0 + 0.5 * (ambient_c - 30.0) - 0.4 * more_subcooling_k + rng.normal(0.0, 0.25)
    values = {Quantity.SUBCOOLING: Estimate(subcooling, 0.4), Quantity.VENT: Estimate(vent, 0.3)}
    return Reading(
        number,
        vehicle.id,
        unit_id,
        None,
        FIRST + timedelta(days=days),
        conditions,
        1_000.0,
        1,
        values,
        Standing.KNOWN_GOOD,
    )


def sisters(units: int = 6, visits: int = 4) -> list[Reading]:
    """Readings of healthy units numbered from 101 on, in all weathers."""
    rng = np.random.default_rng(7)
    return [
        reading(1000 + 10 * unit + visit, 101 + unit, 180 * visit, float(rng.uniform(26.0, 35.0)))
        for unit in range(units)
        for visit in range(visits)
    ]
