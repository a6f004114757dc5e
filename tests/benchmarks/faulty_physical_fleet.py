"""One fault each on cars of the fleet that follows from loads and conductances, beside the healthy car.

Nothing of the demo's loop is in it. A balance of coil and compressor about the healthy point gives how far
the evaporating temperature moves, x: the coil takes g (1 - x / D) of its load, with D the air's temperature
above it, and a compressor at full stroke delivers exp(0.04 x) of its flow. A regulating compressor holds its
low side (internal control) or the air off the coil (external, electric) as long as its stroke suffices.
By it, 40 % of the flow lost moves a fixed one by +5.5 K and 40 % of the air lost by -4 K. Figures invented.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from scipy.optimize import brentq
from tests.benchmarks.faulty_cars import SPEEDS_RPM, Case
from tests.refdata.expected.drawn_fleet import MAKERS, wet_bulb_c
from tests.refdata.expected.physical_fleet import _answer, _Design, _Shop

from knowngood_checkup.core.explain.evidence import CarKind
from knowngood_checkup.core.explain.faults import Fault
from knowngood_refdata.quantities import ZERO_CELSIUS_K
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
    kind = CarKind(car.kind, car.metering)
    intake_k = day.intake_c + ZERO_CELSIUS_K
    made = [Case(kind, Fault.HEALTHY, 0.0, intake_k, typical, healthy, healthy)]
    kinds = list(_FAULTS)
    for number in rng.permutation(len(kinds)):
        size = float(np.exp(rng.normal(np.log(0.9), 0.5)))
        broken = _FAULTS[kinds[number]](car, size * (1.0 if rng.random() < 0.5 else -1.0))
        if broken is not None and len(made) <= _FAULTS_A_CAR:
            faulty = _settled(car, day, broken, nature)
            made.append(Case(kind, kinds[number], size, intake_k, typical, healthy, faulty))
    return made


def _settled(car: _Design, day: _Day, broken: Broken, nature: _Nature) -> Vector:
    return np.array([_point(car, day, rpm, broken, nature) for rpm in SPEEDS_RPM])


def _point(car: _Design, day: _Day, rpm: float, broken: Broken, nature: _Nature) -> Vector:
    wet_c = wet_bulb_c(day.intake_c, day.humidity)
    well = _answer(car, day.ambient_c, wet_c, rpm, day.stage, 1.0, np.zeros(3))
    return well if broken == Broken() else well + _moved(car, day, rpm, well, broken, nature)


def _moved(car: _Design, day: _Day, rpm: float, well: Vector, broken: Broken, nature: _Nature) -> Vector:
    """What the fault moves, in the order of the signals, (5,)."""
    evaporating_k, above, _, subcooling, vent_k = well
    air_k = day.intake_c + ZERO_CELSIUS_K - evaporating_k
    cooled_k = day.intake_c + ZERO_CELSIUS_K - vent_k
    taken, limit = _charge(car, broken, float(subcooling), nature)
    flooded = min(0.8 * nature.scale[2] * broken.charge_over, 0.6)
    conductance = broken.condenser * (1.0 - flooded)
    coil = broken.evaporator_air ** (0.65 * min(nature.scale[3], 1.3))
    stroke = _stroke(car, day, rpm)

    def share_at(x: float) -> float:
        return float(min(coil * max(1.0 - x / air_k, 0.05), limit))

    def balance(at_stroke: float) -> float:
        hotter = above * (1.0 / conductance - 1.0) + broken.gas_k
        most = at_stroke / stroke * broken.compressor * (1.0 - 0.08 * broken.overfed)
        return _root(lambda x: float(most * np.exp(0.04 * x - 0.006 * hotter)) - share_at(x))

    if broken.stroke is not None:
        x = balance(broken.stroke)
    elif car.kind is CompressorKind.FIXED:
        x = balance(stroke)
    else:
        x = max(_held(car, broken, air_k, cooled_k, coil, limit), balance(1.0))
    share = share_at(x)
    dry = max(1.0 - share / (coil * max(1.0 - x / air_k, 0.05)), 0.0)
    lines = _lines(well, broken, nature, air_k - x, (share, dry), (taken, flooded, conductance))
    new_vent = vent_k + cooled_k * (1.0 - share / broken.evaporator_air)
    new_vent += broken.heater * (_COOLANT_K - new_vent)
    return np.array([x, *lines, new_vent - vent_k])


def _charge(car: _Design, broken: Broken, subcooling: float, nature: _Nature) -> tuple[float, float]:
    """Subcooling that lost charge takes, and the share of the flow that passes the valve at most.

    What is lost first takes the liquid that stands in the condenser, then vapour reaches the valve; an
    orifice tube lets vapour slip at once.
    """
    if not broken.charge_lost:
        return 0.0, broken.flow_limit
    per_share = 40.0 * nature.scale[0]
    taken = min(subcooling, per_share * broken.charge_lost)
    slips = 0.4 * broken.charge_lost if car.metering is MeteringDevice.ORIFICE_TUBE else 0.0
    short = max(broken.charge_lost - taken / per_share, slips)
    return taken, min(broken.flow_limit, float(np.exp(-2.0 * nature.scale[1] * short)))


def _lines(
    well: Vector,
    broken: Broken,
    nature: _Nature,
    air_k: float,
    coil: tuple[float, float],
    condenser: tuple[float, float, float],
) -> tuple[float, float, float]:
    """What condensing above ambient, superheat and subcooling move.

    ``air_k`` is the air above the new evaporating temperature; ``coil`` holds the share of the load and of
    its surface that is dry, ``condenser`` the subcooling taken, the share flooded and its conductance.
    Liquid that backs up is cooled towards the ambient air, never below it; the liquid line knows nothing of
    the foreign gas that stands in the high side.
    """
    _, above, superheat, subcooling, _ = well
    (share, dry), (taken, flooded, conductance) = coil, condenser
    new_superheat = superheat + (air_k - superheat) * (1.0 - np.exp(-2.2 * nature.scale[4] * dry))
    new_superheat *= np.exp(-1.1 * broken.overfed)
    new_above = above * share / conductance
    backed_up = 3.0 * flooded + (1.5 * dry if np.isfinite(broken.flow_limit) else 0.0)
    new_subcooling = (subcooling - taken) * (0.6 + 0.4 * share)
    new_subcooling += max(new_above - new_subcooling, 0.0) * (1.0 - np.exp(-nature.scale[5] * backed_up))
    new_subcooling = max(new_subcooling - 1.2 * broken.overfed, 0.0) + 0.9 * broken.gas_k
    return new_above + broken.gas_k - above, new_superheat - superheat, new_subcooling - subcooling


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
