"""The library: opened or made at the newest schema, on SQLite or PostgreSQL; reading and writing it.

Every error that a user can meet is a `StoreError` whose text says what happened, what was kept, and what
to do.
"""

from __future__ import annotations

from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from sqlalchemy.orm import Session, sessionmaker

from knowngood_refdata import auditing, engines, places, schema
from knowngood_refdata.errors import (
    Conflict,
    LibraryDamaged,
    LibraryLocked,
    LibraryMissing,
    LibraryReadOnly,
    LibraryTooNew,
    StoreError,
)
from knowngood_refdata.plain_errors import plain_errors

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from sqlalchemy import Engine

__all__ = [
    "Conflict",
    "LibraryDamaged",
    "LibraryLocked",
    "LibraryMissing",
    "LibraryReadOnly",
    "LibraryTooNew",
    "Store",
    "StoreError",
]


@dataclass(frozen=True)
class Store:
    """An open library.

    Attributes
    ----------
    place
        Where it lies, for people: a path, or a database address without its password.
    user
        Under whose name changes are recorded.
    """

    place: str
    user: str
    engine: Engine = field(repr=False)
    _readers: sessionmaker[Session] = field(repr=False)
    _writers: sessionmaker[Session] = field(repr=False)

    @classmethod
    def open(cls, target: str | Path | None = None, *, user: str = "", create: bool = True) -> Store:
        """Open a library, making or upgrading it where needed.

        Parameters
        ----------
        target
            A path of an SQLite file or any SQLAlchemy address; without it the environment variable
            ``KNOWNGOOD_LIBRARY`` decides, and then the user's data folder.
        create
            Whether a library that does not exist is made.

        Raises
        ------
        StoreError
            One of its kinds, when the library cannot be used; it is left as it was.
        """
        url = places.address(target)
        place = places.for_people(url)
        if url.get_backend_name() == "sqlite":
            places.look_at_file(url, create=create)
        engine = engines.make_engine(url)
        try:
            with plain_errors(place):
                schema.bring_to_head(engine, place, create=create)
        except BaseException:
            engine.dispose()
            raise
        return cls(
            place,
            user,
            engine,
            sessionmaker(engines.for_reading(engine), expire_on_commit=False),
            sessionmaker(engines.for_writing(engine), expire_on_commit=False),
        )

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """Read in one transaction, which sees one state of the library; nothing is written."""
        with plain_errors(self.place), self._readers() as session:
            yield session

    @contextmanager
    def writing(self, why: str = "") -> Iterator[Session]:
        """Write in one transaction: all of it is stored at the end, or nothing when anything raises.

        Raises
        ------
        Conflict
            When a row was changed by someone else since it was read.
        """
        with plain_errors(self.place), self._writers() as session:
            auditing.watch(session, self.user, why)
            yield session
            session.commit()

    def close(self) -> None:
        """Let go of the library."""
        self.engine.dispose()
