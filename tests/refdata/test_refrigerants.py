"""Saturation of R-134a and R-1234yf against published tables and against CoolProp."""

from __future__ import annotations

import json
import math
import subprocess
import sys

import CoolProp
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from knowngood_refdata.generate_saturation import tabulate
from knowngood_refdata.refrigerants import (
    DATA,
    REFRIGERANTS,
    UnknownRefrigerant,
    saturation,
    subcooling_k,
    superheat_k,
)

COOLPROP = {"R-134a": "R134a", "R-1234yf": "R1234yf"}
EQUATION = {"R-134a": "TillnerRoth-JPCRD-1994", "R-1234yf": "Lemmon-IJT-2022"}

# Tillner-Roth and Baehr, J. Phys. Chem. Ref. Data 23 (1994) 657, table 8: temperature [K], pressure [MPa].
TILLNER_ROTH = [(200.0, 0.00631), (250.0, 0.11561), (300.0, 0.70282), (350.0, 2.4611), (374.0, 4.0416)]
PRINTED = {0.00631: 1e-5, 0.11561: 1e-5, 0.70282: 1e-5, 2.4611: 1e-4, 4.0416: 1e-4}

# R-134a temperature table bundled in the package proptables 0.0.7 (no origin named): °C, kPa.
R134A_TABLE = [
    (-40, 51.2), (-32, 76.7), (-28, 92.7), (-20, 132.7), (-10, 200.6), (0, 292.8), (8, 387.6), (12, 443.0),
    (20, 571.7), (26, 685.4), (30, 770.2), (36, 911.9), (40, 1016.6), (48, 1252.9), (52, 1385.4),
    (60, 1681.8), (70, 2116.8), (80, 2633.2), (90, 3244.2),
]  # fmt: skip

# TREND 3.0, Ruhr-Universität Bochum 2016, the 2011 equation of state: K, kPa. The 2022 equation, which our
# table follows, moves the pressure by up to 0.3 % below -10 °C and by 0.05 % above.
TREND = [
    (238.48125, 80.257), (256.96250, 175.477), (275.44375, 341.124), (293.92500, 605.173),
    (312.40625, 999.312), (330.88750, 1559.820), (349.36875, 2330.667),
]  # fmt: skip

# Lemmon and Akasaka, Int. J. Thermophys. 43 (2022) 119, table 7: K, mol/dm³, MPa, cp and cv J/(mol K), m/s.
LEMMON = [
    (280.0, 11.0, 28.95760, 101.930, 139.307, 738.905),
    (280.0, 0.1, 0.2185345, 91.3497, 102.623, 141.882),
    (340.0, 8.0, 2.309798, 113.805, 195.748, 265.888),
    (340.0, 1.0, 1.855076, 113.479, 168.646, 114.354),
    (368.0, 4.2, 3.394716, 149.703, 48981.3, 76.3597),
]


@pytest.mark.parametrize(("temperature_k", "pressure_mpa"), TILLNER_ROTH)
def test_r134a_agrees_with_the_table_of_its_equation(temperature_k: float, pressure_mpa: float) -> None:
    found = saturation("R-134a").pressure_pa(temperature_k) / 1e6
    assert found == pytest.approx(pressure_mpa, abs=2 * PRINTED[pressure_mpa])


def test_r134a_boils_at_the_published_temperature_at_one_tenth_megapascal() -> None:
    # Tillner-Roth and Baehr 1994, table 8.
    assert saturation("R-134a").temperature_k(1e5) == pytest.approx(246.79, abs=0.02)


@pytest.mark.parametrize(("celsius", "kpa"), R134A_TABLE)
def test_r134a_agrees_with_a_handbook_like_table(celsius: float, kpa: float) -> None:
    found = saturation("R-134a").pressure_pa(celsius + 273.15) / 1e3
    assert found == pytest.approx(kpa, abs=0.06, rel=0.0006)


@pytest.mark.parametrize(("temperature_k", "kpa"), TREND)
def test_r1234yf_stays_within_the_known_shift_from_the_older_equation(
    temperature_k: float, kpa: float
) -> None:
    found = saturation("R-1234yf").pressure_pa(temperature_k) / 1e3
    assert found == pytest.approx(kpa, rel=0.003 if temperature_k < 263.15 else 0.0005)


@pytest.mark.parametrize(("kelvin", "mol_per_litre", "mpa", "cv", "cp", "speed"), LEMMON)
def test_the_tables_come_from_the_2022_equation_of_r1234yf(
    kelvin: float, mol_per_litre: float, mpa: float, cv: float, cp: float, speed: float
) -> None:
    state = CoolProp.AbstractState("HEOS", "R1234yf")
    state.update(CoolProp.DmolarT_INPUTS, mol_per_litre * 1e3, kelvin)
    assert state.p() / 1e6 == pytest.approx(mpa, rel=5e-7)
    assert state.cvmolar() == pytest.approx(cv, rel=5e-6)
    assert state.cpmolar() == pytest.approx(cp, rel=5e-6)
    assert state.speed_sound() == pytest.approx(speed, rel=5e-6)


def test_the_2022_equation_has_the_published_ideal_gas_limit() -> None:
    # Lemmon and Akasaka 2022, table 7, the row of density zero at 280 K.
    state = CoolProp.AbstractState("HEOS", "R1234yf")
    state.update(CoolProp.DmolarT_INPUTS, 1e-6, 280.0)
    assert state.cvmolar() == pytest.approx(89.2037, abs=1e-4)
    assert state.cpmolar() == pytest.approx(97.5182, abs=1e-4)
    assert state.speed_sound() == pytest.approx(149.388, abs=1e-3)


@pytest.mark.parametrize("name", REFRIGERANTS)
def test_the_shipped_table_is_what_the_generator_makes(name: str) -> None:
    table, facts = tabulate(COOLPROP[name])
    np.testing.assert_allclose(np.load(DATA / f"saturation_{name}.npy"), table, rtol=1e-9, atol=1e-9)
    record = json.loads((DATA / "saturation.json").read_text("utf-8"))["tables"][name]
    assert record["equation_of_state"] == EQUATION[name]
    for end in ("critical_k", "critical_pa", "lowest_k", "lowest_pa"):
        assert record[end] == pytest.approx(facts[end], rel=1e-9)


def test_a_curve_answers_without_loading_coolprop() -> None:
    program = (
        "import sys\n"
        "from knowngood_refdata.refrigerants import saturation\n"
        "saturation('R-1234yf').temperature_k(3e5)\n"
        "print('CoolProp' in sys.modules)"
    )
    answer = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert answer.stdout.strip() == "False"


@pytest.mark.parametrize("name", REFRIGERANTS)
def test_the_table_follows_coolprop_over_its_whole_range(name: str) -> None:
    curve = saturation(name)
    pressure = np.geomspace(curve.lowest_pa * (1 + 1e-9), curve.critical_pa * (1 - 1e-9), 20_011)
    for quality in (0, 1):
        published = PropsSI("T", "P", pressure, "Q", quality, COOLPROP[name])
        assert np.abs(curve.temperature_k(pressure) - published).max() < 1e-7
    temperature = np.linspace(curve.lowest_k, curve.critical_k - 0.01, 5_003)
    expected = PropsSI("P", "T", temperature, "Q", 0, COOLPROP[name])
    assert np.abs(curve.pressure_pa(temperature) / expected - 1).max() < 1e-7


@pytest.mark.parametrize("name", REFRIGERANTS)
@given(share=st.floats(0.0, 1.0))
def test_pressure_undoes_temperature(name: str, share: float) -> None:
    curve = saturation(name)
    kelvin = curve.lowest_k + share * (curve.critical_k - curve.lowest_k)
    assert curve.temperature_k(curve.pressure_pa(kelvin)) == pytest.approx(kelvin, abs=1e-9)


@pytest.mark.parametrize("name", REFRIGERANTS)
@given(share=st.floats(0.0, 1.0))
def test_temperature_undoes_pressure(name: str, share: float) -> None:
    curve = saturation(name)
    pressure = curve.lowest_pa + share * (curve.critical_pa - curve.lowest_pa)
    assert curve.pressure_pa(curve.temperature_k(pressure)) == pytest.approx(pressure, rel=1e-12)


@pytest.mark.parametrize("name", REFRIGERANTS)
def test_along_a_dense_grid_both_directions_rise_without_a_step_back(name: str) -> None:
    curve = saturation(name)
    assert np.diff(curve.temperature_k(np.linspace(curve.lowest_pa, curve.critical_pa, 100_003))).min() > 0
    assert np.diff(curve.pressure_pa(np.linspace(curve.lowest_k, curve.critical_k, 100_003))).min() > 0


@pytest.mark.parametrize("name", REFRIGERANTS)
@given(first=st.floats(0.0, 1.0), second=st.floats(0.0, 1.0))
def test_a_higher_pressure_never_belongs_to_a_lower_temperature(
    name: str, first: float, second: float
) -> None:
    curve = saturation(name)
    low, high = sorted(
        curve.lowest_pa + share * (curve.critical_pa - curve.lowest_pa) for share in (first, second)
    )
    assert curve.temperature_k(low) <= curve.temperature_k(high)


@pytest.mark.parametrize("name", REFRIGERANTS)
def test_the_ends_of_the_curve_belong_to_it(name: str) -> None:
    curve = saturation(name)
    assert curve.temperature_k(curve.critical_pa) == pytest.approx(curve.critical_k)
    assert curve.temperature_k(curve.lowest_pa) == pytest.approx(curve.lowest_k)
    assert curve.pressure_pa(curve.critical_k) == pytest.approx(curve.critical_pa)


@pytest.mark.parametrize("name", REFRIGERANTS)
def test_off_the_curve_there_is_no_number_and_the_reason_is_said(name: str) -> None:
    curve = saturation(name)
    reasons = {
        curve.critical_pa * 1.01: "there is no saturation temperature",
        curve.lowest_pa * 0.9: "not tabulated",
        0.0: "never zero or less",
        -3e4: "never zero or less",
    }
    for pressure, words in reasons.items():
        assert math.isnan(curve.temperature_k(pressure))
        assert words in curve.why_none(pressure)
    assert curve.why_none(5e5) == curve.why_none(curve.critical_pa) == ""
    assert curve.why_none(math.nan) == "there is no pressure"
    assert math.isnan(curve.pressure_pa(curve.critical_k + 0.1))
    assert math.isnan(curve.slope_k_per_pa(curve.critical_pa * 1.01))


def test_one_bad_sample_leaves_its_neighbours_alone() -> None:
    curve = saturation("R-134a")
    found = curve.temperature_k(np.array([3e5, np.nan, -1.0, 9e6, 3e5]))
    assert np.isnan(found[1:4]).all()
    assert found[0] == found[4] == curve.temperature_k(3e5)


def test_long_arrays_give_what_single_values_give() -> None:
    curve = saturation("R-1234yf")
    pressure = np.linspace(2e5, 2e6, 10_007).reshape(-1)
    found = curve.temperature_k(pressure)
    for index in (0, 4095, 4096, 8192, 10_006):
        assert found[index] == curve.temperature_k(float(pressure[index]))


@pytest.mark.parametrize("name", REFRIGERANTS)
def test_the_slope_is_that_of_the_equation_of_state(name: str) -> None:
    curve = saturation(name)
    state = CoolProp.AbstractState("HEOS", COOLPROP[name])
    for pressure in np.geomspace(curve.lowest_pa * (1 + 1e-9), curve.critical_pa * 0.9999, 307):
        state.update(CoolProp.PQ_INPUTS, pressure, 0.0)
        published = state.first_saturation_deriv(CoolProp.iT, CoolProp.iP)
        assert curve.slope_k_per_pa(float(pressure)) == pytest.approx(published, rel=2e-5)


@pytest.mark.parametrize("name", REFRIGERANTS)
def test_the_slope_goes_on_smoothly_to_the_critical_point(name: str) -> None:
    curve = saturation(name)
    just_below = curve.slope_k_per_pa(curve.critical_pa * (1 - 1e-9))
    assert curve.slope_k_per_pa(curve.critical_pa) == pytest.approx(just_below, rel=1e-4)


def test_superheat_and_subcooling_of_the_textbook_cycle() -> None:
    # Cengel and Boles, Thermodynamics, 5th edition, example 11-2, p. 615; the differences are computed.
    curve = saturation("R-134a")
    assert superheat_k(curve, 0.14e6, 263.15) == pytest.approx(8.76, abs=0.01)
    assert subcooling_k(curve, 0.72e6, 299.15) == pytest.approx(1.67, abs=0.01)


def test_an_unknown_refrigerant_is_refused_with_the_known_ones() -> None:
    with pytest.raises(UnknownRefrigerant, match="R-134a, R-1234yf"):
        saturation("R-22")


def test_no_samples_give_no_values() -> None:
    assert saturation("R-134a").temperature_k(np.empty(0)).shape == (0,)
