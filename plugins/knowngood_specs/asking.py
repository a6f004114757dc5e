"""Ask the book what a vehicle should read, off the GUI thread."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.expected.comparison import compare_window, expect
from knowngood_refdata.expected.forecasts import Subject
from knowngood_refdata.local_air import local_air
from knowngood_refdata.queries.known_book import book_for_session, known_book
from knowngood_refdata.records import Standing
from knowngood_specs.reading_words import evidence_words, match_words

if TYPE_CHECKING:
    from knowngood_refdata.expected.book import Book
    from knowngood_refdata.expected.comparison import Expectation, WindowComparison
    from knowngood_refdata.records import SessionInfo, SteadyWindow, Vehicle
    from knowngood_refdata.store import Store
    from knowngood_specs.core.met_points import MetPoint


@dataclass(frozen=True, slots=True)
class Asked:
    """A steady window of a session in hand, or conditions that readings were taken under."""

    standing: Standing
    vehicle: Vehicle
    session: SessionInfo | None
    window: SteadyWindow | None
    met: MetPoint | None


@dataclass(frozen=True, slots=True)
class Answered:
    """What the book says: a comparison with the window, or a bare expectation."""

    compared: WindowComparison | None
    expected: Expectation | None
    barometer_pa: float
    evidence: str
    sheet_words: str


def answered(store: Store, asked: Asked) -> Answered:
    """Ask the book of one standing.

    Raises
    ------
    knowngood_refdata.store.StoreError
        When the library cannot be read.
    """
    if asked.session is not None and asked.window is not None:
        now = asked.session.conditions
        book = _book(store, asked)
        compared = compare_window(book, asked.vehicle, asked.session.unit_id, now, asked.window)
        forecasts = [one.forecast for one in compared.strips]
        air_pa = local_air(now.barometer_pa, now.altitude_m).pressure_pa
        return Answered(compared, None, air_pa, evidence_words(forecasts), match_words(compared.sheet))
    assert asked.met is not None
    expected = expect(known_book(store, asked.standing), Subject(asked.vehicle, None, asked.met.point))
    forecasts = [one.forecast for one in expected.quantities]
    words = match_words(expected.sheet)
    return Answered(None, expected, asked.met.barometer_pa, evidence_words(forecasts), words)


def _book(store: Store, asked: Asked) -> Book:
    if asked.standing is Standing.KNOWN_GOOD and asked.session is not None:
        return book_for_session(store, asked.session.id)
    return known_book(store, asked.standing)
