"""The explanations that are weighed against one another."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from knowngood_refdata.records import CompressorKind

if TYPE_CHECKING:
    from knowngood_checkup.core.explain.evidence import CarKind


class Fault(StrEnum):
    """An explanation of what the readings show."""

    HEALTHY = "healthy"
    UNDERCHARGE = "undercharge"
    RESERVE_LOW = "undercharge within the reserve"
    OVERCHARGE = "overcharge"
    AIR = "air or foreign gas"
    CONDENSER_AIR = "condenser airflow or fan"
    EVAPORATOR_AIR = "evaporator airflow"
    RESTRICTION = "restriction, or valve stuck closed"
    VALVE_OPEN = "valve stuck open"
    WEAK_COMPRESSOR = "weak compressor"
    MINIMUM_STROKE = "stuck at minimum stroke"
    MAXIMUM_STROKE = "stuck at maximum stroke"
    SET_POINT = "drifted set point"
    BLEND_DOOR = "heat from the blend door"
    NONE_OF_THESE = "none of these"


PRIOR = {
    Fault.HEALTHY: 0.33,
    Fault.UNDERCHARGE: 0.14,
    Fault.RESERVE_LOW: 0.05,
    Fault.OVERCHARGE: 0.07,
    Fault.AIR: 0.05,
    Fault.CONDENSER_AIR: 0.08,
    Fault.EVAPORATOR_AIR: 0.05,
    Fault.RESTRICTION: 0.05,
    Fault.VALVE_OPEN: 0.03,
    Fault.WEAK_COMPRESSOR: 0.05,
    Fault.MINIMUM_STROKE: 0.035,
    Fault.MAXIMUM_STROKE: 0.01,
    Fault.SET_POINT: 0.025,
    Fault.BLEND_DOOR: 0.02,
    Fault.NONE_OF_THESE: 0.01,
}
"""How often each stands behind a car that is brought in (common practice, no source); the sum is 1."""

_NEED_CONTROL = frozenset({Fault.MINIMUM_STROKE, Fault.MAXIMUM_STROKE, Fault.SET_POINT})
"""What only a compressor whose displacement or speed is controlled can have."""


def possible(car: CarKind) -> dict[Fault, float]:
    """The explanations that a car can have, with their probability before anything was measured.

    >>> from knowngood_checkup.core.explain.evidence import CarKind
    >>> Fault.SET_POINT in possible(CarKind(CompressorKind.FIXED))
    False
    >>> round(sum(possible(CarKind(CompressorKind.FIXED)).values()), 12)
    1.0
    """
    fixed = car.compressor is CompressorKind.FIXED
    kept = {fault: prior for fault, prior in PRIOR.items() if not (fixed and fault in _NEED_CONTROL)}
    total = sum(kept.values())
    return {fault: prior / total for fault, prior in kept.items()}
