"""A session composed rather than simulated: two plateaus of one variable-displacement car.

Common practice, no source: near 750 rpm the sides read about 150 and 30 psi with a superheat of 6 °F and a
subcooling of 36 to 38 °F; at 2,500 rpm with the fan forced to full speed by coolant temperature they read
about 101 and 43 psi, and need a minute or two to return afterwards.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_demo.properties import properties
from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, ZERO_CELSIUS_K, Kind, unit
from knowngood_refdata.records import Quantity, Role

if TYPE_CHECKING:
    from numpy.typing import NDArray

REFRIGERANT = "R-134a"
AMBIENT_K = ZERO_CELSIUS_K + 20.0
LENGTH_S = 800
UP_S, FORCED_S, DOWN_S, RELEASED_S = 240, 264, 540, 556
_PSI = unit("psi", Kind.PRESSURE).factor
_FAHRENHEIT = unit("°F", Kind.TEMPERATURE_DIFFERENCE).factor


@dataclass(frozen=True, slots=True)
class Level:
    """What a plateau reads: psi gauge, and superheat and subcooling in °F."""

    rpm: float
    low_psi: float
    high_psi: float
    superheat_f: float
    subcooling_f: float
    vent_c: float

    def in_si(self) -> dict[Quantity, float]:
        """What a plateau's comparison would use, in SI, pressures absolute."""
        return {
            Quantity.LOW_SIDE: STANDARD_ATMOSPHERE_PA + _PSI * self.low_psi,
            Quantity.HIGH_SIDE: STANDARD_ATMOSPHERE_PA + _PSI * self.high_psi,
            Quantity.SUPERHEAT: _FAHRENHEIT * self.superheat_f,
            Quantity.SUBCOOLING: _FAHRENHEIT * self.subcooling_f,
            Quantity.VENT: ZERO_CELSIUS_K + self.vent_c,
        }


IDLE = Level(750.0, 30.0, 150.0, 6.0, 37.0, 6.5)
FASTER = Level(2_500.0, 36.0, 141.0, 7.0, 35.0, 7.0)
FORCED = Level(2_500.0, 43.0, 101.0, 8.0, 16.0, 7.5)
SETTLING = Level(750.0, 31.0, 112.0, 8.0, 18.0, 7.0)


def two_plateaus(rng: np.random.Generator) -> dict[Role, NDArray[np.float64]]:
    """The channels in SI, arrays (n,) at one value a second, pressures absolute, with noise.

    The engine is taken to 2,500 rpm, the fan follows half a minute later; back at idle the fan runs on until
    the coolant has cooled, and the sides return within two minutes.
    """
    low_pa = STANDARD_ATMOSPHERE_PA + _PSI * _course("low_psi", (14.0, 9.0, 12.0, 30.0))
    high_pa = STANDARD_ATMOSPHERE_PA + _PSI * _course("high_psi", (16.0, 5.0, 14.0, 32.0))
    superheat_k = _FAHRENHEIT * _course("superheat_f", (20.0, 20.0, 20.0, 30.0))
    subcooling_k = _FAHRENHEIT * _course("subcooling_f", (20.0, 9.0, 20.0, 32.0))
    table = properties(REFRIGERANT)
    evaporating_k = np.array([table.saturation_k(float(p)) for p in low_pa])
    condensing_k = np.array([table.saturation_k(float(p)) for p in high_pa])
    rpm = np.interp(
        np.arange(LENGTH_S), [UP_S, UP_S + 6, DOWN_S, DOWN_S + 6], [750.0, 2_500.0, 2_500.0, 750.0]
    )
    channels = {
        Role.LOW_SIDE: (low_pa, 1_200.0),
        Role.HIGH_SIDE: (high_pa, 3_000.0),
        Role.SUCTION_LINE: (evaporating_k + superheat_k, 0.08),
        Role.LIQUID_LINE: (condensing_k - subcooling_k, 0.08),
        Role.VENT: (ZERO_CELSIUS_K + _course("vent_c", (20.0, 20.0, 20.0, 30.0)), 0.06),
        Role.AMBIENT: (np.full(LENGTH_S, AMBIENT_K), 0.08),
        Role.ENGINE_SPEED: (rpm, 6.0),
    }
    return {role: values + rng.normal(0.0, noise, LENGTH_S) for role, (values, noise) in channels.items()}


def _course(name: str, lags_s: tuple[float, float, float, float]) -> NDArray[np.float64]:
    """One quantity following its levels, each approached with a time constant of its own."""
    moments = {UP_S: FASTER, FORCED_S: FORCED, DOWN_S: SETTLING, RELEASED_S: IDLE}
    lags = dict(zip(moments, lags_s, strict=True))
    value = target = getattr(IDLE, name)
    lag_s = lags_s[0]
    course = np.empty(LENGTH_S)
    for second in range(LENGTH_S):
        if second in moments:
            target, lag_s = getattr(moments[second], name), lags[second]
        value += (target - value) / lag_s
        course[second] = value
    return course
