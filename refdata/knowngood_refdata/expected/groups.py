"""Which readings belong together at a level: a family, a configuration, a car, a visit, one reading."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.forecasts import Side
from knowngood_refdata.expected.nodes import car_of, of_readings

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterable

    from knowngood_refdata.expected.book import Book
    from knowngood_refdata.expected.forecasts import What
    from knowngood_refdata.expected.model.nesting import Places
    from knowngood_refdata.records import Reading


@dataclass(frozen=True, slots=True)
class Group:
    """The node of a group in each quantity; ``rows`` are its places among the rows of steady quantities."""

    nodes: dict[What, int]
    rows: Places


def groups_of(book: Book, level: str, quantities: Iterable[What]) -> list[Group]:
    """All groups of a level that have readings of the quantities."""
    nodes: dict[Hashable, dict[What, int]] = defaultdict(dict)
    rows: dict[Hashable, set[int]] = defaultdict(set)
    for what in quantities:
        fit, part = book.fit_of(what), book.part_of(what)
        assert fit is not None
        of = of_readings(fit, level)
        order = np.argsort(of, kind="stable")
        for below in np.split(order, np.flatnonzero(np.diff(of[order])) + 1):
            places = fit.tree.rows[below]
            key = _key(book, level, part.rows.readings[places[0]], int(part.rows.codes[3, places[0]]))
            nodes[key][what] = int(of[below[0]])
            if not isinstance(what, Side):
                rows[key].update(places.tolist())
    return [Group(nodes[key], np.array(sorted(rows[key]), dtype=np.intp)) for key in nodes if rows[key]]


def _key(book: Book, level: str, reading: Reading, visit: int) -> Hashable:
    if level == "family":
        return book.places[reading.vehicle_id].branch
    if level == "configuration":
        return reading.vehicle_id
    if level == "unit":
        return car_of(reading)
    return (*car_of(reading), visit) if level == "visit" else reading.id
