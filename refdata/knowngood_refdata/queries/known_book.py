"""The book of a library as it stands: learnt once, and brought up to date when readings come or go."""

from __future__ import annotations

from dataclasses import dataclass
from threading import Lock
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

from sqlalchemy import func, select

from knowngood_refdata.expected.book import Book
from knowngood_refdata.models import Configuration, ReadingRow, SpecDecision, SpecValueRow
from knowngood_refdata.queries import readings
from knowngood_refdata.queries.whole import vehicles
from knowngood_refdata.records import Standing

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping

    from sqlalchemy import Engine

    from knowngood_refdata.store import Store


@dataclass(frozen=True, slots=True)
class _Stamp:
    """The readings of a standing by their number, and what tells that a vehicle's record was changed."""

    readings: Mapping[int, int]
    vehicles: Mapping[int, tuple[object, ...]]


class _Kept:
    """The books of one library, by standing, each with what it was made from."""

    def __init__(self) -> None:
        self.lock = Lock()
        self.books: dict[Standing, tuple[_Stamp, Book]] = {}


_KEPT: WeakKeyDictionary[Engine, _Kept] = WeakKeyDictionary()
_MAKING = Lock()


def known_book(store: Store, standing: Standing = Standing.KNOWN_GOOD) -> Book:
    """The book of all known-good readings of a library. Not for the GUI thread: it may have to learn.

    Readings of another standing, those of other shops, make a book of their own and never join this one.

    Raises
    ------
    knowngood_refdata.store.StoreError
        When the library cannot be read.
    """
    with _MAKING:
        kept = _KEPT.setdefault(store.engine, _Kept())
    with kept.lock:
        stamp = _stamp(store, standing)
        known = kept.books.get(standing)
        if known is None:
            book = _learnt(store, standing, stamp)
        elif known[0] == stamp:
            return known[1]
        else:
            book = _brought_up_to_date(store, standing, *known, stamp)
        kept.books[standing] = stamp, book
        return book


def _learnt(store: Store, standing: Standing, stamp: _Stamp) -> Book:
    return Book.of(readings.of_standing(store, standing), vehicles(store, ids=stamp.vehicles.keys()))


def _brought_up_to_date(store: Store, standing: Standing, before: _Stamp, book: Book, now: _Stamp) -> Book:
    kept = all(now.readings.get(number) == version for number, version in before.readings.items())
    if not kept or any(now.vehicles.get(number) != told for number, told in before.vehicles.items()):
        # A reading was retired or changed, or the record of a vehicle behind one: all is learnt anew.
        return _learnt(store, standing, now)
    new: Collection[int] = now.readings.keys() - before.readings.keys()
    added = readings.of_standing(store, standing, ids=new)
    return book.with_readings(added, vehicles(store, ids=now.vehicles.keys() - before.vehicles.keys()))


def _stamp(store: Store, standing: Standing) -> _Stamp:
    held = ReadingRow.standing == standing.value, ReadingRow.deleted_at.is_(None)
    on_record = select(Configuration.id).where(Configuration.deleted_at.is_(None))
    mine = select(ReadingRow.configuration_id).where(*held).distinct()
    specs = (
        select(SpecValueRow.configuration_id, func.count(), func.max(SpecValueRow.changed_at))
        .where(SpecValueRow.configuration_id.in_(mine))
        .group_by(SpecValueRow.configuration_id)
    )
    decided = (
        select(SpecDecision.configuration_id, func.count(), func.max(SpecDecision.changed_at))
        .where(SpecDecision.configuration_id.in_(mine))
        .group_by(SpecDecision.configuration_id)
    )
    cars = select(Configuration.id, Configuration.version).where(
        Configuration.id.in_(mine), Configuration.id.in_(on_record)
    )
    versions = select(ReadingRow.id, ReadingRow.version).where(
        *held, ReadingRow.configuration_id.in_(on_record)
    )
    with store.reading() as session:
        numbers = {row[0]: row[1] for row in session.execute(versions)}
        told: dict[int, tuple[object, ...]] = {row[0]: (row[1],) for row in session.execute(cars)}
        for query in (specs, decided):
            for one, count, latest in session.execute(query):
                if one in told:
                    told[one] = (*told[one], count, latest)
    return _Stamp(numbers, told)


def book_for_session(store: Store, session_id: int) -> Book:
    """The book that a session is compared with: its own readings never count as evidence for it.

    Raises
    ------
    knowngood_refdata.store.StoreError
        When the library cannot be read.
    """
    book = known_book(store)
    own = {one.id for one in book.readings if one.session_id == session_id}
    return book.without(own) if own else book
