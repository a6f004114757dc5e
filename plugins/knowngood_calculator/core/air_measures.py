"""The measures that, with the dry bulb, tell a state of moist air, and where its enthalpy counts from."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from knowngood_refdata.moist_air import (
    AIR_CP_J_KG_K,
    MoistAir,
    from_dew_point,
    from_humidity_ratio,
    from_relative_humidity,
    from_wet_bulb,
)
from knowngood_refdata.quantities import ZERO_CELSIUS_K, Kind, unit

if TYPE_CHECKING:
    from collections.abc import Callable

ZERO_FAHRENHEIT_K = unit("°F", Kind.TEMPERATURE).to_si(0.0)


class Measure(StrEnum):
    """What can be known of the humidity of air besides its dry bulb."""

    RELATIVE_HUMIDITY = "relative humidity"
    WET_BULB = "wet bulb"
    DEW_POINT = "dew point"
    HUMIDITY_RATIO = "humidity ratio"

    @property
    def kind(self) -> Kind:
        """The kind of quantity that it is."""
        return _KINDS[self]

    def of(self, air: MoistAir) -> float:
        """The measure of a state, in SI.

        >>> air = Measure.RELATIVE_HUMIDITY.air(293.15, 0.75, 101_325.0)
        >>> round(Measure.DEW_POINT.of(air) - 273.15, 1)
        15.4
        """
        return {
            Measure.RELATIVE_HUMIDITY: air.relative_humidity,
            Measure.WET_BULB: air.wet_bulb_k,
            Measure.DEW_POINT: air.dew_point_k,
            Measure.HUMIDITY_RATIO: air.humidity_ratio,
        }[self]

    def air(self, dry_bulb_k: float, value: float, pressure_pa: float) -> MoistAir:
        """The state with a dry bulb [K] and this measure, in SI, at an air pressure [Pa].

        Raises
        ------
        ValueError
            When no air can be so; the text says why.
        """
        return _STATES[self](dry_bulb_k, value, pressure_pa)


_KINDS = {
    Measure.RELATIVE_HUMIDITY: Kind.FRACTION,
    Measure.WET_BULB: Kind.TEMPERATURE,
    Measure.DEW_POINT: Kind.TEMPERATURE,
    Measure.HUMIDITY_RATIO: Kind.HUMIDITY_RATIO,
}
_STATES: dict[Measure, Callable[[float, float, float], MoistAir]] = {
    Measure.RELATIVE_HUMIDITY: from_relative_humidity,
    Measure.WET_BULB: from_wet_bulb,
    Measure.DEW_POINT: from_dew_point,
    Measure.HUMIDITY_RATIO: from_humidity_ratio,
}


def enthalpy_from_zero_fahrenheit_j_kg(air: MoistAir) -> float:
    """Enthalpy [J for 1 kg of dry air] as US tables count it: zero for dry air at 0 °F.

    h + 1006 (0 °C - 0 °F): the zero of the dry air alone is another, as h = 0.240 t + W (1061 + 0.444 t)
    with t in °F, like the SI equation, counts water from liquid at 0 °C (ASHRAE Handbook, Fundamentals 2017,
    chapter 1, equation 30). Its example 1 (IP): 100 °F with a wet bulb of 65 °F at 14.696 psia has 29.80
    Btu/lb (real gas); with these equations:

    >>> air = from_wet_bulb((100 + 459.67) / 1.8, (65 + 459.67) / 1.8, 101_325.0)
    >>> round(enthalpy_from_zero_fahrenheit_j_kg(air) / 2326, 1)
    29.8
    """
    return air.enthalpy_j_kg + AIR_CP_J_KG_K * (ZERO_CELSIUS_K - ZERO_FAHRENHEIT_K)
