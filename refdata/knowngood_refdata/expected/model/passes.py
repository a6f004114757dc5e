"""One pass up and down the tree with given sites and scales: the posterior of every effect."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.model.elimination import (
    Belief,
    Deviations,
    Gains,
    Message,
    descend,
    eliminate,
)
from knowngood_refdata.expected.model.root import Root, RootLayout, belief_of_families, layout, solve_root

if TYPE_CHECKING:
    from knowngood_refdata.expected.model.nesting import Floats, Nesting, Places
    from knowngood_refdata.expected.model.sites import Sites


@dataclass(frozen=True, slots=True)
class Design:
    """What the readings of one quantity are: the tree, covariates ``x`` (d, n) led by ones, ``y`` (n,).

    In place of the ones stands how many times the level counts, where levels stretch with conditions.
    """

    nesting: Nesting
    x: Floats
    y: Floats
    pairs: tuple[Places, Places]
    products: Floats
    root: RootLayout


def design(nesting: Nesting, x: Floats, y: Floats) -> Design:
    """Prepare what every pass needs."""
    rows, columns = np.triu_indices(len(x))
    return Design(nesting, x, y, (rows, columns), x[rows] * x[columns], layout(nesting, len(x)))


def restated(design: Design, level: Floats, y: Floats) -> Design:
    """The design with the level counted so many times (n,), and other values (n,)."""
    x, products = design.x.copy(), design.products.copy()
    x[0] = level
    products[: len(x)] = level * x
    return replace(design, x=x, y=y, products=products)


@dataclass(frozen=True, slots=True)
class Stand:
    """The sites of all levels and the variances of the slopes: all that a pass starts from.

    ``reading`` to ``family`` are the sites of the level's effects; ``configuration_slopes`` and
    ``family_slopes`` (d,) the variances of the slopes' deviations, the first unused; ``root`` (size,) the
    prior variances of the root's coefficients.
    """

    reading: Sites
    visit: Sites
    unit: Sites
    configuration: Sites
    family: Sites
    configuration_slopes: Floats
    family_slopes: Floats
    root: Floats


@dataclass(frozen=True, slots=True)
class Lower:
    """What visits and units leave: for each the sums of weights times covariates, and the gain.

    ``visit_weight`` are the sums of the weights alone.
    """

    visit_weight: Floats
    visit_sum: Floats
    visit_pull: Floats
    visit_gain: Floats
    unit_sum: Floats
    unit_pull: Floats
    unit_gain: Floats


@dataclass(frozen=True, slots=True)
class Passed:
    """The posterior after one pass.

    ``below_configuration`` and ``below_family`` are the messages about the coefficients of each node from its
    own readings alone; ``configuration`` and ``family`` the beliefs from everything.
    """

    lower: Lower
    below_configuration: Message
    below_family: Message
    gains: tuple[Gains, Gains]
    root: Root
    above_family: Belief
    family: Belief
    configuration: Belief
    family_deviations: Deviations
    configuration_deviations: Deviations


def run(design: Design, stand: Stand) -> Passed:
    """Up from the readings to the root and down to the configurations."""
    nesting = design.nesting
    lower, below = rise(design, stand)
    d = len(design.x)
    configuration_variance = spread_out(stand.configuration, stand.configuration_slopes)
    up, gains = eliminate(below, configuration_variance, stand.configuration.centre)
    below_family = Message(nesting.family.sums(up.precision), nesting.family.sums(up.vector))
    family_variance = spread_out(stand.family, stand.family_slopes)
    top, family_gains = eliminate(below_family, family_variance, stand.family.centre)
    root = solve_root(top, design.root, stand.root)
    above = belief_of_families(root, design.root)
    family, family_deviations = descend(above, family_gains, stand.family.centre)
    of = nesting.family.of
    assert family.cov.shape[0] == d
    parent = Belief(family.mean[:, of], family.cov[:, :, of])
    configuration, deviations = descend(parent, gains, stand.configuration.centre)
    return Passed(
        lower, below, below_family, (gains, family_gains), root, above, family, configuration,
        family_deviations, deviations,
    )  # fmt: skip


def spread_out(sites: Sites, slopes: Floats) -> Floats:
    """Variances of all coefficients (d, n): the sites' for the level, common ones for the slopes."""
    variance = np.repeat(slopes[:, None], len(sites.variance), axis=1)
    variance[0] = sites.variance
    return variance


def rise(design: Design, stand: Stand) -> tuple[Lower, Message]:
    """Gather the readings into configurations, with the effects of visit and unit taken out."""
    nesting, x = design.nesting, design.x
    weight = 1.0 / stand.reading.variance
    visit_of, unit_of = nesting.visit.of, nesting.unit.of
    centre = stand.reading.centre + stand.visit.centre[visit_of] + stand.unit.centre[unit_of[visit_of]]
    y = design.y - centre
    weighted = weight * x
    visit_sum, visit_pull = nesting.visit.sums(weighted), nesting.visit.sums(weight * y)
    visit_weight = nesting.visit.sums(weight)
    keep = 1.0 / (1.0 + stand.visit.variance * visit_weight)
    visit_gain = stand.visit.variance * keep
    unit_sum, unit_pull = nesting.unit.sums(visit_sum * keep), nesting.unit.sums(visit_pull * keep)
    unit_gain = stand.unit.variance / (1.0 + stand.unit.variance * nesting.unit.sums(visit_weight * keep))
    rows, columns = design.pairs
    whole, visits = nesting.readings_of_configuration(), nesting.visits_of_configuration()
    units = nesting.configuration
    packed = (
        whole.sums(weight * design.products)
        - visits.sums(visit_gain * visit_sum[rows] * visit_sum[columns])
        - units.sums(unit_gain * unit_sum[rows] * unit_sum[columns])
    )
    vector = (
        whole.sums(weighted * y)
        - visits.sums(visit_gain * visit_pull * visit_sum)
        - units.sums(unit_gain * unit_pull * unit_sum)
    )
    d = len(x)
    precision = np.empty((d, d, packed.shape[1]))
    precision[rows, columns] = packed
    precision[columns, rows] = packed
    lower = Lower(visit_weight, visit_sum, visit_pull, visit_gain, unit_sum, unit_pull, unit_gain)
    return lower, Message(precision, vector)
