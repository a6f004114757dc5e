"""Moist air at the evaporator, in the few formulas the simulator needs.

Magnus formula for the saturation pressure over water, e_s = 611.2 exp(17.62 t / (243.12 + t)), t in °C,
valid from -45 °C to 60 °C. Source: World Meteorological Organization, Guide to Instruments and Methods of
Observation, WMO-No. 8, annex 4.B (from memory). Enthalpy per kilogram of dry air
h = 1006 t + w (2 501 000 + 1860 t): ASHRAE Handbook, Fundamentals 2017, chapter 1 (from memory).
"""

from __future__ import annotations

from math import exp

from knowngood_refdata.quantities import ZERO_CELSIUS_K

DRY_AIR_CP = 1_006.0
_VAPOUR_CP = 1_860.0
_LATENT_HEAT = 2_501_000.0


def saturation_pressure_pa(t_k: float) -> float:
    """Pressure of saturated water vapour in pascals.

    >>> round(saturation_pressure_pa(293.15))
    2333
    """
    t_c = t_k - ZERO_CELSIUS_K
    return 611.2 * exp(17.62 * t_c / (243.12 + t_c))


def humidity_ratio(t_k: float, relative_humidity: float, barometer_pa: float) -> float:
    """Kilograms of water a kilogram of dry air.

    >>> round(humidity_ratio(300.15, 0.5, 101_325.0), 4)
    0.0111
    """
    partial = relative_humidity * saturation_pressure_pa(t_k)
    return 0.62198 * partial / (barometer_pa - partial)


def enthalpy(t_k: float, ratio: float) -> float:
    """Joules a kilogram of dry air, from dry air and liquid water at 0 °C."""
    t_c = t_k - ZERO_CELSIUS_K
    return DRY_AIR_CP * t_c + ratio * (_LATENT_HEAT + _VAPOUR_CP * t_c)


def cooled(
    t_k: float, ratio: float, surface_k: float, bypass: float, barometer_pa: float
) -> tuple[float, float]:
    """Heat given up, J/kg dry air, and leaving temperature, K, of air that passes a cold surface.

    The share ``bypass`` leaves unchanged, the rest leaves at the surface's temperature, saturated when the
    surface lies below the dew point (bypass factor method, common practice).
    """
    at_surface = min(ratio, humidity_ratio(surface_k, 1.0, barometer_pa))
    heat = (1.0 - bypass) * (enthalpy(t_k, ratio) - enthalpy(surface_k, at_surface))
    return heat, t_k + (1.0 - bypass) * (surface_k - t_k)
