"""By how much each reading moves the centre of a range.

Given the sites everything is normal, so that the expectation of f = x·θ is linear in the readings y: the
derivative by y_i is Cov(f, z_i) / s_i, with z_i what is fitted to reading i and s_i the variance of its site.
Those covariances are what the fit becomes when all readings are zero and f alone pulls by one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.model.forecast import Basis, Kin, Target, root_row

if TYPE_CHECKING:
    from knowngood_refdata.expected.model.elimination import Gains
    from knowngood_refdata.expected.model.fitted import Fitted
    from knowngood_refdata.expected.model.nesting import Floats
    from knowngood_refdata.expected.model.root import RootLayout


@dataclass(frozen=True, slots=True)
class _Pull:
    """A pull at one node: what it hands on, and what it leaves at each coefficient, (d,) both."""

    up: Floats
    own: Floats


def weights(fitted: Fitted, target: Target, kin: Kin) -> Floats:
    """The derivative of the centre by each reading (n,), humps and bends held fixed."""
    design, passed = fitted.tree.problem.design, fitted.state.passed
    nesting, lower = design.nesting, passed.lower
    d = len(target.x)
    unit_pull = np.zeros(nesting.unit.count)
    configuration_pull = np.zeros((d, nesting.configuration.count))
    family_pull = np.zeros((d, nesting.family.count))
    vector, (gains, family_gains) = target.x, passed.gains
    node, basis = kin.node, kin.basis
    if basis is Basis.UNIT and node is not None:
        unit_pull[node] = lower.unit_gain[node]
        vector = vector - lower.unit_gain[node] * lower.unit_sum[:, node]
        node, basis = int(nesting.configuration.of[node]), Basis.CONFIGURATION
    if basis is Basis.CONFIGURATION and node is not None:
        pulled = _pulled(gains, node, vector)
        configuration_pull[:, node], vector = pulled.own, pulled.up
        node, basis = int(nesting.family.of[node]), Basis.FAMILY
    if basis is Basis.FAMILY and node is not None:
        pulled = _pulled(family_gains, node, vector)
        family_pull[:, node] = pulled.own
        root_pull = _at_root(design.root, node, pulled.up)
    else:
        root_pull = root_row(fitted, target, node)
    root = passed.root.cov @ root_pull
    family = _down(root[design.root.place].sum(axis=0), family_gains, family_pull)
    configuration = _down(family[:, nesting.family.of], gains, configuration_pull)
    return _at_readings(fitted, configuration, unit_pull) / fitted.state.stand.reading.variance


def _at_root(layout: RootLayout, node: int, vector: Floats) -> Floats:
    # WORKAROUND: np.add.at reads past values that are broadcast (numpy 2.4.6); bincount does not.
    places = layout.place[:, :, node]
    repeated = np.broadcast_to(vector, places.shape)
    return np.asarray(np.bincount(places.ravel(), repeated.ravel(), layout.size), dtype=np.float64)


def _pulled(gains: Gains, node: int, vector: Floats) -> _Pull:
    own, up = np.zeros(len(vector)), vector.copy()
    for k in range(len(vector)):
        own[k] = up[k]
        up = up - gains.row[k][:, node] * (gains.gain[k, node] * own[k])
    return _Pull(up, own)


def _down(mean: Floats, gains: Gains, pull: Floats) -> Floats:
    mean = mean.copy()
    for k in reversed(range(len(mean))):
        mean[k] += gains.gain[k] * (pull[k] - (gains.row[k] * mean).sum(axis=0))
    return mean


def _at_readings(fitted: Fitted, configuration: Floats, unit_pull: Floats) -> Floats:
    design, lower = fitted.tree.problem.design, fitted.state.passed.lower
    nesting = design.nesting
    of_unit = nesting.configuration.of
    unit = unit_pull - lower.unit_gain * (lower.unit_sum * configuration[:, of_unit]).sum(axis=0)
    up, down = nesting.unit.of, nesting.visit.of
    of_visit = of_unit[up]
    visit = -lower.visit_gain * (
        (lower.visit_sum * configuration[:, of_visit]).sum(axis=0) + lower.visit_weight * unit[up]
    )
    level = (design.x * configuration[:, of_visit[down]]).sum(axis=0)
    return np.asarray(level + unit[up][down] + visit[down])
