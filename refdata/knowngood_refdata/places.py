"""Where a library lies, and what can be known of it before it is touched."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path

from platformdirs import user_data_path
from sqlalchemy import URL, make_url
from sqlalchemy.exc import ArgumentError

from knowngood_refdata.errors import LibraryDamaged, LibraryMissing, LibraryReadOnly, StoreError
from knowngood_refdata.plain_errors import damaged, plain_errors

_MAGIC = b"SQLite format 3\0"


def default_path() -> Path:
    """Where the library lies when nothing else is said."""
    folder = os.environ.get("KNOWNGOOD_DATA")
    return (Path(folder) if folder else user_data_path("knowngood", appauthor=False)) / "library.sqlite"


def address(target: str | Path | None) -> URL:
    """The address of a library named by a path, by an address, or by the environment.

    Raises
    ------
    StoreError
        When the text is no address.
    """
    if target is None:
        target = os.environ.get("KNOWNGOOD_LIBRARY") or default_path()
    text = str(target)
    if "://" not in text:
        return make_url("sqlite://").set(database=str(Path(text).expanduser().resolve()))
    try:
        url = make_url(text)
    except ArgumentError as error:
        raise StoreError(
            "The address of the library cannot be read. Nothing was opened. Write it like "
            "postgresql://user@server/library, or name a file."
        ) from error
    if url.drivername in ("postgresql", "postgres"):
        return url.set(drivername="postgresql+psycopg")
    return url


def for_people(url: URL) -> str:
    """The place as it is shown: a path, or an address without its password."""
    if url.get_backend_name() == "sqlite":
        return url.database or "memory"
    return url.render_as_string(hide_password=True)


def look_at_file(url: URL, *, create: bool) -> None:
    """See that an SQLite file can become or is a library, before anything is written to it.

    Raises
    ------
    LibraryMissing, LibraryReadOnly, LibraryDamaged
        When it cannot; the file is left as it was.
    """
    if not url.database or url.database == ":memory:" or url.query.get("uri"):
        return
    path = Path(url.database)
    try:
        if not path.exists():
            _prepare_folder(path, create=create)
        elif path.is_dir():
            raise LibraryDamaged(
                f"{path} is a folder, not a library. Nothing was changed. Name a file in it."
            )
        elif path.stat().st_size:
            _look_inside(path)
        elif not create:
            raise LibraryMissing(
                f"{path} is an empty file, not a library. Nothing was changed. "
                "Check the path, or let a new library be made."
            )
    except PermissionError as error:
        raise LibraryReadOnly(
            f"{path} may not be read by you. Nothing was changed. "
            "Ask whoever looks after this computer for access to it and its folder."
        ) from error


def _prepare_folder(path: Path, *, create: bool) -> None:
    if not create:
        raise LibraryMissing(
            f"There is no library at {path}. Nothing was changed. Check the path, or let a new one be made."
        )
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise LibraryMissing(
            f"The folder for the library, {path.parent}, cannot be made: {error.strerror}. "
            "Nothing was changed. Choose another place."
        ) from error


def _look_inside(path: Path) -> None:
    with path.open("rb") as file:
        if file.read(len(_MAGIC)) != _MAGIC:
            raise LibraryDamaged(
                f"{path} is no Knowngood library. It was not touched. Name another file, or a new one."
            )
    if _is_of_another_program(path):
        raise not_ours(str(path))
    # The journal goes away when the last program lets go of the library.
    if _journal(path).exists():
        _check_after_unclean_end(path)


def _journal(path: Path) -> Path:
    return Path(f"{path}-wal")


def not_ours(place: str) -> LibraryDamaged:
    """The error for a database that some other program keeps."""
    return LibraryDamaged(
        f"{place} is a database, but no Knowngood library. It was not touched. "
        "Name another one, or a new one."
    )


def _is_of_another_program(path: Path) -> bool:
    # Our own connections would already change a setting in the file, and one that merely reads would leave
    # an empty journal behind, as if there had been an unclean end.
    how = "mode=ro" if _journal(path).exists() else "immutable=1"
    connection = sqlite3.connect(f"{path.resolve().as_uri()}?{how}", uri=True, timeout=0)
    try:
        rows = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
    except sqlite3.DatabaseError:
        # Opening it properly tells what is wrong.
        return False
    finally:
        connection.close()
    return bool(rows) and ("alembic_version",) not in rows


def _check_after_unclean_end(path: Path) -> None:
    """See that a library is whole, unless another program works with it just now."""
    with plain_errors(str(path)):
        connection = sqlite3.connect(path, timeout=0)
        try:
            # Only whoever is alone with the library gets this lock: then the journal was left behind.
            connection.execute("PRAGMA locking_mode = EXCLUSIVE")
            (verdict,) = connection.execute("PRAGMA quick_check(1)").fetchone()
        except sqlite3.OperationalError:
            return
        finally:
            connection.close()
    if verdict != "ok":
        raise damaged(str(path), str(verdict))
