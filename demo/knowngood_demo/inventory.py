"""Where the refrigerant lies: the liquid's places on both sides and what follows when one runs empty or over.

All volumes are shares of V0, the volume that the charge on the label fills as liquid at 45 °C. The shares
are plausible for a car, not fitted to one: with the label's charge the receiver is near half full.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.records import MeteringDevice

if TYPE_CHECKING:
    from knowngood_demo.design import LoopDesign
    from knowngood_demo.properties import Properties, Saturated

_CONDENSER = 1.00
_FILM = 0.26
_SUBCOOLER = 0.24
_RECEIVER = 0.30
_EVAPORATOR = 1.00
_HOLDUP = 0.32
_SUCTION_LINE = 0.90
_ACCUMULATOR = 0.60
_REFERENCE_K = 318.15
_FLASH_CARRIED = 0.40


@dataclass(frozen=True, slots=True)
class HighSide:
    """Liquid on the high side: how full the subcooling section is, how much of the condenser is flooded."""

    subcooler: float
    receiver: float
    flooded: float

    @property
    def carried_quality(self) -> float:
        """Vapour that leaves with the liquid once the subcooling section is no longer full."""
        return _FLASH_CARRIED * (1.0 - self.subcooler) ** 2


@dataclass(frozen=True, slots=True)
class LowSide:
    """Liquid on the low side: the wet share of the evaporator, and what spills over into the suction line."""

    wet: float
    spilled: float


class Inventory:
    """The volumes of one car's loop, in cubic metres."""

    def __init__(self, design: LoopDesign, properties: Properties) -> None:
        self._unit_m3 = design.label_kg / properties.saturated(_REFERENCE_K).liquid_density
        self._accumulates = design.metering is MeteringDevice.ORIFICE_TUBE
        self._receiver = 0.03 if self._accumulates else _RECEIVER
        self._film, self._subcooler = _FILM * design.tightness, _SUBCOOLER * design.tightness
        self.high_m3 = (_CONDENSER + self._subcooler + self._receiver) * self._unit_m3
        extra = _ACCUMULATOR if self._accumulates else 0.0
        self.low_m3 = (_EVAPORATOR + _SUCTION_LINE + extra) * self._unit_m3
        self.wet_m3 = design.tightness * _HOLDUP * self._unit_m3

    def high_side(self, liquid_kg: float, state: Saturated) -> HighSide:
        """Fill the subcooling section first, then the receiver, then the condenser itself."""
        free = max(liquid_kg / state.liquid_density / self._unit_m3 - self._film, 0.0)
        subcooler = min(free / self._subcooler, 1.0)
        receiver = min(max(free - self._subcooler, 0.0) / self._receiver, 1.0)
        flooded = max(free - self._subcooler - self._receiver, 0.0) / (_CONDENSER - self._film)
        return HighSide(subcooler, receiver, min(flooded, 0.9))

    def low_side(self, liquid_kg: float, state: Saturated) -> LowSide:
        """Wet the evaporator first; an accumulator takes the rest before any of it reaches the compressor."""
        filled = liquid_kg / (state.liquid_density * self.wet_m3)
        room = _ACCUMULATOR * 0.8 / _HOLDUP if self._accumulates else 0.0
        return LowSide(min(filled, 1.0), max(filled - 1.0 - room, 0.0))
