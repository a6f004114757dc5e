"""Tables that plugins make for themselves in the library: made step by step, exported, removed.

A plugin's tables have a prefix of their own. Each step is made whole or not at all, and written down in
`plugin_schema`; the tables stay while their plugin is away. They are read and written through
`Store.reading` and `Store.writing` like any other. They are not part of an exchange file: another shop has
no plugin to read them with, and what they refer to has other numbers there.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial
from typing import TYPE_CHECKING

from sqlalchemy import (
    Column,
    DateTime,
    Integer,
    MetaData,
    Table,
    Text,
    delete,
    func,
    inspect,
    select,
    table,
    text,
)

from knowngood_refdata.errors import NotFound, StoreError
from knowngood_refdata.plain_errors import plain_errors
from knowngood_refdata.plugin_table_export import write_export
from knowngood_refdata.schema import change_tables

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from pathlib import Path

    from alembic.operations import Operations
    from sqlalchemy import Connection

    from knowngood_refdata.store import Store

BOOK = Table(
    "plugin_schema",
    MetaData(),
    Column("plugin", Text, primary_key=True),
    Column("step", Integer, primary_key=True, autoincrement=False),
    Column("prefix", Text, nullable=False),
    Column("at", DateTime, nullable=False),
    Column("who", Text, nullable=False),
)
_PREFIX = re.compile(r"[a-z][a-z0-9_]*_")
_SHORTEST = 4


class TablesRefused(StoreError):  # noqa: N818 - a refusal is an answer
    """A plugin's tables cannot be made as it says; nothing of the step was kept."""


@dataclass(frozen=True, slots=True)
class KeptTables:
    """The tables of one plugin as they lie in the library; ``rows`` counts by table."""

    plugin: str
    prefix: str
    step: int
    rows: Mapping[str, int]


def check_prefix(prefix: str) -> None:
    """Refuse what cannot begin the names of a plugin's tables.

    Raises
    ------
    ValueError
        With a sentence.
    """
    if len(prefix) < _SHORTEST or _PREFIX.fullmatch(prefix) is None:
        raise ValueError(
            f"the prefix of its tables is {prefix!r}; it takes three or more lower-case letters, digits and "
            "underscores, a letter first, and an underscore at its end, such as 'fleet_'"
        )


def steps_made(store: Store) -> dict[str, int]:
    """The step at which the tables of each plugin stand."""
    with store.reading() as session:
        return {plugin: step for plugin, _, step in _standing(session.connection())}


def make(store: Store, plugin: str, prefix: str, steps: Sequence[Callable[[Operations], None]]) -> None:
    """Make the steps that the library does not have yet, each in one transaction of its own.

    Two programs that make them at once do so one after the other: the second finds the work done.

    Raises
    ------
    TablesRefused
        When the prefix is another plugin's, a step touches other tables than the plugin's own, or a newer
        version of the plugin made the tables.
    StoreError
        When the library cannot be written. Whatever else a step raises passes. The steps before stay made.
    """
    check_prefix(prefix)
    made = steps_made(store).get(plugin, 0)
    if made > len(steps):
        raise TablesRefused(
            f"A newer version of the plugin '{plugin}' made its tables (step {made}; this one knows "
            f"{len(steps)}). They were not touched. Install the newer version."
        )
    for number in range(made + 1, len(steps) + 1):
        step = _Step(plugin, prefix, number, store.user)
        with plain_errors(store.place):
            change_tables(store.engine, partial(step.make, run=steps[number - 1]))


def kept(store: Store) -> tuple[KeptTables, ...]:
    """The tables of all plugins, by plugin, whether these are there or not."""
    with store.reading() as session:
        connection = session.connection()
        return tuple(
            KeptTables(plugin, prefix, step, _counted(connection, prefix))
            for plugin, prefix, step in _standing(connection)
        )


def export(store: Store, plugin: str, path: Path) -> None:
    """Write the tables of a plugin to a zip file of CSV files, see `knowngood_refdata.plugin_table_export`.

    Raises
    ------
    NotFound
        When the plugin has no tables here.
    StoreError
        When the file cannot be written.
    """
    with store.reading() as session:
        _export(session.connection(), plugin, path)


def remove(store: Store, plugin: str, path: Path) -> None:
    """Export the tables of a plugin and take them out of the library, in one transaction.

    Raises
    ------
    NotFound, StoreError
        As `export`; nothing is removed then.
    """

    def change(connection: Connection) -> None:
        prefix = _export(connection, plugin, path)
        _drop(connection, _tables(connection, prefix))
        connection.execute(delete(BOOK).where(BOOK.c.plugin == plugin))

    with plain_errors(store.place):
        change_tables(store.engine, change)


@dataclass(frozen=True, slots=True)
class _Step:
    plugin: str
    prefix: str
    number: int
    who: str

    def make(self, connection: Connection, run: Callable[[Operations], None]) -> None:
        """Make the step unless it is made already."""
        from alembic.migration import MigrationContext
        from alembic.operations import Operations

        made = connection.scalar(select(func.max(BOOK.c.step)).where(BOOK.c.plugin == self.plugin)) or 0
        if made >= self.number:
            return
        self._see_that_the_prefix_is_free(connection)
        others = _others(connection, self.prefix)
        run(Operations(MigrationContext.configure(connection)))
        touched = sorted(table for table, _ in others ^ _others(connection, self.prefix))
        if touched:
            raise TablesRefused(
                f"Step {self.number} of the tables of the plugin '{self.plugin}' would change "
                f"'{touched[0]}', which is not its own: the names of its tables begin with '{self.prefix}'. "
                "Nothing of this step was kept."
            )
        at = datetime.now(UTC).replace(tzinfo=None)
        row = {"plugin": self.plugin, "step": self.number, "prefix": self.prefix, "at": at, "who": self.who}
        connection.execute(BOOK.insert(), row)

    def _see_that_the_prefix_is_free(self, connection: Connection) -> None:
        for plugin, prefix, _ in _standing(connection):
            if plugin == self.plugin and prefix != self.prefix:
                raise self._refused(f"they began with '{prefix}' so far")
            if plugin != self.plugin and (prefix.startswith(self.prefix) or self.prefix.startswith(prefix)):
                raise self._refused(f"'{prefix}' belongs to the plugin '{plugin}'")
        found = _tables(connection, self.prefix)
        if self.number == 1 and found:
            raise self._refused(f"the library has a table '{found[0]}' already")

    def _refused(self, why: str) -> TablesRefused:
        return TablesRefused(
            f"The tables of the plugin '{self.plugin}' cannot begin with '{self.prefix}': {why}. "
            "Nothing was changed."
        )


def _standing(connection: Connection) -> list[tuple[str, str, int]]:
    """Plugin, prefix and step of every plugin's tables."""
    by_plugin = BOOK.c.plugin, BOOK.c.prefix
    query = select(*by_plugin, func.max(BOOK.c.step)).group_by(*by_plugin).order_by(BOOK.c.plugin)
    return [(plugin, prefix, step) for plugin, prefix, step in connection.execute(query)]


def _tables(connection: Connection, prefix: str) -> list[str]:
    return sorted(one for one in inspect(connection).get_table_names() if one.startswith(prefix))


def _counted(connection: Connection, prefix: str) -> dict[str, int]:
    return {
        name: connection.execute(select(func.count()).select_from(table(name))).scalar_one()
        for name in _tables(connection, prefix)
    }


def _export(connection: Connection, plugin: str, path: Path) -> str:
    for name, prefix, step in _standing(connection):
        if name == plugin:
            write_export(connection, plugin, step, _tables(connection, prefix), path)
            return prefix
    raise NotFound(f"The library holds no tables of a plugin '{plugin}'. Nothing was changed.")


def _drop(connection: Connection, names: Sequence[str]) -> None:
    quoted = [connection.dialect.identifier_preparer.quote(name) for name in names]
    if connection.dialect.name == "sqlite":
        for name in quoted:
            connection.exec_driver_sql(f"DROP TABLE {name}")
    elif quoted:
        # In one statement they may refer to one another.
        connection.exec_driver_sql(f"DROP TABLE {', '.join(quoted)}")


def _others(connection: Connection, prefix: str) -> set[tuple[str, str]]:
    """All tables, columns and indexes but those of the prefix: by table, and as they were declared."""
    question = _ON_SQLITE if connection.dialect.name == "sqlite" else _ON_A_SERVER
    rows = connection.execute(text(question)).all()
    return {(table, told) for table, told in rows if not table.startswith((prefix, "sqlite_"))}


_ON_SQLITE = "SELECT tbl_name, type || ' ' || name || ' ' || coalesce(sql, '') FROM sqlite_master"
_ON_A_SERVER = """
SELECT table_name, concat_ws(' ', column_name, data_type, is_nullable, column_default)
FROM information_schema.columns WHERE table_schema = current_schema()
UNION ALL SELECT tablename, indexdef FROM pg_indexes WHERE schemaname = current_schema()
"""
