"""Simulated cars with one fault each, at steady idle and at a raised engine speed, beside the healthy car.

The loop of the demo is not what the signatures were written from; its faults are set on the parts of the
loop, and what is not a part of it (a stroke that is stuck, a drifted set point, a valve that stays open)
is set on the design.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from knowngood_checkup.core.explain.evidence import CarKind, Signal
from knowngood_checkup.core.explain.faults import Fault
from knowngood_demo.cars import CARS
from knowngood_demo.design import HEALTHY, Faults, LoopDesign, Surroundings
from knowngood_demo.properties import properties
from knowngood_demo.readings import one_of_many
from knowngood_demo.run import Leg, run
from knowngood_refdata.quantities import ZERO_CELSIUS_K
from knowngood_refdata.records import CompressorKind, MeteringDevice

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    Vector = NDArray[np.float64]

SPEEDS_RPM = (800.0, 2_000.0)
_CONTROLLED = (CompressorKind.INTERNAL_VARIABLE, CompressorKind.EXTERNAL_VARIABLE)
_NEVER_PA, _NEVER_K = 9e6, 999.0


@dataclass(frozen=True, slots=True)
class Case:
    """One car with one fault: settled values by signal at each of `SPEEDS_RPM`, (2, 5), in kelvins."""

    car: CarKind
    fault: Fault
    size: float
    intake_k: float
    typical: Vector
    healthy: Vector
    faulty: Vector


def cases(count: int, seed: int) -> list[Case]:
    """Cars under drawn weather, each with a healthy case and some faults of drawn size."""
    rng = np.random.default_rng(seed)
    made: list[Case] = []
    for _ in range(count):
        made += _cases_of_a_car(rng)
    return made


def _cases_of_a_car(rng: np.random.Generator) -> list[Case]:
    car = CARS[rng.integers(len(CARS))]
    ambient_k = ZERO_CELSIUS_K + rng.uniform(24.0, 38.0)
    around = Surroundings(
        ambient_k=ambient_k,
        intake_k=ambient_k - rng.uniform(1.0, 6.0),
        relative_humidity=rng.uniform(0.3, 0.7),
    )
    # One fan stage throughout: a reading at another stage is another comparison.
    fan = replace(car.design.fan, on_pa=_NEVER_PA, coolant_on_k=_NEVER_K)
    typical_design = replace(car.design, fan=fan)
    design = one_of_many(typical_design, rng)
    typical, healthy = (_settled(one, around, HEALTHY) for one in (typical_design, design))
    kind = CarKind(design.compressor.kind, design.metering)
    made = [Case(kind, Fault.HEALTHY, 0.0, around.intake_k, typical, healthy, healthy)]
    for fault in rng.permutation(np.array(list(_FAULTS), dtype=object))[:3]:
        size = float(np.exp(rng.normal(np.log(0.9), 0.5)))
        broken = _FAULTS[fault](design, size)
        if broken is not None:
            faulty = _settled(broken[0], around, broken[1])
            made.append(Case(kind, fault, size, around.intake_k, typical, healthy, faulty))
    return made


def _settled(design: LoopDesign, around: Surroundings, faults: Faults) -> Vector:
    return np.array([_point(design, around, rpm, faults) for rpm in SPEEDS_RPM])


def _point(design: LoopDesign, around: Surroundings, rpm: float, faults: Faults) -> list[float]:
    trace = run(design, around, [Leg(40.0, rpm)], faults, warm_up_s=140.0, step_s=0.2)
    mean = trace.settled(len(trace.snapshots) - 20, len(trace.snapshots))
    table = properties(design.refrigerant)
    evaporating_k, condensing_k = (table.saturation_k(mean[side]) for side in ("low_pa", "high_pa"))
    values = {
        Signal.LOW: evaporating_k,
        Signal.HIGH: condensing_k - around.ambient_k,
        Signal.SUPERHEAT: mean["suction_line_k"] - evaporating_k,
        Signal.SUBCOOLING: condensing_k - mean["liquid_line_k"],
        Signal.VENT: mean["vent_k"],
    }
    return [float(values[signal]) for signal in Signal]


def _part(**share: float) -> Faults:
    return Faults(**share)


def _stuck(design: LoopDesign, stroke: float) -> tuple[LoopDesign, Faults] | None:
    if design.compressor.kind not in _CONTROLLED:
        return None
    displacement = stroke * design.compressor.displacement_m3
    stuck = replace(
        design.compressor, kind=CompressorKind.FIXED, displacement_m3=displacement, air_off_k=200.0
    )
    return replace(design, compressor=stuck), HEALTHY


def _drifted(design: LoopDesign, size: float) -> tuple[LoopDesign, Faults] | None:
    if design.compressor.kind is CompressorKind.FIXED:
        return None
    turn = 1.0 if round(1e3 * design.static_superheat_k) % 2 else -1.0
    drifted = replace(
        design.compressor,
        air_off_k=design.compressor.air_off_k + 4.0 * turn * size,
        suction_pa=design.compressor.suction_pa * (1.0 + 0.12 * turn * size),
    )
    return replace(design, compressor=drifted), HEALTHY


def _open(design: LoopDesign, size: float) -> tuple[LoopDesign, Faults] | None:
    if design.metering is not MeteringDevice.EXPANSION_VALVE:
        return None
    return replace(
        design,
        valve_area_m2=design.valve_area_m2 * (1.0 + 0.3 * size),
        static_superheat_k=design.static_superheat_k - 4.0 * size,
    ), HEALTHY


_FAULTS: dict[Fault, Callable[[LoopDesign, float], tuple[LoopDesign, Faults] | None]] = {
    Fault.UNDERCHARGE: lambda design, size: (design, _part(charge=1.0 - 0.30 * size)),
    Fault.OVERCHARGE: lambda design, size: (design, _part(charge=1.0 + 0.30 * size)),
    Fault.AIR: lambda design, size: (design, _part(air_kg=0.003 * size)),
    Fault.CONDENSER_AIR: lambda design, size: (design, _part(condenser_air=1.0 / (1.0 + 0.5 * size))),
    Fault.EVAPORATOR_AIR: lambda design, size: (design, _part(evaporator_air=1.0 / (1.0 + 0.7 * size))),
    Fault.RESTRICTION: lambda design, size: (design, _part(liquid_line=1.0 / (1.0 + 1.8 * size))),
    Fault.WEAK_COMPRESSOR: lambda design, size: (design, _part(compressor=1.0 / (1.0 + 0.7 * size))),
    Fault.MINIMUM_STROKE: lambda design, _: _stuck(design, 0.15),
    Fault.MAXIMUM_STROKE: lambda design, _: _stuck(design, 1.0),
    Fault.SET_POINT: _drifted,
    Fault.VALVE_OPEN: _open,
}
