"""What a reading to come should be: of a car that is known, or of one that borrows from its kin."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.model.outlook import Outlook
from knowngood_refdata.expected.model.settling import level_cavity, shares_of
from knowngood_refdata.expected.model.sites import Cavity, Mixture, tail, tilt
from knowngood_refdata.expected.model.vehicles import TRAITS

if TYPE_CHECKING:
    from knowngood_refdata.expected.model.fitted import Fitted
    from knowngood_refdata.expected.model.nesting import Floats
    from knowngood_refdata.expected.model.scales import Level
    from knowngood_refdata.expected.model.vehicles import Place

HELD = 4.0
"""What is held of a level's spread beforehand narrows its tails as if so many more effects were seen."""


class Basis(StrEnum):
    """The nearest kin with readings: what a range stands on."""

    UNIT = "this car"
    CONFIGURATION = "its configuration"
    FAMILY = "its family"
    MAKER = "its maker"
    ALL = "all makers"


@dataclass(frozen=True, slots=True)
class Target:
    """Whose reading is to come, and under which conditions.

    ``x`` (d,) are the covariates, ``terms`` (p,) their squares and products, ``missing`` (d,) the variance of
    those not recorded; ``stated`` is by how much the squared uncertainty of the instruments exceeds the usual
    one.
    """

    place: Place
    unit: int | None
    x: Floats
    terms: Floats
    missing: Floats
    stated: float = 0.0


@dataclass(frozen=True, slots=True)
class Kin:
    """The nearest kin: its level and its node in the tree of the quantity, None for all makers."""

    basis: Basis
    node: int | None


def nearest(fitted: Fitted, place: Place, unit: int | None) -> Kin:
    """The nearest kin that has readings."""
    configuration = fitted.configuration_at(place.vehicle)
    if configuration is not None:
        node = None if unit is None else fitted.unit_at(configuration, unit)
        return Kin(Basis.CONFIGURATION, configuration) if node is None else Kin(Basis.UNIT, node)
    family = fitted.family_at(place.branch)
    if family is not None:
        return Kin(Basis.FAMILY, family)
    maker = fitted.maker_at(place.maker)
    return Kin(Basis.ALL, None) if maker is None else Kin(Basis.MAKER, maker)


def outlook(fitted: Fitted, target: Target) -> Outlook:
    """The distribution of the reading to come, counted from the frame's origin."""
    kin = nearest(fitted, target.place, target.unit)
    below = new_parts(fitted, target, kin.basis, kin.node)
    return Outlook((_known_part(fitted, target, kin), _bend(fitted, target), *below))


def new_parts(fitted: Fitted, target: Target, basis: Basis, node: int | None) -> list[Mixture]:
    """The independent effects below the nearest kin, down to the single reading."""
    scales, kind, times = fitted.state.scales, target.place.kind, float(target.x[0])
    parts = []
    if basis is Basis.ALL:
        parts.append(_tailed(scales.maker * times**2, round(scales.maker_known + HELD)))
    if basis in (Basis.ALL, Basis.MAKER):
        parts.append(column(uncertain(scales.family), 0).times(times))
        parts.append(normal(0.0, float(target.x**2 @ scales.family_slopes)))
    if basis in (Basis.ALL, Basis.MAKER, Basis.FAMILY):
        shares = shares_of_one_more(fitted, node) if basis is Basis.FAMILY else None
        parts.append(column(uncertain(scales.configuration), 0, shares=shares).times(times))
        parts.append(normal(0.0, float(target.x**2 @ scales.configuration_slopes)))
    if basis is not Basis.UNIT:
        parts.append(column(uncertain(scales.unit), kind))
    parts.append(column(uncertain(scales.visit), kind, scales.instrument * target.stated))
    parts.append(column(uncertain(scales.reading), kind, float(scales.slope_squares @ target.missing)))
    return parts


def normal(mean: float, variance: float) -> Mixture:
    """A single normal part."""
    return Mixture(np.ones((1, 1)), np.array([[mean]]), np.array([[max(variance, 0.0)]]))


def uncertain(level: Level) -> Level:
    """The level with tails that also cover how little is known of its own spread, and without strays.

    A normal effect whose variance is known with ν degrees of freedom is Student's t; with tails of its own
    the two are joined as 1/ν = 1/ν₁ + 1/ν₂, which adds their excesses to first order.
    """
    freedom = 1.0 / (1.0 / level.freedom + 1.0 / (level.known + HELD))
    return replace(level, freedom=max(round(freedom), 1), strays=0.0)


def column(level: Level, group: int, extra: float = 0.0, shares: Floats | None = None) -> Mixture:
    """The distribution of one effect of a level."""
    mixture = level.mixture(group, extra, shares)
    shape = mixture.variance.shape
    return Mixture(
        np.broadcast_to(mixture.weight, shape), np.broadcast_to(mixture.centre, shape), mixture.variance
    )


def _tailed(variance: float, freedom: int) -> Mixture:
    weight, scale = tail(freedom)
    return Mixture(weight[:, None], np.zeros((len(weight), 1)), variance * scale[:, None])


def shares_of_one_more(fitted: Fitted, family: int | None) -> Floats | None:
    """Shares of the humps for one more configuration of a family, None for the common ones."""
    level, labels = fitted.state.scales.configuration, fitted.state.labels
    if math.isinf(level.stick):
        return None
    of = fitted.tree.nesting.family.of == family
    shares = level.stick * np.array(level.weight) + labels[:, of].sum(axis=1)
    return np.asarray(shares / shares.sum())[:, None]


def _bend(fitted: Fitted, target: Target) -> Mixture:
    bends, kind, terms = fitted.state.scales.bends, target.place.kind, target.terms
    return normal(float(bends.mean[kind] @ terms), float(terms @ bends.cov[kind] @ terms))


def _known_part(fitted: Fitted, target: Target, kin: Kin) -> Mixture:
    if kin.node is None or kin.basis is Basis.MAKER:
        row = root_row(fitted, target, kin.node)
        root = fitted.state.passed.root
        return normal(float(row @ root.mean), float(row @ root.cov @ row))
    if kin.basis is Basis.FAMILY:
        belief = fitted.state.passed.family
        mean, cov = belief.mean[:, kin.node], belief.cov[:, :, kin.node]
        return normal(float(target.x @ mean), float(target.x @ cov @ target.x))
    if kin.basis is Basis.CONFIGURATION:
        return _of_configuration(fitted, target.x, kin.node, 0.0, 0.0)
    lower = fitted.state.passed.lower
    gain = float(lower.unit_gain[kin.node])
    own = gain * float(lower.unit_pull[kin.node]) + float(fitted.state.stand.unit.centre[kin.node])
    left = target.x - gain * lower.unit_sum[:, kin.node]
    configuration = int(fitted.tree.nesting.configuration.of[kin.node])
    return _of_configuration(fitted, left, configuration, own, gain)


def _of_configuration(fitted: Fitted, x: Floats, node: int, more: float, rest: float) -> Mixture:
    """x·θ of a configuration plus a constant and an independent rest.

    Where the level has humps, the site of the configuration gives way to them: the posterior is a mixture.
    """
    state = fitted.state
    belief, deviations = state.passed.configuration, state.passed.configuration_deviations
    centre = float(x @ belief.mean[:, node]) + more
    variance = float(x @ belief.cov[:, :, node] @ x)
    level = state.scales.configuration
    if len(level.weight) == 1:
        return normal(centre, variance + rest)
    around = level_cavity(deviations, state.stand.configuration)
    one = Cavity(around.mean[[node]], around.variance[[node]])
    shares = shares_of(fitted.tree.problem, level, state.labels)[:, [node]]
    tilted = tilt(one, level.mixture(np.zeros(1, dtype=np.intp), 0.0, shares))
    spread = float(deviations.variance[0, node])
    mean = float(deviations.mean[0, node] + state.stand.configuration.centre[node])
    slope = float(x @ deviations.beside_level[:, node]) / spread
    left = max(variance - slope**2 * spread, 0.0) + rest
    return Mixture(tilted.share, centre + slope * (tilted.mean - mean), left + slope**2 * tilted.variance)


def root_row(fitted: Fitted, target: Target, maker: int | None) -> Floats:
    """What of the root adds up to the expectation of a family of the target's traits (size,)."""
    layout = fitted.tree.problem.design.root
    d = len(target.x)
    row = np.zeros(layout.size)
    row[:d] = target.x
    at = d
    for groups, which in zip(TRAITS, (target.place.kind, target.place.metering), strict=True):
        row[at + d * which : at + d * (which + 1)] = target.x
        at += d * groups
    if maker is not None:
        row[layout.makers.start + maker] = target.x[0]
    return row
