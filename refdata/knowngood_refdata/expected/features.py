"""What is learnt of each family, maker and compressor kind, as levels with their uncertainty."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.model.forecast import shares_of_one_more
from knowngood_refdata.expected.model.vehicles import KINDS, TRAITS
from knowngood_refdata.expected.suspects import MODELLED
from knowngood_refdata.records import Estimate

if TYPE_CHECKING:
    from collections.abc import Mapping

    from knowngood_refdata.expected.book import Book
    from knowngood_refdata.expected.forecasts import What
    from knowngood_refdata.expected.model.fitted import Fitted
    from knowngood_refdata.expected.model.vehicles import Branch


@dataclass(frozen=True, slots=True)
class Leaning:
    """How a maker or a compressor kind differs from all cars, quantity by quantity."""

    name: str
    families: int
    levels: Mapping[What, Estimate]


def family_levels(book: Book) -> dict[Branch, dict[What, Estimate]]:
    """Level of each family at the middle of the book's conditions, in the unit that is modelled."""
    found: dict[Branch, dict[What, Estimate]] = {}
    for what in MODELLED:
        fit = book.fit_of(what)
        if fit is None:
            continue
        branches = list(fit.stem.branches)
        for node, number in enumerate(fit.tree.families):
            found.setdefault(branches[number], {})[what] = _family(fit, node)
    return found


def _family(fit: Fitted, node: int) -> Estimate:
    """The mean of a family's configurations; where these fall into humps, as many in each as are known."""
    belief, level = fit.state.passed.family, fit.state.scales.configuration
    mean = float(belief.mean[0, node]) + fit.frame.origin
    variance = float(belief.cov[0, 0, node])
    shares = shares_of_one_more(fit, node)
    if shares is not None:
        centre = np.array(level.centre)
        hump = float(shares[:, 0] @ centre)
        mean += hump
        count = float((fit.tree.nesting.family.of == node).sum())
        variance += float(shares[:, 0] @ (centre - hump) ** 2) / (count + 1.0)
    return Estimate(mean, float(np.sqrt(variance)))


def makers(book: Book) -> tuple[Leaning, ...]:
    """By how much the families of each maker lie above those of all makers."""
    names = {name for what in MODELLED if (fit := book.fit_of(what)) for name in fit.stem.makers}
    found = []
    for name in sorted(names):
        levels, families = {}, 0
        for what in MODELLED:
            fit = book.fit_of(what)
            number = None if fit is None else fit.maker_at(name)
            if fit is not None and number is not None:
                place = fit.tree.problem.design.root.makers.start + number
                levels[what] = _root(fit, place)
                families = max(families, int((fit.tree.nesting.maker == number).sum()))
        found.append(Leaning(_shown_maker(book, name), families, levels))
    return tuple(found)


def kinds(book: Book) -> tuple[Leaning, ...]:
    """By how much the families of each compressor kind lie above all families."""
    found = []
    for number, name in enumerate(KINDS):
        levels, families = {}, 0
        for what in MODELLED:
            fit = book.fit_of(what)
            of = 0 if fit is None else int((fit.tree.nesting.blocks[0] == number).sum())
            if fit is not None and of:
                d = len(fit.frame.columns) + 1
                levels[what] = _root(fit, d + d * number)
                families = max(families, of)
        if levels:
            found.append(Leaning(name, families, levels))
    assert len(KINDS) == TRAITS[0]
    return tuple(found)


def _root(fit: Fitted, place: int) -> Estimate:
    root = fit.state.passed.root
    return Estimate(float(root.mean[place]), float(np.sqrt(root.cov[place, place])))


def _shown_maker(book: Book, folded: str) -> str:
    shown = (one.maker or one.make for one in book.vehicles.values())
    return next((name for name in shown if name.casefold() == folded), folded)
