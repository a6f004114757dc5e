"""Where water boils, condenses and frosts: saturation over liquid water and over ice.

Over liquid water, at and above the triple point (IAPWS SR1-86(1992); Wagner and Pruss, J. Phys. Chem. Ref.
Data 22 (1993) 783, equation 1), with τ = 1 - T/Tc::

    ln(p/pc) = Tc/T (a1 τ + a2 τ^1.5 + a3 τ^3 + a4 τ^3.5 + a5 τ^4 + a6 τ^7.5)

Over ice, below it (IAPWS R14-08(2011); Wagner, Riethmann, Feistel and Harvey, J. Phys. Chem. Ref. Data 40
(2011) 043103, equation 4), with θ = T/Tt::

    ln(p/pt) = 1/θ (b1 θ^c1 + b2 θ^c2 + b3 θ^c3)

Extending the liquid curve below the triple point instead would put the pressure 10 % too high at -10 °C.
Both equations describe pure water vapour; air above it changes the pressure by less than 1 %.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, overload

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

TRIPLE_K = 273.16
TRIPLE_PA = 611.657
"""Pressure at which ice, liquid water and vapour are at rest together: 4,588 micron."""

CRITICAL_K = 647.096
CRITICAL_PA = 22.064e6

LOWEST_K = 150.0
"""Where this module stops; the equation over ice reaches to 50 K, far below what any gauge can show."""

_LIQUID = (
    (-7.85951783, 1.0),
    (1.84408259, 1.5),
    (-11.7866497, 3.0),
    (22.6807411, 3.5),
    (-15.9618719, 4.0),
    (1.80122502, 7.5),
)
_ICE = ((-21.2144006, 0.00333333333), (27.3203819, 1.20666667), (-6.1059813, 1.70333333))
_STEPS = 8
"""Steps of Newton's rule: ln p is almost a straight line over 1/T, so six reach the last digit."""


@overload
def saturation_pressure_pa(temperature_k: float) -> float: ...
@overload
def saturation_pressure_pa(temperature_k: NDArray[np.float64]) -> NDArray[np.float64]: ...
def saturation_pressure_pa(temperature_k: float | NDArray[np.float64]) -> float | NDArray[np.float64]:
    """Saturation pressure [Pa] over liquid water, or over ice below the triple point; any shape.

    Valid from 150 K to the critical point, 647.096 K; NaN outside. Published uncertainty: 0.025 % over
    liquid water up to 373 K, growing to 0.1 % above; over ice from 0.4 % at 190 K to 0.02 % at 273 K X
    """
    if isinstance(temperature_k, np.ndarray):
        return _by_phase(temperature_k, temperature_k < TRIPLE_K, _ice_pa, _liquid_pa)
    return _pressure(float(temperature_k))


@overload
def saturation_temperature_k(pressure_pa: float) -> float: ...
@overload
def saturation_temperature_k(pressure_pa: NDArray[np.float64]) -> NDArray[np.float64]: ...
def saturation_temperature_k(pressure_pa: float | NDArray[np.float64]) -> float | NDArray[np.float64]:
    """Temperature [K] at which water boils at an absolute pressure [Pa], or frosts below 611.657 Pa.

    The inverse of `saturation_pressure_pa`, by Newton's rule on ln p over 1/T; valid from the pressure at
    150 K to the critical one, NaN outside. Worked value: 101,325 Pa belongs to 373.124 K (Wagner and Pruss
    2002, from memory).

    >>> round(saturation_temperature_k(101_325.0), 3)
    373.124
    >>> round(saturation_temperature_k(66.661) - 273.15, 2)
    -24.48
    """
    pressure = np.asarray(pressure_pa, dtype=np.float64)
    found = _by_phase(pressure, pressure < TRIPLE_PA, _ice_k, _liquid_k)
    return found if isinstance(pressure_pa, np.ndarray) else float(found)


def is_ice(pressure_pa: float) -> bool:
    """Whether water of this vapour pressure [Pa] is ice: below the triple point.

    >>> is_ice(600.0), is_ice(620.0)
    (True, False)
    """
    return pressure_pa < TRIPLE_PA


def why_no_temperature(pressure_pa: float) -> str:
    """Why water has no saturation temperature at a pressure [Pa], in words; empty when it has one."""
    if math.isnan(pressure_pa):
        return "there is no pressure"
    if pressure_pa <= 0.0:
        return "an absolute pressure is never zero or less: check gauge or absolute, and the barometer"
    if pressure_pa > CRITICAL_PA:
        return "above the critical pressure of water, 220.64 bar absolute, there is no boiling point"
    if pressure_pa < LOWEST_PA:
        return "so deep a vacuum lies below the table of water: no service gauge can show it"
    return ""


def why_no_pressure(temperature_k: float) -> str:
    """Why water has no saturation pressure at a temperature [K], in words; empty when it has one."""
    if math.isnan(temperature_k):
        return "there is no temperature"
    if temperature_k > CRITICAL_K:
        return "above the critical temperature of water, 373.9 °C, there is no saturation pressure"
    if temperature_k < LOWEST_K:
        return "below -123 °C (-190 °F) the curve of ice is not tabulated"
    return ""


def _pressure(temperature: float) -> float:
    """The same for one float, without the cost of an array."""
    if not LOWEST_K <= temperature <= CRITICAL_K:
        return math.nan
    if temperature < TRIPLE_K:
        return TRIPLE_PA * math.exp(_ice_log(temperature))
    return CRITICAL_PA * math.exp(_liquid_log(temperature))


def _by_phase(
    values: NDArray[np.float64],
    frozen: NDArray[np.bool_],
    over_ice: Callable[[NDArray[np.float64]], NDArray[np.float64]],
    over_liquid: Callable[[NDArray[np.float64]], NDArray[np.float64]],
) -> NDArray[np.float64]:
    found = np.full(values.shape, np.nan)
    found[frozen] = over_ice(values[frozen])
    found[~frozen] = over_liquid(values[~frozen])
    return found


def _ice_pa(temperature: NDArray[np.float64]) -> NDArray[np.float64]:
    inside = np.where(temperature >= LOWEST_K, temperature, np.nan)
    pressure: NDArray[np.float64] = TRIPLE_PA * np.exp(_ice_log(inside))
    return pressure


def _liquid_pa(temperature: NDArray[np.float64]) -> NDArray[np.float64]:
    inside = np.where(temperature <= CRITICAL_K, temperature, np.nan)
    pressure: NDArray[np.float64] = CRITICAL_PA * np.exp(_liquid_log(inside))
    return pressure


def _ice_k(pressure: NDArray[np.float64]) -> NDArray[np.float64]:
    inside = np.where(pressure >= LOWEST_PA, pressure, np.nan)
    wanted = np.log(inside / TRIPLE_PA)
    guess = TRIPLE_K / (1.0 - wanted / 22.5)
    return _solved(wanted, guess, _ice_log, _ice_log_slope, LOWEST_K, TRIPLE_K)


def _liquid_k(pressure: NDArray[np.float64]) -> NDArray[np.float64]:
    inside = np.where(pressure <= CRITICAL_PA, pressure, np.nan)
    wanted = np.log(inside / CRITICAL_PA)
    guess = CRITICAL_K / (1.0 - wanted / 7.7)
    return _solved(wanted, guess, _liquid_log, _liquid_log_slope, TRIPLE_K, CRITICAL_K)


def _solved(
    wanted: NDArray[np.float64],
    temperature: NDArray[np.float64],
    log_pressure: Callable[[NDArray[np.float64]], NDArray[np.float64]],
    log_slope: Callable[[NDArray[np.float64]], NDArray[np.float64]],
    lowest: float,
    highest: float,
) -> NDArray[np.float64]:
    for _ in range(_STEPS):
        temperature = np.clip(temperature, lowest, highest)
        miss = log_pressure(temperature) - wanted
        temperature = temperature / (1.0 + miss / (temperature * log_slope(temperature)))
    solved: NDArray[np.float64] = np.clip(temperature, lowest, highest)
    return solved


@overload
def _liquid_log(temperature: float) -> float: ...
@overload
def _liquid_log(temperature: NDArray[np.float64]) -> NDArray[np.float64]: ...
def _liquid_log(temperature: float | NDArray[np.float64]) -> float | NDArray[np.float64]:
    tau = 1.0 - temperature / CRITICAL_K
    return sum(a * tau**power for a, power in _LIQUID) * CRITICAL_K / temperature


def _liquid_log_slope(temperature: NDArray[np.float64]) -> NDArray[np.float64]:
    tau = 1.0 - temperature / CRITICAL_K
    inner: NDArray[np.float64] = sum(
        (a * power * tau ** (power - 1.0) for a, power in _LIQUID), start=np.zeros_like(tau)
    )
    return -(_liquid_log(temperature) + inner) / temperature


@overload
def _ice_log(temperature: float) -> float: ...
@overload
def _ice_log(temperature: NDArray[np.float64]) -> NDArray[np.float64]: ...
def _ice_log(temperature: float | NDArray[np.float64]) -> float | NDArray[np.float64]:
    theta = temperature / TRIPLE_K
    return sum(b * theta ** (power - 1.0) for b, power in _ICE)


def _ice_log_slope(temperature: NDArray[np.float64]) -> NDArray[np.float64]:
    theta = temperature / TRIPLE_K
    inner: NDArray[np.float64] = sum(
        (b * (power - 1.0) * theta ** (power - 2.0) for b, power in _ICE), start=np.zeros_like(theta)
    )
    return inner / TRIPLE_K


LOWEST_PA = _pressure(LOWEST_K)
"""The saturation pressure at `LOWEST_K` [Pa]: about 0.00005 micron."""
