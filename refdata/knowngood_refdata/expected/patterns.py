"""What the book shows as a whole: families with their rule, who behaves alike, who stands apart."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from scipy.cluster.hierarchy import fcluster, linkage

from knowngood_refdata.expected.apart import Apart, Split, apart, splits
from knowngood_refdata.expected.features import Leaning, family_levels, kinds, makers
from knowngood_refdata.expected.model.vehicles import KINDS
from knowngood_refdata.expected.nodes import car_of, family_name
from knowngood_refdata.expected.planes import planes
from knowngood_refdata.expected.spans import spans

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from knowngood_refdata.expected.book import Book
    from knowngood_refdata.expected.forecasts import What
    from knowngood_refdata.expected.model.nesting import Floats
    from knowngood_refdata.expected.model.vehicles import Branch
    from knowngood_refdata.expected.planes import Plane
    from knowngood_refdata.expected.spans import Span
    from knowngood_refdata.records import Estimate, Reading, Vehicle

ALIKE = 1.8
"""Families behave alike when no quantity differs by more than so many times what doubt, and a third of what
families differ by usually, would bring."""
_USUAL_PART = 1.0 / 3.0
_MARKED = 0.8


@dataclass(frozen=True, slots=True)
class FamilyPattern:
    """A system family: its levels at the middle of the book's conditions, and its response plane.

    ``levels`` are in the unit that is modelled (temperatures and differences [K], answers a doubling), as
    ``spans``, what holds most of its configurations, where there are enough.
    """

    name: str
    maker: str
    compressor: str
    vehicle_ids: tuple[int, ...]
    cars: int
    readings: int
    levels: Mapping[What, Estimate]
    plane: Plane | None
    spans: Mapping[What, Span] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Group:
    """Families that behave alike, and in what they differ from the others: *subcooling above the others*."""

    families: tuple[str, ...]
    levels: Mapping[What, float]
    marks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Patterns:
    """All patterns of a book."""

    families: tuple[FamilyPattern, ...]
    makers: tuple[Leaning, ...]
    kinds: tuple[Leaning, ...]
    groups: tuple[Group, ...]
    splits: tuple[Split, ...]
    apart: tuple[Apart, ...]


def find_patterns(book: Book) -> Patterns:
    """Look at the whole book."""
    levels = family_levels(book)
    families = _families(book, levels)
    return Patterns(families, makers(book), kinds(book), groups(families), splits(book), apart(book, levels))


def _families(book: Book, levels: Mapping[Branch, Mapping[What, Estimate]]) -> tuple[FamilyPattern, ...]:
    answers, within = planes(book), spans(book)
    members: dict[Branch, list[Vehicle]] = {}
    for number, place in book.places.items():
        members.setdefault(place.branch, []).append(book.vehicles[number])
    readings: dict[Branch, list[Reading]] = {branch: [] for branch in levels}
    for one in book.readings:
        branch = book.places[one.vehicle_id].branch
        if branch in readings:
            readings[branch].append(one)
    return tuple(
        FamilyPattern(
            family_name(members[branch]),
            members[branch][0].maker or members[branch][0].make,
            KINDS[branch[2]],
            tuple(one.id for one in members[branch]),
            len({car_of(one) for one in readings[branch]}),
            len(readings[branch]),
            levels[branch],
            answers.get(branch),
            within.get(branch, {}),
        )
        for branch in sorted(levels)
    )


def groups(families: Sequence[FamilyPattern]) -> tuple[Group, ...]:
    """Gather families by average linkage of their distances; those alone make a group of one."""
    if len(families) < 2:
        return ()
    usual = _usual(families)
    tree = linkage(_distances(families, usual), "average")
    of = fcluster(tree, ALIKE, "distance")
    gathered = [
        [one for one, own in zip(families, of, strict=True) if own == number] for number in np.unique(of)
    ]
    return tuple(_group(members, families, usual) for members in sorted(gathered, key=lambda one: -len(one)))


def _usual(families: Sequence[FamilyPattern]) -> dict[What, float]:
    """Standard deviation of the families' levels, quantity by quantity."""
    found: dict[What, list[float]] = {}
    for one in families:
        for what, level in one.levels.items():
            found.setdefault(what, []).append(level.value)
    return {what: float(np.std(values)) for what, values in found.items() if np.std(values) > 0.0}


def _distances(families: Sequence[FamilyPattern], usual: Mapping[What, float]) -> Floats:
    """Largest differences of all pairs, against doubt and what differs usually; condensed."""
    values, doubts = np.full((2, len(families), len(usual)), np.nan)
    for i, one in enumerate(families):
        for k, what in enumerate(usual):
            if what in one.levels:
                values[i, k] = one.levels[what].value
                doubts[i, k] = one.levels[what].standard_uncertainty ** 2
    allowed = (_USUAL_PART * np.array(list(usual.values()))) ** 2
    first, second = np.triu_indices(len(families), 1)
    doubt = doubts[first] + doubts[second] + 2.0 * allowed
    squares = (values[first] - values[second]) ** 2 / doubt
    both = np.isfinite(squares)
    largest = np.where(both, squares, 0.0).max(axis=1)
    # Two families without a quantity in common are not alike.
    return np.sqrt(np.where(both.any(axis=1), largest, 100.0))


def _group(
    members: Sequence[FamilyPattern], families: Sequence[FamilyPattern], usual: Mapping[What, float]
) -> Group:
    levels, marks = {}, []
    for what, spread in usual.items():
        own = [one.levels[what].value for one in members if what in one.levels]
        if not own:
            continue
        levels[what] = float(np.mean(own))
        every = [one.levels[what].value for one in families if what in one.levels]
        off = (levels[what] - float(np.mean(every))) / spread
        if abs(off) > _MARKED:
            marks.append((abs(off), f"{what} {'above' if off > 0.0 else 'below'} the others"))
    return Group(
        tuple(one.name for one in members), levels, tuple(words for _, words in sorted(marks, reverse=True))
    )
