"""Compressors: how much they deliver, what it costs, and how their displacement is controlled."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.records import CompressorKind

if TYPE_CHECKING:
    from knowngood_demo.design import CompressorDesign
    from knowngood_demo.properties import Properties

IDLE_RPM = 800.0
LEAST_STROKE = 0.05
_DISCHARGE_LIMIT_PA = 26e5
_CUT_OUT_PA = 29e5
_CUT_IN_PA = 22e5
_RATED_RPM = 1_500.0
_INTEGRAL = 0.016
_PROPORTIONAL = 0.05
_CLUTCH_OUT_BELOW_K = 3.0
_CLUTCH_IN_ABOVE_K = 1.0


@dataclass(frozen=True, slots=True)
class Delivery:
    """What a compressor does at one moment: kg/s, watts given to the refrigerant, discharge enthalpy."""

    flow_kg_per_s: float
    power_w: float
    discharge_h: float


def volumetric_efficiency(pressure_ratio: float, rpm: float) -> float:
    """Share of the swept volume delivered, falling with pressure ratio and speed (plausible, not fitted)."""
    return max(0.2, 0.92 - 0.035 * (pressure_ratio - 1.0) - 0.03 * (rpm / 1000.0 - 1.0))


def isentropic_efficiency(pressure_ratio: float, stroke: float) -> float:
    """Share of the ideal work in the real work, falling with pressure ratio and at small stroke."""
    return max(0.25, (0.72 - 0.02 * (pressure_ratio - 1.0)) * (0.75 + 0.25 * stroke))


def deliver(
    properties: Properties,
    volume_per_s: float,
    health: float,
    suction: tuple[float, float],
    discharge_k: float,
    efficiencies: tuple[float, float],
) -> Delivery:
    """Compress vapour.

    Parameters
    ----------
    volume_per_s : float
        Swept volume, m³/s.
    health : float
        Share of the delivered volume left by wear; what leaks back is compressed again, so the work stays.
    suction : tuple
        Saturation temperature, K, and enthalpy above dry saturation, J/kg, at the inlet.
    discharge_k : float
        Saturation temperature of the discharge pressure, K.
    efficiencies : tuple
        Volumetric and isentropic.
    """
    saturation_k, above_h = suction
    state = properties.vapour(saturation_k, max(above_h, 0.0))
    inlet_h = properties.saturated(saturation_k).vapour_h + above_h
    ideal_h = properties.saturated(discharge_k).vapour_h + properties.isentrope(discharge_k, state.entropy)
    work = max(ideal_h - inlet_h, 0.0) / (efficiencies[1] * (0.4 + 0.6 * health))
    flow = state.density * volume_per_s * efficiencies[0] * health
    return Delivery(flow, flow * work, inlet_h + work)


class Control:
    """Follows the displacement of a compressor, or the speed of an electric one.

    Attributes
    ----------
    stroke : float
        Share of the full displacement (of the top speed for an electric compressor).
    engaged : bool
        Whether a cycling clutch is closed.
    cut_out : bool
        Whether the high-pressure cut-out has stopped the compressor.
    """

    def __init__(self, design: CompressorDesign) -> None:
        self.design = design
        self.stroke = 0.6 if design.kind is not CompressorKind.FIXED else 1.0
        self.engaged = True
        self.cut_out = False
        self._last_air_off_k = self._last_rpm = 0.0

    def swept_m3_per_s(self, engine_rpm: float) -> float:
        """Swept volume at an engine speed, m³/s."""
        design = self.design
        if self.cut_out:
            return 0.0
        if design.kind is CompressorKind.ELECTRIC:
            return design.displacement_m3 * design.own_rpm / 60.0 * self.stroke
        if not self.engaged:
            return 0.0
        return design.displacement_m3 * design.pulley_ratio * engine_rpm / 60.0 * self.stroke

    def shaft_rpm(self, engine_rpm: float) -> float:
        """The compressor's own speed."""
        if self.design.kind is CompressorKind.ELECTRIC:
            return self.design.own_rpm * self.stroke
        return engine_rpm * self.design.pulley_ratio

    def target_k(self, engine_rpm: float) -> float:
        """Air-off temperature that is asked for; away from idle some controls ask for milder air."""
        away = min(max((engine_rpm - 1.1 * IDLE_RPM) / 600.0, 0.0), 1.0)
        return self.design.air_off_k + self.design.milder_k * away

    def follow(
        self, suction_pa: float, discharge_pa: float, air_off_k: float, rpm: float, dt_s: float
    ) -> None:
        """Move on by ``dt_s`` seconds."""
        kind = self.design.kind
        self.cut_out = discharge_pa > (_CUT_IN_PA if self.cut_out else _CUT_OUT_PA)
        if kind is CompressorKind.FIXED:
            self._cycle(air_off_k)
            return
        if kind is CompressorKind.INTERNAL_VARIABLE:
            wanted_pa = self.design.suction_pa - 0.018 * max(discharge_pa - 10e5, 0.0)
            rate = 1.2e-6 * (suction_pa - wanted_pa)
        else:
            self._answer_engine(rpm)
            rate = self._external_rate(air_off_k, rpm, dt_s)
        if discharge_pa > _DISCHARGE_LIMIT_PA:
            rate = -0.1
        limited = min(max(rate, -0.1), 0.1)
        self.stroke = min(max(self.stroke + limited * dt_s, LEAST_STROKE), 1.0)

    def _answer_engine(self, rpm: float) -> None:
        """The controller knows the engine speed and keeps the swept volume through a change of it."""
        if self.design.kind is CompressorKind.EXTERNAL_VARIABLE and self._last_rpm and rpm:
            self.stroke *= self._last_rpm / rpm
        self._last_rpm = rpm

    def _external_rate(self, air_off_k: float, rpm: float, dt_s: float) -> float:
        """Proportional and integral action on the air-off temperature, weaker where strokes come faster."""
        moving = (air_off_k - self._last_air_off_k) / dt_s if self._last_air_off_k else 0.0
        self._last_air_off_k = air_off_k
        gain = min(1.0, _RATED_RPM / max(self.shaft_rpm(rpm), 1.0))
        return gain * (_INTEGRAL * (air_off_k - self.target_k(rpm)) + _PROPORTIONAL * moving)

    def _cycle(self, air_off_k: float) -> None:
        if air_off_k < self.design.air_off_k - _CLUTCH_OUT_BELOW_K:
            self.engaged = False
        elif air_off_k > self.design.air_off_k + _CLUTCH_IN_ABOVE_K:
            self.engaged = True
