"""The audit trail read back: which row a change was made to, and whether what it wrote still stands there."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import Table, inspect

from knowngood_refdata.auditing import plain
from knowngood_refdata.models import Audit, Base, Configuration
from knowngood_refdata.models.base import Moment, Stamped

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sqlalchemy.orm import Session


def model_of(table_name: str) -> type[Any]:
    """The model of an audited table."""
    for mapper in Base.registry.mappers:
        if isinstance(mapper.local_table, Table) and mapper.local_table.name == table_name:
            return mapper.class_
    raise LookupError(table_name)


def row_of(session: Session, change: Audit) -> Stamped | None:
    """The row a change was made to, deleted or not."""
    row = session.get(model_of(change.table_name), change.row_id)
    return row if isinstance(row, Stamped) else None


def stands(row: Stamped, change: Audit) -> bool:
    """Whether everything that a change wrote into a row is what the row holds now."""
    if change.action == "replaced":
        return False
    if change.action == "added" and row.deleted_at is not None:
        return False
    written = change.after if change.action != "added" else {}
    return all(plain(getattr(row, name)) == value for name, value in written.items())


def write_back(row: Stamped, values: dict[str, Any]) -> None:
    """Write values of the audit trail into a row."""
    columns = inspect(type(row)).columns
    for name, value in values.items():
        moment = isinstance(columns[name].type, Moment) and value is not None
        setattr(row, name, datetime.fromisoformat(value) if moment else value)


def vehicles_of(row: Stamped, changes: Iterable[dict[str, Any]] = ()) -> set[int]:
    """Numbers of the vehicles that a row belongs to, now or by the values of a change."""
    if isinstance(row, Configuration):
        return {row.id}
    numbers = {getattr(row, "configuration_id", None), *(one.get("configuration_id") for one in changes)}
    return {one for one in numbers if one is not None}
