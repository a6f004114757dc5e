"""What each explanation does to the readings: direction first, size as far as it is known.

Directions: common practice, no source, and as published where a study exists: charge and superheat,
subcooling (Grace, Datta and Tassou, Applied Thermal Engineering 25 (2005) 557; ASHRAE RP-1173 as surveyed
by ORNL), air (a field test with 0, 7.7 and 18.9 % of air: high side 165, 200 and 400 psi), undercharge
within the reserve (trade test of 2021: -25 %, high side -2 psi, low side -3 psi), restriction (Hawkins 2023).
Sizes: a lumped steady cycle with plausible parameters, in kelvins for a fault of common size. They are only
where a library begins: `learned` moves them to what this shop's confirmed cases showed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from knowngood_checkup.core.explain.evidence import Load
from knowngood_checkup.core.explain.faults import Fault

Vector = NDArray[np.float64]
_SHAPE = 0.3


@dataclass(frozen=True, slots=True)
class Signature:
    """What a fault of common size moves, in kelvins in the order of `SIGNALS`, (5,).

    ``per_octave`` is added for each doubling of the engine speed above idle. A fault of size s moves each
    part by s to the power of ``growth``: what comes first has a small one, what comes late a large one.
    ``scatter`` is the standard deviation of each part from car to car, for a fault of common size. A fault
    with ``either_way`` moves the readings as often against these directions. ``tied`` is the correlation of
    the scatter of high side and subcooling: what backs up or adds pressure in the condenser moves both
    together. ``size_sigma`` is the spread of the logarithm of the size: a stroke is stuck or it is not.
    ``shape`` is the scatter of each value of each window alone, as a share of the root mean square of all.
    """

    at_idle: Vector
    per_octave: Vector
    scatter: Vector
    growth: Vector
    either_way: bool = False
    tied: float = 0.0
    size_sigma: float = 0.65
    shape: float = _SHAPE

    def at(self, octaves: float) -> Vector:
        """The move at an engine speed, (5,)."""
        return self.at_idle + octaves * self.per_octave


_NOTHING = (0.0, 0.0, 0.0, 0.0, 0.0)
_EVENLY = (1.0, 1.0, 1.0, 1.0, 1.0)
Parts = tuple[float, float, float, float, float]


def _signature(
    at_idle: Parts,
    per_octave: Parts = _NOTHING,
    *,
    growth: Parts = _EVENLY,
    either_way: bool = False,
    least_k: float = 0.7,
    share: float = 0.45,
    tied: float = 0.0,
    size_sigma: float = 0.65,
    shape: float = _SHAPE,
) -> Signature:
    idle, octave = np.array(at_idle), np.array(per_octave)
    scatter = np.hypot(least_k, share * np.maximum(np.abs(idle), np.abs(idle + octave)))
    return Signature(idle, octave, scatter, np.array(growth), either_way, tied, size_sigma, shape)


_SUBCOOLING_FIRST = (1.4, 1.2, 1.6, 0.6, 1.4)
"""Charge lost empties the condenser of liquid before vapour reaches the valve (the plateau's lower edge)."""
_WITHIN = 0.35
"""Spread of the logarithm of what is bounded: a stroke, what a reserve holds."""

_FULL: dict[str, Signature] = {
    #                                 low   high  superheat subcooling vent
    Fault.UNDERCHARGE: _signature((-3.0, -4.0, 9.0, -7.0, 3.0), growth=_SUBCOOLING_FIRST),
    Fault.RESERVE_LOW: _signature((-0.6, -0.6, 0.3, -0.8, 0.3), least_k=0.3, size_sigma=_WITHIN),
    Fault.OVERCHARGE: _signature((1.0, 5.0, -1.5, 6.0, 0.7), tied=0.9),
    Fault.AIR: _signature((1.0, 8.0, 0.3, 6.9, 1.0), tied=0.95),
    Fault.CONDENSER_AIR: _signature((1.0, 7.0, -0.5, -0.5, 0.8)),
    Fault.EVAPORATOR_AIR: _signature((-3.5, -5.5, -1.5, -0.5, -4.5)),
    Fault.RESTRICTION: _signature((-9.0, -3.0, 13.0, 3.5, 6.0)),
    Fault.VALVE_OPEN: _signature((3.5, 0.7, -5.5, -0.8, 1.0)),
    Fault.WEAK_COMPRESSOR: _signature((5.5, -4.5, -1.0, -1.0, 3.5)),
    Fault.MINIMUM_STROKE: _signature((16.0, -13.0, -0.5, -2.5, 10.0), size_sigma=_WITHIN),
    Fault.MAXIMUM_STROKE: _signature(_NOTHING, least_k=0.3, size_sigma=0.4),
    Fault.SET_POINT: _signature(_NOTHING, least_k=0.3, either_way=True),
    Fault.BLEND_DOOR: _signature((0.0, 0.0, 0.0, 0.0, 6.0), least_k=0.3),
}
"""Where a healthy compressor works at full stroke; stuck there, or with another set point, it reads alike."""

_HOLDS_SUCTION: dict[str, Signature] = {
    Fault.UNDERCHARGE: _signature((-0.5, -3.0, 7.0, -6.5, 2.0), growth=_SUBCOOLING_FIRST),
    Fault.RESERVE_LOW: _signature((-0.2, -0.5, 0.3, -0.8, 0.1), least_k=0.3, size_sigma=_WITHIN),
    Fault.OVERCHARGE: _signature((0.2, 5.0, -0.4, 6.0, 0.1), tied=0.9),
    Fault.AIR: _signature((0.2, 8.0, 0.0, 6.9, 0.3), tied=0.95),
    Fault.CONDENSER_AIR: _signature((0.0, 6.5, -0.2, -0.3, 0.1)),
    Fault.EVAPORATOR_AIR: _signature((0.4, -5.0, -0.7, -0.2, -4.0)),
    Fault.RESTRICTION: _signature((-1.5, -4.0, 11.0, 1.5, 4.0)),
    Fault.VALVE_OPEN: _signature((1.3, 0.5, -5.0, -0.8, 0.6)),
    Fault.WEAK_COMPRESSOR: _signature(_NOTHING, least_k=0.3),
    Fault.MINIMUM_STROKE: _signature(
        (13.5, -11.0, -0.5, -2.2, 9.0), (-4.0, 3.0, 0.0, 0.6, -2.7), size_sigma=_WITHIN
    ),
    Fault.MAXIMUM_STROKE: _signature(
        (-4.0, 3.0, 0.5, 0.3, -2.8), (-3.5, 2.6, 0.7, 0.1, -2.0), size_sigma=0.4
    ),
    Fault.SET_POINT: _signature((3.5, -2.8, -0.3, -0.4, 2.4), either_way=True),
    Fault.BLEND_DOOR: _signature((0.0, 0.0, 0.0, 0.0, 6.0), least_k=0.3),
}
"""Where a healthy compressor holds its suction pressure: what is short of its capacity stays hidden."""

_HOLDS_AIR: dict[str, Signature] = {
    **_HOLDS_SUCTION,
    Fault.UNDERCHARGE: _signature((-0.8, -2.5, 5.0, -6.5, 1.0), growth=_SUBCOOLING_FIRST),
    Fault.EVAPORATOR_AIR: _signature((4.0, -6.5, -0.8, -1.5, -0.3)),
    Fault.RESTRICTION: _signature((-3.5, -4.0, 11.0, 1.5, 2.0)),
    Fault.VALVE_OPEN: _signature((1.8, 0.7, -5.0, -0.8, 0.1)),
}
"""Where it holds the air temperature instead, the low side goes where the air temperature needs it."""

_DRIVEN: dict[str, Signature] = {
    **_HOLDS_AIR,
    Fault.UNDERCHARGE: _signature(
        (-6.0, -3.0, 12.0, -7.0, 2.5), (-3.0, 1.0, 2.0, 0.0, -0.5), growth=_SUBCOOLING_FIRST
    ),
    Fault.RESTRICTION: _signature((-11.0, -3.5, 17.0, 2.0, 3.5), (-2.0, 1.0, 3.0, 0.0, -0.5)),
    Fault.WEAK_COMPRESSOR: _signature((2.5, -2.0, -0.4, -0.4, 1.7), (-1.0, 1.0, 0.0, 0.0, -0.7)),
}
"""Where the fault leaves it short of that air: at full stroke, while the book's car still regulates."""

SIGNATURES: dict[Load, dict[str, Signature]] = {
    Load.FULL_STROKE: _FULL,
    Load.HOLDS_SUCTION: _HOLDS_SUCTION,
    Load.HOLDS_AIR: _HOLDS_AIR,
    Load.DRIVEN: _DRIVEN,
}
"""Where a library begins, by what the compressor does."""
