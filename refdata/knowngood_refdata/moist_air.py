"""Moist air: from dry bulb and one measure of humidity to everything else, at the local barometer.

The perfect-gas equations of the ASHRAE Handbook, Fundamentals 2017, chapter 1, with t in °C, everything
for 1 kg of dry air, enthalpy zero for dry air at 0 °C::

    W  = 0.621945 pv / (p - pv)                                            equation 20
    φ  = pv / psat(t)                                                      equation 22
    v  = 287.042 T (1 + 1.607858 W) / p                                    equation 26
    h  = 1006 t + W (2,501,000 + 1860 t)                                   equation 30
    W  = ((2501 - 2.326 t*) Ws* - 1.006 (t - t*)) / (2501 + 1.86 t - 4.186 t*)   wet bulb, equation 33
    W  = ((2830 - 0.24 t*) Ws* - 1.006 (t - t*)) / (2830 + 1.86 t - 2.1 t*)      iced bulb, equation 35

(numbers of the equations from memory). Saturation: `knowngood_refdata.water`. Valid from -100 °C to
200 °C; against real moist air the humidity ratio is up to 0.7 % low at sea level.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from knowngood_refdata.quantities import ZERO_CELSIUS_K
from knowngood_refdata.water import saturation_pressure_pa, saturation_temperature_k

LOWEST_K, HIGHEST_K = 173.15, 473.15
"""Range of the handbook's equations: -100 °C to 200 °C."""

MASS_RATIO = 0.621945
"""Molar mass of water over that of dry air."""

DRY_AIR_J_KG_K = 287.042
"""Gas constant of dry air."""

AIR_CP_J_KG_K = 1006.0
VAPOUR_CP_J_KG_K = 1860.0
WATER_CP_J_KG_K = 4186.0
EVAPORATION_J_KG = 2_501_000.0
"""Heat that 1 kg of water takes to evaporate at 0 °C."""

_ROUNDING = 1e-9
_COLDEST_BULB_K = 150.0
_HALVINGS = 50


@dataclass(frozen=True, slots=True)
class MoistAir:
    """Air with water vapour, for 1 kg of dry air.

    Attributes
    ----------
    dry_bulb_k, wet_bulb_k, dew_point_k
        Temperatures [K]. Below freezing the wet bulb is an iced one and the dew point the frost point.
        Perfectly dry air has no dew point: NaN.
    pressure_pa
        The barometer [Pa]; ``vapour_pressure_pa`` is the water's part of it.
    humidity_ratio
        Water [kg] with 1 kg of dry air.
    relative_humidity
        0 to 1; below freezing it counts from saturation over ice.
    enthalpy_j_kg
        Zero for dry air and liquid water at 0 °C.
    specific_volume_m3_kg
        Volume that 1 kg of dry air and its water take.
    """

    dry_bulb_k: float
    pressure_pa: float
    humidity_ratio: float
    relative_humidity: float
    wet_bulb_k: float
    dew_point_k: float
    enthalpy_j_kg: float
    specific_volume_m3_kg: float
    vapour_pressure_pa: float


def from_relative_humidity(dry_bulb_k: float, relative_humidity: float, pressure_pa: float) -> MoistAir:
    """Air of a dry bulb [K] and a relative humidity (0 to 1) at a barometer [Pa].

    Çengel and Boles, Thermodynamics, 5th edition, example 14-2: air at 20 °C and 75 % has a dew point of
    15.4 °C.

    Raises
    ------
    ValueError
        When no air can be so; the text says why.

    >>> air = from_relative_humidity(293.15, 0.75, 101_325.0)
    >>> round(air.dew_point_k - 273.15, 1)
    15.4
    """
    saturated_pa = _checked_saturation_pa(dry_bulb_k, pressure_pa)
    if not 0.0 <= relative_humidity <= 1.0 + _ROUNDING:
        raise ValueError(
            f"a relative humidity of {100 * relative_humidity:.4g} % does not exist: 0 to 100 % is possible"
        )
    return _air(dry_bulb_k, min(relative_humidity, 1.0) * saturated_pa, pressure_pa)


def from_wet_bulb(dry_bulb_k: float, wet_bulb_k: float, pressure_pa: float) -> MoistAir:
    """Air of a dry and a wet bulb [K] at a barometer [Pa]; below 0 °C the bulb is taken as iced.

    Çengel and Boles, Thermodynamics, 5th edition, example 14-3: 25 °C and 15 °C at 101.325 kPa give a
    humidity ratio of 0.00653 and 33.2 % (with real-gas tables; 0.0065 with these equations).

    Raises
    ------
    ValueError
        When no air can be so; the text says why.

    >>> air = from_wet_bulb(298.15, 288.15, 101_325.0)
    >>> round(air.humidity_ratio, 4), round(air.relative_humidity, 3)
    (0.0065, 0.332)
    """
    saturated_pa = _checked_saturation_pa(dry_bulb_k, pressure_pa)
    if not _COLDEST_BULB_K <= wet_bulb_k <= dry_bulb_k + _ROUNDING:
        raise ValueError(
            "the wet bulb reads higher than the dry bulb, and evaporating water only cools: the two are "
            "swapped, or one is wrong"
            if wet_bulb_k > dry_bulb_k
            else "the wet bulb lies too low to be measured: check its unit"
        )
    if saturation_pressure_pa(wet_bulb_k) >= pressure_pa:
        raise ValueError("the wet bulb lies above the boiling point of water at this air pressure")
    ratio = _ratio_of_wet_bulb(dry_bulb_k, wet_bulb_k, pressure_pa)
    if ratio < -_ROUNDING:
        raise ValueError(
            "the wet bulb lies too far below the dry bulb: even perfectly dry air would not cool it so far"
        )
    vapour_pa = min(_vapour_pa(max(ratio, 0.0), pressure_pa), saturated_pa)
    return _air(dry_bulb_k, vapour_pa, pressure_pa, wet_bulb_k=wet_bulb_k)


def from_dew_point(dry_bulb_k: float, dew_point_k: float, pressure_pa: float) -> MoistAir:
    """Air of a dry bulb and a dew point [K] (below 0.01 °C the frost point) at a barometer [Pa].

    ASHRAE Handbook, Fundamentals 2017, chapter 1, table 2: saturated air at 25 °C holds 0.020173 kg/kg
    (real gas; 0.02008 with these equations).

    Raises
    ------
    ValueError
        When no air can be so; the text says why.

    >>> round(from_dew_point(303.15, 298.15, 101_325.0).humidity_ratio, 4)
    0.0201
    """
    saturated_pa = _checked_saturation_pa(dry_bulb_k, pressure_pa)
    if dew_point_k > dry_bulb_k + _ROUNDING:
        raise ValueError("the dew point lies above the dry bulb: such air would be fog; the two are swapped")
    vapour_pa = saturation_pressure_pa(dew_point_k)
    if math.isnan(vapour_pa):
        raise ValueError("the dew point lies too low to be measured: check its unit")
    return _air(dry_bulb_k, min(vapour_pa, saturated_pa), pressure_pa)


def from_humidity_ratio(dry_bulb_k: float, humidity_ratio: float, pressure_pa: float) -> MoistAir:
    """Air of a dry bulb [K] with an amount of water [kg for 1 kg of dry air] at a barometer [Pa].

    ASHRAE Handbook, Fundamentals 2017, chapter 1, table 2: dry air at 25 °C has 25.148 kJ/kg and
    0.8443 m³/kg (real gas).

    Raises
    ------
    ValueError
        When no air can be so; the text says why.

    >>> air = from_humidity_ratio(298.15, 0.0, 101_325.0)
    >>> round(air.enthalpy_j_kg), round(air.specific_volume_m3_kg, 4)
    (25150, 0.8446)
    """
    saturated_pa = _checked_saturation_pa(dry_bulb_k, pressure_pa)
    if not 0.0 <= humidity_ratio < math.inf:
        raise ValueError("a humidity ratio is never negative")
    vapour_pa = _vapour_pa(humidity_ratio, pressure_pa)
    if vapour_pa > saturated_pa * (1.0 + _ROUNDING):
        raise ValueError("at this temperature air cannot hold so much water: the rest would be fog or dew")
    return _air(dry_bulb_k, min(vapour_pa, saturated_pa), pressure_pa)


def mix(first: MoistAir, second: MoistAir, first_share: float) -> MoistAir:
    """Two streams mixed without heat from outside; ``first_share`` (0 to 1) counts dry air by mass.

    W = x W1 + (1 - x) W2 and h = x h1 + (1 - x) h2 (ASHRAE Handbook, Fundamentals 2017, chapter 1,
    adiabatic mixing). Çengel and Boles, Thermodynamics, 5th edition, example 14-8: 50 m³/min saturated at
    14 °C (0.826 m³/kg) and 20 m³/min at 32 °C and 60 % (0.889 m³/kg) give 0.0122 kg/kg and 19.0 °C.

    Raises
    ------
    ValueError
        When the pressures differ, the share is none, or the mixture would be fog.

    >>> cold = from_relative_humidity(287.15, 1.0, 101_325.0)
    >>> warm = from_relative_humidity(305.15, 0.6, 101_325.0)
    >>> share = (50 / 0.826) / (50 / 0.826 + 20 / 0.889)
    >>> mixed = mix(cold, warm, share)
    >>> round(mixed.humidity_ratio, 4), round(mixed.dry_bulb_k - 273.15, 1)
    (0.0122, 18.9)
    """
    if not 0.0 <= first_share <= 1.0:
        raise ValueError("the share of a stream in a mixture lies between 0 and 1")
    if not math.isclose(first.pressure_pa, second.pressure_pa, rel_tol=1e-6):
        raise ValueError("streams that mix stand at one air pressure")
    rest = 1.0 - first_share
    ratio = first_share * first.humidity_ratio + rest * second.humidity_ratio
    enthalpy = first_share * first.enthalpy_j_kg + rest * second.enthalpy_j_kg
    celsius = (enthalpy - EVAPORATION_J_KG * ratio) / (AIR_CP_J_KG_K + VAPOUR_CP_J_KG_K * ratio)
    try:
        return from_humidity_ratio(celsius + ZERO_CELSIUS_K, ratio, first.pressure_pa)
    except ValueError as error:
        raise ValueError("the mixture of these streams would be fog: no single air state answers") from error


def enthalpy_j_kg(dry_bulb_k: float, humidity_ratio: float) -> float:
    """Enthalpy [J for 1 kg of dry air]: h = 1006 t + W (2,501,000 + 1860 t), t in °C.

    >>> round(enthalpy_j_kg(298.15, 0.01))
    50625
    """
    celsius = dry_bulb_k - ZERO_CELSIUS_K
    return AIR_CP_J_KG_K * celsius + humidity_ratio * (EVAPORATION_J_KG + VAPOUR_CP_J_KG_K * celsius)


def _checked_saturation_pa(dry_bulb_k: float, pressure_pa: float) -> float:
    """Saturation pressure [Pa] at a dry bulb that, like the air pressure, is seen to be possible."""
    if not 0.0 < pressure_pa < math.inf:
        raise ValueError("the air pressure must be above zero: check gauge or absolute, and the unit")
    if not LOWEST_K <= dry_bulb_k <= HIGHEST_K:
        raise ValueError("the dry bulb lies outside -100 °C to 200 °C (-148 °F to 392 °F)")
    return saturation_pressure_pa(dry_bulb_k)


def _air(
    dry_bulb_k: float, vapour_pa: float, pressure_pa: float, *, wet_bulb_k: float | None = None
) -> MoistAir:
    if vapour_pa >= pressure_pa:
        raise ValueError("water would boil at this temperature and air pressure: no air would be left")
    ratio = MASS_RATIO * vapour_pa / (pressure_pa - vapour_pa)
    return MoistAir(
        dry_bulb_k=dry_bulb_k,
        pressure_pa=pressure_pa,
        humidity_ratio=ratio,
        relative_humidity=vapour_pa / saturation_pressure_pa(dry_bulb_k),
        wet_bulb_k=_wet_bulb_k(dry_bulb_k, ratio, pressure_pa) if wet_bulb_k is None else wet_bulb_k,
        dew_point_k=saturation_temperature_k(vapour_pa) if vapour_pa > 0.0 else math.nan,
        enthalpy_j_kg=enthalpy_j_kg(dry_bulb_k, ratio),
        specific_volume_m3_kg=DRY_AIR_J_KG_K * dry_bulb_k * (1.0 + ratio / MASS_RATIO) / pressure_pa,
        vapour_pressure_pa=vapour_pa,
    )


def _vapour_pa(ratio: float, pressure_pa: float) -> float:
    return pressure_pa * ratio / (MASS_RATIO + ratio)


def _ratio_of_wet_bulb(dry_bulb_k: float, wet_bulb_k: float, pressure_pa: float) -> float:
    """Humidity ratio by the balance of heat at the bulb; negative where no air could cool it so far."""
    dry, wet = dry_bulb_k - ZERO_CELSIUS_K, wet_bulb_k - ZERO_CELSIUS_K
    saturated_pa = saturation_pressure_pa(wet_bulb_k)
    if saturated_pa >= pressure_pa:
        return math.inf
    saturated = MASS_RATIO * saturated_pa / (pressure_pa - saturated_pa)
    if wet < 0.0:
        return ((2830.0 - 0.24 * wet) * saturated - 1.006 * (dry - wet)) / (2830.0 + 1.86 * dry - 2.1 * wet)
    return ((2501.0 - 2.326 * wet) * saturated - 1.006 * (dry - wet)) / (2501.0 + 1.86 * dry - 4.186 * wet)


def _wet_bulb_k(dry_bulb_k: float, ratio: float, pressure_pa: float) -> float:
    """The bulb that answers for a humidity ratio: a wet one where it stays above freezing, else an iced one.

    Close above 0 °C both have an answer, as ice gives off more heat to freeze than it takes to evaporate
    less; there the bulb of someone who wets it with liquid water is meant.
    """
    low, high = _COLDEST_BULB_K, dry_bulb_k
    if high >= ZERO_CELSIUS_K:
        if ratio >= _ratio_of_wet_bulb(dry_bulb_k, ZERO_CELSIUS_K, pressure_pa):
            low = ZERO_CELSIUS_K
        else:
            high = math.nextafter(ZERO_CELSIUS_K, 0.0)
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        if _ratio_of_wet_bulb(dry_bulb_k, middle, pressure_pa) > ratio:
            high = middle
        else:
            low = middle
    return 0.5 * (low + high)
