"""The condenser fan's stages and the coolant that forces the second one."""

from __future__ import annotations

from math import sqrt
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from knowngood_demo.design import FanDesign

IDLE_RPM = 800.0
_COOLANT_LAG_S = 200.0
_SPIN_UP_S = 1.5


class Fan:
    """A two-stage fan with hysteresis on the high side, forced by coolant temperature.

    Attributes
    ----------
    stage : int
        1 whenever the A/C runs, 2 when the high side or the coolant asks for it.
    flow_kg_per_s : float
        Air through the condenser; it follows a change of stage within seconds.
    coolant_k : float
        Engine coolant.
    """

    def __init__(self, design: FanDesign, coolant_k: float = 363.15) -> None:
        self.design = design
        self.stage = 1
        self.coolant_k = coolant_k
        self.flow_kg_per_s = design.stage_kg_per_s[0]
        self._by_pressure = False
        self._by_coolant = False

    def follow(self, high_pa: float, engine_rpm: float, ambient_k: float, dt_s: float) -> None:
        """Move on by ``dt_s`` seconds."""
        self._warm(engine_rpm, ambient_k, dt_s)
        design = self.design
        self._by_pressure = high_pa > (design.off_pa if self._by_pressure else design.on_pa)
        self._by_coolant = self.coolant_k > (
            design.coolant_off_k if self._by_coolant else design.coolant_on_k
        )
        self.stage = 2 if self._by_pressure or self._by_coolant else 1
        charging = 1.0 + design.voltage_gain * min(max(engine_rpm / IDLE_RPM - 1.0, 0.0), 1.0)
        wanted = design.stage_kg_per_s[self.stage - 1] * charging
        self.flow_kg_per_s += (wanted - self.flow_kg_per_s) * min(dt_s / _SPIN_UP_S, 1.0)

    def _warm(self, engine_rpm: float, ambient_k: float, dt_s: float) -> None:
        # The radiator sits behind the condenser: its air flow is the fan's, its heat the engine's.
        heat_w = 4_500.0 + 0.9 * max(engine_rpm - IDLE_RPM, 0.0)
        settles_at_k = max(ambient_k + heat_w / (110.0 * sqrt(self.flow_kg_per_s)), 361.15)
        self.coolant_k += (settles_at_k - self.coolant_k) * dt_s / _COOLANT_LAG_S
