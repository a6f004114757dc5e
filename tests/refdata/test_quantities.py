"""Units against their definitions and against an independent library; the standard atmosphere."""

from __future__ import annotations

import warnings

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_refdata.quantities import (
    UNITS,
    Kind,
    MeasuringUnit,
    UnknownUnit,
    gauge_to_absolute,
    standard_barometer_pa,
    unit,
)

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import pint

PINT: pint.UnitRegistry[float] = pint.UnitRegistry()
PINT_NAME = {
    "kgf/cm²": "kgf/cm**2",
    "inHg": "inch_Hg_32F",
    "°C": "degC",
    "°F": "degF",
    "fl oz": "US_fluid_ounce",
    "rpm": "rpm",
    "%": "percent",
    "1": "dimensionless",
}
PINT_SI = {
    Kind.PRESSURE: "Pa",
    Kind.TEMPERATURE: "K",
    Kind.TEMPERATURE_DIFFERENCE: "K",
    Kind.MASS: "kg",
    Kind.LENGTH: "m",
    Kind.VOLUME: "m**3",
    Kind.ROTATION: "rpm",
    Kind.FRACTION: "dimensionless",
    Kind.TIME: "s",
}

# NIST SP 811, appendix B, and the definitions behind it (from memory).
EXACT = [
    ("lb", Kind.MASS, 0.45359237),
    ("oz", Kind.MASS, 0.028349523125),
    ("ft", Kind.LENGTH, 0.3048),
    ("psi", Kind.PRESSURE, 6894.757293168361),
    ("bar", Kind.PRESSURE, 100_000.0),
    ("kgf/cm²", Kind.PRESSURE, 98_066.5),
    ("inHg", Kind.PRESSURE, 3386.38864),
    ("fl oz", Kind.VOLUME, 29.5735295625e-6),
]

# ASHRAE Handbook, Fundamentals 2017, chapter 1, table 1 (1,500 to 3,000 m from memory).
ATMOSPHERE = [
    (-500, 107_478), (0, 101_325), (500, 95_461), (1000, 89_875), (1500, 84_556), (2000, 79_495),
    (3000, 70_108), (4000, 61_640), (10_000, 26_436),
]  # fmt: skip
# The same table in feet; its figures and the equation in metres part by up to 0.0016 psi.
ATMOSPHERE_PSIA = [(-1000, 15.236), (0, 14.696), (1000, 14.175), (3000, 13.173), (10_000, 10.108)]


def in_pint(value: float, one: MeasuringUnit) -> float:
    name = PINT_NAME.get(one.symbol, one.symbol)
    if one.kind is Kind.TEMPERATURE_DIFFERENCE and one.symbol == "°F":
        name = "delta_degF"
    return float(PINT.Quantity(value, name).to(PINT_SI[one.kind]).magnitude)


@pytest.mark.parametrize(("symbol", "kind", "factor"), EXACT)
def test_a_unit_has_its_defined_factor(symbol: str, kind: Kind, factor: float) -> None:
    assert unit(symbol, kind).factor == pytest.approx(factor, rel=1e-15)


@pytest.mark.parametrize("one", UNITS, ids=lambda one: f"{one.symbol} {one.kind}")
@given(value=st.floats(-1e4, 1e4))
def test_every_unit_agrees_with_an_independent_library(one: MeasuringUnit, value: float) -> None:
    # pint prints the conventional inch of mercury with seven digits.
    tolerance = 2e-7 if one.symbol == "inHg" else 1e-12
    assert one.to_si(value) == pytest.approx(in_pint(value, one), rel=tolerance, abs=1e-9)


@pytest.mark.parametrize("one", UNITS, ids=lambda one: f"{one.symbol} {one.kind}")
@given(value=st.floats(-1e9, 1e9))
def test_there_and_back_returns_the_value(one: MeasuringUnit, value: float) -> None:
    assert one.from_si(one.to_si(value)) == pytest.approx(value, rel=1e-12, abs=1e-6)


@pytest.mark.parametrize("one", UNITS, ids=lambda one: f"{one.symbol} {one.kind}")
def test_every_spelling_of_a_unit_finds_it(one: MeasuringUnit) -> None:
    for name in (one.symbol, one.symbol.upper(), f" {one.symbol} ", *one.aliases):
        assert unit(name, one.kind).factor == one.factor


def test_one_name_never_means_two_units_of_a_kind() -> None:
    names = [(one.kind, name) for one in UNITS for name in {one.symbol.casefold(), *one.aliases}]
    assert len(names) == len(set(names))


def test_a_unit_of_another_kind_is_refused_with_the_known_ones() -> None:
    with pytest.raises(UnknownUnit, match="known are Pa, kPa"):
        unit("°C", Kind.PRESSURE)


def test_minus_forty_is_the_same_on_both_scales() -> None:
    celsius, fahrenheit = (unit(name, Kind.TEMPERATURE) for name in ("°C", "°F"))
    assert celsius.to_si(-40.0) == pytest.approx(fahrenheit.to_si(-40.0))


def test_a_gauge_reading_at_the_standard_atmosphere() -> None:
    # 100 psig are 790.80 kPa absolute: 100 x 6.894757 + 101.325.
    gauge = unit("psi", Kind.PRESSURE).to_si(100.0)
    assert gauge_to_absolute(gauge, 101_325.0) == pytest.approx(790_800.7, abs=0.1)


@pytest.mark.parametrize(("metres", "pascal"), ATMOSPHERE)
def test_the_standard_atmosphere_is_the_published_one(metres: float, pascal: float) -> None:
    assert standard_barometer_pa(metres) == pytest.approx(pascal, abs=1.0)


@pytest.mark.parametrize(("feet", "psia"), ATMOSPHERE_PSIA)
def test_the_standard_atmosphere_in_feet_and_psia(feet: float, psia: float) -> None:
    metres = unit("ft", Kind.LENGTH).to_si(float(feet))
    assert unit("psi", Kind.PRESSURE).from_si(standard_barometer_pa(metres)) == pytest.approx(psia, rel=2e-4)


@pytest.mark.parametrize("metres", [-5001.0, 11_001.0])
def test_an_altitude_beyond_the_equation_is_refused(metres: float) -> None:
    with pytest.raises(ValueError, match="lies outside"):
        standard_barometer_pa(metres)
