"""Bring a library to the schema this program works with. Alembic is imported only when it is behind."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import inspect, text

from knowngood_refdata import migrations
from knowngood_refdata.errors import LibraryDamaged, LibraryTooNew

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine

_LOCK = 0x6B6E6F77
"""Any number will do, as long as every program that upgrades this library uses the same."""


def bring_to_head(engine: Engine, place: str) -> None:
    """Make or upgrade the tables where needed.

    Two programs that start at once upgrade one after the other: the second finds the work done.

    Raises
    ------
    LibraryTooNew, LibraryDamaged
        When the library is of a newer program, or its tables are not ours; it is left as it was.
    """
    with engine.connect() as connection:
        if _step(connection, place) == migrations.HEAD:
            return
    with engine.execution_options(immediate=True).begin() as connection:
        if connection.dialect.name == "postgresql":
            connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _LOCK})
        if _step(connection, place) != migrations.HEAD:
            _upgrade(connection)


def _step(connection: Connection, place: str) -> str | None:
    """The step a library stands at, None when it is new."""
    tables = set(inspect(connection).get_table_names())
    if "alembic_version" not in tables:
        if tables:
            raise LibraryDamaged(
                f"{place} is a database, but no Knowngood library. It was not touched. "
                "Name another one, or a new one."
            )
        return None
    steps = set(connection.execute(text("SELECT version_num FROM alembic_version")).scalars())
    unknown = {step for step in steps if step.isdigit() and step not in migrations.KNOWN}
    if unknown:
        raise LibraryTooNew(
            f"The library {place} was made by a newer version of Knowngood (step {max(unknown)}). "
            "It was not touched. Install the newer version, or open another library."
        )
    return next((step for step in steps if step in migrations.KNOWN), None)


def _upgrade(connection: Connection) -> None:
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(Path(migrations.__file__).parent).replace("%", "%%"))
    config.attributes["connection"] = connection
    command.upgrade(config, "knowngood@head")
