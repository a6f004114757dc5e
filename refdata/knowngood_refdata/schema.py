"""Bring a library to the schema this program works with. Alembic is imported only when it is behind."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import inspect, text

from knowngood_refdata import migrations
from knowngood_refdata.engines import for_upgrading, foreign_keys_in_force
from knowngood_refdata.errors import LibraryDamaged, LibraryMissing, LibraryTooNew
from knowngood_refdata.places import not_ours

if TYPE_CHECKING:
    from collections.abc import Callable

    from sqlalchemy import Connection, Engine


def bring_to_head(engine: Engine, place: str, *, create: bool) -> None:
    """Make or upgrade the tables where needed.

    Two programs that start at once upgrade one after the other: the second finds the work done.

    Raises
    ------
    LibraryMissing
        When the database is empty and no library is to be made in it.
    LibraryTooNew, LibraryDamaged
        When the library is of a newer program, or its tables are not ours; it is left as it was.
    """
    with engine.connect() as connection:
        step = _step(connection, place)
    if step == migrations.HEAD:
        return
    if step is None and not create:
        raise LibraryMissing(
            f"There is no library at {place}, only an empty database. Nothing was changed. "
            "Check the place, or let a new one be made."
        )

    def upgrade(connection: Connection) -> None:
        if _step(connection, place) != migrations.HEAD:
            _upgrade(connection)

    change_tables(engine, upgrade)


def change_tables(engine: Engine, change: Callable[[Connection], None]) -> None:
    """Change tables alone with the library: all of the change is made or none.

    Raises
    ------
    LibraryDamaged
        When rows would be left without the rows they belong to; nothing is changed then.
    """
    with for_upgrading(engine).connect() as connection:
        try:
            with connection.begin():
                change(connection)
                if connection.dialect.name == "sqlite":
                    _see_that_nothing_is_orphaned(connection)
        finally:
            if connection.dialect.name == "sqlite":
                foreign_keys_in_force(connection)


def _see_that_nothing_is_orphaned(connection: Connection) -> None:
    orphan = connection.exec_driver_sql("PRAGMA foreign_key_check").first()
    if orphan is not None:
        raise LibraryDamaged(
            f"The library cannot be brought to the present form: rows of {orphan[0]} have lost what they "
            f"belong to in {orphan[2]}. It was left as it was. Keep a copy and report this."
        )


def _step(connection: Connection, place: str) -> str | None:
    """The step a library stands at, None when it is new."""
    tables = set(inspect(connection).get_table_names())
    if "alembic_version" not in tables:
        if tables:
            raise not_ours(place)
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
