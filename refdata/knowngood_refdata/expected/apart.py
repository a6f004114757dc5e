"""Configurations and cars that stand apart from their family, with the likeliest reason."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.model.strays import effects
from knowngood_refdata.expected.nodes import family_name, node_of
from knowngood_refdata.expected.suspects import MODELLED

if TYPE_CHECKING:
    from collections.abc import Mapping

    from knowngood_refdata.expected.book import Book
    from knowngood_refdata.expected.forecasts import What
    from knowngood_refdata.expected.model.fitted import Fitted
    from knowngood_refdata.expected.model.vehicles import Branch
    from knowngood_refdata.expected.nodes import Node
    from knowngood_refdata.records import Estimate

NOTABLE = 2.8
"""Standard deviations from the family that are worth a line (one configuration in some two hundred)."""
_BETTER = 0.4
"""Another family explains a configuration when it leaves less than this part of the squared distance."""
_SURE = 0.8
_EITHER_SIDE = 2


class Why(StrEnum):
    """The likeliest reason for standing apart."""

    WRONG_FAMILY = "reads like another family"
    SPLIT = "a split that nobody recorded"
    BAD_READING = "rests on one visit"
    OTHERWISE = "differs from its family"


@dataclass(frozen=True, slots=True)
class Apart:
    """A configuration away from its family.

    ``off`` is how far in the quantity where it shows most, in its modelled unit, ``deviations`` in standard
    deviations; ``like`` names the family it reads like.
    """

    vehicle_id: int
    name: str
    family: str
    what: What
    off: float
    deviations: float
    why: Why
    like: str = ""


@dataclass(frozen=True, slots=True)
class Split:
    """A family whose configurations fall into two heaps: a split that nobody recorded.

    ``lower`` and ``upper`` are the vehicles of either heap, ``apart`` the distance of the heaps.
    """

    family: str
    what: What
    lower: tuple[int, ...]
    upper: tuple[int, ...]
    apart: float


def splits(book: Book) -> tuple[Split, ...]:
    """Families with at least two configurations surely in either heap, or one surely in each."""
    return tuple(one for what in MODELLED if (fit := book.fit_of(what)) for one in _splits(book, what, fit))


def _splits(book: Book, what: What, fit: Fitted) -> list[Split]:
    level, labels = fit.state.scales.configuration, fit.state.labels
    if len(level.weight) == 1:
        return []
    low, high = np.argsort(level.centre)[[0, -1]]
    found = []
    for family in range(fit.tree.nesting.family.count):
        of = np.flatnonzero(fit.tree.nesting.family.of == family)
        lower, upper = of[labels[low, of] > _SURE], of[labels[high, of] > _SURE]
        if len(lower) and len(upper) and len(lower) + len(upper) > _EITHER_SIDE:
            vehicles = [
                tuple(fit.stem.places[c].vehicle for c in fit.tree.configurations[heap])
                for heap in (lower, upper)
            ]
            name = family_name([book.vehicles[vehicles[0][0]]])
            found.append(Split(name, what, vehicles[0], vehicles[1], level.centre[high] - level.centre[low]))
    return found


def apart(book: Book, families: Mapping[Branch, Mapping[What, Estimate]]) -> tuple[Apart, ...]:
    """Configurations that stand apart, the furthest first; one line each, where it shows most."""
    off = _deviations(book)
    divided = splits(book)
    found = []
    for vehicle_id, by_what in off.items():
        what = max(by_what, key=lambda one: abs(by_what[one][1]))
        if abs(by_what[what][1]) >= NOTABLE:
            found.append(_one(book, vehicle_id, what, by_what, families, divided))
    return tuple(sorted(found, key=lambda one: (-abs(one.deviations), one.vehicle_id)))


def _deviations(book: Book) -> dict[int, dict[What, tuple[float, float]]]:
    """For each vehicle the distance from its family, plain and in standard deviations."""
    found: dict[int, dict[What, tuple[float, float]]] = {}
    for what in MODELLED:
        fit = book.fit_of(what)
        if fit is None:
            continue
        among = effects(fit, "configuration")
        counts = np.bincount(fit.tree.nesting.family.of)[fit.tree.nesting.family.of]
        sd = np.hypot(among.spread, np.sqrt(among.around.variance))
        for node in np.flatnonzero(np.isfinite(among.around.variance) & (counts > 1)):
            vehicle = fit.stem.places[fit.tree.configurations[node]].vehicle
            off = float(among.around.mean[node])
            found.setdefault(vehicle, {})[what] = off, off / float(sd[node])
    return found


def _one(
    book: Book, vehicle_id: int, what: What, by_what: Mapping[What, tuple[float, float]],
    families: Mapping[Branch, Mapping[What, Estimate]], divided: tuple[Split, ...],
) -> Apart:  # fmt: skip
    vehicle = book.vehicles[vehicle_id]
    place = book.places[vehicle_id]
    like = _like(by_what, place.branch, families)
    why = Why.OTHERWISE
    if _node(book, vehicle_id, what).visits == 1:
        why = Why.BAD_READING
    elif any(vehicle_id in one.lower + one.upper and one.what == what for one in divided):
        why = Why.SPLIT
    elif like is not None:
        why = Why.WRONG_FAMILY
    named = "" if like is None or why is not Why.WRONG_FAMILY else _named(book, like)
    return Apart(vehicle_id, vehicle.name, family_name([vehicle]), what, *by_what[what], why, named)


def _node(book: Book, vehicle_id: int, what: What) -> Node:
    fit = book.fit_of(what)
    node = None if fit is None else fit.configuration_at(vehicle_id)
    assert node is not None
    return node_of(book, what, "configuration", node)


def _like(
    by_what: Mapping[What, tuple[float, float]], own: Branch,
    families: Mapping[Branch, Mapping[What, Estimate]],
) -> Branch | None:  # fmt: skip
    """The family from which a configuration would stand off far less than from its own; None for none."""
    here = families[own]
    scale = {what: off / deviations for what, (off, deviations) in by_what.items() if deviations}
    squares = sum((by_what[what][0] / scale[what]) ** 2 for what in scale)
    best, best_square = None, _BETTER * squares
    for branch, levels in families.items():
        if branch == own or branch[2] != own[2] or not scale.keys() <= levels.keys():
            continue
        shifts = {what: levels[what].value - here[what].value for what in scale}
        square = sum(((by_what[what][0] - shifts[what]) / scale[what]) ** 2 for what in scale)
        if square < best_square:
            best, best_square = branch, square
    return best


def _named(book: Book, branch: Branch) -> str:
    of = next(one for number, one in book.places.items() if one.branch == branch and number in book.vehicles)
    return family_name([book.vehicles[of.vehicle]])
