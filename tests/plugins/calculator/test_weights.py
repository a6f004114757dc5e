"""Weights: what scale and machine leave of a tolerance, and what a charge weighed."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_calculator.core.weights import (
    MACHINE,
    SCALES,
    Attainable,
    Charged,
    Scale,
    check_charge,
    check_tolerance,
    net_mass,
    weighing_standard_uncertainty_kg,
)
from knowngood_refdata.records import Estimate


def test_a_limit_of_error_and_a_step_of_the_display_count_as_rectangular() -> None:
    # JCGM 100:2008: limit/√3 (4.3.7), 0.29 of a step (F.2.2.1).
    assert weighing_standard_uncertainty_kg(Scale(0.003)) == pytest.approx(0.003 / math.sqrt(3.0))
    assert weighing_standard_uncertainty_kg(Scale(0.0, 0.001)) == pytest.approx(0.29e-3, rel=0.01)
    both = weighing_standard_uncertainty_kg(Scale(0.003, 0.001))
    assert both == pytest.approx(math.hypot(0.003 / math.sqrt(3.0), 0.001 / math.sqrt(12.0)))


@pytest.mark.parametrize(("charge_kg", "percent"), [(0.350, 4.3), (0.450, 3.3), (0.600, 2.5), (0.900, 1.7)])
def test_the_class_of_a_charging_machine_weighs_more_on_a_small_charge(
    charge_kg: float, percent: float
) -> None:
    # ±15 g of SAE J2788 and J2843 (from memory); the shares by hand. U with k = 2 is 2/√3 of the limit.
    found = check_tolerance(charge_kg, 0.050, Scale(0.0), MACHINE)
    assert found.share_of_charge is not None
    assert 100.0 * found.share_of_charge * math.sqrt(3.0) / 2.0 == pytest.approx(percent, abs=0.05)


def test_scale_and_machine_add_as_squares() -> None:
    # JCGM 100:2008, 5.1.2, by hand: limits of 3 g and 4 g make one of 5 g.
    found = check_tolerance(0.500, 0.020, Scale(0.003), Scale(0.004))
    assert found.expanded_kg == pytest.approx(2.0 * 0.005 / math.sqrt(3.0))


def test_the_guard_band_is_what_the_uncertainty_leaves_of_the_tolerance() -> None:
    found = check_tolerance(0.500, 0.020, Scale(0.005))
    assert found.expanded_kg is not None
    assert found.guarded_kg == pytest.approx(0.020 - found.expanded_kg)
    assert found.words == "the accuracy of the scale takes 29 % of the tolerance"
    assert found.verdict is Attainable.WITH_CARE


def test_a_scale_that_takes_less_than_a_quarter_is_fine_enough() -> None:
    # Common practice, no source: 4 to 1. Limit at the edge: 0.25 · 20 g · √3/2 = 4.33 g.
    assert check_tolerance(0.5, 0.020, Scale(0.0043)).verdict is Attainable.WITH_EASE
    assert check_tolerance(0.5, 0.020, Scale(0.0044)).verdict is Attainable.WITH_CARE


def test_a_tolerance_finer_than_the_instruments_is_called_not_attainable() -> None:
    found = check_tolerance(0.350, 0.015, SCALES[1], MACHINE)
    assert found.verdict is Attainable.NOT
    assert found.guarded_kg == 0.0
    assert "whole tolerance" in found.words


@pytest.mark.parametrize(
    ("charge_kg", "tolerance_kg", "limit_kg", "words"),
    [
        (-0.5, 0.015, 0.005, "charge"),
        (0.5, 0.0, 0.005, "tolerance"),
        (math.nan, 0.015, 0.005, "charge"),
        (0.5, 0.015, -0.005, "accuracy of a scale"),
        (0.5, 0.015, math.inf, "accuracy of a scale"),
    ],
)
def test_a_mass_or_an_accuracy_that_makes_no_sense_is_answered_in_words(
    charge_kg: float, tolerance_kg: float, limit_kg: float, words: str
) -> None:
    found = check_tolerance(charge_kg, tolerance_kg, Scale(limit_kg))
    assert found.verdict is Attainable.CANNOT_TELL
    assert words in found.words
    assert found.expanded_kg is None


def test_the_net_mass_carries_the_uncertainty_of_both_weighings() -> None:
    # JCGM 100:2008, equation 10, by hand: √2 · 5 g/√3 = 4.08 g.
    found = net_mass(8.432, 7.982, Scale(0.005))
    assert found.mass is not None
    assert found.mass.value == pytest.approx(0.450)
    assert found.mass.standard_uncertainty == pytest.approx(4.082e-3, rel=1e-3)


def test_an_offset_of_the_scale_drops_out_of_a_difference_and_its_steps_do_not() -> None:
    # JCGM 100:2008, equation 16 with r = 1: only the two steps of 1 g are left, √2 · 0.29 g.
    found = net_mass(8.432, 7.982, Scale(0.005, 0.001), correlation=1.0)
    assert found.mass is not None
    assert found.mass.standard_uncertainty == pytest.approx(0.001 / math.sqrt(6.0))


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_the_more_two_weighings_share_an_error_the_less_uncertain_their_difference(
    one: float, other: float
) -> None:
    less, more = (net_mass(8.0, 7.5, SCALES[1], correlation=r).mass for r in sorted((one, other)))
    assert less is not None
    assert more is not None
    assert more.standard_uncertainty <= less.standard_uncertainty


@pytest.mark.parametrize(
    ("before_kg", "after_kg", "correlation", "words"),
    [
        (7.0, 8.0, 0.0, "heavier"),
        (-1.0, -2.0, 0.0, "before"),
        (8.0, 0.0, 0.0, "after"),
        (8.0, 7.0, 1.5, "between 0 and 1"),
    ],
)
def test_weighings_that_make_no_sense_are_answered_in_words(
    before_kg: float, after_kg: float, correlation: float, words: str
) -> None:
    found = net_mass(before_kg, after_kg, SCALES[0], correlation)
    assert found.mass is None
    assert words in found.words


@pytest.mark.parametrize(
    ("off_g", "verdict"),
    [
        # Tolerance 20 g, expanded uncertainty 8 g: within up to 12 g, out from 28 g on.
        (0, Charged.WITHIN), (11.9, Charged.WITHIN), (-11.9, Charged.WITHIN), (12.1, Charged.CANNOT_TELL),
        (-20, Charged.CANNOT_TELL), (27.9, Charged.CANNOT_TELL), (28.1, Charged.ABOVE),
        (-28.1, Charged.BELOW),
    ],
)  # fmt: skip
def test_a_charge_near_a_limit_is_left_open_within_the_uncertainty(off_g: float, verdict: Charged) -> None:
    # Guard bands of one expanded uncertainty, JCGM 106:2012, 8.3 (from memory).
    found = check_charge(Estimate(0.450 + off_g / 1e3, 0.004), 0.450, 0.020)
    assert found.verdict is verdict
    assert found.off_kg == pytest.approx(off_g / 1e3)


def test_a_wrong_charge_is_recovered_and_weighed_in_anew() -> None:
    words = check_charge(Estimate(0.550, 0.004), 0.450, 0.020).words
    assert "recover" in words
    assert "weigh" in words


def test_a_negative_charge_is_no_charge() -> None:
    found = check_charge(Estimate(-0.1, 0.004), 0.450, 0.020)
    assert found.verdict is Charged.CANNOT_TELL
    assert found.off_kg is None
