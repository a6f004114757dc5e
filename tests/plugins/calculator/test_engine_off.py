"""Pressure at rest against saturation, with the preconditions and what it cannot tell."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_calculator.core.engine_off import (
    CANNOT_TELL,
    Outcome,
    air_mass_kg,
    check_at_rest,
    saturation_estimate,
)
from knowngood_calculator.core.rest import (
    SOAK_S,
    AtRest,
    Met,
    preconditions,
    reading,
    temperature_estimate,
)
from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, Kind, unit
from knowngood_refdata.records import Estimate, Instruments, PressureInstrument, Thermometer
from knowngood_refdata.refrigerants import saturation

R134A, R1234YF = saturation("R-134a"), saturation("R-1234yf")
PSI, FAHRENHEIT = unit("psi", Kind.PRESSURE), unit("°F", Kind.TEMPERATURE)
FINE = Instruments(
    PressureInstrument(0.25, 20e5), PressureInstrument(0.25, 50e5), Thermometer(0.5), Thermometer(0.5)
)
COARSE = Instruments(air=Thermometer(2.5))
WARM_K = 298.15
SATURATED_PA = R134A.pressure_pa(WARM_K)


def at_rest(
    low_pa: float | None = None,
    high_pa: float | None = None,
    *,
    ambient_k: float = WARM_K,
    cabin_k: float | None = WARM_K,
    soak_s: float | None = 4 * 3600.0,
    instruments: Instruments = FINE,
) -> AtRest:
    return AtRest(ambient_k, low_pa, high_pa, cabin_k, soak_s=soak_s, instruments=instruments)


def test_a_pressure_on_the_curve_means_liquid_and_not_how_much() -> None:
    found = check_at_rest(R134A, at_rest(SATURATED_PA + 2e3, SATURATED_PA - 4e3))
    assert found.outcome is Outcome.LIQUID_PRESENT
    assert found.air is None
    assert all(one.met is Met.YES for one in found.preconditions)
    assert "how much cannot be told" in found.words
    assert "the charge" in " ".join(CANNOT_TELL)


def test_a_pressure_below_the_curve_means_no_liquid() -> None:
    found = check_at_rest(R134A, at_rest(3.0e5, 3.0e5))
    assert found.outcome is Outcome.NO_LIQUID_LEFT
    assert "find the leak" in found.words
    assert found.difference is not None
    assert found.difference.value == pytest.approx(3.0e5 - SATURATED_PA)


def test_no_outcome_advises_to_charge_by_pressure() -> None:
    for pressure_pa in (3e5, SATURATED_PA, 9e5):
        words = check_at_rest(R134A, at_rest(pressure_pa, pressure_pa)).words
        assert "add" not in words
        assert "top up" not in words


def test_the_partial_pressure_of_air_is_what_is_left_above_saturation() -> None:
    # Hundy, Trott and Welch, example 11.2, p. 158: 11.70 bar observed, vapour pressure 10.34 bar at rest,
    # 1.36 bar of gas that does not condense. The same subtraction, with R-134a at its 10.34 bar.
    found = check_at_rest(
        R134A, at_rest(11.70e5, 11.70e5, ambient_k=R134A.temperature_k(10.34e5), cabin_k=None)
    )
    assert found.outcome is Outcome.ABOVE_SATURATION
    assert found.air is not None
    assert found.air.value == pytest.approx(1.36e5, abs=50.0)
    assert found.air_fraction == pytest.approx(1.36 / 11.70, rel=1e-3)


def test_air_of_7_7_percent_adds_eight_psi_at_25_celsius() -> None:
    # Dalton, by hand: p_air = x / (1 - x) p_sat with 96.5 psi absolute (CoolProp 8.0) is 8.05 psi.
    found = check_at_rest(R134A, at_rest(SATURATED_PA / (1.0 - 0.077), None))
    assert found.air is not None
    assert PSI.from_si(found.air.value) == pytest.approx(8.05, abs=0.05)
    assert found.air_fraction == pytest.approx(0.077)


def test_the_masses_of_the_gases_of_air_add_up_to_its_pressure() -> None:
    # Hundy, Trott and Welch, example 1.7, p. 8: N2, O2 and Ar at 20 °C, 0.906 + 0.278 + 0.015 kg/m³ with
    # 297, 260 and 208 J/(kg K); partial pressures summed from its data.
    total_pa = 293.15 * (0.906 * 297.0 + 0.278 * 260.0 + 0.015 * 208.0)
    assert total_pa == pytest.approx(100_985.0, rel=1e-3)
    assert air_mass_kg(total_pa, 1.0, 293.15) == pytest.approx(0.906 + 0.278 + 0.015, rel=2e-3)


def test_two_grams_of_air_in_the_vapour_space_add_ten_psi() -> None:
    # Ideal gas by hand: 2 g in 2.5 L at 25 °C.
    assert air_mass_kg(PSI.to_si(9.93), 2.5e-3, WARM_K) == pytest.approx(2.0e-3, rel=2e-3)


# SAE J2211 (1995), highest pressure of a container of R-134a, °F and psi gauge: from memory. Every row lies
# 4.0 to 5.9 psi above saturation.
CONTAINER = [
    (65, 69), (70, 76), (75, 83), (80, 91), (85, 100), (90, 109), (95, 118), (100, 129), (105, 139),
    (110, 152), (115, 163),
]  # fmt: skip


@pytest.mark.parametrize(("fahrenheit", "psi_gauge"), CONTAINER)
def test_a_container_at_the_limit_of_air_is_flagged_by_fine_instruments(
    fahrenheit: float, psi_gauge: float
) -> None:
    found = check_at_rest(R134A, container(fahrenheit, psi_gauge, FINE))
    assert found.outcome is Outcome.ABOVE_SATURATION
    assert found.air is not None
    assert 4.0 <= PSI.from_si(found.air.value) <= 5.9


@pytest.mark.parametrize(("fahrenheit", "psi_gauge"), CONTAINER)
def test_a_container_at_the_limit_of_air_escapes_coarse_instruments(
    fahrenheit: float, psi_gauge: float
) -> None:
    found = check_at_rest(R134A, container(fahrenheit, psi_gauge, COARSE))
    assert found.outcome is Outcome.LIQUID_PRESENT


def container(fahrenheit: float, psi_gauge: float, instruments: Instruments) -> AtRest:
    return at_rest(
        PSI.to_si(psi_gauge) + STANDARD_ATMOSPHERE_PA,
        ambient_k=FAHRENHEIT.to_si(fahrenheit),
        cabin_k=None,
        instruments=instruments,
    )


def test_the_uncertainty_of_the_air_is_that_of_gauge_and_thermometer() -> None:
    # JCGM 100:2008, 4.3.7 and equation 10, by hand: 0.25 % of 20 bar is 5 kPa, 0.5 K at 19.6 kPa/K is
    # 9.8 kPa, each over √3. The slope is the difference of the pressures at 24.5 and 25.5 °C.
    slope = R134A.pressure_pa(WARM_K + 0.5) - R134A.pressure_pa(WARM_K - 0.5)
    found = check_at_rest(R134A, at_rest(8e5, 8e5))
    assert found.air is not None
    assert found.air.standard_uncertainty == pytest.approx(math.hypot(5e3, 0.5 * slope) / 3**0.5, rel=1e-3)


@given(st.floats(-2.5e5, 4e5))
def test_the_verdict_follows_the_difference_and_its_uncertainty(off_pa: float) -> None:
    found = check_at_rest(R134A, at_rest(SATURATED_PA + off_pa, None))
    assert found.difference is not None
    assert found.difference.value == pytest.approx(off_pa, abs=1e-3)
    limit_pa = 2.0 * found.difference.standard_uncertainty
    wanted = Outcome.ABOVE_SATURATION if off_pa > 0 else Outcome.NO_LIQUID_LEFT
    assert found.outcome is (Outcome.LIQUID_PRESENT if abs(off_pa) <= limit_pa else wanted)


def test_places_of_different_temperature_widen_the_saturation_pressure() -> None:
    even = temperature_estimate(at_rest(6e5))
    uneven = temperature_estimate(at_rest(6e5, cabin_k=WARM_K + 2.4))
    # JCGM 100:2008, 4.3.7: half of 2.4 K over √3, and the probe's 0.5 K over √3.
    assert uneven.value == pytest.approx(WARM_K + 1.2)
    assert uneven.standard_uncertainty == pytest.approx(math.hypot(1.2, 0.5) / 3**0.5)
    assert even.standard_uncertainty == pytest.approx(0.5 / 3**0.5)


def test_the_finer_gauge_counts() -> None:
    found = reading(at_rest(6.0e5, 6.1e5))
    assert found is not None
    assert found.value == 6.0e5
    alone = reading(at_rest(None, 6.1e5))
    assert alone is not None
    assert alone.value == 6.1e5


@pytest.mark.parametrize(
    ("rest", "name", "words"),
    [
        (at_rest(SATURATED_PA, SATURATED_PA, soak_s=600.0), "engine off", "still warm"),
        (at_rest(SATURATED_PA, SATURATED_PA, cabin_k=WARM_K + 8.0), "equal temperatures", "not equally warm"),
        (at_rest(SATURATED_PA, SATURATED_PA + 2e5), "both sides", "not level"),
    ],
)
def test_a_precondition_that_is_not_met_forbids_a_verdict(rest: AtRest, name: str, words: str) -> None:
    found = check_at_rest(R134A, rest)
    assert found.outcome is Outcome.CANNOT_TELL
    assert [one.name.startswith(name) for one in found.preconditions if one.met is Met.NO] == [True]
    assert words in found.words
    assert found.difference is not None
    assert found.air is None


def test_what_was_not_recorded_is_named_beside_the_verdict() -> None:
    found = check_at_rest(R134A, AtRest(WARM_K, low_pa=SATURATED_PA, instruments=FINE))
    assert found.outcome is Outcome.LIQUID_PRESENT
    assert [one.met for one in found.preconditions] == [Met.NOT_KNOWN] * 3
    assert "Not known: engine off long enough, equal temperatures, both sides" in found.words


def test_a_precondition_tells_what_was_found_and_where_the_limit_lies() -> None:
    soak, warm, level = preconditions(at_rest(6.0e5, 6.05e5, cabin_k=WARM_K + 1.0))
    assert (soak.found, soak.limit, soak.kind) == (4 * 3600.0, SOAK_S, Kind.TIME)
    assert warm.found == pytest.approx(1.0)
    assert level.found == pytest.approx(5e3)
    # JCGM 100:2008, by hand: 2 · √(5² + 12.5²)/√3 kPa.
    assert level.limit == pytest.approx(2e3 * math.hypot(5.0, 12.5) / 3**0.5)


def test_another_refrigerant_that_fits_as_well_is_named() -> None:
    # The curves of R-134a and R-1234yf meet near 41 °C and lie 3 psi apart near 10 °C (CoolProp 8.0).
    warm_k, cold_k = 314.0, 283.15
    for kelvin, named in ((warm_k, ("R-1234yf",)), (cold_k, ())):
        pressure_pa = R134A.pressure_pa(kelvin)
        rest = at_rest(pressure_pa, pressure_pa, ambient_k=kelvin, cabin_k=None)
        found = check_at_rest(R134A, rest, others=(R134A, R1234YF))
        assert found.also_fits == named


def test_a_wrong_refrigerant_is_named_as_one_explanation_of_a_pressure_off_the_curve() -> None:
    # At 10 °C R-134a lies 3.3 psi below R-1234yf (CoolProp 8.0): not to be mistaken for an empty circuit.
    pressure_pa = R134A.pressure_pa(283.15)
    rest = at_rest(pressure_pa, pressure_pa, ambient_k=283.15, cabin_k=None)
    found = check_at_rest(R1234YF, rest, others=(R134A,))
    assert found.outcome is Outcome.NO_LIQUID_LEFT
    assert "refrigerant of lower pressure" in found.words
    assert found.also_fits == ("R-134a",)


@pytest.mark.parametrize(
    ("rest", "words"),
    [
        (at_rest(), "no pressure"),
        (at_rest(-1e5), "never zero or less"),
        (at_rest(6e5, 0.0), "never zero or less"),
        (at_rest(math.nan), "never zero or less"),
        (at_rest(6e5, ambient_k=-3.0), "below absolute zero"),
        (at_rest(6e5, ambient_k=math.nan), "below absolute zero"),
        (at_rest(6e5, ambient_k=380.0, cabin_k=None), "warmer than the critical temperature"),
        (at_rest(6e5, ambient_k=150.0, cabin_k=None), "not tabulated"),
    ],
)
def test_a_reading_that_cannot_be_compared_is_answered_in_words(rest: AtRest, words: str) -> None:
    found = check_at_rest(R134A, rest)
    assert found.outcome is Outcome.CANNOT_TELL
    assert words in found.words
    assert found.difference is None
    assert len(found.preconditions) == 3


@given(st.floats(-40.0, 90.0), st.floats(0.01, 3.0))
def test_the_saturation_pressure_is_as_uncertain_as_the_curve_is_steep(
    celsius: float, uncertainty_k: float
) -> None:
    kelvin = celsius + 273.15
    found = saturation_estimate(R1234YF, Estimate(kelvin, uncertainty_k))
    steepness = (R1234YF.pressure_pa(kelvin + 0.01) - R1234YF.pressure_pa(kelvin - 0.01)) / 0.02
    assert found.standard_uncertainty == pytest.approx(steepness * uncertainty_k, rel=1e-3)
