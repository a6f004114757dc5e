"""The saturation curves against CoolProp, and what they say at their ends and beyond."""

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

from knowngood_refdata.generate_saturation import FLUIDS, tabulate
from knowngood_refdata.refrigerants import (
    DATA,
    REFRIGERANTS,
    UnknownRefrigerant,
    saturation,
    subcooling_k,
    superheat_k,
)

EQUATION = {
    "R-134a": "TillnerRoth-JPCRD-1994",
    "R-1234yf": "Lemmon-IJT-2022",
    "R-744": "Span-JPCRD-1996",
    "R-152a": "Outcalt-JPCRD-1996-R152A",
    "R-12": "Marx-BOOK-1992",
}


@pytest.mark.parametrize("name", REFRIGERANTS)
def test_the_shipped_table_is_what_the_generator_makes(name: str) -> None:
    table, facts = tabulate(FLUIDS[name])
    np.testing.assert_allclose(np.load(DATA / f"saturation_{name}.npy"), table, rtol=1e-9, atol=1e-9)
    record = json.loads((DATA / "saturation.json").read_text("utf-8"))["tables"][name]
    assert record["equation_of_state"] == EQUATION[name]
    for end in ("critical_k", "critical_pa", "lowest_k", "lowest_pa", "triple_k"):
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
        published = PropsSI("T", "P", pressure, "Q", quality, FLUIDS[name])
        assert np.abs(curve.temperature_k(pressure) - published).max() < 1e-7
    temperature = np.linspace(curve.lowest_k, curve.critical_k - 0.01, 5_003)
    expected = PropsSI("P", "T", temperature, "Q", 0, FLUIDS[name])
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
        curve.lowest_pa * 0.9: "not tabulated" if name != "R-744" else "no liquid, only gas and solid",
        0.0: "never zero or less",
        -3e4: "never zero or less",
    }
    for pressure, words in reasons.items():
        assert math.isnan(curve.temperature_k(pressure))
        assert words in curve.why_none(pressure)
    for pressure in (curve.lowest_pa, 6e5, curve.critical_pa):
        assert curve.why_none(pressure) == ""
    assert curve.why_none(math.nan) == "there is no pressure"
    assert math.isnan(curve.pressure_pa(curve.critical_k + 0.1))
    assert math.isnan(curve.slope_k_per_pa(curve.critical_pa * 1.01))


def test_r744_says_its_triple_point() -> None:
    # Span and Wagner, J. Phys. Chem. Ref. Data 25 (1996) 1509: 216.592 K (-56.558 °C), 0.51795 MPa.
    assert "triple point of R-744 (5.18 bar absolute, -56.6 °C)" in saturation("R-744").why_none(4e5)


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
    state = CoolProp.AbstractState("HEOS", FLUIDS[name])
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
    with pytest.raises(UnknownRefrigerant, match="R-134a, R-1234yf, R-744, R-152a, R-12"):
        saturation("R-22")


def test_no_samples_give_no_values() -> None:
    assert saturation("R-134a").temperature_k(np.empty(0)).shape == (0,)
