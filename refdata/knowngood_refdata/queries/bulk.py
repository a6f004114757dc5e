"""Many rows at once within a transaction: stamped and in the audit trail like rows added one by one.

Everything of the same table is inserted in one go, which is some ten times as fast as row by row.
"""

from __future__ import annotations

from itertools import islice
from typing import TYPE_CHECKING, Any

from sqlalchemy import func, insert, select, text

from knowngood_refdata import auditing
from knowngood_refdata.models.base import Stamped

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from typing import TypeVar

    from sqlalchemy import Table
    from sqlalchemy.orm import Session

    from knowngood_refdata.models import Base

    Item = TypeVar("Item")

Row = dict[str, Any]
AT_ONCE = 1_000
"""Rows handed to the database in one go: more are no faster, and a cancel would be heard later."""


def add_rows(session: Session, model: type[Base], rows: list[Row]) -> list[int]:
    """Insert rows of one table, each with the same columns; their new ids in the same order.

    Rows that people edit get their stamps, unless they bring them, and each leaves its trace in the
    audit trail. A table without an ``id`` answers no ids.
    """
    if not rows:
        return []
    table = table_of(model)
    stamps = auditing.stamps(session) if issubclass(model, Stamped) else {}
    ids = list(_new_ids(session, table, len(rows))) if "id" in table.c else []
    full = [{**stamps, **row} for row in rows]
    for row, number in zip(full, ids, strict=False):
        row["id"] = number
    session.execute(insert(table), full)
    if issubclass(model, Stamped):
        auditing.note_added(session, table.name, full)
    return ids


def table_of(model: type[Base]) -> Table:
    """The table of a model."""
    return model.__table__  # type: ignore[return-value]


def slices(items: Iterable[Item], size: int = AT_ONCE) -> Iterator[list[Item]]:
    """The items in lists of at most ``size``."""
    rest = iter(items)
    while part := list(islice(rest, size)):
        yield part


def _new_ids(session: Session, table: Table, count: int) -> Sequence[int]:
    """Ids that no other row has: whoever writes holds the library alone, so they can be set beforehand."""
    if session.get_bind().dialect.name == "sqlite":
        highest = session.scalar(select(func.max(table.c.id))) or 0
        return range(highest + 1, highest + count + 1)
    found = session.scalars(
        text("SELECT nextval(pg_get_serial_sequence(:name, 'id')) FROM generate_series(1, :count)"),
        {"name": table.name, "count": count},
    )
    return found.all()
