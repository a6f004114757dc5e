"""Readings of the shop's healthy cars: the simulator run at drawn conditions, seen by an instrument."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from knowngood_demo.design import Faults, Surroundings
from knowngood_demo.instruments import DIGITAL, measured
from knowngood_demo.logs import conditions_of
from knowngood_demo.properties import properties
from knowngood_demo.run import Leg, Trace, run
from knowngood_refdata.quantities import ZERO_CELSIUS_K
from knowngood_refdata.records import Conditions, Estimate, Opening, Quantity, Role

if TYPE_CHECKING:
    from knowngood_demo.cars import Car
    from knowngood_demo.design import LoopDesign

_WARM_UP_S = 120.0
_AVERAGED_S = 20
_STILL_SHARE = 0.01
_REPEATABILITY_PA = {Role.LOW_SIDE: 1_500.0, Role.HIGH_SIDE: 4_000.0}
"""What a gauge shows anew with each reading, a quarter of its accuracy class (own assumption)."""
_STANDARD_UNCERTAINTY = {
    # Limits of the digital set over sqrt 3; the slopes of the saturation curves carry them to the rest.
    Quantity.LOW_SIDE: 5_800.0,
    Quantity.HIGH_SIDE: 14_400.0,
    Quantity.SUPERHEAT: 0.62,
    Quantity.SUBCOOLING: 0.55,
    Quantity.CONDENSING_ABOVE_AMBIENT: 0.55,
    Quantity.EVAPORATING: 0.55,
    Quantity.VENT: 0.29,
}


@dataclass(frozen=True, slots=True)
class HealthyReading:
    """One steady point of one healthy car, as the shop's instruments showed it."""

    conditions: Conditions
    engine_rpm: float
    fan_stage: int | None
    values: dict[Quantity, Estimate]


@dataclass(frozen=True, slots=True)
class Spread:
    """Between which bounds the conditions of a car's readings are drawn: °C, and percent of humidity."""

    ambient_c: tuple[float, float]
    humidity_percent: tuple[float, float]


def one_of_many(design: LoopDesign, rng: np.random.Generator) -> LoopDesign:
    """The loop of one real car: parts scatter by a few percent about the design (plausible, not measured)."""
    scatter = rng.normal(0.0, 1.0, 4)
    compressor = replace(
        design.compressor,
        air_off_k=design.compressor.air_off_k + 0.3 * scatter[0],
        suction_pa=design.compressor.suction_pa * (1.0 + 0.008 * scatter[0]),
    )
    return replace(
        design,
        compressor=compressor,
        condenser_air_ua=design.condenser_air_ua * (1.0 + 0.03 * scatter[1]),
        subcooler_ua=design.subcooler_ua * (1.0 + 0.06 * scatter[2]),
        static_superheat_k=design.static_superheat_k + 0.5 * scatter[3],
    )


def draw_conditions(rng: np.random.Generator, spread: Spread) -> Surroundings:
    """The weather of one visit."""
    ambient_k = ZERO_CELSIUS_K + rng.uniform(*spread.ambient_c)
    return Surroundings(
        ambient_k=round(ambient_k, 1),
        intake_k=round(ambient_k - rng.uniform(5.2, 5.8), 1),
        relative_humidity=round(rng.uniform(*spread.humidity_percent) / 100.0, 2),
        barometer_pa=round(rng.uniform(98_000.0, 99_500.0), -1),
    )


def visit(
    design: LoopDesign,
    car: Car,
    around: Surroundings,
    speeds_rpm: tuple[float, ...],
    rng: np.random.Generator,
    leg_s: float = 55.0,
    charge_share: float = 1.0,
) -> list[HealthyReading]:
    """One healthy car on one day: idle, then each higher speed, read where both sides had settled.

    A speed at which the sides had not settled, or the fan had just changed its stage, gives no reading.
    ``leg_s`` is how long each speed is held; ``charge_share`` how much of its charge is left in a car that
    loses some.
    """
    charge = Faults(charge=charge_share + rng.uniform(-0.02, 0.02))
    legs = [Leg(_AVERAGED_S, car.idle_rpm), *(Leg(leg_s, rpm) for rpm in speeds_rpm)]
    trace = run(design, around, legs, charge, warm_up_s=_WARM_UP_S, step_s=0.2)
    seen = measured(trace, around, DIGITAL, rng)
    hood = Opening.CLOSED if rng.random() < 0.4 else Opening.OPEN
    ends = np.cumsum([round(leg.seconds) for leg in legs])
    found = []
    for leg, end in zip(legs, ends, strict=True):
        if not _settled(trace, int(end)):
            continue
        part = slice(int(end) - _AVERAGED_S, int(end))
        stage = trace.snapshots[int(end) - 1].fan_stage
        conditions = replace(conditions_of(around, fan_stage=stage), hood=hood)
        mean = {role: float(values[part].mean()) for role, values in seen.items()}
        for side, anew_pa in _REPEATABILITY_PA.items():
            mean[side] += float(rng.normal(0.0, anew_pa))
        found.append(_reading(design.refrigerant, mean, conditions, leg.rpm))
    return found


def _settled(trace: Trace, end_s: int) -> bool:
    """Whether the fan kept its stage and neither side still moved over the last seconds before a moment."""
    last = Trace(trace.snapshots[end_s - _AVERAGED_S : end_s])
    if np.ptp(last.column("fan_stage")) > 0.0:
        return False
    return all(
        float(np.ptp(side)) < _STILL_SHARE * float(side.mean())
        for side in (last.column("low_pa"), last.column("high_pa"))
    )


def _reading(
    refrigerant: str, mean: dict[Role, float], conditions: Conditions, engine_rpm: float
) -> HealthyReading:
    table = properties(refrigerant)
    evaporating_k = table.saturation_k(mean[Role.LOW_SIDE])
    condensing_k = table.saturation_k(mean[Role.HIGH_SIDE])
    values = {
        Quantity.LOW_SIDE: mean[Role.LOW_SIDE],
        Quantity.HIGH_SIDE: mean[Role.HIGH_SIDE],
        Quantity.SUPERHEAT: mean[Role.SUCTION_LINE] - evaporating_k,
        Quantity.SUBCOOLING: condensing_k - mean[Role.LIQUID_LINE],
        Quantity.CONDENSING_ABOVE_AMBIENT: condensing_k - mean[Role.AMBIENT],
        Quantity.EVAPORATING: evaporating_k,
        Quantity.VENT: mean[Role.VENT],
    }
    estimates = {what: Estimate(value, _STANDARD_UNCERTAINTY[what]) for what, value in values.items()}
    return HealthyReading(conditions, engine_rpm, conditions.fan_stage, estimates)
