"""What can go wrong with a library. Every text says what happened, what was kept, and what to do."""

from __future__ import annotations


class StoreError(Exception):
    """The library cannot do what was asked."""


class LibraryMissing(StoreError):  # noqa: N818 - these names say what is the case
    """There is no library at the place named."""


class LibraryReadOnly(StoreError):  # noqa: N818
    """The library can be read but not written."""


class LibraryLocked(StoreError):  # noqa: N818
    """Another program holds the library."""


class LibraryTooNew(StoreError):  # noqa: N818
    """A newer version of the program made this library."""


class LibraryDamaged(StoreError):  # noqa: N818
    """The file is no library, or no longer whole."""


class Conflict(StoreError):  # noqa: N818
    """A row was changed by someone else in the meantime."""

    def __init__(
        self,
        words: str = "Someone else changed this record since it was shown. Their version was kept and yours "
        "was not stored. Look at the new version and enter your change again.",
    ) -> None:
        super().__init__(words)


class NotFound(StoreError):  # noqa: N818
    """There is no such record, or it was deleted."""


class UnfitValue(StoreError, ValueError):  # noqa: N818
    """A value that one of the databases would change or refuse: it is refused before it gets there."""
