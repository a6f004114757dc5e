"""Distributions of readings to come, and the normals that stand in for what is no bell curve."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from knowngood_refdata.expected.model.outlook import Outlook
from knowngood_refdata.expected.model.sites import Cavity, Mixture, Sites, resettled, tail, tilt

PROBABILITIES = np.array([0.01, 0.05, 0.25, 0.5, 0.75, 0.95, 0.99])


def part(weights: list[float], centres: list[float], sds: list[float]) -> Mixture:
    """A mixture of one column."""
    return Mixture(np.array(weights)[:, None], np.array(centres)[:, None], np.square(sds)[:, None])


def test_a_sum_of_normals_has_the_quantiles_of_a_normal() -> None:
    outlook = Outlook((part([1.0], [2.0], [3.0]), part([1.0], [-1.0], [4.0])))
    expected = stats.norm(1.0, 5.0).ppf(PROBABILITIES)
    assert outlook.quantiles(PROBABILITIES) == pytest.approx(expected, abs=1e-5)


@settings(deadline=None, max_examples=30)
@given(st.floats(0.05, 0.95), st.floats(-30.0, 30.0), st.floats(0.3, 5.0), st.floats(0.3, 5.0))
def test_two_humps_have_the_quantiles_of_their_mixture(
    share: float, apart: float, first: float, second: float
) -> None:
    outlook = Outlook((part([share, 1.0 - share], [0.0, apart], [first, second]),))
    for at in outlook.quantiles(PROBABILITIES[1:-1]):
        below = share * stats.norm(0, first).cdf(at) + (1 - share) * stats.norm(apart, second).cdf(at)
        assert outlook.cumulative(float(at)) == pytest.approx(below, abs=2e-4)
    below = [
        share * stats.norm(0, first).cdf(at) + (1 - share) * stats.norm(apart, second).cdf(at)
        for at in outlook.quantiles(PROBABILITIES[1:-1])
    ]
    assert below == pytest.approx(PROBABILITIES[1:-1], abs=2e-4)


@pytest.mark.parametrize("freedom", [3, 5, 9, 21])
def test_a_few_normals_have_the_tails_of_students_t(freedom: int) -> None:
    # Student 1908; quantiles as tabled, here from scipy.
    weight, scale = tail(freedom)
    outlook = Outlook((Mixture(weight[:, None], np.zeros((len(weight), 1)), scale[:, None]),))
    found = outlook.quantiles(np.array([0.75, 0.95, 0.975]))
    assert found == pytest.approx(stats.t(freedom).ppf([0.75, 0.95, 0.975]), rel=0.035)


def test_the_range_of_a_future_voltage_is_the_published_one_within_rounding() -> None:
    # Hahn and Meeker, Statistical Intervals, chapter 3: mean 50.10 and s 1.31 of five voltages give 46.1 to
    # 54.1 at 95 % (figures from memory).
    weight, scale = tail(4)
    spread = 1.30958**2 * (1.0 + 1.0 / 5.0)
    outlook = Outlook((Mixture(weight[:, None], np.full((len(weight), 1), 50.10), spread * scale[:, None]),))
    assert outlook.quantiles(np.array([0.025, 0.975])) == pytest.approx([46.1, 54.1], abs=0.15)


def test_a_site_gives_its_effect_the_moments_of_the_mixture() -> None:
    mixture = part([0.6, 0.4], [0.0, 0.0], [1.0, 4.0])
    around = Cavity(np.array([3.0]), np.array([2.0]))
    tilted = tilt(around, mixture)
    x = np.linspace(-40.0, 40.0, 400_001)
    density = (0.6 * stats.norm(0, 1).pdf(x) + 0.4 * stats.norm(0, 4).pdf(x)) * stats.norm(
        3, math.sqrt(2)
    ).pdf(x)
    density /= density.sum()
    mean, variance = tilted.moments()
    assert mean[0] == pytest.approx((x * density).sum(), abs=1e-6)
    assert variance[0] == pytest.approx(((x - mean[0]) ** 2 * density).sum(), abs=1e-6)
    site = Sites(np.zeros(1), np.array([7.0]))
    for _ in range(60):
        site = resettled(site, around, tilted, 17.0)
    both = 1.0 / (1.0 / site.variance + 1.0 / around.variance)
    assert both == pytest.approx(variance, rel=1e-6)
    assert both * (site.centre / site.variance + around.mean / around.variance) == pytest.approx(
        mean, rel=1e-6
    )
