"""Moist air against the handbook, textbook examples and psychrolib, which has its own saturation curve."""

from __future__ import annotations

import csv
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_refdata.moist_air import (
    MoistAir,
    enthalpy_j_kg,
    from_dew_point,
    from_humidity_ratio,
    from_relative_humidity,
    from_wet_bulb,
    mix,
)
from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, Kind, unit

from .make_psychrolib_values import VALUES

SEA_LEVEL_PA = STANDARD_ATMOSPHERE_PA

# psychrolib 2.5.0, at sea level: humidity ratio at -5 °C with an iced bulb of -6 °C; the bulb in dry air of
# 40 °C.
RATIO_ICED = 0.00191503
LOWEST_BULB_C = 14.587
ZERO_K = 273.15

DRY_BULBS = st.floats(-30.0, 60.0)
HUMIDITIES = st.floats(0.02, 1.0)
BAROMETERS = st.floats(60_000.0, 105_000.0)

# ASHRAE Handbook, Fundamentals 2017, chapter 1, table 2, saturated air at 101.325 kPa: °C, kg/kg, kJ/kg.
# The table is for real gas; 1 % is what the perfect-gas equations need (3 % of the enthalpy at -5 °C,
# which is close to zero).
SATURATED = [
    (-20.0, 0.0006373, -18.542), (-5.0, 0.0024863, 1.164), (5.0, 0.005425, 18.639), (25.0, 0.020173, 76.504),
    (50.0, 0.086863, 275.353),
]  # fmt: skip


def air(celsius: float, humidity: float, pressure_pa: float = SEA_LEVEL_PA) -> MoistAir:
    return from_relative_humidity(celsius + ZERO_K, humidity, pressure_pa)


def test_the_handbook_example_in_si_units() -> None:
    # ASHRAE Handbook, Fundamentals 2017, chapter 1, example 1, read off its chart: 40 °C, wet bulb 20 °C.
    found = from_wet_bulb(313.15, 293.15, SEA_LEVEL_PA)
    assert found.humidity_ratio == pytest.approx(0.0065, abs=1.5e-4)
    assert found.dew_point_k - ZERO_K == pytest.approx(7.0, abs=0.5)
    assert found.relative_humidity == pytest.approx(0.14, abs=0.005)
    assert found.enthalpy_j_kg == pytest.approx(56_700.0, abs=100.0)
    assert found.specific_volume_m3_kg == pytest.approx(0.896, abs=5e-4)


def test_the_handbook_example_in_inch_pound_units() -> None:
    # The same, example in inch-pound units: 100 °F, wet bulb 65 °F, 14.696 psia. The enthalpy counts from
    # dry air at 0 °F there, so its difference to dry air at 100 °F (0.240 x 100 Btu/lb) is compared.
    fahrenheit = unit("°F", Kind.TEMPERATURE)
    pressure_pa = unit("psi", Kind.PRESSURE).to_si(14.696)
    found = from_wet_bulb(fahrenheit.to_si(100.0), fahrenheit.to_si(65.0), pressure_pa)
    assert found.humidity_ratio == pytest.approx(0.00523, abs=6e-5)
    assert fahrenheit.from_si(found.dew_point_k) == pytest.approx(40.0, abs=0.5)
    assert found.relative_humidity == pytest.approx(0.13, abs=0.005)
    volume = unit("ft³/lb", Kind.SPECIFIC_VOLUME).from_si(found.specific_volume_m3_kg)
    assert volume == pytest.approx(14.22, abs=0.01)
    moist = found.enthalpy_j_kg - enthalpy_j_kg(found.dry_bulb_k, 0.0)
    assert unit("Btu/lb", Kind.SPECIFIC_ENERGY).from_si(moist) == pytest.approx(29.80 - 24.0, abs=0.1)


@pytest.mark.parametrize(("celsius", "ratio", "kilojoules"), SATURATED)
def test_saturated_air_is_that_of_the_handbook_table(celsius: float, ratio: float, kilojoules: float) -> None:
    found = air(celsius, 1.0)
    assert found.humidity_ratio == pytest.approx(ratio, rel=0.01)
    assert found.enthalpy_j_kg == pytest.approx(1e3 * kilojoules, rel=0.03 if celsius == -5.0 else 0.01)


def test_dry_air_is_that_of_the_handbook_table() -> None:
    # The same table at 25 °C: 25.148 kJ/kg and 0.8443 m³/kg.
    found = air(25.0, 0.0)
    assert found.enthalpy_j_kg == pytest.approx(25_148.0, rel=3e-4)
    assert found.specific_volume_m3_kg == pytest.approx(0.8443, rel=4e-4)
    assert found.humidity_ratio == 0.0
    assert math.isnan(found.dew_point_k)
    assert found.wet_bulb_k < found.dry_bulb_k


def test_the_density_of_air_high_up() -> None:
    # Hundy, Trott and Welch, example 24.1: 4,500 m, 575 mbar, -10 °C give 0.76 kg/m³.
    assert 1.0 / air(-10.0, 0.0, 57_500.0).specific_volume_m3_kg == pytest.approx(0.76, abs=0.005)


def test_the_air_of_a_room() -> None:
    # Çengel and Boles, 5th edition, example 14-1: 25 °C, 75 %, 100 kPa, 75 m³.
    found = air(25.0, 0.75, 100_000.0)
    assert found.pressure_pa - found.vapour_pressure_pa == pytest.approx(97_620.0, abs=10.0)
    assert found.humidity_ratio == pytest.approx(0.0151, abs=1e-4)
    assert found.enthalpy_j_kg == pytest.approx(64_000.0, abs=400.0)
    dry_air_kg = 75.0 / found.specific_volume_m3_kg
    assert dry_air_kg == pytest.approx(85.61, abs=0.1)
    assert dry_air_kg * found.humidity_ratio == pytest.approx(1.3, abs=0.01)


def test_the_dew_point_at_which_windows_fog() -> None:
    # Çengel and Boles, 5th edition, example 14-2.
    assert air(20.0, 0.75).dew_point_k - ZERO_K == pytest.approx(15.4, abs=0.05)


def test_humidity_from_a_sling_psychrometer() -> None:
    # Çengel and Boles, 5th edition, example 14-3: 25 °C, wet bulb 15 °C.
    found = from_wet_bulb(298.15, 288.15, SEA_LEVEL_PA)
    assert found.humidity_ratio == pytest.approx(0.00653, abs=3e-5)
    assert found.relative_humidity == pytest.approx(0.332, abs=1e-3)
    assert found.enthalpy_j_kg == pytest.approx(41_700.0, abs=100.0)


def test_the_dew_point_of_a_sample_of_moist_air() -> None:
    # Moran and Shapiro, example 12.7: 21 °C, 70 %.
    found = air(21.0, 0.70)
    assert found.humidity_ratio == pytest.approx(0.0109, abs=5e-5)
    assert found.dew_point_k - ZERO_K == pytest.approx(15.3, abs=0.05)


def test_enthalpy_from_wet_and_dry_bulb() -> None:
    # Hundy, Trott and Welch, example 23.2, read off a chart: 27 °C, wet bulb 20 °C.
    found = from_wet_bulb(300.15, 293.15, SEA_LEVEL_PA)
    assert found.enthalpy_j_kg == pytest.approx(57_000.0, abs=250.0)
    assert found.humidity_ratio == pytest.approx(0.0117, abs=1e-4)


def test_two_streams_mix_as_in_the_textbook() -> None:
    # Çengel and Boles, 5th edition, example 14-8, read off a chart: 0.012 kg/kg, 19 °C, 89 %.
    cold, warm = air(14.0, 1.0), air(32.0, 0.6)
    cold_kg, warm_kg = 50.0 / cold.specific_volume_m3_kg, 20.0 / warm.specific_volume_m3_kg
    found = mix(cold, warm, cold_kg / (cold_kg + warm_kg))
    assert found.humidity_ratio == pytest.approx(0.0122, abs=2e-4)
    assert found.dry_bulb_k - ZERO_K == pytest.approx(19.0, abs=0.1)
    assert found.relative_humidity == pytest.approx(0.89, abs=0.01)


def of_psychrolib() -> list[dict[str, float]]:
    """The states of `psychrolib_values.csv`, but for those around freezing, where two bulbs answer."""
    with VALUES.open(encoding="utf-8") as file:
        states = [{name: float(value) for name, value in row.items()} for row in csv.DictReader(file)]
    return [one for one in states if abs(one["wet_bulb_c"]) > 1.0]


def test_every_property_agrees_with_psychrolib() -> None:
    # psychrolib 2.5 uses the handbook's own fit for saturation, up to 0.03 % from ours from -30 °C on.
    states = of_psychrolib()
    assert len(states) > 500
    for one in states:
        found = air(one["dry_bulb_c"], one["relative_humidity"], one["pressure_pa"])
        assert found.vapour_pressure_pa == pytest.approx(one["vapour_pressure_pa"], rel=5e-4)
        assert found.humidity_ratio == pytest.approx(one["humidity_ratio"], rel=6e-4)
        assert found.dew_point_k - ZERO_K == pytest.approx(one["dew_point_c"], abs=0.01)
        assert found.wet_bulb_k - ZERO_K == pytest.approx(one["wet_bulb_c"], abs=0.01)
        assert found.enthalpy_j_kg == pytest.approx(one["enthalpy_j_kg"], rel=6e-4, abs=60.0)
        assert found.specific_volume_m3_kg == pytest.approx(one["specific_volume_m3_kg"], rel=1e-4)


def test_a_wet_bulb_gives_the_humidity_that_psychrolib_finds() -> None:
    for one in of_psychrolib():
        wet_k = one["wet_bulb_c"] + ZERO_K
        found = from_wet_bulb(one["dry_bulb_c"] + ZERO_K, wet_k, one["pressure_pa"])
        assert found.humidity_ratio == pytest.approx(one["humidity_ratio"], rel=1e-3, abs=2e-5)


@given(celsius=DRY_BULBS, humidity=st.floats(1e-4, 1.0), pressure_pa=BAROMETERS)
def test_every_measure_of_humidity_leads_back_to_the_same_air(
    celsius: float, humidity: float, pressure_pa: float
) -> None:
    first = air(celsius, humidity, pressure_pa)
    from_others = (
        from_wet_bulb(first.dry_bulb_k, first.wet_bulb_k, pressure_pa),
        from_dew_point(first.dry_bulb_k, first.dew_point_k, pressure_pa),
        from_humidity_ratio(first.dry_bulb_k, first.humidity_ratio, pressure_pa),
    )
    for other in from_others:
        assert other.relative_humidity == pytest.approx(humidity, rel=1e-6, abs=1e-9)
        assert other.wet_bulb_k == pytest.approx(first.wet_bulb_k, abs=1e-6)
        assert other.enthalpy_j_kg == pytest.approx(first.enthalpy_j_kg, abs=0.01)


@given(celsius=DRY_BULBS, humidity=HUMIDITIES, pressure_pa=BAROMETERS)
def test_dew_point_wet_bulb_and_dry_bulb_stand_in_order(
    celsius: float, humidity: float, pressure_pa: float
) -> None:
    found = air(celsius, humidity, pressure_pa)
    assert found.wet_bulb_k <= found.dry_bulb_k + 1e-9
    assert found.dew_point_k <= found.dry_bulb_k + 1e-9
    # At saturation over ice just below the triple point the wet equation still asks for a liquid bulb.
    assert found.dew_point_k <= found.wet_bulb_k + 0.02


@given(
    first=st.tuples(st.floats(10.0, 50.0), st.floats(0.05, 0.5)),
    second=st.tuples(st.floats(10.0, 50.0), st.floats(0.05, 0.5)),
    share=st.floats(0.0, 1.0),
)
def test_mixing_keeps_water_and_enthalpy(
    first: tuple[float, float], second: tuple[float, float], share: float
) -> None:
    one, two = air(*first), air(*second)
    found = mix(one, two, share)
    assert found.humidity_ratio == pytest.approx(
        share * one.humidity_ratio + (1.0 - share) * two.humidity_ratio, rel=1e-9
    )
    assert found.enthalpy_j_kg == pytest.approx(
        share * one.enthalpy_j_kg + (1.0 - share) * two.enthalpy_j_kg, abs=0.01
    )


def test_at_altitude_the_same_humidity_holds_more_water_and_takes_more_room() -> None:
    # Fewer kilograms of dry air share the same vapour: at 83.4 kPa (1,600 m) 22 % more, by Dalton.
    low, high = air(25.0, 0.5), air(25.0, 0.5, 83_400.0)
    vapour = low.vapour_pressure_pa
    assert high.vapour_pressure_pa == vapour
    assert high.humidity_ratio / low.humidity_ratio == pytest.approx(
        (SEA_LEVEL_PA - vapour) / (83_400.0 - vapour), rel=1e-9
    )
    assert high.enthalpy_j_kg > low.enthalpy_j_kg


def test_below_freezing_the_wet_bulb_is_iced() -> None:
    # The handbook's equation 35: at -5 °C and an iced bulb of -6 °C 77.4 % by psychrolib; water that stays
    # liquid on the bulb would mean 75.6 %.
    found = from_wet_bulb(268.15, 267.15, SEA_LEVEL_PA)
    assert found.humidity_ratio == pytest.approx(RATIO_ICED, rel=5e-4)
    liquid = ((2501.0 + 2.326 * 6.0) * air(-6.0, 1.0).humidity_ratio - 1.006) / (
        2501.0 - 1.86 * 5.0 + 4.186 * 6.0
    )
    assert found.humidity_ratio > 1.005 * liquid


def test_a_bulb_that_could_be_wet_or_iced_is_taken_as_wet() -> None:
    # 4 °C and 43 %: just above freezing by the equation of the wet bulb, which leaves no doubt for a wick
    # that someone has wetted.
    dry = from_wet_bulb(277.15, 273.16, SEA_LEVEL_PA)
    assert from_humidity_ratio(277.15, dry.humidity_ratio, SEA_LEVEL_PA).wet_bulb_k == pytest.approx(
        273.16, abs=1e-6
    )


@pytest.mark.parametrize("humidity", [-0.01, 1.01, 45.0, math.nan])
def test_a_relative_humidity_that_does_not_exist_is_refused(humidity: float) -> None:
    with pytest.raises(ValueError, match="0 to 100 % is possible"):
        air(25.0, humidity)


def test_a_wet_bulb_above_the_dry_bulb_is_refused() -> None:
    with pytest.raises(ValueError, match="swapped"):
        from_wet_bulb(293.15, 294.15, SEA_LEVEL_PA)


def test_a_wet_bulb_that_no_dry_air_could_reach_is_refused() -> None:
    # Perfectly dry air at 40 °C cools a bulb so far (psychrolib) and no further.
    lowest = air(40.0, 0.0).wet_bulb_k
    assert lowest - ZERO_K == pytest.approx(LOWEST_BULB_C, abs=0.02)
    assert from_wet_bulb(313.15, lowest + 0.01, SEA_LEVEL_PA).relative_humidity < 0.001
    with pytest.raises(ValueError, match="even perfectly dry air"):
        from_wet_bulb(313.15, lowest - 0.01, SEA_LEVEL_PA)


def test_a_dew_point_above_the_dry_bulb_is_refused() -> None:
    with pytest.raises(ValueError, match="fog"):
        from_dew_point(293.15, 294.15, SEA_LEVEL_PA)


def test_more_water_than_air_can_hold_is_refused() -> None:
    with pytest.raises(ValueError, match="cannot hold so much water"):
        from_humidity_ratio(293.15, 0.020, SEA_LEVEL_PA)
    with pytest.raises(ValueError, match="never negative"):
        from_humidity_ratio(293.15, -0.001, SEA_LEVEL_PA)


@pytest.mark.parametrize("pressure_pa", [0.0, -1.0, math.nan, math.inf])
def test_an_air_pressure_that_does_not_exist_is_refused(pressure_pa: float) -> None:
    with pytest.raises(ValueError, match="above zero"):
        air(25.0, 0.5, pressure_pa)


@pytest.mark.parametrize("kelvin", [25.0, 600.0, math.nan])
def test_a_dry_bulb_outside_the_equations_is_refused(kelvin: float) -> None:
    with pytest.raises(ValueError, match="lies outside -100 °C to 200 °C"):
        from_relative_humidity(kelvin, 0.5, SEA_LEVEL_PA)


@pytest.mark.parametrize("kelvin", [10.0, math.nan])
def test_a_dew_point_or_wet_bulb_that_is_no_temperature_is_refused(kelvin: float) -> None:
    with pytest.raises(ValueError, match="too low to be measured"):
        from_dew_point(293.15, kelvin, SEA_LEVEL_PA)
    with pytest.raises(ValueError, match="too low to be measured"):
        from_wet_bulb(293.15, kelvin, SEA_LEVEL_PA)


def test_air_in_which_water_would_boil_is_refused() -> None:
    with pytest.raises(ValueError, match="would boil"):
        air(110.0, 0.9)
    assert air(110.0, 0.1).wet_bulb_k < 373.15


def test_a_mixture_that_would_be_fog_is_refused() -> None:
    with pytest.raises(ValueError, match="would be fog"):
        mix(air(-15.0, 0.95), air(30.0, 0.95), 0.5)


def test_streams_of_different_pressure_and_shares_beyond_one_are_refused() -> None:
    with pytest.raises(ValueError, match="one air pressure"):
        mix(air(20.0, 0.5), air(20.0, 0.5, 90_000.0), 0.5)
    with pytest.raises(ValueError, match="between 0 and 1"):
        mix(air(20.0, 0.5), air(30.0, 0.5), 1.2)
