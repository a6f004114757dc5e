"""Connections that behave the same on SQLite and PostgreSQL.

Reading sees one state of the library throughout a transaction. Whoever writes holds the library alone
from the start of the transaction to its end, so that looking for a row and adding it are one step.
"""

from __future__ import annotations

import sqlite3
from typing import TYPE_CHECKING

from sqlalchemy import create_engine, event
from sqlalchemy.exc import NoSuchModuleError

from knowngood_refdata.errors import StoreError

if TYPE_CHECKING:
    from sqlalchemy import URL, Connection, Engine

BUSY_S = 5.0
"""How long to wait for another program that is writing."""

_STALLED_S = 60
"""After how long a workstation that fell asleep in the middle of a change loses it, so that others go on."""

_WRITERS = 0x6B6E6F77
"""Any number will do, as long as every program that writes to a library uses the same."""


def make_engine(url: URL) -> Engine:
    """Connections to a library; nothing is opened yet.

    Raises
    ------
    StoreError
        When there is no driver for this kind of database.
    """
    try:
        if url.get_backend_name() == "sqlite":
            return _sqlite(url)
        return _server(url)
    except (NoSuchModuleError, ImportError) as error:
        raise StoreError(
            f"There is no driver for a library at {url.drivername}://. Nothing was opened. "
            "Use postgresql:// or name a file."
        ) from error


def for_reading(engine: Engine) -> Engine:
    """The engine for transactions that only read."""
    if engine.dialect.name == "sqlite":
        return engine
    return engine.execution_options(isolation_level="REPEATABLE READ")


def for_writing(engine: Engine) -> Engine:
    """The engine for transactions that write, one after the other."""
    return engine.execution_options(begin="IMMEDIATE")


def for_upgrading(engine: Engine) -> Engine:
    """The engine for changing the tables; `foreign_keys_in_force` is to follow on SQLite."""
    return engine.execution_options(begin="EXCLUSIVE")


def foreign_keys_in_force(connection: Connection) -> None:
    """Have SQLite watch over foreign keys again once the tables are changed."""
    driver = connection.connection.driver_connection
    assert isinstance(driver, sqlite3.Connection)
    driver.execute("PRAGMA foreign_keys = ON")


def _sqlite(url: URL) -> Engine:
    engine = create_engine(url, connect_args={"timeout": BUSY_S, "check_same_thread": False})
    event.listen(engine, "connect", _prepare_sqlite)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def _prepare_sqlite(connection: sqlite3.Connection, _record: object) -> None:
    # SQLAlchemy says when a transaction begins; the driver must not begin one by itself.
    connection.isolation_level = None
    connection.execute("PRAGMA foreign_keys = ON")
    # What was committed outlasts a power cut, not only the end of the program.
    connection.execute("PRAGMA synchronous = FULL")
    try:
        connection.execute("PRAGMA journal_mode = WAL")
    except sqlite3.OperationalError:
        # A read-only library keeps the journal it has; writing to it is refused where it is tried.
        return


def _begin_sqlite(connection: Connection) -> None:
    how = connection.get_execution_options().get("begin", "DEFERRED")
    if how == "EXCLUSIVE":
        # Changing a table remakes it, and with foreign keys in force that would delete the rows that
        # hang on its rows. They cannot be switched off within a transaction.
        connection.exec_driver_sql("PRAGMA foreign_keys = OFF")
    connection.exec_driver_sql(f"BEGIN {how}")


def _server(url: URL) -> Engine:
    arguments = {} if "connect_timeout" in url.query else {"connect_timeout": round(BUSY_S)}
    # A workstation may sleep over lunch: connections are tried before they are used.
    engine = create_engine(url, pool_pre_ping=True, connect_args=arguments)
    if engine.dialect.name == "postgresql":
        event.listen(engine, "begin", _begin_postgresql)
    return engine


def _begin_postgresql(connection: Connection) -> None:
    if "begin" in connection.get_execution_options():
        connection.exec_driver_sql(
            f"SET LOCAL lock_timeout = '{BUSY_S:g}s'; "
            f"SET LOCAL idle_in_transaction_session_timeout = '{_STALLED_S}s'; "
            f"SELECT pg_advisory_xact_lock({_WRITERS})"
        )
