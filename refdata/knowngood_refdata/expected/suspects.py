"""Who stands so far off its kin that a mistake is likelier than scatter. Named, never dropped."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.entries import Entry, doubtful, entries
from knowngood_refdata.expected.forecasting import model_of
from knowngood_refdata.expected.forecasts import Side, What
from knowngood_refdata.expected.model.modelled import STEADY
from knowngood_refdata.expected.model.strays import Effects, effects
from knowngood_refdata.expected.nodes import node_of, of_readings
from knowngood_refdata.expected.rest_of_book import RestOfBook
from knowngood_refdata.records import Quantity

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood_refdata.expected.book import Book
    from knowngood_refdata.expected.model.fitted import Fitted
    from knowngood_refdata.expected.nodes import Node

LIKELY, POSSIBLE = 0.5, 0.35
"""A reading is named when a mistake is likelier than not; a whole group already when it is well possible."""
_STANDS_OFF = 2.0
"""Nearer than so many standard deviations nothing is named but a mistake of entry."""
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
    VISIT = "visit"
    CAR = "unit"
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
    """All of them, the largest groups first. A mistake of entry is named where it is widest."""
    rest = RestOfBook(book, doubtful(book))
    settled = np.zeros((len(STEADY), book.parts[0].rows.count), dtype=bool)
    return tuple(one for level in reversed(SuspectLevel) for one in _of(book, level, rest, settled))


def _of(book: Book, level: SuspectLevel, rest: RestOfBook, settled: NDArray[np.bool_]) -> list[Suspect]:
    fits = {what: fit for what in MODELLED if (fit := book.fit_of(what)) is not None}
    among = {what: effects(fit, level.value) for what, fit in fits.items()}
    entered = entries(book, level.value, among, rest, settled)
    return [
        _suspect(book, what, level, one, number, entered.get((what, number)))
        for what, one in among.items()
        for number in range(len(one.spread))
        if _named(what, level, one, number, entered.get((what, number)))
        and ((what, number) in entered or not _explained(fits[what], what, level, number, settled))
    ]


def _explained(fit: Fitted, what: What, level: SuspectLevel, number: int, settled: NDArray[np.bool_]) -> bool:
    """Whether a mistake that is known of already explains all readings of a node."""
    if isinstance(what, Side):
        return False
    rows = fit.tree.rows[of_readings(fit, level.value) == number]
    return bool(settled[STEADY.index(model_of(what)), rows].all())


def _named(what: What, level: SuspectLevel, among: Effects, number: int, entry: Entry | None) -> bool:
    if entry is not None and not isinstance(what, Side):
        return entry.shows(what)
    if level in (SuspectLevel.CAR, SuspectLevel.VISIT) or not among.stands_off(number, _STANDS_OFF):
        return False
    likely = float(among.mistaken[number])
    if level is SuspectLevel.READING:
        return likely > LIKELY
    return likely > POSSIBLE or abs(among.around.mean[number]) > _FAR_OFF * _deviation(among, number)


def _deviation(among: Effects, number: int) -> float:
    return float(np.hypot(among.spread[number], np.sqrt(among.around.variance[number])))


def _suspect(
    book: Book, what: What, level: SuspectLevel, among: Effects, number: int, entry: Entry | None
) -> Suspect:
    node = node_of(book, what, level.value, number)
    off, mistaken = float(among.around.mean[number]), float(among.mistaken[number])
    away, deviations = node.value - node.expected(off), abs(off) / _deviation(among, number)
    reason = _reason(level, node)
    if entry is not None:
        mistaken, reason = max(mistaken, entry.probability), f"it would fit if {entry.mistake.words}"
        if not isinstance(what, Side):
            place = STEADY.index(model_of(what))
            away, deviations = float(entry.off[place]), float(entry.deviations[place])
    vehicles, readings = (tuple(one.id for one in of) for of in (node.vehicles, node.readings))
    return Suspect(level, node.name, what, vehicles, readings, away, deviations, mistaken, reason)


def _reason(level: SuspectLevel, node: Node) -> str:
    if level is SuspectLevel.READING:
        return "a bad reading, or a car that was not healthy that day"
    if node.visits == 1:
        return "all its readings come from one visit: a bad reading is likelier than a different car"
    if level is SuspectLevel.CONFIGURATION:
        return "booked under the wrong family, or built differently without anyone having recorded it"
    return "a different design, or one mistake in all its readings"
