"""Saturation of water and ice against the international releases, the handbook, two packages and a table."""

from __future__ import annotations

import math

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st
from iapws import _iapws as international
from iapws import iapws97

from knowngood_refdata.quantities import Kind, unit
from knowngood_refdata.water import (
    CRITICAL_K,
    CRITICAL_PA,
    LOWEST_K,
    LOWEST_PA,
    TRIPLE_K,
    TRIPLE_PA,
    is_ice,
    saturation_pressure_pa,
    saturation_temperature_k,
    why_no_pressure,
    why_no_temperature,
)

MICRON = unit("micron", Kind.PRESSURE)
FAHRENHEIT = unit("°F", Kind.TEMPERATURE)
CELSIUS = unit("°C", Kind.TEMPERATURE)

# IAPWS R7-97, tables 35 and 36, and IAPWS-95 release, table 8 (from memory): kelvin, pascals. These are
# other equations than ours; 0.025 % is the uncertainty of the skeleton tables they all describe.
INTERNATIONAL = [
    (300.0, 3_536.58941), (500.0, 2.63889776e6), (600.0, 12.3443146e6), (372.755919, 0.1e6),
    (453.035632, 1e6), (584.149488, 10e6), (275.0, 698.451167), (450.0, 0.932203564e6),
    (625.0, 16.9082693e6),
]  # fmt: skip

# ASHRAE Handbook, Fundamentals 2017, chapter 1, table 3: °C and Pa, °F and psi absolute. -60 °C is printed
# with three figures, which is half a per cent.
HANDBOOK_C = [
    (-60.0, 1.08), (-20.0, 103.24), (-5.0, 401.74), (5.0, 872.6), (25.0, 3169.7), (50.0, 12_351.3),
    (100.0, 101_418.0), (150.0, 476_101.4),
]  # fmt: skip
HANDBOOK_F = [
    (-76.0, 0.000157), (-4.0, 0.014974), (23.0, 0.058268), (41.0, 0.12656), (77.0, 0.45973),
    (122.0, 1.79140), (212.0, 14.7094), (300.0, 67.0206),
]  # fmt: skip

# A service table of boiling points found in many shops (from memory): micron and whole °F.
SERVICE = [
    (760_000, 212), (355_092, 176), (149_352, 140), (92_456, 122), (55_118, 104), (25_400, 80), (20_320, 72),
    (15_240, 64), (10_160, 53), (7_620, 45), (4_572, 32), (2_540, 21), (1_270, 6), (254, -24), (127, -35),
    (25.4, -60),
]  # fmt: skip

# The same pressures by IAPWS-95 through CoolProp 8.0 and the sublimation equation: micron, °C.
COMPUTED = [
    (760_000, 99.97), (355_092, 79.96), (149_352, 59.96), (92_456, 49.96), (55_118, 39.91), (25_400, 26.11),
    (20_320, 22.39), (15_240, 17.74), (10_160, 11.47), (7_620, 7.20), (5_000, 1.20), (4_572, -0.03),
    (2_540, -6.98), (1_270, -14.74), (1_000, -17.31), (500, -24.48), (254, -31.10), (127, -37.53),
    (25.4, -51.21),
]  # fmt: skip


@pytest.mark.parametrize(("kelvin", "pascals"), INTERNATIONAL)
def test_the_pressure_over_liquid_water_is_that_of_the_international_releases(
    kelvin: float, pascals: float
) -> None:
    assert saturation_pressure_pa(kelvin) == pytest.approx(pascals, rel=2.5e-4)
    assert saturation_temperature_k(pascals) == pytest.approx(kelvin, abs=0.02)


def test_the_pressure_over_ice_is_that_of_the_release_on_sublimation() -> None:
    # IAPWS R14-08: 230 K gives 8.94735 Pa (from memory).
    assert saturation_pressure_pa(230.0) == pytest.approx(8.94735, abs=5e-6)


@pytest.mark.parametrize(("celsius", "pascals"), HANDBOOK_C)
def test_the_handbook_table_is_met_over_ice_and_water(celsius: float, pascals: float) -> None:
    tolerance = 5e-3 if celsius == -60.0 else 3e-4
    assert saturation_pressure_pa(CELSIUS.to_si(celsius)) == pytest.approx(pascals, rel=tolerance)


@pytest.mark.parametrize(("fahrenheit", "psia"), HANDBOOK_F)
def test_the_handbook_table_in_inch_pound_units_is_met(fahrenheit: float, psia: float) -> None:
    found = unit("psi", Kind.PRESSURE).from_si(saturation_pressure_pa(FAHRENHEIT.to_si(fahrenheit)))
    assert found == pytest.approx(psia, rel=5e-3 if fahrenheit == -76.0 else 3e-4)


@pytest.mark.parametrize(("microns", "fahrenheit"), SERVICE)
def test_water_boils_or_frosts_where_the_common_service_table_says(microns: float, fahrenheit: float) -> None:
    found = FAHRENHEIT.from_si(saturation_temperature_k(MICRON.to_si(microns)))
    assert found == pytest.approx(fahrenheit, abs=1.6)


@pytest.mark.parametrize(("microns", "celsius"), COMPUTED)
def test_boiling_points_in_a_vacuum_are_right_to_the_printed_digit(microns: float, celsius: float) -> None:
    assert CELSIUS.from_si(saturation_temperature_k(MICRON.to_si(microns))) == pytest.approx(
        celsius, abs=0.006
    )


def test_five_thousand_micron_boil_water_at_35_fahrenheit() -> None:
    # A training text on the deep vacuum method, in whole degrees.
    assert FAHRENHEIT.from_si(saturation_temperature_k(MICRON.to_si(5_000.0))) == pytest.approx(35.0, abs=1.0)


def test_the_curve_over_liquid_water_is_not_carried_on_below_the_triple_point() -> None:
    # 500 micron: ice -24.48 °C (R14-08). The liquid curve carried on would say -27.2 °C, and 10 % more
    # pressure at -10 °C than the 259.9 Pa over ice.
    def magnus_over_water(celsius: float) -> float:  # WMO Guide No. 8, annex 4.B, from memory
        return 611.2 * math.exp(17.62 * celsius / (243.12 + celsius))

    assert CELSIUS.from_si(saturation_temperature_k(MICRON.to_si(500.0))) == pytest.approx(-24.48, abs=0.01)
    assert magnus_over_water(-27.15) == pytest.approx(MICRON.to_si(500.0), rel=0.005)
    at_minus_ten = saturation_pressure_pa(263.15)
    assert at_minus_ten == pytest.approx(259.9, abs=0.1)
    assert magnus_over_water(-10.0) / at_minus_ten == pytest.approx(1.10, abs=0.01)


def test_ice_ends_at_4588_micron() -> None:
    assert MICRON.from_si(TRIPLE_PA) == pytest.approx(4_587.8, abs=0.1)
    assert is_ice(MICRON.to_si(4_587.0))
    assert not is_ice(MICRON.to_si(4_588.0))


def test_ice_and_water_meet_at_the_triple_point() -> None:
    below, above = np.nextafter(TRIPLE_K, 0.0), TRIPLE_K
    assert saturation_pressure_pa(below) == pytest.approx(TRIPLE_PA, rel=1e-9)
    assert saturation_pressure_pa(above) == pytest.approx(TRIPLE_PA, rel=2e-7)
    # Ice falls off more steeply: its heat of sublimation is larger by the heat of melting (13 %).
    ice = math.log(TRIPLE_PA / saturation_pressure_pa(TRIPLE_K - 0.1))
    water = math.log(saturation_pressure_pa(TRIPLE_K + 0.1) / TRIPLE_PA)
    assert ice / water == pytest.approx(1.133, abs=0.005)


@given(kelvin=st.floats(TRIPLE_K, 620.0))
def test_liquid_water_agrees_with_two_other_equations(kelvin: float) -> None:
    found = saturation_pressure_pa(kelvin)
    assert found == pytest.approx(PropsSI("P", "T", kelvin, "Q", 0, "Water"), rel=1.5e-4)
    assert found == pytest.approx(1e6 * iapws97._PSat_T(kelvin), rel=3e-4)


@given(kelvin=st.floats(LOWEST_K, TRIPLE_K - 1e-6))
def test_ice_agrees_with_the_sublimation_curve_of_another_program(kelvin: float) -> None:
    assert saturation_pressure_pa(kelvin) == pytest.approx(
        1e6 * international._Sublimation_Pressure(kelvin), rel=1e-8
    )


@given(kelvin=st.floats(LOWEST_K, CRITICAL_K))
def test_temperature_and_pressure_are_inverse_over_the_whole_range(kelvin: float) -> None:
    assert saturation_temperature_k(saturation_pressure_pa(kelvin)) == pytest.approx(kelvin, abs=1e-7)


@given(pascals=st.floats(math.log(LOWEST_PA), math.log(CRITICAL_PA)).map(math.exp))
def test_pressure_and_temperature_are_inverse_over_the_whole_range(pascals: float) -> None:
    # At the triple point the two releases leave a gap of 1e-7 in pressure.
    pascals = min(max(pascals, LOWEST_PA), CRITICAL_PA)
    assert saturation_pressure_pa(saturation_temperature_k(pascals)) == pytest.approx(pascals, rel=2e-7)


def test_the_curve_only_rises() -> None:
    temperatures = np.linspace(LOWEST_K, CRITICAL_K, 20_001)
    assert (np.diff(saturation_pressure_pa(temperatures)) > 0.0).all()


def test_arrays_of_any_shape_give_what_single_values_give() -> None:
    temperatures = np.array([[200.0, 250.0, TRIPLE_K], [300.0, 373.15, 600.0]])
    pressures = saturation_pressure_pa(temperatures)
    assert pressures.shape == (2, 3)
    assert pressures.ravel().tolist() == pytest.approx(
        [saturation_pressure_pa(float(one)) for one in temperatures.ravel()], rel=1e-14
    )
    assert saturation_temperature_k(pressures) == pytest.approx(temperatures, abs=1e-7)
    assert saturation_pressure_pa(np.empty(0)).shape == (0,)


@pytest.mark.parametrize("kelvin", [-5.0, 0.0, LOWEST_K - 1e-9, CRITICAL_K + 1e-9, math.nan, math.inf])
def test_off_the_curve_a_temperature_gives_nan_and_words(kelvin: float) -> None:
    assert math.isnan(saturation_pressure_pa(kelvin))
    assert np.isnan(saturation_pressure_pa(np.array([kelvin, 300.0]))).tolist() == [True, False]
    assert why_no_pressure(kelvin)


@pytest.mark.parametrize("pascals", [-5.0, 0.0, LOWEST_PA * 0.999, CRITICAL_PA * 1.001, math.nan, math.inf])
def test_off_the_curve_a_pressure_gives_nan_and_words(pascals: float) -> None:
    assert math.isnan(saturation_temperature_k(pascals))
    assert np.isnan(saturation_temperature_k(np.array([pascals, 1e5]))).tolist() == [True, False]
    assert why_no_temperature(pascals)


def test_on_the_curve_there_are_no_words() -> None:
    assert not why_no_pressure(300.0)
    assert not why_no_temperature(100.0)
    assert "never zero or less" in why_no_temperature(-1.0)
