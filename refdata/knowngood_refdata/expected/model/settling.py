"""The distributions around their cavities, and the sites renewed from them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.model.effects import lower_effects
from knowngood_refdata.expected.model.passes import Design, Passed, Stand, restated
from knowngood_refdata.expected.model.sites import Cavity, Mixture, Sites, Tilted, cavity, resettled, tilt
from knowngood_refdata.expected.model.stretch import stretched

if TYPE_CHECKING:
    from knowngood_refdata.expected.model.elimination import Deviations
    from knowngood_refdata.expected.model.nesting import Floats, Places
    from knowngood_refdata.expected.model.scales import Level, Scales

LEVELS = ("reading", "visit", "unit", "configuration", "family")


@dataclass(frozen=True, slots=True)
class Problem:
    """A quantity's readings with what their spread may depend on.

    ``groups`` give for each level the group (the compressor kind) of each node; ``stated`` (visits,) is by
    how much the squared uncertainty of the instruments of a visit exceeds that of the best usual ones.
    ``measured`` (n,) is what was read; the design has it less the bends of the ``terms`` (p, n).
    """

    design: Design
    groups: dict[str, Places]
    stated: Floats
    missing: Floats
    measured: Floats
    terms: Floats

    def besides(self, level: str, scales: Scales) -> Floats | float:
        """The variance that a node of a level has besides the level's own."""
        if level == "visit":
            return scales.instrument * self.stated
        return scales.slope_squares @ self.missing if level == "reading" else 0.0

    def shaped(self, scales: Scales) -> Problem:
        """The readings with bends taken off, and levels stretched."""
        level = stretched(scales.stretch, self.design.x)
        y = self.measured - scales.bends.at(self.groups["reading"], self.terms)
        return replace(self, design=restated(self.design, level, y))


@dataclass(frozen=True, slots=True)
class State:
    """Scales with the sites and labels that belong to them, and the last pass."""

    scales: Scales
    stand: Stand
    passed: Passed
    labels: Floats


def unlabelled(problem: Problem, scales: Scales) -> Floats:
    """Shares of the humps (humps, configurations) before anything is known of the single ones."""
    count = problem.design.nesting.family.of.size
    return np.repeat(np.array(scales.configuration.weight)[:, None], count, axis=1)


def shares_of(problem: Problem, level: Level, labels: Floats) -> Floats:
    """What the other configurations of its family make of each one's shares of the humps."""
    family = problem.design.nesting.family
    if np.isinf(level.stick):
        return np.repeat(np.array(level.weight)[:, None], family.of.size, axis=1)
    others = family.sums(labels)[:, family.of] - labels
    held = level.stick * np.array(level.weight)[:, None]
    shares = held + np.maximum(others, 0.0)
    return np.asarray(shares / shares.sum(axis=0))


def mixture_of(problem: Problem, scales: Scales, name: str, labels: Floats) -> Mixture:
    """The distribution of each effect of a level."""
    level: Level = getattr(scales, name)
    own = shares_of(problem, level, labels) if name == "configuration" else None
    return level.mixture(problem.groups[name], problem.besides(name, scales), own)


def begin(problem: Problem, scales: Scales) -> Stand:
    """Sites before anything is known of single effects."""
    sites = {
        name: getattr(scales, name).neutral(problem.groups[name], problem.besides(name, scales))
        for name in LEVELS
    }
    return with_slopes(problem, scales, sites)


def with_slopes(problem: Problem, scales: Scales, sites: dict[str, Sites]) -> Stand:
    """A stand of given sites with the slopes' and the root's variances of the scales."""
    return Stand(
        **sites, configuration_slopes=scales.configuration_slopes, family_slopes=scales.family_slopes,
        root=scales.root(problem.design.nesting, problem.design.root),
    )  # fmt: skip


def cavities_of(
    problem: Problem, stand: Stand, passed: Passed, readings: Places | None = None
) -> dict[str, Cavity]:
    """What all else says about each effect of each level; of the readings the wanted ones or all."""
    lower = lower_effects(problem.design, stand, passed, readings)
    wanted = slice(None) if readings is None else readings
    own = Sites(stand.reading.centre[wanted], stand.reading.variance[wanted])
    return {
        "reading": cavity(lower.reading.mean, lower.reading.variance, own),
        "visit": cavity(lower.visit.mean + stand.visit.centre, lower.visit.variance, stand.visit),
        "unit": cavity(lower.unit.mean + stand.unit.centre, lower.unit.variance, stand.unit),
        "configuration": level_cavity(passed.configuration_deviations, stand.configuration),
        "family": level_cavity(passed.family_deviations, stand.family),
    }


def level_cavity(deviations: Deviations, sites: Sites) -> Cavity:
    """What all else says about the levels of nodes that have coefficients."""
    return cavity(deviations.mean[0] + sites.centre, deviations.variance[0], sites)


def tilted_all(
    problem: Problem, scales: Scales, cavities: dict[str, Cavity], labels: Floats
) -> dict[str, tuple[Mixture, Tilted]]:
    """The distribution of each effect around its cavity, for all levels."""
    found = {}
    for name in LEVELS:
        mixture = mixture_of(problem, scales, name, labels)
        found[name] = mixture, tilt(cavities[name], mixture)
    return found


def settled(
    problem: Problem,
    scales: Scales,
    stand: Stand,
    cavities: dict[str, Cavity],
    tilted: dict[str, tuple[Mixture, Tilted]],
) -> tuple[Stand, Floats]:
    """Renew the sites and the labels."""
    sites = {}
    for name in LEVELS:
        whole = getattr(scales, name).whole(problem.groups[name], problem.besides(name, scales))
        sites[name] = resettled(getattr(stand, name), cavities[name], tilted[name][1], whole)
    share = tilted["configuration"][1].share
    humps = len(scales.configuration.weight)
    return with_slopes(problem, scales, sites), share.reshape(humps, -1, share.shape[1]).sum(axis=1)


def sites_of(stand: Stand) -> dict[str, Sites]:
    """The sites of a stand by level."""
    return {name: getattr(stand, name) for name in LEVELS}


def settled_at(
    problem: Problem,
    scales: Scales,
    sites: dict[str, Sites],
    cavities: dict[str, Cavity],
    labels: Floats,
    at: dict[str, Places],
) -> tuple[dict[str, Sites], Floats]:
    """The sites and labels of some nodes of each level renewed, the others as they are.

    The cavities of readings are those of the nodes alone.
    """
    found, renewed = {}, labels.copy()
    for name in LEVELS:
        level: Level = getattr(scales, name)
        here, besides = at[name], problem.besides(name, scales)
        group = problem.groups[name][here]
        extra = besides if isinstance(besides, float) else besides[here]
        own = shares_of(problem, level, labels)[:, here] if name == "configuration" else None
        every = cavities[name]
        around = every if name == "reading" else Cavity(every.mean[here], every.variance[here])
        old = Sites(sites[name].centre[here], sites[name].variance[here])
        tilted = tilt(around, level.mixture(group, extra, own))
        new = resettled(old, around, tilted, level.whole(group, extra))
        centre, variance = sites[name].centre.copy(), sites[name].variance.copy()
        centre[here], variance[here] = new.centre, new.variance
        found[name] = Sites(centre, variance)
        if name == "configuration":
            parts = len(tilted.share) // len(labels)
            renewed[:, here] = tilted.share.reshape(len(labels), parts, len(here)).sum(axis=1)
    return found, renewed
