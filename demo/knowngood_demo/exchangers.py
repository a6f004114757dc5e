"""Condenser and evaporator: quasi-steady heat flows between refrigerant, wall and air."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, sqrt
from typing import TYPE_CHECKING

from knowngood_demo import air

if TYPE_CHECKING:
    from knowngood_demo.design import LoopDesign, Surroundings

_RATED_CONDENSER_AIR = 0.6
_RATED_EVAPORATOR_AIR = 0.13
_DRY_ZONE_UA = 45.0


def condenser_air_w(design: LoopDesign, flow_kg_per_s: float, wall_k: float, ambient_k: float) -> float:
    """Heat from the condenser's wall to the air, W; effectiveness 1 - exp(-UA/C), UA as sqrt(flow)."""
    capacity = flow_kg_per_s * air.DRY_AIR_CP
    conductance = design.condenser_air_ua * sqrt(flow_kg_per_s / _RATED_CONDENSER_AIR)
    return capacity * (1.0 - exp(-conductance / capacity)) * (wall_k - ambient_k)


def subcooler_conductance(full: float, flow_kg_per_s: float) -> float:
    """Conductance of the subcooling section in W/K, in step with flow**0.8.

    The exponent lumps the air-side film with the little heat that slow air can carry off.
    """
    return full * float((flow_kg_per_s / _RATED_CONDENSER_AIR) ** 0.8)


def subcooling_w(
    conductance: float, flow_kg_per_s: float, liquid_cp: float, condensing_k: float, ambient_k: float
) -> float:
    """Heat from liquid on its way through the subcooling section to the air, W."""
    if flow_kg_per_s <= 1e-6:
        return 0.0
    capacity = flow_kg_per_s * liquid_cp
    return capacity * (1.0 - exp(-conductance / capacity)) * (condensing_k - ambient_k)


@dataclass(frozen=True, slots=True)
class Cooling:
    """What the evaporator does at one moment.

    ``air_w`` goes from the air into the wall, ``boiling_w`` from the wall into boiling refrigerant,
    ``superheat_w`` from the air into dry vapour; temperatures in kelvins.
    """

    air_w: float
    boiling_w: float
    superheat_w: float
    superheat_k: float
    air_off_k: float


def evaporator(
    design: LoopDesign,
    around: Surroundings,
    air_kg_per_s: float,
    wall_k: float,
    wet: float,
    evaporating_k: float,
    suction_kg_per_s: float,
    vapour_cp: float,
) -> Cooling:
    """Heat flows of an evaporator of which the share ``wet`` holds boiling refrigerant.

    Air that passes the dry share is cooled by the superheating vapour only, which is why a starved
    evaporator blows warm.
    """
    ratio = air.humidity_ratio(around.intake_k, around.relative_humidity, around.barometer_pa)
    bypass = design.bypass ** sqrt(_RATED_EVAPORATOR_AIR / max(air_kg_per_s, 0.01))
    given, leaving_k = air.cooled(around.intake_k, ratio, wall_k, bypass, around.barometer_pa)
    capacity = max(suction_kg_per_s, 1e-4) * vapour_cp
    reach = 1.0 - exp(-_DRY_ZONE_UA * (1.0 - wet) / capacity)
    superheat_k = max(around.intake_k - evaporating_k, 0.0) * reach
    superheat_w = suction_kg_per_s * vapour_cp * superheat_k
    warmed_k = around.intake_k - superheat_w / (air_kg_per_s * air.DRY_AIR_CP)
    return Cooling(
        air_w=wet * air_kg_per_s * given,
        boiling_w=design.evaporator_ua * wet * (wall_k - evaporating_k),
        superheat_w=superheat_w,
        superheat_k=superheat_k,
        air_off_k=wet * leaving_k + (1.0 - wet) * around.intake_k - (around.intake_k - warmed_k),
    )
