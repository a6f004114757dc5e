"""A car of another make: two vessels of lumped heat, a compressor and a valve between them.

It shares nothing with the demo's simulator: each vessel is a saturation temperature with a heat capacity, the
valve feeds what its bulb, which lags, asks for, and so hunts by itself where it is set too eager. Values are
of a plausible order (common practice, no source); only what happens and when matters here.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

import numpy as np

from knowngood_refdata.quantities import ZERO_CELSIUS_K
from knowngood_refdata.records import CompressorKind
from knowngood_refdata.refrigerants import saturation

LATENT_J_PER_KG = 165e3
WORK_SHARE = 0.28
GAS_J_PER_KG_K = 81.5
BULB_S = 6.0
THROUGH_S = 7.0


@dataclass
class Car:
    """What a car is made of: heat capacities in J/K, conductances in W/K, flows in kg/s, the rest in SI.

    ``fan`` holds the conductance share of each stage from the first one up, ``fan_pa`` the pressures that
    call the second stage and let it go.
    """

    refrigerant: str
    kind: CompressorKind
    idle_rpm: float
    swept_m3: float
    evaporator_j_per_k: float
    condenser_j_per_k: float
    evaporator_w_per_k: float
    condenser_w_per_k: float
    ambient_k: float
    cabin_k: float
    fan: tuple[float, ...]
    fan_spin_s: float
    eager: float = 0.0
    fan_pa: tuple[float, float] | None = None
    fan_waits_s: float = 0.0
    switch_pa: tuple[float, float] | None = None
    set_pa: float = 2.9e5
    control_s: float = 3.0
    electric_rpm: float = 3_000.0


class Vessels:
    """A car at work; `step` brings it one step on, the attributes are its controls and its state."""

    def __init__(self, car: Car) -> None:
        self.car = car
        curve = saturation(car.refrigerant)
        self._temperature_k = np.linspace(ZERO_CELSIUS_K - 38.0, ZERO_CELSIUS_K + 92.0, 1_301)
        self._log_pa = np.log([curve.pressure_pa(float(one)) for one in self._temperature_k])
        self.rpm = self.asked_rpm = car.idle_rpm
        self.blower, self.line_on, self.switch_on, self.stage = 1.0, True, True, 1
        self.ambient_k = car.ambient_k
        self.cold_k, self.hot_k = car.cabin_k - 18.0, car.ambient_k + 18.0
        self.air, self.stroke, self.bulb_k, self.feed, self.due_s = car.fan[0], 1.0, 9.0, 1.0, 0.0
        self.flow = 0.0
        self.under_way_k: deque[tuple[float, float]] = deque()
        self.under_way_s = 0.0

    @property
    def on(self) -> bool:
        return self.line_on and self.switch_on

    @property
    def low_pa(self) -> float:
        return self._pressure(self.cold_k)

    @property
    def high_pa(self) -> float:
        return self._pressure(self.hot_k)

    def step(self, dt_s: float) -> tuple[float, ...]:
        """Low and high side [Pa], suction and liquid line [K], engine [rpm] after one step."""
        car, low, high = self.car, self.low_pa, self.high_pa
        self.rpm += float(np.clip(self.asked_rpm - self.rpm, -700.0 * dt_s, 500.0 * dt_s))
        self._control(low, high, dt_s)
        wanted = self._pumped(low, high) if self.on else 0.0
        self.flow += (wanted - self.flow) * dt_s / 0.5
        through = 0.02 * np.sqrt(max(high - low, 0.0) / 1e6) if not self.on else 0.0
        wet = min(max(self.feed, 0.3), 1.15)
        drawn = car.evaporator_w_per_k * self.blower**0.6 * (0.65 + 0.35 * wet) * (car.cabin_k - self.cold_k)
        pumped = self.flow * LATENT_J_PER_KG
        given = car.condenser_w_per_k * self.air * (self.hot_k - self.ambient_k)
        self.cold_k += (drawn - pumped + through * LATENT_J_PER_KG) / car.evaporator_j_per_k * dt_s
        self.hot_k += (
            (pumped * (1.0 + WORK_SHARE) - given - through * LATENT_J_PER_KG) / car.condenser_j_per_k * dt_s
        )
        superheat_k = 7.0 + 14.0 * (1.0 - self.feed)
        self.bulb_k += (self._arrived(superheat_k, dt_s) - self.bulb_k) * dt_s / BULB_S
        self.feed += (1.0 + car.eager * (self.bulb_k - 7.0) / 14.0 - self.feed) * dt_s / 4.0
        self.feed = min(max(self.feed, 0.75), 1.25)
        return low, high, self.cold_k + superheat_k, self.hot_k - 6.0, self.rpm

    def _arrived(self, superheat_k: float, dt_s: float) -> float:
        """The superheat that comes out of the evaporator now went in some seconds ago."""
        self.under_way_k.append((dt_s, superheat_k))
        self.under_way_s += dt_s
        while self.under_way_s > THROUGH_S:
            took_s, superheat_k = self.under_way_k.popleft()
            self.under_way_s -= took_s
        return superheat_k if self.under_way_k else 7.0

    def _pumped(self, low: float, high: float) -> float:
        rpm = self.car.electric_rpm if self.car.kind is CompressorKind.ELECTRIC else self.rpm
        filled = max(0.2, 0.92 - 0.045 * (high / low - 1.0) - 0.02 * (rpm / 1_000.0 - 1.0))
        density = low / (GAS_J_PER_KG_K * (self.cold_k + 8.0))
        return float(self.car.swept_m3 * self.stroke * rpm / 60.0 * filled * density)

    def _control(self, low: float, high: float, dt_s: float) -> None:
        car = self.car
        if car.kind in {CompressorKind.INTERNAL_VARIABLE, CompressorKind.EXTERNAL_VARIABLE}:
            gain = 5.0 if car.kind is CompressorKind.INTERNAL_VARIABLE else 9.0
            goal = 0.5 + gain * (low / car.set_pa - 1.0)
            self.stroke += (min(max(goal, 0.05), 1.0) - self.stroke) * dt_s / car.control_s
        if car.switch_pa is not None:
            out, back = car.switch_pa
            self.switch_on = low > (out if self.switch_on else back)
        if car.fan_pa is not None:
            up, down = car.fan_pa
            wanted = 2 if high > up else 1 if high < down else self.stage
            self.due_s = self.due_s + dt_s if wanted != self.stage else 0.0
            if self.due_s > car.fan_waits_s:
                self.stage, self.due_s = wanted, 0.0
        self.air += (car.fan[self.stage - 1] - self.air) * dt_s / car.fan_spin_s

    def _pressure(self, temperature_k: float) -> float:
        return float(np.exp(np.interp(temperature_k, self._temperature_k, self._log_pa)))


def settled(vessels: Vessels, seconds: float) -> tuple[float, float]:
    """Low and high side after so many seconds of the same."""
    for _ in range(round(seconds / 0.2)):
        vessels.step(0.2)
    return vessels.low_pa, vessels.high_pa
