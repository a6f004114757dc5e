"""The answers of the calculator, and its words where a number would be nonsense."""

from __future__ import annotations

import pytest

from knowngood_calculator.core import (
    GAUGES,
    PROBES,
    dominating,
    saturation_pressure,
    saturation_temperature,
    sides_in_order,
    subcooling,
    superheat,
)
from knowngood_refdata.quantities import Kind, standard_barometer_pa, unit
from knowngood_refdata.records import Instruments, PressureInstrument, Thermometer
from knowngood_refdata.refrigerants import saturation

R134A, R1234YF = saturation("R-134a"), saturation("R-1234yf")


def test_superheat_and_subcooling_of_the_textbook_cycle() -> None:
    # Cengel and Boles, Thermodynamics, 5th edition, example 11-2, p. 615; the differences are computed.
    warm, cold = (
        superheat(R134A, 0.14e6, 263.15, Instruments()),
        subcooling(R134A, 0.72e6, 299.15, Instruments()),
    )
    assert warm.value == pytest.approx(8.76, abs=0.01)
    assert cold.value == pytest.approx(1.67, abs=0.01)


@pytest.mark.parametrize(
    ("celsius", "r134a", "r1234yf"), [(0, 28, 31), (20, 68, 71), (25, 82, 84), (40, 133, 133), (45, 154, 153)]
)
def test_pressures_at_rest_in_psi_gauge_at_sea_level(celsius: float, r134a: float, r1234yf: float) -> None:
    # CoolProp 8.0, rounded to whole psi: an independent computation of the same equations of state.
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


@pytest.mark.parametrize(
    ("pressure_pa", "words"),
    [(4.2e6, "there is no saturation temperature"), (-1e4, "never zero or less"), (1e3, "not tabulated")],
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
    [(380.0, "above the critical temperature"), (150.0, "not tabulated"), (-3.0, "below absolute zero")],
)
def test_a_temperature_off_the_curve_is_answered_in_words(temperature_k: float, words: str) -> None:
    answer = saturation_pressure(R134A, temperature_k)
    assert answer.value is None
    assert words in answer.words


GOOD = Instruments(PressureInstrument(0.25, 20e5), PressureInstrument(0.25, 50e5), Thermometer(0.5))


def test_a_negative_superheat_is_called_a_wrong_measurement() -> None:
    assert "check clamp and pressure port" in superheat(R134A, 3e5, 265.0, GOOD).words


def test_a_negative_subcooling_is_called_two_phase_or_a_wrong_clamp() -> None:
    answer = subcooling(R134A, 10e5, 320.0, GOOD)
    assert "two-phase" in answer.words
    assert "not a number to believe" in answer.words


def test_a_negative_value_within_its_uncertainty_is_called_zero() -> None:
    warm = R134A.temperature_k(3e5)
    assert "zero within the uncertainty" in superheat(R134A, 3e5, warm - 0.3, GOOD).words
    condensing = R134A.temperature_k(10e5)
    assert "zero within the uncertainty" in subcooling(R134A, 10e5, condensing + 0.3, GOOD).words


def test_a_high_superheat_reminds_of_the_internal_heat_exchanger() -> None:
    assert "internal heat exchanger" in superheat(R134A, 3e5, 295.0, GOOD).words
    assert superheat(R134A, 3e5, 280.0, GOOD).words == ""


def test_swapped_sides_and_level_sides_are_told_apart() -> None:
    assert "swapped" in sides_in_order(12e5, 3e5)
    assert "level" in sides_in_order(6.05e5, 6e5)
    assert sides_in_order(3e5, 12e5) == ""
    assert sides_in_order(None, 12e5) == ""


def test_a_low_side_transducer_of_wide_span_is_the_weak_link() -> None:
    wide, probe = PressureInstrument(0.5, 35e5), Thermometer(0.5)
    low = R134A.pressure_pa(275.15)
    assert "mostly from the gauge" in dominating(R134A, low, wide, probe)
    assert "mostly from the clamp" in dominating(R134A, low, PressureInstrument(0.25, 10e5), Thermometer(2.5))
    assert dominating(R134A, 9e6, wide, probe) == ""


def test_the_offered_instruments_are_those_of_the_standards() -> None:
    # Thermocouple limits near 0 to 100 °C: IEC 60584-1, type K 1.5 and 2.5 °C, type T 0.5 and 1.0 °C.
    assert sorted(one.limit_k for one in PROBES.values()) == [0.5, 1.0, 1.5, 2.5]
    assert all(low.full_scale_pa < high.full_scale_pa for low, high in GAUGES.values())
