"""The device between the two sides: an expansion valve that holds superheat, or a fixed orifice."""

from __future__ import annotations

from math import sqrt
from typing import TYPE_CHECKING

from knowngood_refdata.records import MeteringDevice

if TYPE_CHECKING:
    from knowngood_demo.design import LoopDesign
    from knowngood_demo.properties import Saturated

_DISCHARGE_COEFFICIENT = 0.7
_OPENING_SPAN_K = 10.0
_BULB_LAG_S = 2.5
_LEAST_OPENING = 0.02
_LINEAR_BELOW_PA = 50_000.0


class Valve:
    """Follows the opening of the metering device; ``opening`` is the share of its full area."""

    def __init__(self, design: LoopDesign) -> None:
        self._design = design
        self._is_orifice = design.metering is MeteringDevice.ORIFICE_TUBE
        self._bulb_k = design.static_superheat_k + 3.0

    @property
    def opening(self) -> float:
        """Share of the full area."""
        if self._is_orifice:
            return 1.0
        share = (self._bulb_k - self._design.static_superheat_k) / _OPENING_SPAN_K
        return min(max(share, _LEAST_OPENING), 1.0)

    def follow(self, superheat_k: float, dt_s: float) -> None:
        """Let the bulb follow the superheat at the evaporator's outlet."""
        self._bulb_k += (superheat_k - self._bulb_k) * dt_s / _BULB_LAG_S

    def flow_kg_per_s(self, clear: float, high: Saturated, low_pa: float, quality: float) -> float:
        """Mass flow m = C A sqrt(2 rho (p_h - p_l)) with the density of the mixture at the inlet.

        ``clear`` is the share of the full area that a restriction leaves free; it bounds the opening.
        Near equal pressures the root is replaced by its chord, or the flow would never come to rest.
        """
        full = self._design.orifice_area_m2 if self._is_orifice else self._design.valve_area_m2
        area = full * (clear if self._is_orifice else min(self.opening, clear))
        density = 1.0 / (quality / high.vapour_density + (1.0 - quality) / high.liquid_density)
        drop_pa = high.pressure_pa - low_pa
        root = sqrt(drop_pa) if drop_pa > _LINEAR_BELOW_PA else drop_pa / sqrt(_LINEAR_BELOW_PA)
        return _DISCHARGE_COEFFICIENT * area * sqrt(2.0 * density) * root
