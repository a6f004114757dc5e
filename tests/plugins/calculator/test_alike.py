"""Where two refrigerants cannot be told apart by a pressure at rest."""

from __future__ import annotations

import math

import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from knowngood_calculator.core.alike import COLDEST_K, WARMEST_K, crossings, tell_apart
from knowngood_refdata.quantities import Kind, unit
from knowngood_refdata.records import PressureInstrument, Thermometer
from knowngood_refdata.refrigerants import saturation

R134A, R1234YF = saturation("R-134a"), saturation("R-1234yf")
FINE = PressureInstrument(0.1, 20e5), Thermometer(0.2)
DIAL = PressureInstrument(1.6, 10e5), Thermometer(2.5)


def test_the_curves_of_r134a_and_r1234yf_meet_near_41_celsius() -> None:
    # CoolProp 8.0: at 40 °C R-1234yf lies 1.88 kPa above, at 45 °C below.
    (found,) = crossings(R134A, R1234YF)
    assert found.temperature_k == pytest.approx(273.15 + 41.0, abs=0.5)
    for fluid in ("R134a", "R1234yf"):
        assert found.pressure_pa == pytest.approx(
            PropsSI("P", "T", found.temperature_k, "Q", 0, fluid), rel=1e-5
        )


def test_where_the_curves_meet_does_not_depend_on_which_is_named_first() -> None:
    (one,), (other,) = crossings(R134A, R1234YF), crossings(R1234YF, R134A)
    assert one.temperature_k == pytest.approx(other.temperature_k, abs=1e-5)


def test_a_curve_does_not_cross_itself() -> None:
    assert crossings(R134A, R134A) == ()


@pytest.mark.parametrize(
    ("celsius", "psi"), [(0, -3.3), (10, -3.3), (20, -2.9), (25, -2.5), (30, -1.9), (40, -0.3), (45, 0.9)]
)
def test_how_far_apart_the_pressures_at_rest_lie(celsius: float, psi: float) -> None:
    # R-134a less R-1234yf, CoolProp 8.0, psi.
    found = tell_apart(R134A, R1234YF, celsius + 273.15, *FINE)
    assert unit("psi", Kind.PRESSURE).from_si(found.difference_pa) == pytest.approx(psi, abs=0.06)


def test_no_instrument_tells_them_apart_where_the_curves_meet() -> None:
    (meeting,) = crossings(R134A, R1234YF)
    perfect = PressureInstrument(0.01, 20e5), Thermometer(0.01)
    found = tell_apart(R134A, R1234YF, meeting.temperature_k, *perfect)
    assert not found.apart
    assert "at this temperature" in found.words
    assert "identifier" in found.words


def test_fine_instruments_could_tell_them_apart_on_both_sides_of_the_crossing() -> None:
    (meeting,) = crossings(R134A, R1234YF)
    (cold, warm) = tell_apart(R134A, R1234YF, 283.15, *FINE).ranges_k
    assert cold[0] == COLDEST_K
    assert cold[1] < meeting.temperature_k < warm[0]
    assert warm[1] == WARMEST_K
    assert tell_apart(R134A, R1234YF, cold[1], *FINE).apart
    assert not tell_apart(R134A, R1234YF, cold[1] + 0.5, *FINE).apart


def test_even_where_they_could_an_identifier_is_asked_for() -> None:
    found = tell_apart(R134A, R1234YF, 283.15, *FINE)
    assert found.apart
    assert "a mixture or air hides it" in found.words
    assert "identifier" in found.words


def test_common_dial_gauges_tell_them_apart_at_no_usual_temperature() -> None:
    # By hand at 5 °C: 3.3 psi apart; 16 kPa and 2.5 K at 12 kPa/K need 2/√3 √(16² + 30²) = 39 kPa, 5.7 psi.
    found = tell_apart(R134A, R1234YF, 278.15, *DIAL)
    assert found.ranges_k == ()
    assert "at no usual temperature" in found.words
    assert found.needed_pa == pytest.approx(39e3, rel=0.03)


@given(st.floats(COLDEST_K, WARMEST_K))
def test_what_counts_as_apart_lies_in_a_range_that_is_named(kelvin: float) -> None:
    found = tell_apart(R134A, R1234YF, kelvin, *FINE)
    inside = any(low - 0.5 <= kelvin <= high + 0.5 for low, high in found.ranges_k)
    assert inside or not found.apart


def test_the_steeper_of_two_curves_sets_what_the_thermometer_hides() -> None:
    # CoolProp 8.0: the slope of R-744 at 20 °C, many times that of R-134a, by a difference over 0.2 K.
    hot, cold = (PropsSI("P", "T", 293.15 + step, "Q", 0, "CO2") for step in (0.1, -0.1))
    found = tell_apart(R134A, saturation("R-744"), 293.15, PressureInstrument(0.0, 20e5), Thermometer(1.0))
    assert found.needed_pa == pytest.approx(2.0 / 3**0.5 * (hot - cold) / 0.2, rel=1e-3)


def test_refrigerants_whose_curves_never_meet_have_no_crossing() -> None:
    # CoolProp 8.0: R-744 lies far above R-134a from the one's triple point to its critical point.
    assert crossings(R134A, saturation("R-744")) == ()


def test_r12_and_r134a_meet_at_the_temperature_of_a_cool_day() -> None:
    # CoolProp 8.0: R-12 lies above R-134a at 10 °C and below at 25 °C.
    (found,) = crossings(saturation("R-12"), R134A)
    for fluid in ("R12", "R134a"):
        assert found.pressure_pa == pytest.approx(
            PropsSI("P", "T", found.temperature_k, "Q", 0, fluid), rel=1e-5
        )
    assert 283.15 < found.temperature_k < 298.15


def test_above_a_critical_temperature_there_is_nothing_to_compare() -> None:
    found = tell_apart(R134A, R1234YF, 370.0, *FINE)
    assert math.isnan(found.difference_pa)
    assert not found.apart
    assert "no saturation pressure" in found.words
