"""The measures of humidity tell one state alike, and US tables count its enthalpy from another zero."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_calculator.core.air_measures import Measure, enthalpy_from_zero_fahrenheit_j_kg

BTU_LB = 2326.0


@given(
    celsius=st.floats(2.0, 50.0),
    humidity=st.floats(0.05, 1.0),
    pressure_pa=st.floats(70e3, 105e3),
    measure=st.sampled_from(list(Measure)),
)
def test_a_state_is_the_same_by_any_of_its_measures(
    celsius: float, humidity: float, pressure_pa: float, measure: Measure
) -> None:
    air = Measure.RELATIVE_HUMIDITY.air(celsius + 273.15, humidity, pressure_pa)
    again = measure.air(air.dry_bulb_k, measure.of(air), pressure_pa)
    assert again.humidity_ratio == pytest.approx(air.humidity_ratio, rel=1e-6)


@pytest.mark.parametrize(
    ("fahrenheit", "grains_lb", "btu_lb"),
    # ASHRAE Handbook, Fundamentals 2017, chapter 1, equation 30 (IP): h = 0.240 t + W (1061 + 0.444 t),
    # 7000 grains to a pound; worked by hand.
    [(0.0, 0.0, 0.0), (32.0, 0.0, 7.68), (77.0, 70.0, 29.43), (100.0, 210.0, 57.16)],
)
def test_enthalpy_in_us_units_follows_the_handbooks_equation(
    fahrenheit: float, grains_lb: float, btu_lb: float
) -> None:
    air = Measure.HUMIDITY_RATIO.air((fahrenheit + 459.67) / 1.8, grains_lb / 7000.0, 101_325.0)
    # Its constants are rounded to three figures: 0.240 for 0.2403 Btu/(lb °F).
    assert enthalpy_from_zero_fahrenheit_j_kg(air) / BTU_LB == pytest.approx(btu_lb, abs=0.04)


def test_the_zero_moves_no_difference() -> None:
    warm = Measure.RELATIVE_HUMIDITY.air(303.15, 0.8, 101_325.0)
    cold = Measure.RELATIVE_HUMIDITY.air(287.15, 1.0, 101_325.0)
    from_fahrenheit = enthalpy_from_zero_fahrenheit_j_kg(warm) - enthalpy_from_zero_fahrenheit_j_kg(cold)
    assert from_fahrenheit == pytest.approx(warm.enthalpy_j_kg - cold.enthalpy_j_kg)
