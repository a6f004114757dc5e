"""Stamps and audit trail: filled in for every row that people edit, whoever writes it."""

from __future__ import annotations

import hashlib
from datetime import UTC, date, datetime
from enum import Enum
from typing import TYPE_CHECKING, Any

from sqlalchemy import event, insert, inspect

from knowngood_refdata.models.base import Audit, Base, Stamped

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

_BOOKKEEPING = frozenset(
    {"version", "created_at", "created_by", "changed_at", "changed_by", "search_text", "sort_key"}
)


def watch(session: Session, who: str, why: str) -> None:
    """Stamp and record everything this session writes under a name and a reason.

    Changes are bound to one import by `bind`.
    """
    session.info.update(who=who, why=why, batch=None)
    event.listen(session, "before_flush", _stamp)
    event.listen(session, "after_flush", _record)


def bind(session: Session, batch_id: int) -> None:
    """Bind what this session writes from now on to one import."""
    session.info["batch"] = batch_id


def _stamp(session: Session, _context: object, _instances: object) -> None:
    now, who = datetime.now(UTC), session.info["who"]
    for row in session.new:
        if isinstance(row, Stamped):
            row.created_at = row.changed_at = now
            row.created_by = row.changed_by = who
    for row in session.dirty:
        if isinstance(row, Stamped) and session.is_modified(row, include_collections=False):
            row.changed_at, row.changed_by = now, who


def _record(session: Session, _context: object) -> None:
    changes = [
        *(_change(session, row, "added") for row in session.new if isinstance(row, Stamped)),
        *(_change(session, row, "changed") for row in session.dirty if isinstance(row, Stamped)),
    ]
    told = [one for one in changes if one["before"] or one["after"]]
    if told:
        session.execute(insert(Audit), told)


def stamps(session: Session) -> dict[str, Any]:
    """The stamps of rows that are added in bulk, which the session does not see."""
    now, who = datetime.now(UTC), session.info["who"]
    return {
        "version": 1,
        "created_at": now,
        "created_by": who,
        "changed_at": now,
        "changed_by": who,
        "deleted_at": None,
    }


def note_added(session: Session, table: str, rows: list[dict[str, Any]]) -> None:
    """Record rows that were added in bulk; each holds its columns by name, ``id`` among them."""
    common = _common(session, table, "added")
    told = [
        {
            **common,
            "row_id": row["id"],
            "before": {},
            "after": {name: plain(value) for name, value in row.items() if name not in _BOOKKEEPING},
        }
        for row in rows
    ]
    _write(session, told)


def note_deleted(session: Session, table: str, ids: list[int], at: datetime) -> None:
    """Record rows that were marked as deleted in bulk."""
    common = _common(session, table, "deleted")
    before, after = {"deleted_at": None}, {"deleted_at": at.isoformat()}
    told = [{**common, "row_id": number, "before": before, "after": after} for number in ids]
    _write(session, told)


def _write(session: Session, entries: list[dict[str, Any]]) -> None:
    # Straight to the table: through the mapper it costs half as much again.
    session.execute(insert(Base.metadata.tables[Audit.__tablename__]), entries)


def _common(session: Session, table: str, action: str) -> dict[str, Any]:
    """What the entries of one change to a table have in common."""
    return {
        "at": datetime.now(UTC),
        "who": session.info["who"],
        "table_name": table,
        "action": action,
        "why": session.info["why"],
        "batch_id": session.info["batch"],
    }


def _change(session: Session, row: Stamped, action: str) -> dict[str, Any]:
    before, after = {}, {}
    state = inspect(row)
    assert state is not None
    for column in state.mapper.column_attrs:
        if column.key in _BOOKKEEPING:
            continue
        history = state.attrs[column.key].history
        if action == "added" or history.has_changes():
            after[column.key] = plain(getattr(row, column.key))
            if action == "changed":
                before[column.key] = plain(history.deleted[0] if history.deleted else None)
    return {
        "at": row.changed_at,
        "who": session.info["who"],
        "table_name": state.mapper.local_table.name,
        "row_id": state.identity[0] if state.identity else row.id,  # type: ignore[attr-defined]
        "action": "deleted" if after.get("deleted_at") and action == "changed" else action,
        "before": before,
        "after": after,
        "why": session.info["why"],
        "batch_id": session.info["batch"],
    }


def plain(value: Any) -> Any:
    """A column's value as JSON can hold it."""
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, bytes):
        return f"<{len(value)} bytes, SHA-256 {hashlib.sha256(value).hexdigest()}>"
    # A number of numpy becomes a plain one; importing numpy to ask for its type would slow every start.
    return value.item() if hasattr(value, "item") else value
