"""The model against certified values of the Statistical Reference Datasets (NIST)."""

from __future__ import annotations

import math

import numpy as np
import pytest
from tests.refdata.expected.trees import priors, problem, scales

from knowngood_refdata.expected.model.learning import learn
from knowngood_refdata.expected.model.passes import run
from knowngood_refdata.expected.model.settling import begin

# SiRstv: resistivity of silicon, five instruments with five readings each.
SILICON = np.array([
    196.3052, 196.1240, 196.1890, 196.2569, 196.3403, 196.3042, 196.3825, 196.1669, 196.3257, 196.0422,
    196.1303, 196.2005, 196.2889, 196.0343, 196.1811, 196.2795, 196.1748, 196.1494, 196.1485, 195.9885,
    196.2119, 196.1051, 196.1850, 196.0052, 196.2090,
])  # fmt: skip
BETWEEN_SS, RESIDUAL_SD = 5.11462616000000e-02, 1.04076068334656e-01
# Norris: calibration of ozone monitors, y and x.
NORRIS = np.array([
    (0.1, 0.2), (338.8, 337.4), (118.1, 118.2), (888.0, 884.6), (9.2, 10.1), (228.1, 226.5), (668.5, 666.3),
    (998.5, 996.3), (449.1, 448.6), (778.9, 777.0), (559.2, 558.2), (0.3, 0.4), (0.1, 0.6), (778.1, 775.5),
    (668.8, 666.9), (339.3, 338.0), (448.9, 447.5), (10.8, 11.6), (557.7, 556.0), (228.3, 228.1),
    (998.0, 995.8), (888.8, 887.6), (119.6, 120.2), (0.3, 0.3), (0.6, 0.3), (557.6, 556.8), (339.3, 339.1),
    (888.0, 887.2), (998.5, 999.0), (778.9, 779.0), (10.2, 11.1), (117.6, 118.3), (228.9, 229.2),
    (668.4, 669.1), (449.2, 448.9), (0.2, 0.5),
])  # fmt: skip
B0, B0_SD, B1, B1_SD = -0.262323073774029, 0.232818234301152, 1.00211681802045, 0.429796848199937e-03
NORRIS_RESIDUAL_SD = 0.884796396144373


def test_instruments_of_the_silicon_set_spread_as_certified() -> None:
    # With equal numbers restricted maximum likelihood is the analysis of variance, whose certified sums
    # give the variance between: (mean square between - mean square within) / 5.
    between = (BETWEEN_SS / 4 - RESIDUAL_SD**2) / 5
    of = np.repeat(np.arange(5), 5)
    case = problem(SILICON - 196.0, [np.zeros(25), of, of, np.arange(25)])
    start = scales(reading=0.01, configuration=0.01)
    found = learn(case, start, priors("reading", "configuration"), 1200, plain=True).scales
    assert math.sqrt(found.reading.variance[0]) == pytest.approx(RESIDUAL_SD, rel=1e-5)
    assert found.configuration.variance[0] == pytest.approx(between, rel=1e-3)


def test_a_slope_and_its_uncertainty_are_the_certified_ones() -> None:
    y, x = NORRIS.T
    n = len(y)
    case = problem(y, [np.zeros(n), np.zeros(n), np.zeros(n), np.arange(n)], x[None, :])
    stand = begin(case, scales(d=2, reading=NORRIS_RESIDUAL_SD**2))
    root = run(case.design, stand).root
    spread = np.sqrt(np.diag(root.cov))
    assert root.mean[:2] == pytest.approx([B0, B1], rel=1e-6)
    assert spread[:2] == pytest.approx([B0_SD, B1_SD], rel=1e-6)
