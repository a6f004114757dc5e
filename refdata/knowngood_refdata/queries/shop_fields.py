"""Spec fields that the shop adds to those every vehicle has. Removing one keeps the values entered in it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from knowngood_refdata.errors import Conflict, NotFound, UnfitValue
from knowngood_refdata.models import FieldDefinition
from knowngood_refdata.quantities import Kind
from knowngood_refdata.queries.reasons import need_reason
from knowngood_refdata.queries.vehicle_entry import at_version

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from knowngood_refdata.store import Store

TEXT = ""
"""The kind of a field that holds words; any other is a `knowngood_refdata.quantities.Kind`."""


@dataclass(frozen=True, slots=True)
class ShopFieldDraft:
    """A field to be added; ``name`` is what its values carry and never changes, ``kind`` "" for words."""

    name: str
    title: str
    section: str = ""
    kind: str = TEXT
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ShopField:
    """A field that the shop has added, in its place among the others."""

    id: int
    name: str
    title: str
    section: str
    kind: str
    choices: tuple[str, ...]
    position: int
    version: int


def shop_fields(store: Store) -> tuple[ShopField, ...]:
    """The fields that the shop has added, in their order."""
    query = select(FieldDefinition).where(FieldDefinition.deleted_at.is_(None))
    with store.reading() as session:
        rows = session.scalars(query.order_by(FieldDefinition.position, FieldDefinition.id))
        return tuple(_field(row) for row in rows)


def define_field(store: Store, draft: ShopFieldDraft) -> int:
    """Add a field behind the others; its id. One of this name that was removed is there again.

    Raises
    ------
    Conflict
        When there is one of this name.
    UnfitValue
        Without a name or title, or with an unknown kind.
    """
    _check(draft)
    with store.writing("field added") as session:
        row = session.scalar(select(FieldDefinition).where(FieldDefinition.name == draft.name.strip()))
        if row is not None and row.deleted_at is None:
            raise Conflict(
                f"There is a field {row.title} of this name. Nothing was changed. Use another name."
            )
        if row is None:
            last = session.scalar(select(func.max(FieldDefinition.position))) or 0
            row = FieldDefinition(name=draft.name.strip(), position=last + 1)
            session.add(row)
        _describe(row, draft)
        row.deleted_at = None
        session.flush()
        return row.id


def edit_field(
    store: Store, field_id: int, version: int, draft: ShopFieldDraft, why: str, *, position: int | None = None
) -> None:
    """Give a field another title, section, kind, other choices or another place; its name stays.

    Raises
    ------
    NotFound, Conflict
        When there is no such field, or it is no longer at the version that was shown.
    UnfitValue
        Without a title or a reason, or with an unknown kind.
    """
    _check(draft)
    with store.writing(need_reason(why)) as session:
        row = at_version(_row(session, field_id), version)
        _describe(row, draft)
        row.position = row.position if position is None else position


def remove_field(store: Store, field_id: int, version: int, why: str) -> None:
    """Offer a field no more. Values entered in it stay with their vehicles.

    Raises
    ------
    NotFound, Conflict, WhyMissing
        As for `edit_field`.
    """
    with store.writing(need_reason(why)) as session:
        at_version(_row(session, field_id), version).deleted_at = datetime.now(UTC)


def _check(draft: ShopFieldDraft) -> None:
    if not draft.name.strip() or not draft.title.strip():
        raise UnfitValue("A field needs a name and a title. Nothing was changed.")
    if draft.kind != TEXT and draft.kind not in set(Kind):
        raise UnfitValue(
            f"{draft.kind!r} is no kind of quantity. Nothing was changed. Leave it empty for words."
        )


def _describe(row: FieldDefinition, draft: ShopFieldDraft) -> None:
    row.title, row.section, row.kind = draft.title.strip(), draft.section.strip(), str(draft.kind)
    row.choices = {"offered": list(draft.choices)}


def _row(session: Session, field_id: int) -> FieldDefinition:
    row = session.get(FieldDefinition, field_id)
    if row is None or row.deleted_at is not None:
        raise NotFound(f"The library holds no added field number {field_id}. Nothing was changed.")
    return row


def _field(row: FieldDefinition) -> ShopField:
    return ShopField(
        row.id,
        row.name,
        row.title,
        row.section,
        row.kind,
        tuple(row.choices.get("offered", ())),
        row.position,
        row.version,
    )
