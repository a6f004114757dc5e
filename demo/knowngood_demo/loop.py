"""A vehicle A/C loop in time: two lumps that keep mass and energy, joined by compressor and valve.

Each side keeps the balances dm/dt = m_in - m_out and dU/dt = sum of m h and heat flows; see `lump` for the
pressure that follows. Walls of condenser and evaporator store heat; everything else is quasi-steady. Valid
for charges of about half to one and a half times the label's.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_demo.compressors import Control, deliver, isentropic_efficiency, volumetric_efficiency
from knowngood_demo.design import HEALTHY
from knowngood_demo.exchangers import condenser_air_w, evaporator, subcooler_conductance, subcooling_w
from knowngood_demo.fans import Fan
from knowngood_demo.inventory import Inventory
from knowngood_demo.lump import Lump
from knowngood_demo.metering import Valve
from knowngood_demo.properties import properties

if TYPE_CHECKING:
    from knowngood_demo.compressors import Delivery
    from knowngood_demo.design import Faults, LoopDesign, Surroundings
    from knowngood_demo.exchangers import Cooling
    from knowngood_demo.inventory import HighSide, LowSide

_CONDENSER_WALL = 2_200.0
_EVAPORATOR_WALL = 1_800.0
_FLOODED_UA = 80.0
_SUBCOOLER_AREA = 0.25
_LINE_UA = 1.2
_LEAST_FLOW = 2e-3
_PIPE_LAG_S = 5.0
_IDLE_PIPE_LAG_S = 240.0
_DUCT_LAG_S = 6.0
_DUCT_GAIN_K = 1.0
_AIR_GAS_CONSTANT = 287.05
_WET_CARRY = 2.0


@dataclass(frozen=True, slots=True)
class Snapshot:
    """Everything of the loop at one moment, as it is and not as an instrument shows it.

    Pressures are absolute at the ports: low side near the compressor, high side on the liquid line.
    ``suction_h``, ``discharge_h`` and ``liquid_h`` are enthalpies in J/kg; heat flows in watts.
    """

    low_pa: float
    high_pa: float
    evaporating_k: float
    condensing_k: float
    suction_line_k: float
    liquid_line_k: float
    discharge_line_k: float
    vent_k: float
    superheat_k: float
    engine_rpm: float
    fan_stage: int
    coolant_k: float
    stroke: float
    compressor_kg_per_s: float
    valve_kg_per_s: float
    suction_h: float
    discharge_h: float
    liquid_h: float
    compressor_w: float
    evaporator_w: float
    condenser_w: float
    line_w: float


@dataclass(frozen=True, slots=True)
class _Liquid:
    """Ahead of the valve: enthalpy, what was given to the air (both J/kg), quality, pipe temperature."""

    h: float
    given_h: float
    quality: float
    line_k: float


@dataclass(frozen=True, slots=True)
class _Suction:
    """At the compressor's inlet: pressure, its saturation, and the enthalpy gains since the evaporator."""

    pa: float
    saturation_k: float
    dry_h: float
    leaving_h: float
    superheat_h: float
    line_h: float

    @property
    def h(self) -> float:
        """Enthalpy at the inlet, J/kg."""
        return self.leaving_h + self.superheat_h + self.line_h


class Loop:
    """A car's A/C at work.

    Parameters
    ----------
    design : LoopDesign
    around : Surroundings
        May be replaced while running.
    faults : Faults
    coolant_k : float
        Engine coolant at the start.
    """

    def __init__(
        self, design: LoopDesign, around: Surroundings, faults: Faults = HEALTHY, coolant_k: float = 363.15
    ) -> None:
        self.design, self.around, self.faults = design, around, faults
        self.properties = properties(design.refrigerant)
        self.inventory = Inventory(design, self.properties)
        self.control = Control(design.compressor)
        self.valve = Valve(design)
        self.fan = Fan(design.fan, coolant_k)
        evaporating_k = min(around.intake_k - 12.0, 280.0)
        low_kg = self._first_low_kg(evaporating_k)
        self.low = Lump(self.properties, self.inventory.low_m3, low_kg, evaporating_k)
        high_kg = design.label_kg * faults.charge - low_kg
        self.high = Lump(self.properties, self.inventory.high_m3, high_kg, around.ambient_k + 18.0)
        self._condenser_wall_k = around.ambient_k + 14.0
        self._evaporator_wall_k = evaporating_k + 4.0
        self._vent_k = around.intake_k - 12.0
        self._pipes_k = [evaporating_k + 8.0, around.ambient_k + 10.0, around.ambient_k + 45.0]
        self._suction_kg_per_s = self._liquid_kg_per_s = 0.03

    @property
    def charge_kg(self) -> float:
        """Refrigerant in both sides."""
        return self.low.mass_kg + self.high.mass_kg

    @property
    def energy_j(self) -> float:
        """Inner energy of both sides."""
        return self.low.energy_j + self.high.energy_j

    def step(self, engine_rpm: float, dt_s: float, *, on: bool = True) -> Snapshot:
        """Move on by ``dt_s`` seconds (at most 0.2) with the compressor on or off line."""
        low_side = self.inventory.low_side(self.low.liquid_kg, self.low.state)
        high_side = self.inventory.high_side(self.high.liquid_kg, self.high.state)
        foreign_pa = self._foreign_pa()
        high_pa = self.high.pressure_pa + foreign_pa

        cooling = self._cool(low_side.wet)
        self.valve.follow(cooling.superheat_k, dt_s)
        liquid = self._liquid(high_side)
        valve_flow = self.valve.flow_kg_per_s(
            self.faults.liquid_line, self.high.state, self.low.pressure_pa, liquid.quality
        )
        suction = self._suction(low_side, cooling)
        discharge_k = self.properties.saturation_k(high_pa) if foreign_pa else self.high.saturation_k
        delivery = self._compress(suction, high_pa, discharge_k, engine_rpm if on else None)
        flow = delivery.flow_kg_per_s
        condensing_w, released_w = self._condense(high_side, foreign_pa / high_pa)

        self.high.add(
            (flow - valve_flow) * dt_s,
            (flow * delivery.discharge_h - valve_flow * (liquid.h + liquid.given_h) - condensing_w) * dt_s,
        )
        self.low.add(
            (valve_flow - flow) * dt_s,
            (valve_flow * liquid.h + cooling.boiling_w - flow * suction.leaving_h) * dt_s,
        )
        self._condenser_wall_k += (condensing_w - released_w) * dt_s / _CONDENSER_WALL
        self._evaporator_wall_k += (cooling.air_w - cooling.boiling_w) * dt_s / _EVAPORATOR_WALL
        self._suction_kg_per_s, self._liquid_kg_per_s = flow, max(valve_flow, 0.0)
        self._vent_k += (cooling.air_off_k + _DUCT_GAIN_K - self._vent_k) * dt_s / _DUCT_LAG_S
        self.control.follow(suction.pa, high_pa, cooling.air_off_k, engine_rpm, dt_s)
        self.fan.follow(high_pa, engine_rpm, self.around.ambient_k, dt_s)
        self._warm_pipes(suction, liquid, delivery, discharge_k, dt_s)

        return Snapshot(
            low_pa=suction.pa,
            high_pa=high_pa,
            evaporating_k=suction.saturation_k,
            condensing_k=self.high.saturation_k,
            suction_line_k=self._pipes_k[0],
            liquid_line_k=self._pipes_k[1],
            discharge_line_k=self._pipes_k[2],
            vent_k=self._vent_k,
            superheat_k=cooling.superheat_k,
            engine_rpm=engine_rpm,
            fan_stage=self.fan.stage,
            coolant_k=self.fan.coolant_k,
            stroke=self.control.stroke,
            compressor_kg_per_s=flow,
            valve_kg_per_s=valve_flow,
            suction_h=suction.h,
            discharge_h=delivery.discharge_h,
            liquid_h=liquid.h,
            compressor_w=delivery.power_w,
            evaporator_w=cooling.boiling_w + flow * suction.superheat_h,
            condenser_w=condensing_w + valve_flow * liquid.given_h,
            line_w=flow * suction.line_h,
        )

    def _first_low_kg(self, evaporating_k: float) -> float:
        state = self.properties.saturated(evaporating_k)
        wet_kg = 0.8 * self.inventory.wet_m3 * state.liquid_density
        return wet_kg + state.vapour_density * self.inventory.low_m3

    def _foreign_pa(self) -> float:
        """Partial pressure of air gathered in the vapour space of the high side (Dalton, ideal gas)."""
        if not self.faults.air_kg:
            return 0.0
        space_m3 = self.high.volume_m3 - self.high.liquid_kg / self.high.state.liquid_density
        return self.faults.air_kg * _AIR_GAS_CONSTANT * self.high.saturation_k / max(space_m3, 5e-5)

    def _cool(self, wet: float) -> Cooling:
        flow = self.design.evaporator_air_kg_per_s * self.around.blower * self.faults.evaporator_air
        vapour_cp = self.low.state.vapour_cp
        return evaporator(
            self.design,
            self.around,
            flow,
            self._evaporator_wall_k,
            wet,
            self.low.saturation_k,
            self._suction_kg_per_s,
            vapour_cp,
        )

    def _liquid(self, side: HighSide) -> _Liquid:
        """What comes through the subcooling section; vapour carried along may condense there."""
        state, flow = self.high.state, max(self._liquid_kg_per_s, _LEAST_FLOW)
        conductance = subcooler_conductance(
            self.design.subcooler_ua * side.subcooler + _FLOODED_UA * side.flooded,
            self.fan.flow_kg_per_s * self.faults.condenser_air,
        )
        given_w = subcooling_w(
            conductance, flow, state.liquid_cp, self.high.saturation_k, self.around.ambient_k
        )
        latent = state.vapour_h - state.liquid_h
        liquid_h = state.liquid_h + side.carried_quality * latent - given_w / flow
        subcooling_k = max(state.liquid_h - liquid_h, 0.0) / state.liquid_cp
        quality = max(liquid_h - state.liquid_h, 0.0) / latent
        return _Liquid(liquid_h, given_w / flow, quality, self.high.saturation_k - subcooling_k)

    def _suction(self, side: LowSide, cooling: Cooling) -> _Suction:
        """Vapour at the compressor's inlet, after the drop and the warm engine bay along the line."""
        state = self.low.state
        pa = state.pressure_pa - self.design.suction_drop_pa * (self._suction_kg_per_s / 0.05) ** 2
        saturation_k = self.properties.saturation_k(pa)
        carried = min(_WET_CARRY * side.spilled, 0.5)
        leaving_h = state.vapour_h - carried * (state.vapour_h - state.liquid_h)
        superheat_h = state.vapour_cp * cooling.superheat_k
        bay_k = self.around.ambient_k + self.around.engine_bay_above_k
        warmer_k = max(bay_k - self.low.saturation_k - cooling.superheat_k, 0.0)
        line_h = _LINE_UA * warmer_k / max(self._suction_kg_per_s, 5.0 * _LEAST_FLOW)
        dry_h = self.properties.saturated(saturation_k).vapour_h
        return _Suction(pa, saturation_k, dry_h, leaving_h, superheat_h, line_h)

    def _compress(self, suction: _Suction, high_pa: float, discharge_k: float, rpm: float | None) -> Delivery:
        """Compress at an engine speed, or with the compressor off line (None)."""
        ratio = high_pa / suction.pa
        efficiencies = (
            volumetric_efficiency(ratio, self.control.shaft_rpm(rpm or 0.0)),
            isentropic_efficiency(ratio, self.control.stroke),
        )
        swept = 0.0 if rpm is None else self.control.swept_m3_per_s(rpm)
        inlet = (suction.saturation_k, suction.h - suction.dry_h)
        return deliver(self.properties, swept, self.faults.compressor, inlet, discharge_k, efficiencies)

    def _condense(self, side: HighSide, foreign_share: float) -> tuple[float, float]:
        """Heat from refrigerant to wall and from wall to air, W; flooded rows and foreign gas take no part.

        Rows of the subcooling section that liquid has left condense instead, which lowers the high side.
        """
        clear = 1.0 - side.flooded + _SUBCOOLER_AREA * (1.0 - side.subcooler)
        # Gas that cannot condense gathers at the wall; the factor is plausible, not fitted.
        conductance = self.design.condenser_ua * clear / (1.0 + 2.5 * foreign_share)
        released_w = condenser_air_w(
            self.design,
            self.fan.flow_kg_per_s * self.faults.condenser_air,
            self._condenser_wall_k,
            self.around.ambient_k,
        )
        return conductance * (self.high.saturation_k - self._condenser_wall_k), clear * released_w

    def _warm_pipes(
        self, suction: _Suction, liquid: _Liquid, delivery: Delivery, discharge_k: float, dt_s: float
    ) -> None:
        """Let the pipe walls, where clamps sit, follow the refrigerant; without flow drift to ambient."""
        if delivery.flow_kg_per_s < _LEAST_FLOW:
            wanted, lag_s = (self.around.ambient_k,) * 3, _IDLE_PIPE_LAG_S
        else:
            dry_h = self.properties.saturated(discharge_k).vapour_h
            inlet = self.properties.vapour(suction.saturation_k, max(suction.h - suction.dry_h, 0.0))
            outlet = self.properties.vapour(discharge_k, max(delivery.discharge_h - dry_h, 0.0))
            wanted, lag_s = (inlet.temperature_k, liquid.line_k, outlet.temperature_k), _PIPE_LAG_S
        pairs = zip(self._pipes_k, wanted, strict=True)
        self._pipes_k = [now + (then - now) * dt_s / lag_s for now, then in pairs]
