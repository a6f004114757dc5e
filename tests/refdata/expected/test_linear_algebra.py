"""Passing up and down the tree gives what plain linear algebra gives, for trees of any shape."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.refdata.expected.trees import problem, scales

from knowngood_refdata.expected.model.effects import lower_effects
from knowngood_refdata.expected.model.passes import Stand, run
from knowngood_refdata.expected.model.settling import Problem, begin
from knowngood_refdata.expected.model.sites import Sites

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

FREE = 50.0


def random_case(seed: int) -> tuple[Problem, Stand]:
    """A tree of a few families, each node with one to three children, two slopes, sites of any width."""
    rng = np.random.default_rng(seed)
    codes: list[tuple[int, ...]] = [(f,) for f in range(int(rng.integers(1, 4)))]
    for _ in range(3):
        counted = [(one, i) for one in codes for i in range(int(rng.integers(1, 4)))]
        codes = [(*one, number) for number, (one, _) in enumerate(counted)]
    readings = [one for one in codes for _ in range(int(rng.integers(1, 4)))]
    of = np.array(readings).T
    n = of.shape[1]
    case = problem(rng.normal(0.0, 3.0, (n,)), list(of), rng.normal(0.0, 1.0, (2, n)))
    stand = begin(case, scales(d=3))
    widths = {
        name: Sites(rng.normal(0.0, 1.0, len(site.centre)), rng.uniform(0.2, 3.0, len(site.centre)))
        for name in ("reading", "visit", "unit", "configuration", "family")
        if (site := getattr(stand, name))
    }
    root = np.zeros(case.design.root.size)
    root[:3] = FREE
    slopes = np.array([0.0, 0.5, 1.2])
    return case, Stand(**widths, configuration_slopes=slopes, family_slopes=0.7 * slopes, root=root)


def dense(case: Problem, stand: Stand) -> tuple[Floats, Floats, dict[str, slice]]:
    """Posterior mean and covariance of all effects at once: root, families, configurations, units, visits."""
    nesting, x = case.design.nesting, case.design.x
    d, n = x.shape
    visit = nesting.visit.of
    unit = nesting.unit.of[visit]
    configuration = nesting.configuration.of[unit]
    family = nesting.family.of[configuration]
    columns, variances, centres, places = [x.T], [np.full(d, FREE)], [np.zeros(d)], {}
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
