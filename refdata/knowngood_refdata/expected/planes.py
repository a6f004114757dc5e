"""The response plane of a family: how both sides of its cars answer engine speed."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.forecasts import Side
from knowngood_refdata.expected.nodes import car_of
from knowngood_refdata.records import Estimate

if TYPE_CHECKING:
    from knowngood_refdata.expected.book import Book
    from knowngood_refdata.expected.model.fitted import Fitted
    from knowngood_refdata.expected.model.nesting import Floats
    from knowngood_refdata.expected.model.vehicles import Branch
    from knowngood_refdata.records import Reading

LEVEL_WITHIN = 0.05
"""A change of the absolute pressure by less than 5 % a doubling is called level (common practice)."""
_FEWEST = 8


@dataclass(frozen=True, slots=True)
class CarAnswer:
    """The mean answer of one car: change of ln(absolute pressure) a doubling of engine speed."""

    vehicle_id: int
    unit_id: int | None
    low: float
    high: float
    pairs: int


@dataclass(frozen=True, slots=True)
class Plane:
    """Answers of a family's cars, and the ellipse about them.

    ``low`` and ``high`` are the family's own answers with their uncertainty; ``low_spread``, ``high_spread``
    and ``correlation`` describe single readings of its cars about them: the axes of an ellipse that holds
    the share p of cars are these times sqrt(-2 ln(1 - p)).
    """

    low: Estimate
    high: Estimate
    low_spread: float
    high_spread: float
    correlation: float
    cars: tuple[CarAnswer, ...]
    rule: str


def planes(book: Book) -> dict[Branch, Plane]:
    """The plane of each family with answers on both sides."""
    low, high = book.fit_of(Side.LOW), book.fit_of(Side.HIGH)
    if low is None or high is None:
        return {}
    correlation = _correlation(_residuals(book, low, high))
    found = {}
    for branch in low.stem.branches:
        low_node, high_node = low.family_at(branch), high.family_at(branch)
        if low_node is not None and high_node is not None:
            levels = _level(low, low_node), _level(high, high_node)
            spreads = _spread(low, branch), _spread(high, branch)
            cars = _cars(book, int(low.tree.families[low_node]))
            found[branch] = Plane(*levels, *spreads, correlation, cars, rule(*levels))
    return found


def rule(low: Estimate, high: Estimate) -> str:
    """What engine speed does to both sides, in words: *low side stays level, high side falls*.

    >>> from knowngood_refdata.records import Estimate
    >>> rule(Estimate(0.01, 0.01), Estimate(-0.12, 0.02))
    'with engine speed the low side stays level and the high side falls'
    """
    return f"with engine speed the low side {_direction(low)} and the high side {_direction(high)}"


def _direction(answer: Estimate) -> str:
    doubt = 2.0 * answer.standard_uncertainty
    if abs(answer.value) + doubt < 2.0 * LEVEL_WITHIN and abs(answer.value) < LEVEL_WITHIN:
        return "stays level"
    if abs(answer.value) < doubt or abs(answer.value) < LEVEL_WITHIN:
        return "cannot be told yet"
    return "rises" if answer.value > 0.0 else "falls"


def _level(fit: Fitted, node: int) -> Estimate:
    belief = fit.state.passed.family
    spread = float(np.sqrt(belief.cov[0, 0, node]))
    return Estimate(float(belief.mean[0, node]) + fit.frame.origin, spread)


def _spread(fit: Fitted, branch: Branch) -> float:
    """Standard deviation of a reading of one more configuration about its family's level."""
    scales, kind = fit.state.scales, branch[2]
    parts = (scales.unit.whole(kind), scales.visit.whole(kind), scales.reading.whole(kind))
    return math.sqrt(float(scales.configuration.whole(0)[0]) + sum(float(part[0]) for part in parts))


def _residuals(book: Book, low: Fitted, high: Fitted) -> Floats:
    """Both answers (2, n) about their families' levels, where both were measured."""
    rows = book.part_of(Side.LOW).rows
    both = np.isfinite(rows.values).all(axis=0)
    found = []
    for values, fit in zip(rows.values, (low, high), strict=True):
        level = fit.state.passed.family.mean[0] + fit.frame.origin
        found.append((values - level[np.searchsorted(fit.tree.families, rows.codes[0])])[both])
    return np.array(found)


def _correlation(residuals: Floats) -> float:
    """Rank correlation, turned into that of a normal distribution (Kruskal, JASA 53 (1958))."""
    if residuals.shape[1] < _FEWEST:
        return 0.0
    low, high = residuals.argsort(axis=1).argsort(axis=1).astype(np.float64)
    middle = 0.5 * (len(low) - 1)
    rank = ((low - middle) * (high - middle)).mean() / low.var()
    return float(2.0 * np.sin(np.pi / 6.0 * rank))


def _cars(book: Book, family: int) -> tuple[CarAnswer, ...]:
    rows = book.part_of(Side.LOW).rows
    of = rows.codes[0] == family
    found: dict[tuple[int, int], list[int]] = {}
    for row in np.flatnonzero(of & np.isfinite(rows.values).all(axis=0)):
        found.setdefault(car_of(rows.readings[row]), []).append(int(row))
    return tuple(_car([rows.readings[row] for row in at], rows.values[:, at]) for at in found.values())


def _car(readings: list[Reading], answers: Floats) -> CarAnswer:
    low, high = float(answers[0].mean()), float(answers[1].mean())
    return CarAnswer(readings[0].vehicle_id, readings[0].unit_id, low, high, len(readings))
