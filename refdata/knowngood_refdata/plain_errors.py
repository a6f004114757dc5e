"""What the database layer raises, turned into errors with words."""

from __future__ import annotations

import sqlite3
from contextlib import contextmanager
from typing import TYPE_CHECKING

from sqlalchemy.exc import DatabaseError, DataError, IntegrityError, OperationalError, StatementError
from sqlalchemy.orm.exc import StaleDataError

from knowngood_refdata.errors import (
    Conflict,
    LibraryDamaged,
    LibraryLocked,
    LibraryReadOnly,
    NotFound,
    StoreError,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

_READ_ONLY = ("readonly", "read-only", "permission denied for")
_LOCKED = ("locked", "busy", "lock timeout")
_DAMAGED = ("malformed", "not a database", "disk image")


@contextmanager
def plain_errors(place: str) -> Iterator[None]:
    """Raise the `StoreError` that says what a database error inside the block means for the library.

    Parameters
    ----------
    place
        Where the library lies, for people.
    """
    try:
        yield
    except StaleDataError as error:
        raise Conflict from error
    except (StatementError, sqlite3.DatabaseError) as error:
        translated = _translated(place, error)
        if translated is None:
            raise
        raise translated from error


def damaged(place: str, detail: str) -> LibraryDamaged:
    """The error for a library that is no longer whole."""
    return LibraryDamaged(
        f"The library {place} is damaged ({detail}). It was left as it is. "
        "Keep a copy of it and go back to the last backup."
    )


def _translated(place: str, error: StatementError | sqlite3.DatabaseError) -> StoreError | None:
    cause = getattr(error, "orig", None) or error
    if isinstance(cause, StoreError):
        return cause
    text = str(cause).strip()
    lower = text.lower()
    # These two may quote what was entered; the words looked for below could be in it.
    if isinstance(error, IntegrityError):
        return _contradiction(lower)
    if isinstance(error, DataError):
        return _refused(place, text)
    if any(word in lower for word in _READ_ONLY):
        return LibraryReadOnly(
            f"The library {place} can be read but not written. Nothing was changed. "
            "Make it and its folder writable for you, or work on a copy."
        )
    if any(word in lower for word in _LOCKED):
        return LibraryLocked(
            f"Another program holds the library {place}. Nothing was changed. "
            "Close the other program, or try again in a moment."
        )
    if any(word in lower for word in _DAMAGED):
        return damaged(place, text)
    if isinstance(error, OperationalError | sqlite3.OperationalError):
        return StoreError(
            f"The library {place} cannot be used: {text}. Nothing was changed. Check the place, the network "
            "and the free space, then try again."
        )
    if isinstance(error, DatabaseError):
        return _refused(place, text)
    return None


def _refused(place: str, text: str) -> StoreError:
    return StoreError(
        f"The library {place} refused what was asked: {text}. Nothing was changed. "
        "Correct the entry and try again."
    )


def _contradiction(text: str) -> StoreError:
    if "foreign key" in text:
        return NotFound(
            "What was entered belongs to a record that the library does not hold. Nothing was stored. "
            "Look the record up again."
        )
    return Conflict(
        "Someone else entered the same at the same moment. Theirs was kept and yours was not stored. "
        "Look at it and try again."
    )
