"""Whole families and configurations entered in a wrong unit: the evidence of all quantities together."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import expit

from knowngood_refdata.expected.forecasting import model_of
from knowngood_refdata.expected.mistakes import mended
from knowngood_refdata.expected.model.extract import curve_of
from knowngood_refdata.expected.nodes import node_of

if TYPE_CHECKING:
    from collections.abc import Hashable, Mapping

    from knowngood_refdata.expected.book import Book
    from knowngood_refdata.expected.forecasts import What
    from knowngood_refdata.expected.model.strays import Effects

ENTRY = 0.005
"""One group in two hundred was entered in a wrong unit (common practice, no source)."""
STANDS_OFF = 2.0
"""Nearer than so many standard deviations nothing is looked at."""


@dataclass(frozen=True, slots=True)
class Entry:
    """A mistake of entry in words, and its probability."""

    words: str
    probability: float


def entries(book: Book, level: str, among: Mapping[What, Effects]) -> dict[tuple[What, int], Entry]:
    """The likeliest mistake of entry of each group that stands off, by quantity and node.

    A mistake may lie in one quantity, or in all that it touches: then it has to better them together.
    """
    groups: dict[Hashable, dict[What, int]] = defaultdict(dict)
    standing: set[Hashable] = set()
    for what, effects in among.items():
        for number, group in enumerate(_groups(book, what, level)):
            groups[group][what] = number
            if effects.stands_off(number, STANDS_OFF):
                standing.add(group)
    found: dict[tuple[What, int], Entry] = {}
    for group in standing:
        nodes = {what: number for what, number in groups[group].items() if among[what].known(number)}
        gains = {what: _gains(book, what, level, number, among[what]) for what, number in nodes.items()}
        for what, number in nodes.items():
            entry = _likeliest(gains, what)
            if entry is not None:
                found[what, number] = entry
    return found


def _groups(book: Book, what: What, level: str) -> list[Hashable]:
    fit = book.fit_of(what)
    assert fit is not None
    if level == "family":
        branches = list(fit.stem.branches)
        return [branches[number] for number in fit.tree.families]
    return [fit.stem.places[number].vehicle for number in fit.tree.configurations]


def _gains(book: Book, what: What, level: str, number: int, among: Effects) -> dict[str, float]:
    """By how much each mistake makes the values of a node likelier: log likelihood ratios by its words."""
    node, off = node_of(book, what, level, number), float(among.around.mean[number])
    curve, ambient_k = curve_of(node.vehicles[0]), node.readings[0].conditions.ambient_k
    tried = mended(model_of(what), node.value, node.expected(off), curve, ambient_k)
    now = among.log_density(number, off)
    return {one.words: among.log_density(number, one.left) - now for one in tried}


def _likeliest(gains: Mapping[What, Mapping[str, float]], what: What) -> Entry | None:
    odds = {
        words: max(gain, sum(other.get(words, 0.0) for other in gains.values()))
        for words, gain in gains[what].items()
        if gain > 0.0
    }
    if not odds:
        return None
    words = max(odds, key=lambda one: odds[one])
    return Entry(words, float(expit(odds[words] + np.log(ENTRY))))
