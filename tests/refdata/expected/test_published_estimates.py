"""Partial pooling against published estimates of general statistics."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from tests.refdata.expected.trees import priors, problem, scales

from knowngood_refdata.expected.model.learning import learn
from knowngood_refdata.expected.model.passes import run
from knowngood_refdata.expected.model.settling import State, begin
from knowngood_refdata.expected.model.sites import Sites

# Davies and Goldsmith 1972, section 6.4: yields of six batches of dyestuff, five samples each.
DYESTUFF = (
    (1545, 1440, 1440, 1520, 1580), (1540, 1555, 1490, 1560, 1495), (1595, 1550, 1605, 1510, 1560),
    (1445, 1440, 1595, 1465, 1545), (1595, 1630, 1515, 1635, 1625), (1520, 1455, 1450, 1480, 1445),
)  # fmt: skip
# Box and Tiao 1973: the same plan, with less between the batches than chance alone brings.
DYESTUFF_2 = (
    (7.298, 3.846, 2.434, 9.566, 7.990), (5.220, 6.556, 0.608, 11.788, -0.892),
    (0.110, 10.386, 13.434, 5.510, 8.166), (2.212, 4.852, 7.092, 9.288, 4.980),
    (0.282, 9.014, 4.458, 9.446, 7.198), (1.722, 4.782, 8.106, 0.758, 3.758),
)  # fmt: skip
# Davies and Goldsmith 1972, section 6.5: strength of paste, ten deliveries, three casks, two tests each
# (data from memory; that they give the published estimates confirms them).
PASTES = np.array([
    62.8, 62.6, 60.1, 62.3, 62.7, 63.1, 60.0, 61.4, 57.5, 56.9, 61.1, 58.9, 58.7, 57.5, 63.9,
    63.1, 65.4, 63.7, 57.1, 56.4, 56.9, 58.6, 64.7, 64.5, 55.1, 55.1, 54.7, 54.2, 58.8, 57.5,
    63.4, 64.9, 59.3, 58.1, 60.5, 60.0, 62.5, 62.6, 61.0, 58.7, 56.9, 57.7, 59.2, 59.4, 65.2,
    66.0, 64.8, 64.1, 54.8, 54.8, 64.0, 64.0, 57.7, 56.8, 58.3, 59.3, 59.2, 59.2, 58.9, 56.6,
])  # fmt: skip
# Rubin 1981: effects of coaching in eight schools and their standard errors.
SCHOOLS = np.array([28.0, 8.0, -3.0, 7.0, -1.0, 1.0, 18.0, 12.0])
SCHOOL_ERRORS = np.array([15.0, 10.0, 16.0, 11.0, 9.0, 11.0, 10.0, 18.0])


def one_way(groups: tuple[tuple[float, ...], ...], rounds: int = 400) -> State:
    """Learn the spread between groups and within from nothing but the data."""
    y = [value for group in groups for value in group]
    of = [number for number, group in enumerate(groups) for _ in group]
    n = len(y)
    case = problem(y, [[0] * n, of, of, list(range(n))])
    start = scales(reading=float(np.var(y)), configuration=float(np.var(y)))
    return learn(case, start, priors("reading", "configuration"), rounds, plain=True)


def test_the_spread_of_dyestuff_batches_is_the_published_one() -> None:
    # Restricted maximum likelihood: 42.00 between and 49.51 within; standard error of the mean 19.38.
    state = one_way(DYESTUFF)
    assert math.sqrt(state.scales.configuration.variance[0]) == pytest.approx(42.00060, rel=1e-5)
    assert math.sqrt(state.scales.reading.variance[0]) == pytest.approx(49.51010, rel=1e-5)
    root = state.passed.root
    assert root.mean[0] == pytest.approx(1527.5, rel=1e-7)
    assert math.sqrt(root.cov[0, 0]) == pytest.approx(19.38341, rel=1e-5)


def test_batches_are_drawn_to_their_mean_as_published() -> None:
    offsets = one_way(DYESTUFF).passed.configuration_deviations.mean[0]
    assert offsets == pytest.approx([-17.6069, 0.3913, 28.5622, -23.0845, 56.7332, -44.9953], abs=2e-3)


def test_batches_that_differ_less_than_by_chance_have_no_spread_of_their_own() -> None:
    # Published: no variance between; within 3.7156843 (restricted), mean 5.6656.
    state = one_way(DYESTUFF_2)
    assert state.scales.configuration.variance[0] < 1e-4 * state.scales.reading.variance[0]
    assert math.sqrt(state.scales.reading.variance[0]) == pytest.approx(3.7156843, rel=1e-4)
    assert state.passed.root.mean[0] == pytest.approx(5.6656, rel=1e-6)
    assert state.passed.configuration_deviations.mean[0] == pytest.approx(np.zeros(6), abs=1e-3)


def test_casks_within_deliveries_spread_as_published() -> None:
    # Standard deviations 2.9041 of casks, 1.2874 of deliveries, 0.8234 of tests; mean 60.0533, standard
    # error 0.6769: the published fit of a general package for mixed models (from memory).
    casks = np.repeat(np.arange(30), 2)
    case = problem(PASTES, [casks // 3, casks, casks, np.arange(60)])
    start = scales(reading=1.0, configuration=4.0, family=4.0)
    state = learn(case, start, priors("reading", "configuration", "family"), 1500, plain=True)
    found = [math.sqrt(level.variance[0]) for level in (
        state.scales.configuration, state.scales.family, state.scales.reading,
    )]  # fmt: skip
    assert found == pytest.approx([2.9041, 1.2874, 0.8234], abs=6e-5)
    assert state.passed.root.mean[0] == pytest.approx(60.0533, abs=5e-5)
    assert math.sqrt(state.passed.root.cov[0, 0]) == pytest.approx(0.6769, abs=6e-5)


@pytest.mark.parametrize(
    ("spread", "mean", "schools"),
    [
        (5.0, 7.8510, (9.866, 7.881, 6.886, 7.705, 5.763, 6.678, 9.881, 8.148)),
        (10.0, 8.1265, (14.241, 8.063, 5.001, 7.617, 3.084, 4.902, 13.063, 9.040)),
    ],
)
def test_eight_schools_are_drawn_together_as_the_closed_form_says(
    spread: float, mean: float, schools: tuple[float, ...]
) -> None:
    # Gelman et al., Bayesian Data Analysis, section 5.5: given the spread all follows in closed form.
    numbers = list(range(8))
    case = problem(SCHOOLS, [[0] * 8, numbers, numbers, numbers])
    stand = begin(case, scales(configuration=spread**2))
    errors = Sites(np.zeros(8), SCHOOL_ERRORS**2)
    passed = run(case.design, replace(stand, reading=errors))
    assert passed.root.mean[0] == pytest.approx(mean, abs=1e-4)
    assert passed.configuration.mean[0] == pytest.approx(schools, abs=1e-3)
