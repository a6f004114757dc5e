"""The library: opened or made at the newest schema, on SQLite or PostgreSQL; reading and writing it.

Every error that a user can meet is a `StoreError` whose text says what happened, what was kept, and what
to do.
"""

from __future__ import annotations

import os
import sqlite3
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from platformdirs import user_data_path
from sqlalchemy import create_engine, event, make_url
from sqlalchemy.exc import DatabaseError, OperationalError
from sqlalchemy.orm import Session, sessionmaker
from sqlalchemy.orm.exc import StaleDataError

from knowngood_refdata import auditing, schema
from knowngood_refdata.errors import (
    Conflict,
    LibraryDamaged,
    LibraryLocked,
    LibraryMissing,
    LibraryReadOnly,
    LibraryTooNew,
    StoreError,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy import URL, Connection, Engine

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

BUSY_S = 5.0


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
        url = _address(target)
        place = url.render_as_string(hide_password=True)
        if url.get_backend_name() == "sqlite":
            place = url.database or "memory"
            _look_at_file(url, create=create)
        engine = _engine(url)
        try:
            with _plain_errors(place):
                schema.bring_to_head(engine, place)
        except StoreError:
            engine.dispose()
            raise
        return cls(
            place,
            user,
            engine,
            sessionmaker(engine, expire_on_commit=False),
            sessionmaker(engine.execution_options(immediate=True), expire_on_commit=False),
        )

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """Read in one transaction; nothing is written."""
        with _plain_errors(self.place), self._readers() as session:
            yield session

    @contextmanager
    def writing(self, why: str = "") -> Iterator[Session]:
        """Write in one transaction: all of it is stored at the end, or nothing when anything raises.

        Raises
        ------
        Conflict
            When a row was changed by someone else since it was read.
        """
        with _plain_errors(self.place), self._writers() as session:
            auditing.watch(session, self.user, why)
            yield session
            session.commit()

    def close(self) -> None:
        """Let go of the library."""
        self.engine.dispose()


def _address(target: str | Path | None) -> URL:
    if target is None:
        target = os.environ.get("KNOWNGOOD_LIBRARY") or default_path()
    text = str(target)
    if "://" not in text:
        return make_url("sqlite://").set(database=str(Path(text).expanduser().resolve()))
    url = make_url(text)
    if url.drivername in ("postgresql", "postgres"):
        return url.set(drivername="postgresql+psycopg")
    return url


def default_path() -> Path:
    """Where the library lies when nothing else is said."""
    folder = os.environ.get("KNOWNGOOD_DATA")
    return (Path(folder) if folder else user_data_path("knowngood", appauthor=False)) / "library.sqlite"


def _engine(url: URL) -> Engine:
    if url.get_backend_name() != "sqlite":
        return create_engine(url)
    engine = create_engine(url, connect_args={"timeout": BUSY_S, "check_same_thread": False})
    event.listen(engine, "connect", _prepare_sqlite)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def _prepare_sqlite(connection: sqlite3.Connection, _record: object) -> None:
    # SQLAlchemy says when a transaction begins; the driver must not begin one by itself.
    connection.isolation_level = None
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA synchronous = NORMAL")
    try:
        connection.execute("PRAGMA journal_mode = WAL")
    except sqlite3.OperationalError:
        # A read-only library keeps the journal it has; writing to it is refused where it is tried.
        return


def _begin_sqlite(connection: Connection) -> None:
    immediate = connection.get_execution_options().get("immediate")
    connection.exec_driver_sql("BEGIN IMMEDIATE" if immediate else "BEGIN")


def _look_at_file(url: URL, *, create: bool) -> None:
    """Find out what can be known of the file before anything is written to it."""
    if not url.database or url.database == ":memory:" or url.query.get("uri"):
        return
    path = Path(url.database)
    if not path.exists():
        if not create:
            raise LibraryMissing(
                f"There is no library at {path}. Nothing was changed. "
                "Check the path, or let a new one be made."
            )
        _make_folder(path)
        return
    if path.is_dir():
        raise LibraryDamaged(f"{path} is a folder, not a library. Nothing was changed. Name a file in it.")
    if path.stat().st_size == 0:
        return
    with path.open("rb") as file:
        if file.read(16) != b"SQLite format 3\0":
            raise LibraryDamaged(
                f"{path} is no Knowngood library. It was not touched. Name another file, or a new one."
            )
    if Path(f"{path}-wal").exists():
        _check_after_unclean_end(path)


def _make_folder(path: Path) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise LibraryMissing(
            f"The folder for the library, {path.parent}, cannot be made: {error.strerror}. "
            "Nothing was changed. Choose another place."
        ) from error


def _check_after_unclean_end(path: Path) -> None:
    """The last program did not close the library: see that it is whole before working with it."""
    with _plain_errors(str(path)):
        connection = sqlite3.connect(path, timeout=BUSY_S)
        try:
            (verdict,) = connection.execute("PRAGMA quick_check(1)").fetchone()
        finally:
            connection.close()
    if verdict != "ok":
        raise LibraryDamaged(_damaged(str(path), str(verdict)))


@contextmanager
def _plain_errors(place: str) -> Iterator[None]:
    """Turn what the database layer raises into errors with words."""
    try:
        yield
    except StaleDataError as error:
        raise Conflict(
            "Someone else changed this record since it was shown. Their version was kept and yours was not "
            "stored. Look at the new version and enter your change again."
        ) from error
    except (DatabaseError, sqlite3.DatabaseError) as error:
        translated = _translated(place, error)
        if translated is None:
            raise
        raise translated from error


def _translated(place: str, error: Exception) -> StoreError | None:
    text = str(getattr(error, "orig", error)).strip()
    lower = text.lower()
    if "readonly" in lower or "read-only" in lower:
        return LibraryReadOnly(
            f"The library {place} can be read but not written. Nothing was changed. "
            "Make the file and its folder writable, or work on a copy."
        )
    if "locked" in lower or "busy" in lower:
        return LibraryLocked(
            f"Another program holds the library {place}. Nothing was changed. "
            "Close the other program, or try again in a moment."
        )
    if "malformed" in lower or "not a database" in lower or "disk image" in lower:
        return LibraryDamaged(_damaged(place, text))
    if isinstance(error, OperationalError | sqlite3.OperationalError):
        return StoreError(
            f"The library {place} cannot be used: {text}. Nothing was changed. Check the place, the network "
            "and the free space, then try again."
        )
    return None


def _damaged(place: str, detail: Any) -> str:
    return (
        f"The library {place} is damaged ({detail}). It was left as it is. "
        "Keep a copy of it and go back to the last backup."
    )
