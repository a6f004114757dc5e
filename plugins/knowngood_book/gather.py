"""Look at the whole book of a library, off the GUI thread."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.expected.calibration import calibrate
from knowngood_refdata.expected.failures import failures
from knowngood_refdata.expected.patterns import find_patterns
from knowngood_refdata.expected.suspects import suspects
from knowngood_refdata.queries.known_book import known_book

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood_refdata.expected.book import Book
    from knowngood_refdata.expected.calibration import Calibration
    from knowngood_refdata.expected.failures import Failure
    from knowngood_refdata.expected.patterns import Patterns
    from knowngood_refdata.expected.suspects import Suspect
    from knowngood_refdata.store import Store


@dataclass(frozen=True, slots=True)
class WholeBook:
    """A book with its patterns and the readings that a mistake explains better than scatter."""

    book: Book
    patterns: Patterns
    suspects: tuple[Suspect, ...]


@dataclass(frozen=True, slots=True)
class Calibrated:
    """How often the ranges of a book held what they were not shown, and where they fail."""

    book: Book
    calibration: Calibration
    failures: tuple[Failure, ...]


def whole_book(store: Store, progress: Callable[[float], None] = lambda _: None) -> WholeBook:
    """The book of a library as it stands.

    Raises
    ------
    knowngood_refdata.store.StoreError
        When the library cannot be read.
    """
    book = known_book(store)
    progress(0.4)
    patterns = find_patterns(book)
    progress(0.7)
    return WholeBook(book, patterns, suspects(book))


def calibrated(book: Book, progress: Callable[[float], None] = lambda _: None) -> Calibrated:
    """Leave out cars and configurations, and count; ``progress`` may raise to stop."""
    calibration = calibrate(book, progress)
    return Calibrated(book, calibration, failures(book, calibration))
