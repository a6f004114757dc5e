"""One fault each on cars of the fleet that follows from loads and conductances, beside the healthy car.

Nothing of the demo's loop is in it. A balance of coil and compressor about the healthy point gives how far
the evaporating temperature moves, x: the coil takes g (1 - x / D) of its load, with D the air's temperature
above it, and a compressor at full stroke delivers exp(0.04 x) of its flow. A regulating compressor holds its
low side (internal control) or the air off the coil (external, electric) as long as its stroke suffices.
By it, 40 % of the flow lost moves a fixed one by +5.5 K and 40 % of the air lost by -4 K. Figures invented.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np
from scipy.optimize import brentq
from tests.benchmarks.faulty_cars import SPEEDS_RPM, Case
from tests.refdata.expected.drawn_fleet import MAKERS, wet_bulb_c
from tests.refdata.expected.physical_fleet import _answer, _Design, _Shop

from knowngood_checkup.core.explain.faults import Fault
from knowngood_refdata.records import CompressorKind, MeteringDevice

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    Vector = NDArray[np.float64]

_LEAST_STROKE, _DEEPEST_K, _COOLANT_K = 0.1, -14.0, 310.0
_FAULTS_A_CAR = 4


@dataclass(frozen=True, slots=True)
class Broken:
    """What a fault changes; everything that is not changed is that of the healthy car.

    ``evaporator_air``, ``condenser``, ``compressor`` are factors of air flow, conductance and delivered flow;
    ``flow_limit`` is the most that passes valve and line, as a share of the flow at idle. ``stroke`` is what
    it is stuck at. ``charge_lost`` and ``charge_over`` are shares of the charge beyond the plateau.
    """

    evaporator_air: float = 1.0
    condenser: float = 1.0
    compressor: float = 1.0
    flow_limit: float = np.inf
    stroke: float | None = None
    set_point_k: float = 0.0
    charge_lost: float = 0.0
    charge_over: float = 0.0
    gas_k: float = 0.0
    overfed: float = 0.0
    heater: float = 0.0


@dataclass(frozen=True, slots=True)
class _Nature:
    """How this car answers where the fleet has no part for it; scatters by a quarter."""

    scale: Vector = field(default_factory=lambda: np.ones(6))


@dataclass(frozen=True, slots=True)
class _Day:
    ambient_c: float
    intake_c: float
    humidity: float
    stage: int


def physical_cases(count: int, seed: int) -> list[Case]:
    """Cars of a fleet of this seed under drawn weather, each healthy and with some faults of drawn size."""
    rng = np.random.default_rng([53, seed])
    known = _Shop(rng)._makers(MAKERS[:8], 25, count)
    made: list[Case] = []
    for _, design in known:
        made += _cases_of_a_car(design, rng)
    return made


def _cases_of_a_car(design: _Design, rng: np.random.Generator) -> list[Case]:
    ambient_c = float(rng.uniform(22.0, 38.0))
    day = _Day(
        ambient_c,
        ambient_c - float(rng.uniform(2.0, 6.0)),
        float(rng.uniform(0.25, 0.7)),
        int(rng.integers(1, 4)),
    )
    car = design.moved(rng, "unit")
    nature = _Nature(np.exp(rng.normal(0.0, 0.25, 6)))
    typical, healthy = _settled(design, day, Broken(), nature), _settled(car, day, Broken(), nature)
    made = [Case(car, Fault.HEALTHY, 0.0, typical, healthy, healthy)]
    kinds = list(_FAULTS)
    for number in rng.permutation(len(kinds)):
        size = float(np.exp(rng.normal(np.log(0.9), 0.5)))
        broken = _FAULTS[kinds[number]](car, size * (1.0 if rng.random() < 0.5 else -1.0))
        if broken is not None and len(made) <= _FAULTS_A_CAR:
            made.append(Case(car, kinds[number], size, typical, healthy, _settled(car, day, broken, nature)))
    return made


def _settled(car: _Design, day: _Day, broken: Broken, nature: _Nature) -> Vector:
    return np.array([_point(car, day, rpm, broken, nature) for rpm in SPEEDS_RPM])


def _point(car: _Design, day: _Day, rpm: float, broken: Broken, nature: _Nature) -> Vector:
    wet_c = wet_bulb_c(day.intake_c, day.humidity)
    well = _answer(car, day.ambient_c, wet_c, rpm, day.stage, 1.0, np.zeros(3))
    return well if broken == Broken() else well + _moved(car, day, rpm, well, broken, nature)


def _moved(
    car: _Design, day: _Day, rpm: float, well: Vector, broken: Broken, nature: _Nature
) -> Vector:
    evaporating_k, above, superheat, subcooling, vent_k = well
    scale = nature.scale
    air_k = day.intake_c + 273.15 - evaporating_k
    cooled_k = day.intake_c + 273.15 - vent_k
    stroke = _stroke(car, day, rpm)
    # Charge: what is lost first takes the liquid that stands in the condenser, then vapour reaches the valve.
    taken = min(subcooling, 40.0 * scale[0] * broken.charge_lost)
    short = broken.charge_lost - taken / (40.0 * scale[0])
    tube = car.metering is MeteringDevice.ORIFICE_TUBE
    slips = 0.4 * broken.charge_lost if tube else 0.0
    limit = min(broken.flow_limit, np.exp(-2.0 * scale[1] * max(short, slips)) if broken.charge_lost else np.inf)
    flooded = min(0.8 * scale[2] * broken.charge_over, 0.6)
    conductance = broken.condenser * (1.0 - flooded)
    coil = broken.evaporator_air ** (0.65 * min(scale[3], 1.3))

    def coil_share(x: float) -> float:
        return float(coil * max(1.0 - x / air_k, 0.05))

    def flow(x: float, at_stroke: float) -> float:
        hotter = above * (1.0 / conductance - 1.0) + broken.gas_k
        lost = broken.compressor * (1.0 - 0.08 * broken.overfed)
        return float(at_stroke / stroke * lost * np.exp(0.04 * x - 0.006 * hotter))

    def balance(at_stroke: float) -> float:
        return _root(lambda x: flow(x, at_stroke) - min(coil_share(x), limit))

    if broken.stroke is not None:
        x = balance(broken.stroke)
    elif car.kind is CompressorKind.FIXED:
        x = balance(stroke)
    else:
        x = max(_held(car, broken, air_k, cooled_k, coil, limit), balance(1.0))
    share = min(coil_share(x), limit)
    dry = max(1.0 - share / coil_share(x), 0.0)
    new_superheat = superheat + (air_k - x - superheat) * (1.0 - np.exp(-2.2 * scale[4] * dry))
    new_superheat *= np.exp(-1.1 * broken.overfed)
    new_above = above * share / conductance
    new_subcooling = (subcooling - taken) * (0.6 + 0.4 * share)
    new_subcooling += new_above * (1.0 - np.exp(-2.0 * scale[5] * flooded)) - 1.2 * broken.overfed
    if np.isfinite(broken.flow_limit):
        new_subcooling += 0.5 * scale[5] * new_above * dry
    new_vent = vent_k + cooled_k * (1.0 - share / broken.evaporator_air)
    new_vent += broken.heater * (_COOLANT_K - new_vent)
    return np.array(
        [
            x,
            new_above + broken.gas_k - above,
            new_superheat - superheat,
            max(new_subcooling, 0.0) + 0.9 * broken.gas_k - subcooling,
            new_vent - vent_k,
        ]
    )


def _held(car: _Design, broken: Broken, air_k: float, cooled_k: float, coil: float, limit: float) -> float:
    """How far a regulating compressor lets the low side move to hold what it regulates."""
    if car.kind is CompressorKind.INTERNAL_VARIABLE:
        return broken.set_point_k
    wanted = broken.evaporator_air * (1.0 - broken.set_point_k / cooled_k)
    return _DEEPEST_K if limit < wanted else air_k * (1.0 - wanted / coil)


def _stroke(car: _Design, day: _Day, rpm: float) -> float:
    """Share of its full displacement or speed that the healthy compressor needs."""
    if car.kind is CompressorKind.FIXED:
        return 1.0
    load = 0.35 + 0.05 * (wet_bulb_c(day.intake_c, day.humidity) - 12.0)
    speed = 1.4 if car.kind is CompressorKind.ELECTRIC else rpm / 900.0
    return float(np.clip(load / (np.exp(car.parts["capacity"]) * speed**0.75), _LEAST_STROKE, 1.0))


def _root(of: Callable[[float], float]) -> float:
    """Where the compressor takes what coil and valve give; a pump-down ends at a low-pressure cut-out."""
    if of(_DEEPEST_K) > 0.0:
        return _DEEPEST_K
    return float(brentq(of, _DEEPEST_K, 22.0)) if of(22.0) > 0.0 else 22.0


def _controlled(car: _Design, broken: Broken) -> Broken | None:
    return None if car.kind is CompressorKind.FIXED else broken


def _strokes(car: _Design, stroke: float) -> Broken | None:
    variable = (CompressorKind.INTERNAL_VARIABLE, CompressorKind.EXTERNAL_VARIABLE)
    return Broken(stroke=stroke) if car.kind in variable else None


def _overfed(car: _Design, size: float) -> Broken | None:
    return None if car.metering is MeteringDevice.ORIFICE_TUBE else Broken(overfed=abs(size))


_FAULTS: dict[Fault, Callable[[_Design, float], Broken | None]] = {
    Fault.UNDERCHARGE: lambda _, size: Broken(charge_lost=max(0.3 * abs(size) - 0.08, 0.0)),
    Fault.OVERCHARGE: lambda _, size: Broken(charge_over=max(0.3 * abs(size) - 0.05, 0.0)),
    Fault.AIR: lambda _, size: Broken(gas_k=7.0 * abs(size), condenser=1.0 / (1.0 + 0.04 * abs(size))),
    Fault.CONDENSER_AIR: lambda _, size: Broken(condenser=1.0 / (1.0 + 0.45 * abs(size))),
    Fault.EVAPORATOR_AIR: lambda _, size: Broken(evaporator_air=1.0 / (1.0 + 0.7 * abs(size))),
    Fault.RESTRICTION: lambda _, size: Broken(flow_limit=1.5 / (1.0 + 1.1 * abs(size))),
    Fault.WEAK_COMPRESSOR: lambda _, size: Broken(compressor=1.0 / (1.0 + 0.7 * abs(size))),
    Fault.MINIMUM_STROKE: lambda car, _: _strokes(car, _LEAST_STROKE),
    Fault.MAXIMUM_STROKE: lambda car, _: _strokes(car, 1.0),
    Fault.SET_POINT: lambda car, size: _controlled(car, Broken(set_point_k=4.0 * size)),
    Fault.VALVE_OPEN: lambda car, size: _overfed(car, size),
    Fault.BLEND_DOOR: lambda _, size: Broken(heater=0.12 * abs(size)),
}
