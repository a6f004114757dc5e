"""What happened to a vehicle and everything that belongs to it: who changed what, when and why."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import or_, select

from knowngood_refdata.models import (
    Audit,
    Configuration,
    FieldDefinition,
    Maker,
    PerformanceTableRow,
    PictureRow,
    SessionRow,
    SpecDecision,
    SpecValueRow,
    SystemFamily,
    UnitRow,
)
from knowngood_refdata.queries.audited import row_of, stands
from knowngood_refdata.queries.change_words import KINDS, FieldChange, Names, field_changes, subject

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from datetime import datetime

    from sqlalchemy.orm import Session

    from knowngood_refdata.models.base import Stamped
    from knowngood_refdata.store import Store

__all__ = ["Change", "DeletedRecord", "FieldChange", "changes_of", "deleted", "history", "shared_history"]

_PARTS: tuple[type[Any], ...] = (SpecValueRow, UnitRow, SpecDecision, PictureRow, PerformanceTableRow)
_BROUGHT_BACK: tuple[type[Any], ...] = (SpecValueRow, UnitRow, PictureRow, PerformanceTableRow, SessionRow)


@dataclass(frozen=True, slots=True)
class Change:
    """One change of one record.

    Attributes
    ----------
    action
        ``added``, ``changed``, ``deleted``, ``brought back`` or ``replaced``.
    kind, subject
        What it was done to: ``spec value``, ``charge: 470 ± 15 g``.
    fields
        Field by field what stood before and what after, in words; empty texts where there was nothing.
    together
        The same number for changes that are undone as one: below zero, or the number of an import.
    stands
        Whether what it wrote is still there, so that it can be undone.
    """

    id: int
    at: datetime
    who: str
    why: str
    action: str
    kind: str
    row_id: int
    subject: str
    fields: tuple[FieldChange, ...]
    together: int | None
    stands: bool


@dataclass(frozen=True, slots=True)
class DeletedRecord:
    """Something that can be brought back by undoing the change ``change_id``; ``kind`` is as in `Change`."""

    kind: str
    id: int
    subject: str
    vehicle_id: int
    vehicle: str
    at: datetime
    who: str
    why: str
    change_id: int


def history(store: Store, vehicle_id: int, limit: int = 1000) -> tuple[Change, ...]:
    """The changes of a vehicle, its values, cars, decisions, pictures and tables, the latest first.

    It is told of a deleted vehicle, too, and empty for one that never was.
    """
    with store.reading() as session:
        rows = _rows_of(session, vehicle_id)
        ids: dict[str, list[int]] = {}
        for table_name, row_id in rows:
            ids.setdefault(table_name, []).append(row_id)
        if not ids:
            return ()
        about = or_(
            *((Audit.table_name == name) & Audit.row_id.in_(numbers) for name, numbers in ids.items())
        )
        audits = session.scalars(select(Audit).where(about).order_by(Audit.id.desc()).limit(limit))
        return changes_of(session, audits, rows)


def changes_of(
    session: Session, audits: Iterable[Audit], rows: Mapping[tuple[str, int], Stamped]
) -> tuple[Change, ...]:
    """Entries of the trail as changes; ``rows`` are what they are about, by table and number."""
    names = Names(session)
    return tuple(_change(names, one, rows[one.table_name, one.row_id]) for one in audits)


def shared_history(store: Store, limit: int = 200) -> tuple[Change, ...]:
    """The changes of makers, system families and added fields, the latest first."""
    tables = [model.__tablename__ for model in (Maker, SystemFamily, FieldDefinition)]
    with store.reading() as session:
        names = Names(session)
        query = select(Audit).where(Audit.table_name.in_(tables)).order_by(Audit.id.desc()).limit(limit)
        changes = ((one, row_of(session, one)) for one in session.scalars(query))
        return tuple(_change(names, one, row) for one, row in changes if row is not None)


def deleted(store: Store, limit: int = 500) -> tuple[DeletedRecord, ...]:
    """Vehicles and what belongs to them that can be brought back, sessions too, the latest deleted first."""
    models: tuple[type[Any], ...] = (*_BROUGHT_BACK, Configuration)
    with store.reading() as session:
        names = Names(session)
        found = [one for model in models for one in _deleted_of(session, names, model, limit)]
    return tuple(sorted(found, key=lambda one: one.change_id, reverse=True)[:limit])


def _rows_of(session: Session, vehicle_id: int) -> dict[tuple[str, int], Stamped]:
    vehicle = session.get(Configuration, vehicle_id)
    if vehicle is None:
        return {}
    rows: dict[tuple[str, int], Stamped] = {(Configuration.__tablename__, vehicle_id): vehicle}
    for model in _PARTS:
        for row in session.scalars(select(model).where(model.configuration_id == vehicle_id)):
            rows[model.__tablename__, row.id] = row
    return rows


def _change(names: Names, audit: Audit, row: Stamped) -> Change:
    return Change(
        id=audit.id,
        at=audit.at,
        who=audit.who,
        why=audit.why,
        action=_action(audit),
        kind=KINDS[audit.table_name],
        row_id=audit.row_id,
        subject=subject(row),
        fields=field_changes(names, audit),
        together=audit.batch_id,
        stands=stands(row, audit),
    )


def _action(audit: Audit) -> str:
    if audit.action == "changed" and audit.before.get("deleted_at"):
        return "brought back"
    return audit.action


def _deleted_of(session: Session, names: Names, model: type[Any], limit: int) -> list[DeletedRecord]:
    query = (
        select(model, Audit)
        .join(Audit, (Audit.table_name == model.__tablename__) & (Audit.row_id == model.id))
        .where(model.deleted_at.is_not(None), Audit.action == "deleted")
        .order_by(Audit.id)
    )
    # Of a row that was deleted more than once the last time is told.
    latest = {row.id: (row, audit) for row, audit in session.execute(query)}
    return [
        DeletedRecord(
            kind=KINDS[audit.table_name],
            id=row.id,
            subject=subject(row),
            vehicle_id=row.id if model is Configuration else row.configuration_id or 0,
            vehicle=names.of("configuration_id", row.id if model is Configuration else row.configuration_id),
            at=audit.at,
            who=audit.who,
            why=audit.why,
            change_id=audit.id,
        )
        for row, audit in list(latest.values())[-limit:]
    ]
