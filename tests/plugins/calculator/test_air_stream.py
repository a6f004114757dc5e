"""Loads of an air stream against textbook examples and the balances of heat and water."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_calculator.core.air_stream import air_load, mixed_stream
from knowngood_refdata.moist_air import MoistAir, from_humidity_ratio, from_relative_humidity
from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, Kind, unit


def air(celsius: float, humidity: float, pressure_pa: float = STANDARD_ATMOSPHERE_PA) -> MoistAir:
    return from_relative_humidity(celsius + 273.15, humidity, pressure_pa)


def test_a_cooling_coil_of_the_textbook() -> None:
    # Çengel and Boles, 5th edition, example 14-6: 10 m³/min, 30 °C 80 % to saturated 14 °C at 1 atm:
    # W 0.0216 and 0.0100, h 85.4 and 39.3 kJ/kg, v 0.889 m³/kg, 0.130 kg/min of water, 511 kJ/min.
    inlet, outlet = air(30.0, 0.8), air(14.0, 1.0)
    load = air_load(inlet, outlet, 10.0 / 60.0)
    assert inlet.humidity_ratio == pytest.approx(0.0216, abs=5e-5)
    assert outlet.humidity_ratio == pytest.approx(0.0100, abs=5e-5)
    assert inlet.enthalpy_j_kg == pytest.approx(85_400.0, abs=100.0)
    assert outlet.enthalpy_j_kg == pytest.approx(39_300.0, abs=100.0)
    assert inlet.specific_volume_m3_kg == pytest.approx(0.889, abs=5e-4)
    assert 60.0 * load.condensed_kg_s == pytest.approx(0.130, abs=1e-3)
    assert 60.0 * load.total_w == pytest.approx(511_000.0, abs=1_000.0)


def test_a_dehumidifier_in_tons_of_refrigeration() -> None:
    # Moran and Shapiro, example 12.11: 280 m³/min, 30 °C 50 %, 1.013 bar, to saturated 10 °C:
    # 319.35 kg/min of air, 0.00568 kg/kg of water, 52.5 ton.
    load = air_load(air(30.0, 0.5, 101_300.0), air(10.0, 1.0, 101_300.0), 280.0 / 60.0)
    assert 60.0 * load.dry_air_kg_s == pytest.approx(319.35, rel=1e-3)
    assert load.condensed_kg_s / load.dry_air_kg_s == pytest.approx(0.00568, abs=1e-5)
    assert unit("ton", Kind.POWER).from_si(load.total_w) == pytest.approx(52.5, abs=0.1)


def test_streams_of_the_textbook_mix() -> None:
    # Çengel and Boles, 5th edition, example 14-8, read off a chart: 70.1 m³/min, 19 °C, 0.012 kg/kg, 89 %.
    mixed = mixed_stream(air(14.0, 1.0), 50.0 / 60.0, air(32.0, 0.6), 20.0 / 60.0)
    assert 60.0 * mixed.volume_flow_m3_s == pytest.approx(70.1, abs=0.15)
    assert mixed.air.dry_bulb_k - 273.15 == pytest.approx(19.0, abs=0.1)
    assert mixed.air.humidity_ratio == pytest.approx(0.0122, abs=2e-4)
    assert mixed.air.relative_humidity == pytest.approx(0.89, abs=0.01)


@given(
    inlet=st.tuples(st.floats(15.0, 50.0), st.floats(0.1, 1.0)),
    outlet=st.tuples(st.floats(2.0, 15.0), st.floats(0.1, 1.0)),
)
def test_sensible_and_latent_heat_make_up_the_total(
    inlet: tuple[float, float], outlet: tuple[float, float]
) -> None:
    one, two = air(*inlet), air(*outlet)
    load = air_load(one, two, 0.1)
    assert load.sensible_w + load.latent_w == pytest.approx(load.total_w, abs=1e-6)
    # Latent heat: water times its heat of evaporation at the outlet, 2501 - 2.326 t kJ/kg (steam tables).
    evaporation = 2_501_000.0 - 2_326.0 * (two.dry_bulb_k - 273.15)
    assert load.latent_w == pytest.approx(load.condensed_kg_s * evaporation, rel=1e-3, abs=1e-6)


def test_air_cooled_above_its_dew_point_gives_off_sensible_heat_alone() -> None:
    inlet = air(35.0, 0.2)
    outlet = from_humidity_ratio(288.15, inlet.humidity_ratio, STANDARD_ATMOSPHERE_PA)
    load = air_load(inlet, outlet, 0.12)
    assert load.latent_w == pytest.approx(0.0, abs=1e-6)
    # 20 K times the heat capacity of moist air, 1.006 + 1.86 W kJ/(kg K) (ASHRAE Fundamentals, chapter 1).
    capacity = 1006.0 + 1860.0 * inlet.humidity_ratio
    assert load.total_w == pytest.approx(20.0 * capacity * load.dry_air_kg_s, rel=1e-9)
    assert load.sensible_share == pytest.approx(1.0, abs=1e-9)
    assert not load.remarks


def test_at_altitude_the_same_blower_moves_less_air_and_less_heat() -> None:
    low = air_load(air(30.0, 0.5), air(10.0, 1.0), 0.1)
    high = air_load(air(30.0, 0.5, 80_000.0), air(10.0, 1.0, 80_000.0), 0.1)
    assert high.dry_air_kg_s < 0.8 * low.dry_air_kg_s
    assert high.sensible_w < 0.8 * low.sensible_w


def test_an_outlet_wetter_than_the_inlet_is_told() -> None:
    load = air_load(air(25.0, 0.3), air(15.0, 0.95), 0.1)
    assert load.condensed_kg_s < 0.0
    assert load.sensible_share is None
    assert any("holds more water than the inlet" in one for one in load.remarks)


def test_an_outlet_warmer_than_the_inlet_is_told() -> None:
    load = air_load(air(20.0, 0.5), air(30.0, 0.28), 0.1)
    assert load.sensible_w < 0.0
    assert any("heated, not cooled" in one for one in load.remarks)


def test_an_outlet_so_dry_that_the_evaporator_would_ice_is_told() -> None:
    load = air_load(air(25.0, 0.5), air(8.0, 0.4), 0.1)
    assert any("would ice up" in one for one in load.remarks)


def test_an_outlet_above_the_dew_point_yet_drier_is_told() -> None:
    load = air_load(air(25.0, 0.5), air(16.0, 0.7), 0.1)
    assert any("colder surface" in one for one in load.remarks)


def test_a_plausible_coil_gives_no_remark() -> None:
    assert not air_load(air(30.0, 0.6), air(10.0, 0.98), 0.1).remarks


def test_frost_takes_the_heat_of_freezing_as_well() -> None:
    # To -2 °C the water leaves as ice: 333.4 kJ/kg more than liquid at 0 °C (IAPWS R10-06, from memory).
    load = air_load(air(5.0, 0.9), air(-2.0, 1.0), 0.1)
    plain = load.dry_air_kg_s * (air(5.0, 0.9).enthalpy_j_kg - air(-2.0, 1.0).enthalpy_j_kg)
    assert (load.total_w - plain) / load.condensed_kg_s == pytest.approx(333_400.0 + 2.0 * 2_100.0, rel=0.01)


@pytest.mark.parametrize("flow", [0.0, -0.1, float("nan")])
def test_a_flow_that_moves_nothing_is_refused(flow: float) -> None:
    with pytest.raises(ValueError, match="above zero"):
        air_load(air(30.0, 0.5), air(10.0, 1.0), flow)
    with pytest.raises(ValueError, match="above zero"):
        mixed_stream(air(30.0, 0.5), 0.1, air(10.0, 1.0), flow)
