"""A configuration of healthy cars as its readings tell of it, and sessions of one of them."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np

from knowngood_refdata.expected.book import Book
from knowngood_refdata.records import (
    AirSource,
    CompressorKind,
    Conditions,
    Estimate,
    MeteringDevice,
    Opening,
    Quantity,
    Reading,
    SourceKind,
    SpecValue,
    Standing,
    SteadyWindow,
    Vehicle,
)
from knowngood_refdata.refrigerants import saturation

SUMMER = Conditions(
    ambient_k=304.0, intake_k=298.0, relative_humidity=0.5, barometer_pa=98_500.0, blower=1.0,
    air_source=AirSource.RECIRCULATION, doors=Opening.CLOSED, hood=Opening.OPEN, sun=False, run_time_s=900.0,
)  # fmt: skip
DAY = datetime(2025, 6, 2, 9, tzinfo=UTC)
U = {
    Quantity.EVAPORATING: 0.4,
    Quantity.CONDENSING_ABOVE_AMBIENT: 0.4,
    Quantity.SUPERHEAT: 0.6,
    Quantity.SUBCOOLING: 0.6,
    Quantity.VENT: 0.4,
}
AT_IDLE = dict(zip(U, (275.0, 17.0, 7.0, 9.0, 280.0), strict=True))
CURVE = saturation("R-134a")


def printed(field: str, text: str, value: float | None = None, tolerance: float | None = None) -> SpecValue:
    return SpecValue(0, field, value, tolerance, text, SourceKind.UNDER_HOOD_LABEL, "label")


def car(kind: CompressorKind = CompressorKind.FIXED, number: int = 1, family: str = "A") -> Vehicle:
    return Vehicle(
        number, "Tarn", "Skerry", "1.6 petrol", 2021, 2023, maker="Tarn", family=family, family_id=1,
        specs={
            "compressor": (printed("compressor", str(kind)),),
            "metering device": (printed("metering device", str(MeteringDevice.EXPANSION_VALVE)),),
            "refrigerant": (printed("refrigerant", "R-134a"),),
            "charge": (printed("charge", "470 ± 15 g", 0.470, 0.015),),
        },
    )  # fmt: skip


PER_AMBIENT = 0.8
"""How far evaporating and vent temperature of this design follow the ambient, kelvins a kelvin."""


def values(
    moved: dict[Quantity, float] | None = None,
    rpm: float = 780.0,
    noise: float = 0.0,
    draw: np.random.Generator | None = None,
    ambient_k: float = 304.0,
) -> dict[Quantity, Estimate]:
    """Everything measured on a car of this design, moved by some kelvins."""
    octave = float(np.log2(rpm / 780.0))
    slopes = dict(zip(U, (-5.0, 2.0, 0.5, 0.0, -3.0), strict=True))
    found = {}
    for one, level in AT_IDLE.items():
        scatter = 0.0 if draw is None else float(draw.normal(0.0, noise))
        at = level + slopes[one] * octave + (moved or {}).get(one, 0.0) + scatter
        if one in (Quantity.EVAPORATING, Quantity.VENT):
            at += PER_AMBIENT * (ambient_k - 304.0)
        found[one] = Estimate(at, U[one])
    low = float(CURVE.pressure_pa(found[Quantity.EVAPORATING].value))
    high = float(CURVE.pressure_pa(found[Quantity.CONDENSING_ABOVE_AMBIENT].value + ambient_k))
    found[Quantity.LOW_SIDE] = Estimate(low, 4e3)
    found[Quantity.HIGH_SIDE] = Estimate(high, 1e4)
    return found


def window(rpm: float = 780.0, moved: dict[Quantity, float] | None = None, stage: int | None = 1,
           label: str = "idle", start_s: float = 10.0) -> SteadyWindow:  # fmt: skip
    return SteadyWindow(start_s, start_s + 90.0, rpm, stage, label, values(moved, rpm))


def readings(vehicle: Vehicle, cars: int = 8, conditions: Conditions = SUMMER) -> list[Reading]:
    """Each car read at idle and at 1,560 rpm, on days between 298 and 310 K."""
    draw = np.random.default_rng(3)
    found = []
    for unit in range(1, cars + 1):
        ambient_k = 298.0 + 4.0 * (unit % 4)
        shift = {one: float(draw.normal(0.0, 0.8)) for one in U}
        found += [
            Reading(
                100 * vehicle.id + 2 * unit + int(rpm > 1000.0), vehicle.id, unit, None,
                DAY + timedelta(days=unit, minutes=rpm / 100.0), replace(conditions, ambient_k=ambient_k),
                rpm, 1, values(shift, rpm, 0.4, draw, ambient_k), Standing.KNOWN_GOOD,
            )
            for rpm in (780.0, 1560.0)
        ]  # fmt: skip
    return found


def book(kind: CompressorKind = CompressorKind.FIXED, cars: int = 8) -> tuple[Book, Vehicle]:
    vehicle = car(kind)
    return Book.of(readings(vehicle, cars), [vehicle]), vehicle
