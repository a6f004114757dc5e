"""Learn scales and sites together: pass over the tree, renew the sites, renew the scales, again."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from knowngood_refdata.expected.model.bends import renewed
from knowngood_refdata.expected.model.humps import hump_update, recentred, stickiest, with_two_humps
from knowngood_refdata.expected.model.passes import Passed, run
from knowngood_refdata.expected.model.settling import (
    LEVELS,
    Problem,
    State,
    begin,
    cavities_of,
    settled,
    shares_of,
    sites_of,
    tilted_all,
    unlabelled,
    with_slopes,
)
from knowngood_refdata.expected.model.sites import Cavity, Mixture, Tilted
from knowngood_refdata.expected.model.spread import Prior, plain_update, updated, with_tails
from knowngood_refdata.expected.model.stretch import restretched

if TYPE_CHECKING:
    from knowngood_refdata.expected.model.nesting import Floats
    from knowngood_refdata.expected.model.passes import Stand
    from knowngood_refdata.expected.model.scales import Level, Scales

ROUNDS = 11
TAILS_AT, HUMPS_AT = (3, 7), 5
HUMP_GAIN = 6.0
"""A second hump must gain so much log likelihood: three more parameters by the rule of Schwarz, Annals of
Statistics 6 (1978) 461, for some fifty nodes."""
TAILED_FROM = 25
"""With fewer nodes the tails of a level are not learnt."""


@dataclass(frozen=True, slots=True)
class Priors:
    """What is held of each level's spread beforehand."""

    levels: dict[str, Prior]
    configuration_slopes: Prior
    family_slopes: Prior
    traits: tuple[Prior, Prior]
    maker: Prior
    bends: Prior


def learn(
    problem: Problem, scales: Scales, priors: Priors, rounds: int = ROUNDS, *, plain: bool = False
) -> State:
    """Learn everything in a fixed number of rounds; ``plain`` keeps all effects normal.

    A fixed number makes the answer a function of the readings alone.
    """
    stand, labels = begin(problem, scales), unlabelled(problem, scales)
    for turn in range(rounds):
        passed = run(problem.design, stand)
        shaped = scales if plain or not turn else reshaped(problem, scales, priors, stand, passed)
        cavities = cavities_of(problem, stand, passed)
        if not plain and turn == HUMPS_AT:
            scales = humped(problem, scales, passed, cavities)
            labels = labels if len(scales.configuration.weight) == 1 else unlabelled(problem, scales)
        if not plain and turn in TAILS_AT:
            scales = tailed(problem, scales, cavities)
        tilted = tilted_all(problem, scales, cavities, labels)
        stand, relabelled = settled(problem, scales, stand, cavities, tilted)
        scales = rescaled(problem, scales, priors, passed, tilted)
        if not plain and turn > HUMPS_AT:
            scales = moved(problem, scales, cavities, labels)
        stand, labels = with_slopes(problem, scales, sites_of(stand)), relabelled
        scales = replace(scales, bends=shaped.bends, stretch=shaped.stretch)
        problem = problem.shaped(scales)
    return State(scales, stand, run(problem.design, stand), labels)


def reshaped(problem: Problem, scales: Scales, priors: Priors, stand: Stand, passed: Passed) -> Scales:
    """Renew the bends and the stretch."""
    bends = renewed(scales.bends, priors.bends, problem, stand, passed)
    stretch = restretched(scales.stretch, problem.design.nesting.family, passed, stand)
    return replace(scales, bends=bends, stretch=stretch)


def rescaled(
    problem: Problem,
    scales: Scales,
    priors: Priors,
    passed: Passed,
    tilted: dict[str, tuple[Mixture, Tilted]],
) -> Scales:
    """Renew the spread of every level and of the slopes."""
    levels: dict[str, Any] = {}
    for name in LEVELS:
        extra = problem.besides(name, scales)
        level: Level = getattr(scales, name)
        levels[name] = updated(level, problem.groups[name], priors.levels[name], *tilted[name], extra)
    slopes: dict[str, Any] = {}
    for name in ("configuration", "family"):
        prior: Prior = getattr(priors, f"{name}_slopes")
        deviations = getattr(passed, f"{name}_deviations")
        old: Floats = getattr(scales, f"{name}_slopes")
        new = [
            plain_update(old[k], deviations.mean[k], deviations.variance[k], prior)[0] if k else 0.0
            for k in range(len(old))
        ]
        slopes[f"{name}_slopes"] = np.array(new)
    root, layout = passed.root, problem.design.root
    maker, known = plain_update(
        scales.maker, root.mean[layout.makers], np.diag(root.cov)[layout.makers], priors.maker
    )
    return replace(
        scales, **levels, **slopes, traits=_traits(problem, scales, priors, passed), maker=maker,
        maker_known=known, slope_squares=_slope_squares(problem, scales, passed),
    )  # fmt: skip


def _slope_squares(problem: Problem, scales: Scales, passed: Passed) -> Floats:
    d = len(problem.design.x)
    squares = passed.root.mean[:d] ** 2 + scales.family_slopes + sum(scales.traits, np.zeros(d))
    squares[0] = 0.0
    return np.asarray(squares)


def _traits(problem: Problem, scales: Scales, priors: Priors, passed: Passed) -> tuple[Floats, ...]:
    d = len(problem.design.x)
    at = d
    found = []
    for groups, old in zip(problem.design.nesting.traits, scales.traits, strict=True):
        part = slice(at, at + d * groups)
        mean = passed.root.mean[part].reshape(groups, d)
        spread = np.diag(passed.root.cov)[part].reshape(groups, d)
        new = [plain_update(old[k], mean[:, k], spread[:, k], priors.traits[min(k, 1)])[0] for k in range(d)]
        found.append(np.array(new))
        at += d * groups
    return tuple(found)


def tailed(problem: Problem, scales: Scales, cavities: dict[str, Cavity]) -> Scales:
    """Choose the tails of every level with enough nodes, and the share of the instruments."""
    changed: dict[str, Any] = {}
    for name in LEVELS:
        level: Level = getattr(scales, name)
        known = int(np.isfinite(cavities[name].variance).sum())
        if known >= TAILED_FROM and len(level.weight) == 1:
            extra = problem.besides(name, scales)
            changed[name] = with_tails(level, cavities[name], problem.groups[name], extra)
    return replace(scales, **changed)


def humped(problem: Problem, scales: Scales, passed: Passed, cavities: dict[str, Cavity]) -> Scales:
    """Two humps for the configurations, if these fall into two heaps about what their traits have in common.

    Looked for in the level of family and configuration together: a split that nobody recorded may take a
    whole family or a part of one.
    """
    family = problem.design.nesting.family
    off = passed.family.mean[0] - passed.above_family.mean[0]
    own = cavities["configuration"]
    whole = Cavity(own.mean + off[family.of], own.variance)
    both = replace(
        scales.configuration, variance=scales.configuration.variance + scales.family.variance,
        freedom=max(scales.configuration.freedom, scales.family.freedom),
    )  # fmt: skip
    found, gain = with_two_humps(both, whole, problem.groups["configuration"])
    if gain < HUMP_GAIN:
        return scales
    found = recentred(found)
    half = 0.5 * found.variance
    return replace(
        scales,
        configuration=replace(found, variance=np.minimum(half, scales.configuration.variance), stick=1.0),
        family=replace(scales.family, variance=np.minimum(half, scales.family.variance)),
    )


def moved(problem: Problem, scales: Scales, cavities: dict[str, Cavity], labels: Floats) -> Scales:
    """Move the humps, where there are two, and renew how much families lean to one of them."""
    level = scales.configuration
    if len(level.weight) == 1:
        return scales
    own = shares_of(problem, level, labels)
    level = hump_update(level, cavities["configuration"], problem.groups["configuration"], own)
    return replace(scales, configuration=stickiest(level, problem.design.nesting.family.sums(labels)))
