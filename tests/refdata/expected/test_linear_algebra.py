"""Passing up and down the tree gives what plain linear algebra gives, for trees of any shape."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.refdata.expected.trees import FREE_ROOT, random_case

from knowngood_refdata.expected.model.effects import lower_effects
from knowngood_refdata.expected.model.passes import run, spread_out
from knowngood_refdata.expected.model.stretch import beside_level

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood_refdata.expected.model.passes import Stand
    from knowngood_refdata.expected.model.settling import Problem

    Floats = NDArray[np.float64]


def dense(case: Problem, stand: Stand) -> tuple[Floats, Floats, dict[str, slice]]:
    """Posterior mean and covariance of all effects at once: root, families, configurations, units, visits."""
    nesting, x = case.design.nesting, case.design.x
    d, n = x.shape
    visit = nesting.visit.of
    unit = nesting.unit.of[visit]
    configuration = nesting.configuration.of[unit]
    family = nesting.family.of[configuration]
    columns, variances, centres, places = [x.T], [np.full(d, FREE_ROOT)], [np.zeros(d)], {}
    at = d
    for name, of, sites, slopes in (
        ("family", family, stand.family, stand.family_slopes),
        ("configuration", configuration, stand.configuration, stand.configuration_slopes),
    ):
        count = len(sites.variance)
        block = np.zeros((n, count, d))
        block[np.arange(n), of] = x.T
        columns.append(block.reshape(n, -1))
        spread = np.tile(slopes, (count, 1))
        spread[:, 0] = sites.variance
        centre = np.zeros((count, d))
        centre[:, 0] = sites.centre
        variances.append(spread.ravel())
        centres.append(centre.ravel())
        places[name] = slice(at, at + count * d)
        at += count * d
    for name, of, sites in (("unit", unit, stand.unit), ("visit", visit, stand.visit)):
        columns.append(np.eye(len(sites.variance))[of])
        variances.append(sites.variance)
        centres.append(sites.centre)
        places[name] = slice(at, at + len(sites.variance))
        at += len(sites.variance)
    z, prior = np.hstack(columns), np.concatenate(variances)
    centre = np.concatenate(centres)
    weight = 1.0 / stand.reading.variance
    residual = case.design.y - stand.reading.centre - z @ centre
    gain = np.diag(prior) @ z.T @ np.linalg.inv(z @ np.diag(prior) @ z.T + np.diag(1.0 / weight))
    mean = centre + gain @ residual
    return mean, np.diag(prior) - gain @ z @ np.diag(prior), places


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000))
def test_effects_and_their_variances_are_those_of_the_whole_matrix(seed: int) -> None:
    case, stand = random_case(seed)
    mean, cov, places = dense(case, stand)
    passed = run(case.design, stand)
    lower = lower_effects(case.design, stand, passed)
    assert passed.root.mean[:3] == pytest.approx(mean[:3], abs=1e-8)
    assert passed.root.cov[:3, :3] == pytest.approx(cov[:3, :3], abs=1e-8)
    for name, deviations, sites in (
        ("family", passed.family_deviations, stand.family),
        ("configuration", passed.configuration_deviations, stand.configuration),
    ):
        expected = mean[places[name]].reshape(-1, 3).T.copy()
        expected[0] -= sites.centre
        assert deviations.mean == pytest.approx(expected, abs=1e-8)
        spread = np.diag(cov)[places[name]].reshape(-1, 3).T
        assert deviations.variance[0] == pytest.approx(spread[0], abs=1e-8)
    for name, effects, sites in (("unit", lower.unit, stand.unit), ("visit", lower.visit, stand.visit)):
        assert effects.mean + sites.centre == pytest.approx(mean[places[name]], abs=1e-8)
        assert effects.variance == pytest.approx(np.diag(cov)[places[name]], abs=1e-8)


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000))
def test_a_configuration_is_root_family_and_its_own_part_together(seed: int) -> None:
    case, stand = random_case(seed)
    mean, cov, places = dense(case, stand)
    passed = run(case.design, stand)
    node = 0
    pick = np.zeros((3, len(mean)))
    pick[:, :3] = np.eye(3)
    pick[:, places["family"]][:, :3] = np.eye(3)
    pick[:, places["configuration"]][:, :3] = np.eye(3)
    assert passed.configuration.mean[:, node] == pytest.approx(pick @ mean, abs=1e-8)
    assert passed.configuration.cov[:, :, node] == pytest.approx(pick @ cov @ pick.T, abs=1e-8)


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000))
def test_how_slopes_deviate_together_with_the_level_is_that_of_the_whole_matrix(seed: int) -> None:
    case, stand = random_case(seed)
    _, cov, places = dense(case, stand)
    passed = run(case.design, stand)
    found = beside_level(
        passed.below_family, passed.above_family, spread_out(stand.family, stand.family_slopes)
    )
    at = places["family"].start + 3 * np.arange(case.design.nesting.family.count)
    expected = [cov[at, at + k] for k in range(3)]
    assert found == pytest.approx(np.array(expected), abs=1e-8)
