"""One quantity, fitted to all its readings with what was learnt from a fixed part of them.

What is learnt (scales, tails, humps, and the sites of the readings it was learnt from) stays as it is until
the library has grown by about a sixteenth. Readings that came since are settled in one round, each by all
the others, and then everything is solved at once. So a book that grew reading by reading and one that was
fitted in one go are the same to the last digit.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.model.learning import learn
from knowngood_refdata.expected.model.passes import run
from knowngood_refdata.expected.model.problem import Frame, Tree, first_scales, frame, priors, tree
from knowngood_refdata.expected.model.settling import (
    LEVELS,
    State,
    begin,
    cavities_of,
    settled,
    settled_at,
    sites_of,
    tilted_all,
    unlabelled,
    with_slopes,
)
from knowngood_refdata.expected.model.sites import Sites

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood_refdata.expected.model.modelled import Modelled
    from knowngood_refdata.expected.model.nesting import Nesting, Places
    from knowngood_refdata.expected.model.rows import Rows
    from knowngood_refdata.expected.model.stem import Stem
    from knowngood_refdata.expected.model.vehicles import Branch

    Mask = NDArray[np.bool_]

FEWEST = 2
"""Nothing is learnt from fewer readings."""
SETTLING = 2
"""Rounds in which all readings are settled once the scales are learnt from a part of them."""
ENOUGH = 1200
"""Scales are learnt from about so many readings at most, whole configurations at a time."""


@dataclass(frozen=True, slots=True)
class Lesson:
    """What was learnt of one quantity: the frame, and the state over the readings it was learnt from."""

    frame: Frame
    nesting: Nesting
    state: State


@dataclass(frozen=True, slots=True)
class Fitted:
    """The tree over all readings of one quantity, and its state."""

    frame: Frame
    stem: Stem
    tree: Tree
    state: State

    def unit_at(self, configuration: int, unit: int) -> int | None:
        """The node of a car of a configuration's node."""
        start = self.tree.nesting.configuration.start
        first = int(start[configuration])
        end = int(start[configuration + 1]) if configuration + 1 < len(start) else len(self.tree.units)
        at = _found(self.tree.units[first:end], unit)
        return None if at is None else first + at

    def configuration_at(self, vehicle: int) -> int | None:
        """The node of a vehicle that has readings of the quantity."""
        return _found(self.tree.configurations, self.stem.number_of.get(vehicle))

    def family_at(self, branch: Branch) -> int | None:
        """The node of a family that has readings of the quantity."""
        return _found(self.tree.families, self.stem.branches.get(branch))

    def maker_at(self, maker: str) -> int | None:
        """The number of a maker that has readings of the quantity."""
        number = self.stem.makers.get(maker)
        return number if number is not None and (self.tree.nesting.maker == number).any() else None


def _found(rising: NDArray[np.int64], number: int | None) -> int | None:
    if number is None:
        return None
    at = int(np.searchsorted(rising, number))
    return at if at < len(rising) and rising[at] == number else None


def teach(what: Modelled, which: int, rows: Rows) -> Lesson | None:
    """Learn from all rows; None from fewer than two readings."""
    usable = np.isfinite(rows.values[which])
    if usable.sum() < FEWEST:
        return None
    fixed = frame(what, rows.covariates[:, usable], rows.values[which, usable], rows.stated[which, usable])
    held = priors(what, fixed)
    part = _whole_configurations(rows, usable)
    small = tree(rows, which, fixed, part)
    state = learn(small.problem, first_scales(held, fixed), held)
    if part[usable].all():
        return Lesson(fixed, small.nesting, state)
    whole = tree(rows, which, fixed, None, state.scales)
    return Lesson(fixed, whole.nesting, _settled_anew(whole, state))


def _whole_configurations(rows: Rows, usable: Mask) -> Mask:
    """Every so manieth configuration, told by the vehicle's number so that growth does not change it."""
    step = int(np.ceil(usable.sum() / ENOUGH))
    number = np.array([place.vehicle for place in rows.stem.places], dtype=np.uint64)
    mixed = (number * np.uint64(2654435761)) % np.uint64(2**32) // np.uint64(2**16)
    part = (mixed % np.uint64(step) == 0)[rows.codes[1]]
    # A few large configurations may all fall out.
    return part if (part & usable).sum() > ENOUGH // 4 else np.ones(rows.count, dtype=bool)


def _settled_anew(whole: Tree, learnt: State) -> State:
    problem, scales = whole.problem, learnt.scales
    stand, labels = begin(problem, scales), unlabelled(problem, scales)
    for _ in range(SETTLING):
        cavities = cavities_of(problem, stand, run(problem.design, stand))
        tilted = tilted_all(problem, scales, cavities, labels)
        stand, labels = settled(problem, scales, stand, cavities, tilted)
    return State(scales, stand, run(problem.design, stand), labels)


def fitted(which: int, rows: Rows, lesson: Lesson, chosen: Mask) -> Fitted:
    """All rows with what was learnt from the chosen ones."""
    grown = tree(rows, which, lesson.frame, None, lesson.state.scales)
    known = chosen[grown.rows]
    state = lesson.state if known.all() else _joined(grown, lesson, np.flatnonzero(known))
    return Fitted(lesson.frame, rows.stem, grown, state)


def fitted_without(which: int, rows: Rows, lesson: Lesson, kept: Mask) -> Fitted:
    """The rows that are kept, settled anew with the scales that were learnt from all."""
    part = tree(rows, which, lesson.frame, kept, lesson.state.scales)
    return Fitted(lesson.frame, rows.stem, part, _settled_anew(part, lesson.state))


def _joined(grown: Tree, lesson: Lesson, at: Places) -> State:
    """The sites of the lesson at the rows it knows, and new ones settled in one round."""
    problem, scales = grown.problem, lesson.state.scales
    nodes = _nodes(grown.nesting)
    old = _nodes(lesson.nesting)
    pairs = {name: (nodes[name][at], old[name]) for name in LEVELS}
    sites = _overlaid(sites_of(begin(problem, scales)), lesson, pairs)
    stand = with_slopes(problem, scales, sites)
    labels = unlabelled(problem, scales)
    here, there = pairs["configuration"]
    labels[:, here] = lesson.state.labels[:, there]
    new = {name: _all_but(len(sites[name].centre), pairs[name][0]) for name in LEVELS}
    cavities = cavities_of(problem, stand, run(problem.design, stand), new["reading"])
    sites, labels = settled_at(problem, scales, sites, cavities, labels, new)
    stand = with_slopes(problem, scales, sites)
    return State(scales, stand, run(problem.design, stand), labels)


def _all_but(count: int, known: Places) -> Places:
    left = np.ones(count, dtype=bool)
    left[known] = False
    return np.flatnonzero(left)


def _overlaid(
    sites: dict[str, Sites], lesson: Lesson, pairs: dict[str, tuple[Places, Places]]
) -> dict[str, Sites]:
    learnt = sites_of(lesson.state.stand)
    found = {}
    for name, (here, there) in pairs.items():
        both = {}
        for field in fields(Sites):
            values = getattr(sites[name], field.name).copy()
            values[here] = getattr(learnt[name], field.name)[there]
            both[field.name] = values
        found[name] = Sites(**both)
    return found


def _nodes(nesting: Nesting) -> dict[str, Places]:
    """For each reading its node of every level."""
    visit = nesting.visit.of
    unit = nesting.unit.of[visit]
    configuration = nesting.configuration.of[unit]
    return {
        "reading": np.arange(len(visit)),
        "visit": visit,
        "unit": unit,
        "configuration": configuration,
        "family": nesting.family.of[configuration],
    }
