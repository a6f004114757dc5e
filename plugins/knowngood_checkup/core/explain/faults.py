"""The explanations that are weighed against one another."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from knowngood_refdata.records import CompressorKind

if TYPE_CHECKING:
    from collections.abc import Iterable

    from knowngood_checkup.core.explain.evidence import CarKind
    from knowngood_refdata.explaining import Explanation


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
    Fault.HEALTHY: 0.27,
    Fault.UNDERCHARGE: 0.13,
    Fault.RESERVE_LOW: 0.03,
    Fault.OVERCHARGE: 0.095,
    Fault.AIR: 0.055,
    Fault.CONDENSER_AIR: 0.085,
    Fault.EVAPORATOR_AIR: 0.06,
    Fault.RESTRICTION: 0.055,
    Fault.VALVE_OPEN: 0.05,
    Fault.WEAK_COMPRESSOR: 0.05,
    Fault.MINIMUM_STROKE: 0.04,
    Fault.MAXIMUM_STROKE: 0.02,
    Fault.SET_POINT: 0.035,
    Fault.BLEND_DOOR: 0.02,
    Fault.NONE_OF_THESE: 0.005,
}
"""How often each stands behind a car that is brought in (common practice, no source); the sum is 1.

That overcharge stands near undercharge: of more than 4,000 home units 34 % held too little and 28 % too much
(field survey); of cars no such survey is known.
"""

NEED_CONTROL = frozenset({Fault.MINIMUM_STROKE, Fault.MAXIMUM_STROKE, Fault.SET_POINT})
"""What only a compressor whose displacement or speed is controlled can have."""


def possible(car: CarKind, brought: Iterable[Explanation] = ()) -> dict[str, float]:
    """The explanations that a car can have, with their probability before anything was measured.

    >>> from knowngood_checkup.core.explain.evidence import CarKind
    >>> Fault.SET_POINT in possible(CarKind(CompressorKind.FIXED))
    False
    >>> round(sum(possible(CarKind(CompressorKind.FIXED)).values()), 12)
    1.0
    """
    fixed = car.compressor is CompressorKind.FIXED
    kept: dict[str, float] = {
        fault: prior for fault, prior in PRIOR.items() if not (fixed and fault in NEED_CONTROL)
    }
    kept |= {one.name: one.prior for one in brought if one.suits(car.compressor)}
    total = sum(kept.values())
    return {fault: prior / total for fault, prior in kept.items()}
