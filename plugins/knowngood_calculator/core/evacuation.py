"""What a vacuum reading says: how deep it is, and where water boils or frosts in it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.quantities import ZERO_CELSIUS_K, Kind, unit
from knowngood_refdata.water import is_ice, saturation_temperature_k, why_no_temperature

if TYPE_CHECKING:
    from collections.abc import Iterator

MICRON_PA = unit("micron", Kind.PRESSURE).factor
INCH_OF_MERCURY_PA = unit("inHg", Kind.PRESSURE).factor

TARGET_PA = 500 * MICRON_PA
"""Depth to pull down to: 500 micron, practice of the building trade (training texts on the deep vacuum
method). A maker's own procedure comes first."""

STANDING_CAUTIONS = (
    (
        "A vacuum that holds does not replace a leak test under pressure: a seal can hold against the air "
        "outside and still leak under refrigerant pressure, and a vacuum shows only leaks that lose "
        "kilograms in a year."
    ),
    "The vehicle maker's procedure and local codes come before these criteria.",
)
# Kilograms in a year (own estimate): 100 micron in 10 min in 3 L is 6.7e-5 Pa·m³/s of air. Through the same
# gap viscous flow carries (6.65² - 1)·18.5/11.7 times as much R-134a from 6.65 bar: 5.9 kg in a year.


@dataclass(frozen=True, slots=True)
class VacuumReading:
    """One vacuum reading and what follows from it.

    Attributes
    ----------
    pressure_pa
        As read [Pa, absolute].
    depth_pa
        How far it lies below the local air [Pa]: what a dial gauge shows as inHg vacuum. Negative above it.
    water_k
        Temperature [K] at which water boils in it, or frosts when ``frozen``; None when there is none.
    frozen
        The pressure lies below the triple point of water: water that stays is ice.
    remarks
        What to know beside the numbers, in sentences; never empty when ``water_k`` is None.
    """

    pressure_pa: float
    depth_pa: float
    water_k: float | None
    frozen: bool
    remarks: tuple[str, ...]


def vacuum_reading(pressure_pa: float, barometer_pa: float, coldest_k: float | None = None) -> VacuumReading:
    """What an absolute pressure [Pa] in a system means at a local barometer [Pa].

    Parameters
    ----------
    coldest_k
        Temperature [K] of the coldest part of the system, where known: water boils off only where it is
        warmer than its saturation temperature.

    Common service table (from memory): at 25,400 micron water boils at 80 °F; it gives 79.0 °F here.

    >>> reading = vacuum_reading(25_400 * MICRON_PA, 101_325.0)
    >>> round((reading.water_k - 273.15) * 1.8 + 32, 1), round(reading.depth_pa / INCH_OF_MERCURY_PA, 2)
    (79.0, 28.92)
    >>> vacuum_reading(500 * MICRON_PA, 101_325.0).frozen
    True
    """
    depth_pa = barometer_pa - pressure_pa
    why = why_no_temperature(pressure_pa)
    if why:
        return VacuumReading(pressure_pa, depth_pa, None, frozen=False, remarks=(why,))
    water_k = saturation_temperature_k(pressure_pa)
    frozen = is_ice(pressure_pa)
    remarks = (*_on_depth(pressure_pa, barometer_pa), *_on_water(water_k, coldest_k, frozen=frozen))
    return VacuumReading(pressure_pa, depth_pa, water_k, frozen, remarks)


def _on_depth(pressure_pa: float, barometer_pa: float) -> Iterator[str]:
    if pressure_pa >= barometer_pa:
        yield "not below the local air pressure: this is no vacuum"
    elif pressure_pa > TARGET_PA:
        yield "not yet down to 500 micron (67 Pa), the usual target of the building trade"
    else:
        yield "at or below 500 micron (67 Pa), the usual target of the building trade"
    if pressure_pa < barometer_pa:
        yield (
            "a dial gauge cannot show moisture: 1 inHg is 25,400 micron (3.39 kPa), fifty times the target, "
            "and the dial counts from the local air; use a gauge for absolute vacuum, away from the pump"
        )


def _on_water(water_k: float, coldest_k: float | None, *, frozen: bool) -> Iterator[str]:
    if frozen:
        yield (
            "below 4,588 micron (612 Pa) water does not boil, it freezes: boiling cools it, and ice leaves "
            "slowly as frost. Warm the parts, and hold the vacuum longer"
        )
    if coldest_k is None:
        return
    if coldest_k > water_k:
        yield "the coldest part is warmer than that: water left there turns to vapour"
    else:
        yield (
            f"the coldest part, {_degrees(coldest_k)}, is no warmer than that: water left there stays. Pull "
            "deeper or warm the parts"
        )


def _degrees(temperature_k: float) -> str:
    celsius = temperature_k - ZERO_CELSIUS_K
    return f"{celsius:.0f} °C ({celsius * 1.8 + 32:.0f} °F)"
