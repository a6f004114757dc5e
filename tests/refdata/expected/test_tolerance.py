"""Tolerance and prediction intervals against published factors and worked examples."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import chi2, norm

from knowngood_refdata.expected.tolerance import one_sided_factor, prediction_factor, two_sided_factor

# Berthouex and Brown, Statistics for Environmental Engineers, table 21.1: two-sided factors at 95 %
# confidence for coverages of 90, 95 and 99 %.
BERTHOUEX = [
    (4, 5.37, 6.34, 8.22),
    (5, 4.29, 5.08, 6.60),
    (6, 3.73, 4.42, 5.76),
    (8, 3.16, 3.75, 4.89),
    (10, 2.86, 3.39, 4.44),
    (12, 2.67, 3.17, 4.16),
    (15, 2.49, 2.96, 3.89),
    (20, 2.32, 2.76, 3.62),
    (25, 2.22, 2.64, 3.46),
    (30, 2.15, 2.55, 3.35),
    (40, 2.06, 2.45, 3.22),
    (60, 1.96, 2.34, 3.07),
]


def howe(n: int, coverage: float, confidence: float) -> float:
    """Howe's approximation (1969), as the NIST/SEMATECH e-Handbook prints it in 7.2.6.3."""
    z = norm.ppf(0.5 + 0.5 * coverage)
    return float(math.sqrt((n - 1) * (1.0 + 1.0 / n) * z**2 / chi2.ppf(1.0 - confidence, n - 1)))


@pytest.mark.parametrize(("n", "of_90", "of_95", "of_99"), BERTHOUEX)
def test_two_sided_factors_are_those_of_a_published_table(
    n: int, of_90: float, of_95: float, of_99: float
) -> None:
    for coverage, published in ((0.90, of_90), (0.95, of_95), (0.99, of_99)):
        # Printed with two decimals, the third sometimes cut off.
        assert two_sided_factor(n, coverage, 0.95) == pytest.approx(published, abs=0.0075)


# Odeh and Owen 1980, three decimals (from memory): coverage and confidence 95 %.
@pytest.mark.parametrize(("n", "published"), [(5, 5.077), (10, 3.393), (20, 2.760), (50, 2.382)])
def test_two_sided_factors_are_exact(n: int, published: float) -> None:
    assert two_sided_factor(n, 0.95, 0.95) == pytest.approx(published, abs=6e-4)


def test_the_worked_example_of_the_nist_handbook() -> None:
    # NIST/SEMATECH e-Handbook 7.2.6.3: 43 wafers, mean 97.07, s 0.0268; 99 % confidence, 90 % coverage. The
    # handbook takes Howe's approximation, 2.2173; the exact one-sided factor is 1.8740 (from memory).
    assert howe(43, 0.90, 0.99) == pytest.approx(2.2173159, abs=1e-7)
    assert two_sided_factor(43, 0.90, 0.99) == pytest.approx(2.2173159, rel=0.003)
    assert one_sided_factor(43, 0.90, 0.99) == pytest.approx(1.8740, abs=1e-4)
    low, high = (97.07 + sign * two_sided_factor(43, 0.90, 0.99) * 0.0268 for sign in (-1.0, 1.0))
    assert low == pytest.approx(97.010576, abs=2e-4)
    assert high == pytest.approx(97.129424, abs=2e-4)


def test_the_factor_for_the_next_value_is_that_of_hahn_and_meeker() -> None:
    # Hahn and Meeker, Statistical Intervals, ch. 3: five voltages, factor 3.04, interval 46.1 to 54.1; 90 %
    # coverage with 95 % confidence has the factor 4.29 (all from memory).
    voltages = np.array([50.3, 48.3, 49.6, 50.4, 51.9])
    factor = prediction_factor(5, 0.95)
    assert factor == pytest.approx(3.04, abs=0.005)
    ends = voltages.mean() + factor * voltages.std(ddof=1) * np.array([-1.0, 1.0])
    assert ends == pytest.approx([46.1, 54.1], abs=0.05)
    assert two_sided_factor(5, 0.90, 0.95) == pytest.approx(4.29, abs=0.005)


@settings(max_examples=20, deadline=None)
@given(st.integers(3, 200), st.sampled_from([0.5, 0.9, 0.99]), st.sampled_from([0.5, 0.9, 0.95]))
def test_howes_approximation_is_near_and_more_values_need_less(
    n: int, coverage: float, confidence: float
) -> None:
    exact = two_sided_factor(n, coverage, confidence)
    assert exact == pytest.approx(howe(n, coverage, confidence), rel=0.07)
    assert exact > one_sided_factor(n, coverage, 0.5 + 0.5 * confidence) * 0.5
    if confidence > 0.5:
        assert two_sided_factor(n + 1, coverage, confidence) < exact


def test_samples_hold_as_much_as_is_said_as_often_as_is_said() -> None:
    rng = np.random.default_rng(8)
    draws = rng.normal(size=(40_000, 6))
    mean, sd = draws.mean(axis=1), draws.std(axis=1, ddof=1)
    factor = two_sided_factor(6, 0.90, 0.95)
    covered = norm.cdf(mean + factor * sd) - norm.cdf(mean - factor * sd)
    assert (covered >= 0.90).mean() == pytest.approx(0.95, abs=0.004)


@pytest.mark.parametrize(("n", "coverage"), [(1, 0.9), (5, 0.0), (5, 1.0)])
def test_without_spread_or_with_an_impossible_share_there_is_no_factor(n: int, coverage: float) -> None:
    with pytest.raises(ValueError, match=r"needs 2 values|between 0 and 1"):
        two_sided_factor(n, coverage, 0.95)
