"""Where a family's configurations lie, from its own readings alone: tolerance intervals, nothing borrowed.

The ranges of the book borrow from kin and hold for one car under today's conditions. A shop that wants one
line for a family, good for all its configurations, asks for another thing: what holds most of them, as sure
as so few can make it. Every configuration counts once, with the mean of its cars at the middle of the book's
conditions, because cars of one configuration are too much alike to count for themselves.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.suspects import MODELLED
from knowngood_refdata.expected.tolerance import two_sided_factor

if TYPE_CHECKING:
    from collections.abc import Mapping

    from knowngood_refdata.expected.book import Book
    from knowngood_refdata.expected.forecasts import What
    from knowngood_refdata.expected.model.fitted import Fitted
    from knowngood_refdata.expected.model.nesting import Floats, Places
    from knowngood_refdata.expected.model.vehicles import Branch

COVERAGE, CONFIDENCE = 0.90, 0.95
FEWEST = 3
"""Two configurations say next to nothing of the others: the factor is 31, and falls to 8 with the third."""


@dataclass(frozen=True, slots=True)
class Span:
    """What holds `COVERAGE` of a family's configurations with `CONFIDENCE`, in the unit that is modelled."""

    low: float
    high: float
    configurations: int


def spans(book: Book) -> Mapping[Branch, Mapping[What, Span]]:
    """The span of each family and quantity with at least `FEWEST` configurations."""
    found: dict[Branch, dict[What, Span]] = {}
    for what in MODELLED:
        fit = book.fit_of(what)
        if fit is None:
            continue
        branches = list(fit.stem.branches)
        levels, family = _levels(fit), fit.tree.nesting.family.of
        for node, number in enumerate(fit.tree.families):
            own = levels[family == node]
            if len(own) >= FEWEST:
                found.setdefault(branches[number], {})[what] = span_of(own)
    return found


def span_of(levels: Floats) -> Span:
    """The span of some levels (n,).

    Raises
    ------
    ValueError
        For fewer than two levels.
    """
    half = two_sided_factor(len(levels), COVERAGE, CONFIDENCE) * float(levels.std(ddof=1))
    middle = float(levels.mean())
    return Span(middle - half, middle + half, len(levels))


def _levels(fit: Fitted) -> Floats:
    """Level of each configuration at the middle of the book's conditions, the mean of its cars', (n,)."""
    problem, nesting = fit.tree.problem, fit.tree.nesting
    unit = nesting.unit.of[nesting.visit.of]
    of = nesting.configuration.of[unit]
    slopes = fit.state.passed.configuration.mean[:, of]
    x = problem.design.x
    straight = problem.measured - fit.state.scales.bends.at(problem.groups["reading"], problem.terms)
    # What conditions do to this configuration is taken off, its level at the middle put back.
    there = straight - (x * slopes).sum(axis=0) + slopes[0] + fit.frame.origin
    cars = _means(there, unit, len(fit.tree.units))
    return _means(cars, nesting.configuration.of, len(fit.tree.configurations))


def _means(values: Floats, of: Places, count: int) -> Floats:
    totals = np.bincount(of, values, minlength=count)
    return np.asarray(totals / np.bincount(of, minlength=count))
