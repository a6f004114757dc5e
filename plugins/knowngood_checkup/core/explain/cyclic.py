"""Versions of a fault by the lumped cycle: what it moves on this car, under what the book expects today."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from knowngood_checkup.core.explain.cycle import Altered, Healthy, Stuck, moved
from knowngood_checkup.core.explain.evidence import Signal
from knowngood_checkup.core.explain.faults import Fault
from knowngood_checkup.core.explain.versions import Versions
from knowngood_checkup.core.explain.ways import COUNT, draws, holds_air, margins, nature_of, sizes

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from numpy.typing import NDArray

    from knowngood_checkup.core.explain.evidence import CarKind, Observed, WindowDeviations
    from knowngood_checkup.core.explain.stack import Stack

    Vector = NDArray[np.float64]

UNSURE_K, UNSURE_SHARE = 0.8, 0.1
"""How far the cycle may be off: in kelvins, and as a share of the root mean square of what it moves."""
MOST_DRIFT_K = 8.0
"""A control that is farther off does not drift, it is stuck (a judgement)."""
_IN_ALL_WINDOWS, _TIED = 0.7, 0.8
_USUAL = {Signal.HIGH: 17.0, Signal.SUPERHEAT: 6.0, Signal.SUBCOOLING: 6.0}
"""Where the book expects nothing of a quantity, in kelvins."""
_AIR_K, _COOLED_SHARE = 22.0, 0.7
_LEAST_AIR_K = 6.0


def cyclic(fault: str, observed: Observed, stack: Stack, ways: Vector) -> Versions:
    """The versions of a fault by the cycle, each as probable as ``ways`` says, (ways,)."""
    move = ways_moved(fault, observed.car, observed.windows)[:, stack.window_of, stack.signal_of]
    return Versions(
        np.log(np.maximum(ways, 1e-12)),
        sizes(),
        move,
        np.hypot(UNSURE_K, UNSURE_SHARE * np.sqrt(np.mean(move**2, axis=1))),
        stack.alike(_IN_ALL_WINDOWS, _TIED),
    )


def ways_moved(
    fault: str, car: CarKind, windows: tuple[WindowDeviations, ...], size: float | None = None
) -> Vector:
    """What a fault moves in every window, (ways, windows, 5); of one size where it is given."""
    nature = nature_of(car)
    altered = ALTERED[Fault(fault)](sizes() if size is None else np.full(COUNT, size))
    regulated = holds_air(car)
    found = [
        moved(_healthy(window, margin, regulated), altered, nature)
        for window, margin in zip(windows, margins(car, windows), strict=True)
    ]
    return np.stack(found, axis=1)


def _healthy(window: WindowDeviations, margin: Vector, regulated: NDArray[np.bool_]) -> Healthy:
    expected = {**_USUAL, **window.expected_k}
    air_k, cooled_k = _air(window)
    return Healthy(
        max(expected[Signal.HIGH], 1.0),
        max(expected[Signal.SUPERHEAT], 0.0),
        expected[Signal.SUBCOOLING],
        air_k,
        cooled_k,
        margin,
        regulated,
    )


def _air(window: WindowDeviations) -> tuple[Vector, Vector]:
    """Air above the evaporating temperature and by how much it is cooled, drawn where not known, (ways,)."""
    air_k = draws().about(12, _AIR_K, 0.2)
    if window.intake_k is not None and Signal.LOW in window.expected_k:
        air_k = np.full(COUNT, max(window.intake_k - window.expected_k[Signal.LOW], _LEAST_AIR_K))
    cooled_k = np.minimum(draws().about(13, _COOLED_SHARE, 0.12), 0.95) * air_k
    if window.intake_k is not None and Signal.VENT in window.expected_k:
        cooled_k = np.full(COUNT, max(window.intake_k - window.expected_k[Signal.VENT], 0.5 * _LEAST_AIR_K))
    return air_k, cooled_k


def _condenser_air(size: Vector) -> Altered:
    return Altered(conductance=1.0 / (1.0 + 0.45 * size))


def _gas(size: Vector) -> Altered:
    return Altered(gas_k=7.0 * size, conductance=1.0 / (1.0 + 0.04 * size))


def _set_point(size: Vector) -> Altered:
    either = np.where(draws().evenly[:, 19] < 0.5, -1.0, 1.0)
    return Altered(set_point_k=either * np.minimum(4.0 * size, MOST_DRIFT_K))


ALTERED: Mapping[Fault, Callable[[Vector], Altered]] = {
    Fault.UNDERCHARGE: lambda size: Altered(charge_lost=0.26 * size),
    Fault.RESERVE_LOW: lambda size: Altered(charge_lost=0.02 * size),
    Fault.OVERCHARGE: lambda size: Altered(flooded=np.minimum(0.2 * size, 0.6)),
    Fault.AIR: _gas,
    Fault.CONDENSER_AIR: _condenser_air,
    Fault.EVAPORATOR_AIR: lambda size: Altered(air=1.0 / (1.0 + 0.65 * size)),
    Fault.RESTRICTION: lambda size: Altered(flow_limit=1.4 / (1.0 + size), backs_up=True),
    Fault.VALVE_OPEN: lambda size: Altered(overfed=size),
    Fault.WEAK_COMPRESSOR: lambda size: Altered(compressor=1.0 / (1.0 + 0.65 * size)),
    Fault.MINIMUM_STROKE: lambda _: Altered(stuck=Stuck.LEAST),
    Fault.MAXIMUM_STROKE: lambda _: Altered(stuck=Stuck.FULL),
    Fault.SET_POINT: _set_point,
    Fault.BLEND_DOOR: lambda size: Altered(heater=np.minimum(0.055 * size**1.4, 0.5)),
}
"""What a fault of a size changes."""
