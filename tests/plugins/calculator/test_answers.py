"""The answers of the calculator, and its words where a number would be nonsense."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_calculator.core.answers import (
    saturation_pressure,
    saturation_temperature,
    sides_in_order,
    slope,
    subcooling,
    superheat,
)
from knowngood_refdata.quantities import Kind, standard_barometer_pa, unit
from knowngood_refdata.records import Instruments, PressureInstrument, Thermometer
from knowngood_refdata.refrigerants import REFRIGERANTS, saturation

R134A, R1234YF = saturation("R-134a"), saturation("R-1234yf")
GOOD = Instruments(PressureInstrument(0.25, 20e5), PressureInstrument(0.25, 50e5), Thermometer(0.5))


def test_superheat_and_subcooling_of_the_textbook_cycle() -> None:
    # Çengel and Boles, Thermodynamics, 5th edition, example 11-2, p. 615; the differences are computed.
    warm = superheat(R134A, 0.14e6, 263.15, Instruments())
    cold = subcooling(R134A, 0.72e6, 299.15, Instruments())
    assert warm.value == pytest.approx(8.76, abs=0.01)
    assert cold.value == pytest.approx(1.67, abs=0.01)


def test_the_uncertainty_of_superheat_is_that_of_the_classes_computed_by_hand() -> None:
    # JCGM 100:2008, 4.3.7 and 5.1.2: limit over root three, squares added. R-134a at 2 °C rises 8.9 K/bar
    # (slope from Tillner-Roth and Baehr 1994), class 1.6 of 10 bar is 0.16 bar, type K class 2 is 2.5 K.
    found = superheat(R134A, R134A.pressure_pa(275.15), 282.0, Instruments())
    by_hand = (((8.9 * 0.16) ** 2 + 2.5**2) / 3.0) ** 0.5
    assert found.standard_uncertainty == pytest.approx(by_hand, rel=0.01)


@pytest.mark.parametrize(
    ("celsius", "r134a", "r1234yf"), [(0, 28, 31), (20, 68, 71), (25, 82, 84), (40, 133, 133), (45, 154, 153)]
)
def test_pressures_at_rest_in_psi_gauge_at_sea_level(celsius: float, r134a: float, r1234yf: float) -> None:
    # CoolProp 8.0, rounded to whole psi.
    psi = unit("psi", Kind.PRESSURE)
    for curve, expected in ((R134A, r134a), (R1234YF, r1234yf)):
        found = saturation_pressure(curve, celsius + 273.15).value
        assert found is not None
        assert psi.from_si(found - 101_325.0) == pytest.approx(expected, abs=0.6)


@pytest.mark.parametrize(
    ("metres", "low_error_k", "high_error_k"), [(500, 0.5, 0.2), (1500, 1.6, 0.5), (3000, 3.0, 0.9)]
)
def test_a_sea_level_table_shows_too_warm_at_altitude(
    metres: float, low_error_k: float, high_error_k: float
) -> None:
    # By hand from the slope of the curve and the standard atmosphere, at 2 and 14 bar gauge, R-134a.
    for gauge_pa, expected in ((2e5, low_error_k), (14e5, high_error_k)):
        sea = saturation_temperature(R134A, gauge_pa + 101_325.0).value
        here = saturation_temperature(R134A, gauge_pa + standard_barometer_pa(metres)).value
        assert sea is not None
        assert here is not None
        assert sea - here == pytest.approx(expected, abs=0.1)


@given(name=st.sampled_from(REFRIGERANTS), share=st.floats(0.0, 1.0))
def test_the_pressure_of_a_temperature_leads_back_to_it(name: str, share: float) -> None:
    curve = saturation(name)
    kelvin = curve.lowest_k + share * (curve.critical_k - curve.lowest_k)
    pressure = saturation_pressure(curve, kelvin).value
    assert pressure is not None
    assert saturation_temperature(curve, pressure).value == pytest.approx(kelvin, abs=1e-6)


@given(name=st.sampled_from(REFRIGERANTS), share=st.floats(0.01, 0.95))
def test_the_slope_is_what_a_small_step_of_pressure_does(name: str, share: float) -> None:
    curve = saturation(name)
    pressure = curve.pressure_pa(curve.lowest_k + share * (curve.critical_k - curve.lowest_k))
    step = 1e-4 * pressure
    rise = curve.temperature_k(pressure + step) - curve.temperature_k(pressure - step)
    assert slope(curve, pressure).value == pytest.approx(rise / (2 * step), rel=1e-4)


@pytest.mark.parametrize("pressure_pa", [R134A.critical_pa * 1.001, R134A.lowest_pa * 0.999, -1e5])
def test_there_is_no_slope_off_the_curve(pressure_pa: float) -> None:
    assert slope(R134A, pressure_pa).value is None


@pytest.mark.parametrize(
    ("pressure_pa", "words"),
    [
        (4.2e6, "there is no saturation temperature"),
        (0.0, "never zero or less"),
        (-1e4, "never zero or less"),
        (1e3, "not tabulated"),
    ],
)
def test_a_pressure_off_the_curve_is_answered_in_words(pressure_pa: float, words: str) -> None:
    for answer in (
        saturation_temperature(R134A, pressure_pa),
        superheat(R134A, pressure_pa, 280.0, Instruments()),
        subcooling(R134A, pressure_pa, 300.0, Instruments()),
    ):
        assert answer.value is None
        assert words in answer.words


@pytest.mark.parametrize(
    ("temperature_k", "words"),
    [(380.0, "there is no saturation pressure"), (150.0, "not tabulated"), (-3.0, "below absolute zero")],
)
def test_a_temperature_off_the_curve_is_answered_in_words(temperature_k: float, words: str) -> None:
    answer = saturation_pressure(R134A, temperature_k)
    assert answer.value is None
    assert words in answer.words


def test_a_limit_is_written_in_the_units_of_the_reader() -> None:
    answer = saturation_temperature(R134A, 5e6)
    # Critical pressure of R-134a: 4.05928 MPa, Tillner-Roth and Baehr 1994 (from memory).
    assert answer.limit is not None
    assert answer.limit.kind is Kind.PRESSURE
    assert answer.limit.value == pytest.approx(4.0593e6, abs=200.0)
    assert "R-134a, 588.7 psia, there" in answer.sentence(lambda limit: f"{limit.value / 6894.757:.1f} psia")


def test_a_suction_line_colder_than_evaporating_is_called_a_wrong_measurement() -> None:
    answer = superheat(R134A, 3e5, 265.0, GOOD)
    assert answer.doubtful
    assert "colder than the evaporating temperature" in answer.words


def test_a_negative_subcooling_is_called_two_phase_or_a_wrong_clamp() -> None:
    answer = subcooling(R134A, 10e5, 320.0, GOOD)
    assert answer.doubtful
    assert "liquid and vapour together" in answer.words
    assert "wrong clamp" in answer.words


def test_a_negative_value_within_its_uncertainty_is_called_zero() -> None:
    warm = superheat(R134A, 3e5, R134A.temperature_k(3e5) - 0.3, GOOD)
    cold = subcooling(R134A, 10e5, R134A.temperature_k(10e5) + 0.3, GOOD)
    for answer in (warm, cold):
        assert "zero within the uncertainty" in answer.words
        assert not answer.doubtful


def test_a_high_superheat_reminds_of_the_internal_heat_exchanger() -> None:
    assert "internal heat exchanger" in superheat(R134A, 3e5, 295.0, GOOD).words
    assert superheat(R134A, 3e5, 280.0, GOOD).words == ""


def test_swapped_sides_and_level_sides_are_told_apart() -> None:
    assert "swapped" in sides_in_order(12e5, 3e5)
    assert "level" in sides_in_order(6.05e5, 6e5)
    assert "level" in sides_in_order(6e5, 6.05e5)
    assert sides_in_order(3e5, 12e5) == ""
    assert sides_in_order(None, 12e5) == ""


def test_below_its_triple_point_carbon_dioxide_is_never_liquid() -> None:
    # Span and Wagner 1996: triple point of R-744 at 216.592 K and 0.51795 MPa.
    for answer in (
        saturation_pressure(saturation("R-744"), 210.0),
        saturation_temperature(saturation("R-744"), 4e5),
    ):
        assert answer.value is None
        assert "triple point" in answer.words
    limit = saturation_pressure(saturation("R-744"), 210.0).limit
    assert limit is not None
    assert limit.value == pytest.approx(216.592, abs=0.001)
