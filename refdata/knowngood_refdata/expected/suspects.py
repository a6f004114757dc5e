"""Who stands so far off its kin that a mistake is likelier than scatter. Named, never dropped."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.entries import STANDS_OFF, Entry, entries
from knowngood_refdata.expected.forecasting import model_of
from knowngood_refdata.expected.forecasts import Side, What
from knowngood_refdata.expected.mistakes import explained
from knowngood_refdata.expected.model.extract import curve_of
from knowngood_refdata.expected.model.strays import Effects, effects
from knowngood_refdata.expected.nodes import node_of
from knowngood_refdata.records import Quantity

if TYPE_CHECKING:
    from knowngood_refdata.expected.book import Book
    from knowngood_refdata.expected.nodes import Node

LIKELY, POSSIBLE = 0.5, 0.35
"""A reading is named when a mistake is likelier than not; a whole group already when it is well possible."""
_FAR_OFF = 4.5
"""A group further off than so many standard deviations is named whatever the reason."""
MODELLED: tuple[What, ...] = (
    Quantity.EVAPORATING,
    Quantity.CONDENSING_ABOVE_AMBIENT,
    Quantity.SUPERHEAT,
    Quantity.SUBCOOLING,
    Quantity.VENT,
    Side.LOW,
    Side.HIGH,
)
"""What has a model of its own; both pressures follow from the first two."""


class SuspectLevel(StrEnum):
    """Where the mistake is."""

    READING = "reading"
    CONFIGURATION = "configuration"
    FAMILY = "family"


@dataclass(frozen=True, slots=True)
class Suspect:
    """One that stands off its kin, and why.

    ``off`` is how far, in the unit that is modelled, ``deviations`` in standard deviations of such effects
    as they were learnt, ``probability`` that of a mistake.
    """

    level: SuspectLevel
    name: str
    what: What
    vehicle_ids: tuple[int, ...]
    reading_ids: tuple[int, ...]
    off: float
    deviations: float
    probability: float
    reason: str


def suspects(book: Book) -> tuple[Suspect, ...]:
    """All of them, the largest groups first."""
    return tuple(one for level in reversed(SuspectLevel) for one in _of(book, level))


def _of(book: Book, level: SuspectLevel) -> list[Suspect]:
    fits = {what: fit for what in MODELLED if (fit := book.fit_of(what)) is not None}
    among = {what: effects(fit, level.value) for what, fit in fits.items()}
    entered = {} if level is SuspectLevel.READING else entries(book, level.value, among)
    found = [
        _suspect(book, what, level, one, number, entered.get((what, number)))
        for what, one in among.items()
        for number in range(len(one.spread))
        if one.stands_off(number, STANDS_OFF)
    ]
    return [one for one in found if _named(one)]


def _named(one: Suspect) -> bool:
    if one.level is SuspectLevel.READING:
        return one.probability > LIKELY
    return one.probability > POSSIBLE or one.deviations > _FAR_OFF


def _suspect(
    book: Book, what: What, level: SuspectLevel, among: Effects, number: int, entry: Entry | None
) -> Suspect:
    node = node_of(book, what, level.value, number)
    off, mistaken = float(among.around.mean[number]), float(among.mistaken[number])
    deviation = float(np.hypot(among.spread[number], np.sqrt(among.around.variance[number])))
    likely = entry is not None and entry.probability > POSSIBLE
    return Suspect(
        level,
        node.name,
        what,
        tuple(one.id for one in node.vehicles),
        tuple(one.id for one in node.readings),
        node.value - node.expected(off),
        abs(off) / deviation,
        mistaken if entry is None else max(mistaken, entry.probability),
        f"it would fit if {entry.words}" if entry is not None and likely else _reason(what, level, node, off),
    )


def _reason(what: What, level: SuspectLevel, node: Node, off: float) -> str:
    ambient_k = node.readings[0].conditions.ambient_k
    curve = curve_of(node.vehicles[0])
    entry = explained(model_of(what), node.value, node.expected(off), curve, ambient_k)
    if entry is not None:
        return f"it would fit if {entry.words}"
    if level is SuspectLevel.READING:
        return "a bad reading, or a car that was not healthy that day"
    if node.visits == 1:
        return "all its readings come from one visit: a bad reading is likelier than a different car"
    if level is SuspectLevel.CONFIGURATION:
        return "booked under the wrong family, or built differently without anyone having recorded it"
    return "a different design, or one mistake in all its readings"
