"""The figures of a cycle with their uncertainty, and the words where no figure belongs."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knowngood_calculator.core.cycles import (
    Assumed,
    Figure,
    Measured,
    flow,
    from_assumed,
    from_measured,
    times,
)
from knowngood_refdata.records import Estimate, Instruments, PressureInstrument, Thermometer
from knowngood_refdata.states import fluid

R134A, R744 = fluid("R-134a"), fluid("R-744")
EXACT = Instruments(
    PressureInstrument(1e-9, 10e5), PressureInstrument(1e-9, 35e5), Thermometer(1e-9), Thermometer(1e-9)
)
CAR = Measured(low_pa=3.1e5, suction_k=283.15, high_pa=14e5, liquid_k=316.15, discharge_k=345.15)
FINE = Assumed(evaporating_k=275.15, condensing_k=323.15)


def test_the_measured_points_of_a_textbook_have_its_efficiency_and_cop() -> None:
    # Cengel and Boles, Thermodynamics, 5th ed., example 11-2, with its liquid at the discharge's pressure:
    # liquid enthalpy hardly depends on pressure. 0.939 (tables), COP 3.93.
    points = Measured(0.14e6, 263.15, 0.8e6, 299.15, 323.15)
    found = from_measured(R134A, points, EXACT).estimates
    assert found[Figure.EFFICIENCY].value == pytest.approx(0.939, abs=0.003)
    assert found[Figure.COP].value == pytest.approx(3.93, rel=0.01)
    assert found[Figure.RATIO].value == pytest.approx(0.8 / 0.14)


def test_the_ratio_of_two_pressures_has_the_uncertainty_of_their_relative_ones_together() -> None:
    # For a quotient the relative variances add (JCGM 100:2008, 5.1.6).
    instruments = Instruments()
    found = from_measured(R134A, CAR, instruments).estimates[Figure.RATIO]
    low, high = (
        one.class_percent / 100 * one.full_scale_pa / math.sqrt(3)
        for one in (instruments.low, instruments.high)
    )
    relative = math.hypot(low / CAR.low_pa, high / CAR.high_pa)
    assert found.standard_uncertainty / found.value == pytest.approx(relative, rel=0.01)


def test_a_temperature_that_was_read_off_keeps_the_uncertainty_of_its_probe() -> None:
    found = from_measured(R134A, CAR, Instruments(line=Thermometer(2.5))).estimates[Figure.DISCHARGE]
    assert found.value == CAR.discharge_k
    assert found.standard_uncertainty == pytest.approx(2.5 / math.sqrt(3), rel=1e-6)


@given(st.sampled_from(list(Figure)), st.floats(0.1, 0.5))
@settings(max_examples=30)
def test_better_instruments_never_widen_a_figure(figure: Figure, share: float) -> None:
    coarse = Instruments()
    fine = Instruments(
        replace(coarse.low, class_percent=share * coarse.low.class_percent),
        replace(coarse.high, class_percent=share * coarse.high.class_percent),
        Thermometer(share * coarse.line.limit_k),
    )
    widths = [from_measured(R134A, CAR, one).estimates[figure].standard_uncertainty for one in (coarse, fine)]
    assert widths[1] <= widths[0]


def test_nothing_measured_has_no_uncertainty() -> None:
    assert {one.standard_uncertainty for one in from_assumed(R134A, FINE).estimates.values()} == {0.0}


def test_a_point_close_to_saturation_still_has_an_uncertainty() -> None:
    close = replace(CAR, suction_k=R134A.curve.temperature_k(CAR.low_pa) + 0.2)
    found = from_measured(R134A, close, Instruments()).estimates[Figure.CAPACITY]
    assert 0.0 < found.standard_uncertainty < 0.1 * found.value


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"low_pa": 14e5, "high_pa": 3.1e5}, "swapped"),
        ({"low_pa": 14e5}, "swapped"),
        ({"suction_k": 265.0}, "suction line is not warmer than evaporating"),
        ({"liquid_k": 340.0}, "liquid line is warmer than condensing"),
        ({"discharge_k": 320.0}, "clamp reads too cold"),
        ({"evaporator_outlet_k": 265.0}, "evaporator's outlet is not warmer"),
        ({"discharge_k": None, "isentropic_efficiency": 0.007}, "70 % is written as 70"),
        ({"low_pa": 100.0}, "no evaporating R-134a"),
        ({"high_pa": 60e5}, "outside what is tabulated"),
    ],
)
def test_points_that_cannot_be_are_told_in_words(changed: dict[str, float], told: str) -> None:
    found = from_measured(R134A, replace(CAR, **changed), Instruments())
    assert told in found.words
    assert found.cycle is None
    assert not found.estimates


def test_a_discharge_colder_than_compression_allows_keeps_its_number_and_is_told() -> None:
    cold = replace(CAR, low_pa=2e5, suction_k=293.15, discharge_k=328.0)
    found = from_measured(R134A, cold, EXACT)
    assert found.estimates[Figure.EFFICIENCY].value > 1.0
    assert "colder than any compression" in found.words


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"condensing_k": 270.0}, "not warmer than evaporating"),
        ({"condensing_k": 380.0}, "does not condense"),
        ({"evaporating_k": 150.0}, "no evaporating"),
        ({"superheat_k": -3.0}, "never negative"),
        ({"isentropic_efficiency": 1.2}, "100 is the most"),
        ({"exchanger_effectiveness": 1.5}, "between 0 and 100"),
        ({"subcooling_k": 60.0}, "colder than the evaporator"),
        ({"condensing_k": None}, "gas cooler's pressure and outlet"),
        ({"condensing_k": None, "cooler_pa": 20e5, "cooler_outlet_k": 310.0}, "give that instead"),
    ],
)
def test_conditions_that_cannot_be_are_told_in_words(changed: dict[str, float], told: str) -> None:
    found = from_assumed(R134A, replace(FINE, **changed))
    assert told in found.words
    assert found.cycle is None


def test_carbon_dioxide_gives_off_its_heat_above_the_critical_pressure() -> None:
    found = from_assumed(R744, Assumed(276.15, None, 5.0, cooler_pa=100e5, cooler_outlet_k=311.15))
    assert found.cycle is not None
    # The same cycle with the states of CoolProp stands in the tests of the cycle itself.
    assert 2.0 < found.estimates[Figure.COP].value < 5.0


@given(st.floats(0.0, 0.2), st.floats(0.0, 0.02), st.floats(5e4, 3e5), st.floats(0.0, 1e4))
def test_a_power_has_the_relative_uncertainties_of_flow_and_energy_together(
    moved: float, moved_u: float, energy: float, energy_u: float
) -> None:
    found = times(Estimate(moved, moved_u), Estimate(energy, energy_u))
    assert found.value == pytest.approx(moved * energy)
    assert found.standard_uncertainty == pytest.approx(math.hypot(moved_u * energy, energy_u * moved))


def test_the_flow_of_a_compressor_is_known_as_well_as_its_volumetric_efficiency() -> None:
    # 160 cm³ at 1,600 rpm and 70 % of gas of 15 kg/m³, by hand: 0.0448 kg/s; ±0.1 of 0.7, rectangular.
    found = flow(15.0, 160e-6, 1.0, 1600.0, 0.7)
    assert found.value == pytest.approx(0.0448)
    assert found.standard_uncertainty == pytest.approx(0.0448 / 7 / math.sqrt(3))
