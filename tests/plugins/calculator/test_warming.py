"""Grams as CO2 equivalent, with the report named."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_calculator.core.warming import RECORDS_FROM_KG, Bound, co2_equivalent, mass_of
from knowngood_refdata.facts import AssessmentReport, gwp

TAR, AR4, AR5, AR6 = AssessmentReport


@pytest.mark.parametrize(
    ("name", "kg", "report", "co2_kg"),
    [
        # By hand from the values of the reports.
        ("R-134a", 0.700, AR4, 1001.0),
        ("R-134a", 0.700, AR5, 910.0),
        ("R-134a", 0.700, TAR, 910.0),
        ("R-134a", 0.700, AR6, 1071.0),
        ("R-1234yf", 0.500, AR4, 2.0),
        ("R-1234yf", 0.500, AR6, 0.2505),
    ],
)
def test_a_charge_as_co2_depends_on_the_report(
    name: str, kg: float, report: AssessmentReport, co2_kg: float
) -> None:
    found = co2_equivalent(kg, gwp(name, report))
    assert found.mass_kg == pytest.approx(co2_kg)
    assert found.bound is Bound.EXACT
    assert found.report is report
    assert str(report.year) in found.words


def test_the_threshold_of_five_tonnes_in_kilograms_of_r134a() -> None:
    # Regulation (EU) 2024/573: 5 t (from memory); 5000/1430.
    found = mass_of(RECORDS_FROM_KG, gwp("R-134a", AR4))
    assert found.mass_kg == pytest.approx(3.4965, abs=5e-5)


def test_a_report_that_only_bounds_the_potential_bounds_the_answer() -> None:
    found = co2_equivalent(0.500, gwp("R-1234yf", AR5))
    assert (found.bound, found.mass_kg) == (Bound.LESS_THAN, 0.5)
    back = mass_of(RECORDS_FROM_KG, gwp("R-1234yf", AR5))
    assert (back.bound, back.mass_kg) == (Bound.MORE_THAN, 5000.0)


def test_no_refrigerant_is_no_warming_even_under_a_bound() -> None:
    assert co2_equivalent(0.0, gwp("R-1234yf", AR5)).bound is Bound.EXACT


def test_a_report_without_a_value_is_answered_in_words() -> None:
    found = co2_equivalent(0.500, gwp("R-1234yf", TAR))
    assert found.mass_kg is None
    assert "no warming potential" in found.words


def test_a_value_that_the_report_does_not_hold_itself_says_so() -> None:
    assert "does not list it" in co2_equivalent(0.5, gwp("R-1234yf", AR4)).words


@pytest.mark.parametrize("kg", [-0.1, math.nan, math.inf])
def test_a_mass_below_zero_is_answered_in_words(kg: float) -> None:
    for found in (co2_equivalent(kg, gwp("R-134a", AR4)), mass_of(kg, gwp("R-134a", AR4))):
        assert found.mass_kg is None
        assert "zero or more" in found.words


@given(st.floats(0.0, 1e3), st.sampled_from(AssessmentReport))
def test_the_mass_of_an_equivalent_leads_back_to_the_charge(kg: float, report: AssessmentReport) -> None:
    potential = gwp("R-134a", report)
    co2_kg = co2_equivalent(kg, potential).mass_kg
    assert co2_kg is not None
    assert mass_of(co2_kg, potential).mass_kg == pytest.approx(kg)
