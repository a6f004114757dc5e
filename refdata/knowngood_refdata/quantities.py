"""Units of the trade and their conversion to SI, and the local air pressure.

A `Unit` converts with ``si = value * factor + offset``. Gauge and absolute pressure are not units but
readings of one: see `gauge_to_absolute`. Factors are exact by definition unless noted (NIST SP 811,
appendix B; from memory, checked against the pint package in the tests).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, overload

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

STANDARD_ATMOSPHERE_PA = 101_325.0
ZERO_CELSIUS_K = 273.15


class Kind(StrEnum):
    """Kinds of quantity; only units of one kind convert into one another."""

    PRESSURE = "pressure"
    TEMPERATURE = "temperature"
    TEMPERATURE_DIFFERENCE = "temperature difference"
    MASS = "mass"
    LENGTH = "length"
    VOLUME = "volume"
    ROTATION = "engine speed"
    FRACTION = "fraction"
    TIME = "time"
    SPECIFIC_ENERGY = "enthalpy"
    SPECIFIC_ENTROPY = "entropy"
    DENSITY = "density"
    SPECIFIC_VOLUME = "specific volume"
    VOLUMETRIC_CAPACITY = "volumetric capacity"
    POWER = "power"
    MASS_FLOW = "mass flow"
    VOLUME_FLOW = "air flow"
    HUMIDITY_RATIO = "humidity ratio"


@dataclass(frozen=True, slots=True)
class MeasuringUnit:
    """A unit of one kind: ``si = value * factor + offset``; ``aliases`` are other spellings, lower case."""

    symbol: str
    kind: Kind
    factor: float
    offset: float = 0.0
    aliases: tuple[str, ...] = ()

    @overload
    def to_si(self, value: float) -> float: ...
    @overload
    def to_si(self, value: NDArray[np.float64]) -> NDArray[np.float64]: ...
    def to_si(self, value: float | NDArray[np.float64]) -> float | NDArray[np.float64]:
        """The value in SI."""
        return value * self.factor + self.offset

    @overload
    def from_si(self, value: float) -> float: ...
    @overload
    def from_si(self, value: NDArray[np.float64]) -> NDArray[np.float64]: ...
    def from_si(self, value: float | NDArray[np.float64]) -> float | NDArray[np.float64]:
        """A value in SI written in this unit."""
        return (value - self.offset) / self.factor


_POUND_KG = 0.45359237
_FOOT_M = 0.3048
_INCH_M = 0.0254
_CUBIC_FOOT_M3 = _FOOT_M**3
_PSI_PA = _POUND_KG * 9.80665 / _INCH_M**2
_MMHG_PA = 133.322387415
_BTU_J = 1055.05585262
_BTU_PER_POUND = 2326.0
"""The International Table Btu is defined so that 1 Btu/lb is 2326 J/kg exactly."""

UNITS: tuple[MeasuringUnit, ...] = (
    MeasuringUnit("Pa", Kind.PRESSURE, 1.0),
    MeasuringUnit("kPa", Kind.PRESSURE, 1e3),
    MeasuringUnit("MPa", Kind.PRESSURE, 1e6),
    MeasuringUnit("bar", Kind.PRESSURE, 1e5),
    MeasuringUnit("mbar", Kind.PRESSURE, 1e2, aliases=("hpa",)),
    MeasuringUnit("psi", Kind.PRESSURE, _PSI_PA, aliases=("lbf/in2", "lb/in2", "lbs")),
    MeasuringUnit("kgf/cm²", Kind.PRESSURE, 98_066.5, aliases=("kg/cm2", "kgf/cm2", "kg/cm²")),
    MeasuringUnit("inHg", Kind.PRESSURE, 3_386.38864, aliases=("in hg", "in.hg", "inches hg")),
    MeasuringUnit(
        "micron", Kind.PRESSURE, _MMHG_PA / 1e3, aliases=("microns", "µmhg", "μmhg", "umhg", "mtorr")
    ),
    MeasuringUnit("mmHg", Kind.PRESSURE, _MMHG_PA, aliases=("mm hg",)),
    MeasuringUnit("Torr", Kind.PRESSURE, STANDARD_ATMOSPHERE_PA / 760),
    MeasuringUnit("K", Kind.TEMPERATURE, 1.0, aliases=("kelvin",)),
    MeasuringUnit(
        "°C", Kind.TEMPERATURE, 1.0, ZERO_CELSIUS_K, ("c", "degc", "deg c", "celsius", "ºc", "℃", "deg.c")
    ),
    MeasuringUnit(
        "°F",
        Kind.TEMPERATURE,
        5 / 9,
        ZERO_CELSIUS_K - 32 * 5 / 9,
        ("f", "degf", "deg f", "fahrenheit", "ºf", "℉", "deg.f"),
    ),
    MeasuringUnit("K", Kind.TEMPERATURE_DIFFERENCE, 1.0),
    MeasuringUnit("°F", Kind.TEMPERATURE_DIFFERENCE, 5 / 9, aliases=("f", "degf")),
    MeasuringUnit("kg", Kind.MASS, 1.0),
    MeasuringUnit("g", Kind.MASS, 1e-3, aliases=("gram", "grams", "gr")),
    MeasuringUnit("lb", Kind.MASS, _POUND_KG, aliases=("lbs", "pound", "pounds")),
    MeasuringUnit("oz", Kind.MASS, _POUND_KG / 16, aliases=("ounce", "ounces")),
    MeasuringUnit("m", Kind.LENGTH, 1.0, aliases=("metre", "metres", "meter", "meters")),
    MeasuringUnit("ft", Kind.LENGTH, _FOOT_M, aliases=("foot", "feet")),
    MeasuringUnit("cm", Kind.LENGTH, 1e-2),
    MeasuringUnit("mm", Kind.LENGTH, 1e-3),
    MeasuringUnit("in", Kind.LENGTH, _INCH_M, aliases=("inch", "inches", '"')),
    MeasuringUnit("mL", Kind.VOLUME, 1e-6),
    MeasuringUnit("cm³", Kind.VOLUME, 1e-6, aliases=("cc", "cm3", "ccm")),
    MeasuringUnit("L", Kind.VOLUME, 1e-3, aliases=("litre", "litres", "liter", "liters")),
    MeasuringUnit("in³", Kind.VOLUME, _INCH_M**3, aliases=("in3", "cu in", "cubic inches")),
    MeasuringUnit("fl oz", Kind.VOLUME, 29.5735295625e-6, aliases=("floz",)),
    MeasuringUnit("rpm", Kind.ROTATION, 1.0, aliases=("r/min", "1/min", "min-1", "u/min", "rev/min")),
    MeasuringUnit("%", Kind.FRACTION, 0.01, aliases=("pct", "percent", "%rh", "% rh")),
    MeasuringUnit("1", Kind.FRACTION, 1.0, aliases=("-",)),
    MeasuringUnit("s", Kind.TIME, 1.0, aliases=("sec", "second", "seconds")),
    MeasuringUnit("ms", Kind.TIME, 1e-3, aliases=("msec", "milliseconds")),
    MeasuringUnit("min", Kind.TIME, 60.0, aliases=("minute", "minutes")),
    MeasuringUnit("h", Kind.TIME, 3600.0, aliases=("hour", "hours")),
    MeasuringUnit("kJ/kg", Kind.SPECIFIC_ENERGY, 1e3),
    MeasuringUnit("J/kg", Kind.SPECIFIC_ENERGY, 1.0),
    MeasuringUnit("Btu/lb", Kind.SPECIFIC_ENERGY, _BTU_PER_POUND),
    MeasuringUnit("kJ/(kg·K)", Kind.SPECIFIC_ENTROPY, 1e3, aliases=("kj/kgk", "kj/kg/k", "kj/kg·k")),
    MeasuringUnit("Btu/(lb·°F)", Kind.SPECIFIC_ENTROPY, _BTU_PER_POUND * 9 / 5, aliases=("btu/lb/f",)),
    MeasuringUnit("kg/m³", Kind.DENSITY, 1.0, aliases=("kg/m3",)),
    MeasuringUnit("g/cm³", Kind.DENSITY, 1e3, aliases=("g/cm3", "kg/l")),
    MeasuringUnit("lb/ft³", Kind.DENSITY, _POUND_KG / _CUBIC_FOOT_M3, aliases=("lb/ft3", "lb/cu ft")),
    MeasuringUnit("m³/kg", Kind.SPECIFIC_VOLUME, 1.0, aliases=("m3/kg",)),
    MeasuringUnit("ft³/lb", Kind.SPECIFIC_VOLUME, _CUBIC_FOOT_M3 / _POUND_KG, aliases=("ft3/lb", "cu ft/lb")),
    MeasuringUnit("kJ/m³", Kind.VOLUMETRIC_CAPACITY, 1e3, aliases=("kj/m3",)),
    MeasuringUnit("Btu/ft³", Kind.VOLUMETRIC_CAPACITY, _BTU_J / _CUBIC_FOOT_M3, aliases=("btu/ft3",)),
    MeasuringUnit("kW", Kind.POWER, 1e3),
    MeasuringUnit("W", Kind.POWER, 1.0),
    MeasuringUnit("Btu/h", Kind.POWER, _BTU_J / 3600, aliases=("btu/hr", "btuh")),
    MeasuringUnit("ton", Kind.POWER, 12_000 * _BTU_J / 3600, aliases=("tons", "tr")),
    MeasuringUnit("kg/h", Kind.MASS_FLOW, 1 / 3600),
    MeasuringUnit("kg/s", Kind.MASS_FLOW, 1.0),
    MeasuringUnit("g/s", Kind.MASS_FLOW, 1e-3),
    MeasuringUnit("lb/h", Kind.MASS_FLOW, _POUND_KG / 3600, aliases=("lb/hr",)),
    MeasuringUnit("lb/min", Kind.MASS_FLOW, _POUND_KG / 60),
    MeasuringUnit("m³/h", Kind.VOLUME_FLOW, 1 / 3600, aliases=("m3/h", "cmh")),
    MeasuringUnit("m³/s", Kind.VOLUME_FLOW, 1.0, aliases=("m3/s",)),
    MeasuringUnit("L/s", Kind.VOLUME_FLOW, 1e-3),
    MeasuringUnit("m³/min", Kind.VOLUME_FLOW, 1 / 60, aliases=("m3/min",)),
    MeasuringUnit("cfm", Kind.VOLUME_FLOW, _CUBIC_FOOT_M3 / 60, aliases=("ft3/min", "ft³/min")),
    MeasuringUnit("g/kg", Kind.HUMIDITY_RATIO, 1e-3),
    MeasuringUnit("kg/kg", Kind.HUMIDITY_RATIO, 1.0, aliases=("lb/lb",)),
    MeasuringUnit("gr/lb", Kind.HUMIDITY_RATIO, 1 / 7000, aliases=("grains/lb",)),
)

_BY_NAME = {(unit.kind, name): unit for unit in UNITS for name in (unit.symbol.casefold(), *unit.aliases)}


class UnknownUnit(ValueError):  # noqa: N818 - reads as what it is
    """A text names no unit of the wanted kind."""


def unit(name: str, kind: Kind) -> MeasuringUnit:
    """The unit of a kind by its symbol or another spelling, whatever its case.

    Raises
    ------
    UnknownUnit
        When the kind has no such unit.

    >>> unit("Degf", Kind.TEMPERATURE).to_si(32.0)
    273.15
    """
    try:
        return _BY_NAME[kind, name.strip().casefold()]
    except KeyError:
        known = ", ".join(one.symbol for one in UNITS if one.kind is kind)
        raise UnknownUnit(f"'{name}' is no unit of {kind}; known are {known}") from None


@overload
def gauge_to_absolute(gauge_pa: float, barometer_pa: float) -> float: ...
@overload
def gauge_to_absolute(gauge_pa: NDArray[np.float64], barometer_pa: float) -> NDArray[np.float64]: ...
def gauge_to_absolute(
    gauge_pa: float | NDArray[np.float64], barometer_pa: float
) -> float | NDArray[np.float64]:
    """Absolute pressure from a gauge that is vented to the local air."""
    return gauge_pa + barometer_pa


def standard_barometer_pa(altitude_m: float) -> float:
    """Air pressure of the standard atmosphere, p = 101325 (1 - 2.25577e-5 z)**5.2559.

    Valid from -5,000 m to 11,000 m. Source: ASHRAE Handbook, Fundamentals 2017, chapter 1, equation 3;
    table 1 there gives 89,875 Pa at 1,000 m.

    Raises
    ------
    ValueError
        When the altitude lies outside the range of the equation.

    >>> round(standard_barometer_pa(1000.0))
    89875
    """
    if not -5_000.0 <= altitude_m <= 11_000.0:
        raise ValueError(f"an altitude of {altitude_m:g} m lies outside -5,000 m to 11,000 m")
    return float(STANDARD_ATMOSPHERE_PA * (1.0 - 2.25577e-5 * altitude_m) ** 5.2559)


def local_barometer_pa(measured_pa: float | None, altitude_m: float | None) -> float:
    """The local air pressure [Pa]: measured, or else from the altitude, or else the standard atmosphere.

    Raises
    ------
    ValueError
        When only an altitude beyond `standard_barometer_pa` is known.

    >>> local_barometer_pa(98_000.0, 500.0), round(local_barometer_pa(None, 500.0))
    (98000.0, 95461)
    """
    if measured_pa is not None:
        return measured_pa
    return STANDARD_ATMOSPHERE_PA if altitude_m is None else standard_barometer_pa(altitude_m)
